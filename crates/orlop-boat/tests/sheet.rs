//! The test sheet: complete, in agreement with the network, and with values that a textbook gives as well.

use orlop::Sense;
use orlop_boat::sheet::{Test, TestKind, sheet};
use orlop_boat::{Design, document, size};
use orlop_units::Quantity;

const DUNLIN: &str = include_str!("../../../python/orlop/boats/dunlin.toml");
const TEAL: &str = include_str!("../../../python/orlop/boats/teal.toml");
const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");

fn made(text: &str) -> (Design, Vec<Test>) {
    let design = size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap();
    let tests = sheet(&design).unwrap();
    (design, tests)
}

fn one<'a>(tests: &'a [Test], kind: TestKind, subject: &str) -> &'a Test {
    let mut all = tests.iter().filter(|t| t.kind == kind && t.subject == subject);
    let first = all.next().unwrap_or_else(|| panic!("no {} on {subject}", kind.word()));
    assert!(all.next().is_none(), "twice {} on {subject}", kind.word());
    first
}

#[test]
fn every_circuit_and_every_load_has_its_lines() {
    for text in [DUNLIN, TEAL, FOUND] {
        let (design, tests) = made(text);
        for circuit in &design.boat.circuits {
            let subject = format!("circuit.{}", circuit.id);
            for kind in [TestKind::Polarity, TestKind::DropPositive, TestKind::DropNegative] {
                one(&tests, kind, &subject);
            }
        }
        for load in &design.boat.loads {
            one(&tests, TestKind::DropWhole, &format!("load.{}", load.id));
        }
        for (at, t) in tests.iter().enumerate() {
            assert_eq!(t.number, at + 1);
            assert!(
                !t.probe.is_empty()
                    && !t.switch_on.is_empty()
                    && !t.verdict.is_empty()
                    && !t.if_not.is_empty()
            );
            assert_eq!(t.limit.is_some(), !t.clause.is_empty(), "{t:?}");
        }
    }
}

#[test]
fn a_sound_boat_passes_its_own_sheet() {
    for text in [DUNLIN, TEAL] {
        let (_, tests) = made(text);
        for t in &tests {
            let (Some(expected), Some(limit)) = (&t.expected, &t.limit) else { continue };
            assert_eq!(expected.kind, limit.kind);
            assert!(orlop::meets(expected.si, t.sense, limit.si), "{t:?}");
        }
        assert!(tests.iter().any(|t| t.sense == Sense::AtLeast));
    }
}

#[test]
fn legs_and_whole_agree_with_the_network() {
    // A load that hangs on the bank by one circuit: both legs at their highest are the drop that the network has.
    let (_, tests) = made(FOUND);
    let limit = |kind| one(&tests, kind, "circuit.B1").limit.as_ref().unwrap().si - 2e-3;
    let legs = limit(TestKind::DropPositive) + limit(TestKind::DropNegative);
    let whole = one(&tests, TestKind::DropWhole, "load.B1").expected.as_ref().unwrap().si;
    assert!((legs - whole).abs() < 1e-6, "{legs} {whole}");
}

#[test]
fn the_drop_of_a_leg_is_that_of_the_table_of_conductors() {
    // IEC 60228 (2004), table 3, class 5: 2.5 mm2 plain copper has 7.98 ohm/km at 20 degC. One leg of 11.4 m at 17.6 A loses 1.601 V
    // cold, and 19.7 % more at 70 degC (0.393 % a kelvin), where its insulation ends; joints add at most 0.4 mohm: 7 mV.
    let (_, tests) = made(FOUND);
    let leg = one(&tests, TestKind::DropNegative, "circuit.F5");
    assert!((leg.current.unwrap().si() - 17.6).abs() < 1e-9);
    let volts = leg.expected.as_ref().unwrap().si;
    assert!((1.601..=1.601 * 1.197 + 0.007).contains(&volts), "{volts}");
}

#[test]
fn readings_of_the_file_stand_in_their_boxes() {
    let (_, tests) = made(FOUND);
    let whole = one(&tests, TestKind::DropWhole, "load.F5");
    let (id, value) = whole.found.as_ref().expect("the reading AF-03");
    assert_eq!((id.as_str(), value.si), ("AF-03", 2.87));
    assert!(one(&tests, TestKind::DropWhole, "load.F1").found.is_none());
}
