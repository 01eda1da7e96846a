//! Fault currents against outside truth: every `tests/published/fault_*.toml`.
//!
//! One line is printed per file: `published|file|source|cells|worst|note`.

use orlop::network::fault::BatteryForm;
use orlop::network::{Network, Part, RETURN, Source};
use orlop::units::{Current, Quantity, ohms, parse};
use orlop::{Confidence, Range};
use std::collections::BTreeMap;

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct Published {
    source: String,
    edition: String,
    place: String,
    reading: String,
    confidence: String,
    tolerance: f64,
    reason: String,
    note: String,
    case: Vec<BTreeMap<String, String>>,
}

type Case = BTreeMap<String, String>;

fn text<'a>(case: &'a Case, key: &str) -> &'a str {
    case.get(key).unwrap_or_else(|| panic!("no {key} in {case:?}"))
}

fn read<Q: Quantity>(case: &Case, key: &str) -> Q {
    parse(text(case, key), key).unwrap()
}

fn count(case: &Case, key: &str) -> usize {
    text(case, key).parse().unwrap()
}

/// Banks of cells in parallel on one node.
fn banks(case: &Case) -> Vec<(Current, Current)> {
    let cell: orlop::units::Resistance = read(case, "cell");
    let source = Source {
        emf: Range::exactly(read(case, "voltage")),
        resistance: Range::exactly(cell * count(case, "cells") as f64),
        may_open: false,
    };
    let mut net = Network::new();
    for k in 0..count(case, "parallel") {
        net.source(&format!("bank {k}"), "bus", RETURN, source).unwrap();
    }
    let total = net.fault_at("bus").unwrap().total;
    let want: Current = read(case, "fault");
    vec![(total.low().unwrap(), want), (total.high().unwrap(), want)]
}

/// One battery by the form of the standard: by itself, and as a source of a network.
fn battery(case: &Case) -> Vec<(Current, Current)> {
    let form = BatteryForm::parse(text(case, "kind"), "kind").unwrap();
    let leads = read(case, "leads");
    let short = form.short_circuit(read(case, "voltage"), read(case, "battery"), leads, None).unwrap();
    let mut net = Network::new();
    let source = form.source(read(case, "voltage"), read(case, "battery"), false).unwrap();
    net.source("battery", "post", RETURN, source).unwrap();
    net.branch("leads", "post", "bus", Part::Resistance(Range::exactly(leads))).unwrap();
    let total = net.fault_at("bus").unwrap().total;
    assert!(leads > ohms(0.0));
    let (peak, sustained): (Current, Current) = (read(case, "peak"), read(case, "sustained"));
    vec![
        (short.peak, peak),
        (short.sustained, sustained),
        (total.high().unwrap(), peak),
        (total.low().unwrap(), sustained),
    ]
}

#[test]
fn fault_currents_keep_to_their_sources() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/published");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|p| p.file_name().unwrap().to_str().unwrap().starts_with("fault_"));
    files.sort();
    assert!(files.len() >= 2, "{files:?}");
    for path in files {
        let name = path.file_stem().unwrap().to_str().unwrap();
        let source: Published = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let confidence = Confidence::parse(&source.confidence).unwrap_or_else(|| panic!("{name}"));
        for said in [&source.source, &source.place, &source.reading, &source.reason, &source.note] {
            assert!(!said.is_empty(), "{name}: every file says where it comes from");
        }
        let (mut cells, mut worst) = (0, 0.0_f64);
        for case in &source.case {
            let pairs = match text(case, "kind") {
                "banks" => banks(case),
                _ => battery(case),
            };
            for (got, want) in pairs {
                let off = ((got - want).si() / want.si()).abs();
                assert!(off <= source.tolerance, "{name}: {got:?} against {want:?}");
                worst = worst.max(off);
                cells += 1;
            }
        }
        let edition =
            if source.edition.is_empty() { String::new() } else { format!(" ({})", source.edition) };
        println!(
            "published|{name}|{}{edition}, {}|{cells}|{worst:.1e}|{}: {}",
            source.source,
            source.place,
            confidence.word(),
            source.note
        );
    }
}
