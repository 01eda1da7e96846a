//! Our own reviewed output, held still: no evidence of truth, only of change. `ORLOP_GOLDEN=write cargo test` renews it;
//! then read the difference.

use orlop_boat::{diagnose, document, size, tables};
use std::fmt::Write;
use std::path::Path;

fn held(name: &str, now: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/golden").join(name);
    if std::env::var("ORLOP_GOLDEN").is_ok_and(|v| v == "write") {
        std::fs::write(&path, now).unwrap();
    }
    let then = std::fs::read_to_string(&path).unwrap_or_default();
    let differs = then.lines().zip(now.lines()).position(|(a, b)| a != b);
    assert!(
        then == now,
        "{name} differs from line {}: review it, then ORLOP_GOLDEN=write",
        differs.map_or(then.lines().count().min(now.lines().count()), |n| n) + 1
    );
}

#[test]
fn schemas_of_all_tables() {
    let mut text = String::new();
    for schema in tables::SCHEMAS.iter().chain([&tables::RESURVEY]).chain(diagnose::SCHEMAS) {
        writeln!(text, "{}: {}", schema.name, schema.doc).unwrap();
        for column in schema.columns {
            writeln!(text, "    {}: {:?}, {}", column.name, column.holds, column.doc).unwrap();
        }
    }
    held("schemas.txt", &text);
}

#[test]
fn sizes_and_devices_of_the_demo_boats() {
    for (name, file) in [
        ("dunlin", include_str!("../../../python/orlop/boats/dunlin.toml")),
        ("teal", include_str!("../../../python/orlop/boats/teal.toml")),
    ] {
        let design = size(&document::read(file, name).unwrap()).unwrap();
        let mut text = String::new();
        for c in &design.circuits {
            let device = c.device.as_ref().map_or_else(|| "none".to_string(), ToString::to_string);
            let (i, size) = (orlop_units::show(c.design_current), c.conductor.size());
            writeln!(text, "{}: {i}, {size}, {device}, {}", c.id, c.governed_by.word()).unwrap();
        }
        held(&format!("{name}_sizes.txt"), &text);
    }
}
