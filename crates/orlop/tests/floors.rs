//! The floors of the house: a room imports only from rooms below it. Read from the `use` and path expressions.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms of the core, lowest first; rooms of one group may use each other.
const CORE: &[&[&str]] = &[
    &["units", "choice", "source", "working", "judgement", "range", "error", "table", "solve"],
    &["tables", "rules"],
    &["conductor"],
    &["protection"],
    &["circuit"],
    &["cell"],
    &["pack"],
    &["network"],
    &["energy"],
    &["proving"],
    &["sources"],
];

/// Rooms of the whole boat, in the order of its pipeline.
const BOAT: &[&[&str]] = &[
    &["day"],
    &["model", "found"],
    &["document"],
    &["demand"],
    &["route"],
    &["bank"],
    &["sized"],
    &["network"],
    &["design"],
    &["joints"],
    &["size", "check"],
    &["survey", "sheet"],
    &["diagnose"],
    &["tables"],
    &["explain"],
];

fn crates() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("inside crates/").to_path_buf()
}

fn sources(dir: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(dir).unwrap_or_else(|e| panic!("{}: {e}", dir.display())) {
        let path = entry.expect("readable").path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

/// Rooms that a text names after `crate::`.
fn named(text: &str) -> Vec<String> {
    let mut rooms = Vec::new();
    // Unit tests may look upward.
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    let code: String =
        text.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    for part in code.split("crate::").skip(1) {
        if let Some(group) = part.strip_prefix('{') {
            let group = group.split("};").next().unwrap_or_default();
            let mut depth = 0;
            let mut word = String::new();
            for c in group.chars().chain([',']) {
                match c {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    ',' if depth == 0 => {
                        rooms.push(word.trim().split("::").next().unwrap_or_default().to_string());
                        word.clear();
                    }
                    c => word.push(c),
                }
            }
        } else {
            rooms.push(part.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect());
        }
    }
    rooms
}

fn floor_of(floors: &[&[&str]], room: &str) -> Option<usize> {
    floors.iter().position(|f| f.contains(&room))
}

fn check(package: &str, floors: &[&[&str]]) {
    let src = crates().join(package).join("src");
    let mut files = Vec::new();
    sources(&src, &mut files);
    let mut seen = 0;
    for file in files {
        let inside = file.strip_prefix(&src).expect("below src");
        let first = inside.components().next().expect("a name").as_os_str().to_string_lossy();
        let room = first.trim_end_matches(".rs").to_string();
        let Some(own) = floor_of(floors, &room) else {
            assert!(room == "lib", "{package}: the room '{room}' stands on no floor: add it to this test");
            continue;
        };
        for named in named(&fs::read_to_string(&file).expect("text")) {
            if let Some(other) = floor_of(floors, &named) {
                seen += 1;
                assert!(
                    other <= own,
                    "{}: {room} may not use {named}, which stands above it",
                    file.display()
                );
            }
        }
    }
    assert!(seen > 20, "{package}: only {seen} uses were found; the reader of `use` lines is broken");
}

#[test]
fn the_core_keeps_its_floors() {
    check("orlop", CORE);
}

#[test]
fn the_boat_keeps_its_floors() {
    check("orlop-boat", BOAT);
}

#[test]
fn only_the_units_crate_names_the_units_library_and_only_the_binding_names_python() {
    for (package, word) in [("orlop-units", "uom"), ("orlop-py", "pyo3")] {
        for entry in fs::read_dir(crates()).expect("crates/") {
            let dir = entry.expect("readable").path();
            if dir.file_name().is_some_and(|n| n == package) {
                continue;
            }
            let manifest = fs::read_to_string(dir.join("Cargo.toml")).expect("a manifest");
            assert!(!manifest.contains(word), "{} names {word}", dir.display());
        }
    }
}

#[test]
fn packages_lean_only_on_lower_ones() {
    let order = ["orlop-units", "orlop", "orlop-boat", "orlop-paper", "orlop-py"];
    for (at, package) in order.iter().enumerate() {
        let manifest = fs::read_to_string(crates().join(package).join("Cargo.toml")).expect("a manifest");
        for above in &order[at + 1..] {
            assert!(
                !manifest
                    .lines()
                    .any(|l| l.starts_with(&format!("{above}.")) || l.starts_with(&format!("{above} "))),
                "{package} leans on {above}"
            );
        }
    }
}

#[test]
fn the_reader_of_use_lines_reads() {
    let text = "use crate::{Error, circuit::{A, B}, tables};\nuse crate::protection::Device;\n// crate::hidden\nlet x = crate::rules::y();";
    assert_eq!(named(text), ["Error", "circuit", "tables", "protection", "rules"]);
}
