//! The map of segments and joints: nothing overlaps, every circuit with readings is there, bad pieces have their numbers.

mod common;

use common::{big, check};
use orlop_boat::{Design, document, size};
use orlop_paper::html::joint_sheets;
use orlop_paper::papers;
use orlop_paper::svg::{A4, Canvas};
use orlop_paper::view::joint_map;
use std::fmt::Write;

const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");
const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");

fn sized(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

/// The file with a drop on both legs of every circuit, and across every lug where its own beginning is bad.
fn with_drops(text: &str) -> String {
    let design = sized(text);
    let mut out = text.to_string();
    for (at, c) in design.boat.circuits.iter().enumerate() {
        let full = design.demand.circuits[at].design.value.max(1.0);
        let half = design.circuits[at].resistance.value / 2.0 * full;
        for (leg, bad) in [("positive", at % 7 == 3), ("negative", at % 11 == 5)] {
            let drop = half * if bad { 2.5 } else { 0.9 };
            let id = format!("{}-{leg}", c.id);
            let _ = write!(
                out,
                "\n[found.S-{id}]\nat = \"circuit.{}\"\nwhat = \"drop\"\nleg = \"{leg}\"\nvalue = \"{drop:.5} V\"\nuncertainty = \"5 mV\"\ncurrent = \"{full:.3} A\"\n",
                c.id
            );
            if bad && at % 2 == 1 {
                let over = half * 1.6;
                let _ = write!(
                    out,
                    "\n[found.J-{id}]\nat = \"circuit.{}\"\nwhat = \"joint\"\nleg = \"{leg}\"\nparts = [\"end\"]\nvalue = \"{over:.5} V\"\nuncertainty = \"5 mV\"\ncurrent = \"{full:.3} A\"\n",
                    c.id
                );
            }
        }
    }
    out
}

fn drawn(name: &str, design: &Design) -> Vec<Canvas> {
    let map = joint_map(design).unwrap();
    let sheets = joint_sheets(Some(&map));
    check(&sheets);
    let texts = |what: &str| sheets.iter().flat_map(|s| &s.texts).filter(|t| t.text == what).count();
    for row in &map.circuits {
        assert!(texts(&row.id) >= 1, "{}", row.id);
        for p in row.positive.iter().chain(&row.negative).filter(|p| p.bad) {
            assert!(texts(&p.label) >= 1, "{} {}", row.id, p.label);
        }
    }
    for (at, sheet) in sheets.iter().enumerate() {
        let path = format!("{}/joints-{name}-{}.svg", env!("CARGO_TARGET_TMPDIR"), at + 1);
        std::fs::write(path, sheet.file("Joints", A4)).unwrap();
    }
    sheets
}

#[test]
fn the_boat_as_found_shows_its_isolator() {
    let design = sized(FOUND);
    let sheets = drawn("as-found", &design);
    let texts: Vec<&str> = sheets.iter().flat_map(|s| &s.texts).map(|t| t.text.as_str()).collect();
    assert!(texts.iter().any(|t| t.starts_with("switch: 1.9")), "{texts:?}");
    let papers = papers(&design, None).unwrap();
    let html = papers.iter().find(|p| p.name == "survey.html").unwrap();
    assert!(String::from_utf8_lossy(&html.bytes).contains("Segments and joints"));
    assert!(
        papers.iter().any(|p| p.name == "joints.svg") && papers.iter().any(|p| p.name == "tables/joints.csv")
    );
}

#[test]
fn boats_with_drops_on_every_circuit() {
    drawn("teal", &sized(&with_drops(TEAL)));
    drawn("dunlin", &sized(&with_drops(DUNLIN)));
}

#[test]
fn one_hundred_and_fifty_circuits() {
    let design = sized(&with_drops(&big::boat()));
    assert!(design.boat.circuits.len() >= 150);
    let sheets = drawn("big", &design);
    assert!(sheets.len() > 3 && sheets.iter().all(|s| s.height <= orlop_paper::svg::PAGE_HEIGHT));
}

#[test]
fn no_readings_no_map() {
    assert!(joint_map(&sized(DUNLIN)).is_none());
    assert!(joint_sheets(None).is_empty());
    assert!(papers(&sized(DUNLIN), None).unwrap().iter().all(|p| p.name != "joints.svg"));
}
