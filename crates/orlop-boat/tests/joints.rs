//! Which segment or joint is bad, from the readings of a boat file. Located joints by the hundred: `tests/python/test_joints.py`.

use orlop::Verdict;
use orlop_boat::found::{Leg, LegPart};
use orlop_boat::joints::BoatJoints;
use orlop_boat::{Design, document, explain, size, tables};

const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");

fn sized(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn with(section: &str) -> Result<Design, String> {
    let boat = document::read(&format!("{FOUND}\n{section}"), "boat.toml").map_err(|e| e.to_string())?;
    size(&boat).map_err(|e| e.to_string())
}

#[test]
fn the_isolator_is_bad_and_its_heat_is_that_of_joule() {
    let design = sized(FOUND);
    let joints = BoatJoints::of(&design).unwrap();
    let [isolator] = joints.pieces.as_slice() else { panic!("{:?}", joints.pieces) };
    assert_eq!(
        (isolator.leg, isolator.part, isolator.verdict),
        (Leg::Positive, LegPart::Switch, Verdict::Fail)
    );
    // 0.32 V at 168 A, by hand: 1.90 mohm and 53.8 W.
    assert!((isolator.resistance.value - 0.32 / 168.0).abs() < 1e-9);
    assert!((isolator.watts_tested.value - 0.32 * 168.0).abs() < 1e-3);
    assert!(isolator.ratio.unwrap() > 10.0 && isolator.or_else.is_empty());
    let table = tables::table(&design, "joints").unwrap();
    assert_eq!(table.rows(), 1);
    let working = explain(&design, "circuit.D1.joints").unwrap().to_string();
    assert!(working.contains("Resistance of the switch"), "{working}");
    assert!(explain(&design, "circuit.F1.joints").unwrap().to_string().contains("no drop was read"));
}

#[test]
fn a_reading_of_parts_does_not_overrule_what_is_computed_for_the_whole() {
    let section = "[found.LUG]\nat = \"circuit.F5\"\nwhat = \"drop\"\nleg = \"negative\"\nparts = [\"end\"]\n\
                   value = \"2 mV\"\nuncertainty = \"1 mV\"\ncurrent = \"17 A\"\n";
    let design = with(section).unwrap();
    let piece = |id: &str| BoatJoints::of(&design).unwrap().pieces.into_iter().find(|p| p.id == id);
    assert_eq!(piece("circuit.F5.negative.end").unwrap().verdict, Verdict::Pass);
    let survey = orlop_boat::survey(&design.boat).unwrap().1;
    // The fifteen planted deficiencies stay.
    assert_eq!(survey.findings.len(), 15);
}

#[test]
fn a_meter_may_show_a_little_less_than_nothing() {
    let section = |value: &str| {
        format!(
            "[found.LUG]\nat = \"circuit.F5\"\nwhat = \"joint\"\nleg = \"negative\"\nparts = [\"end\"]\n\
             value = \"{value}\"\nuncertainty = \"1 mV\"\ncurrent = \"17 A\"\n"
        )
    };
    let design = with(&section("-0.4 mV")).unwrap();
    let joints = BoatJoints::of(&design).unwrap();
    let lug = joints.pieces.iter().find(|p| p.id == "circuit.F5.negative.end").unwrap();
    assert_eq!(lug.verdict, Verdict::Pass);
    let survey = orlop_boat::survey(&design.boat).unwrap().1;
    assert_eq!(survey.findings.len(), 15);
    assert!(survey.confirmations.iter().any(|c| c.reading == "LUG"));
    assert!(with(&section("-3 mV")).unwrap_err().contains("swap the probes"));
}

#[test]
fn parts_stand_where_they_belong() {
    let entry = |keys: &str| format!("[found.X]\nat = \"circuit.F5\"\n{keys}\n");
    let drop = "what = \"drop\"\nvalue = \"0.1 V\"\ncurrent = \"9 A\"";
    for (keys, words) in [
        (format!("{drop}\nparts = [\"middle\"]"), "none of the words"),
        (format!("{drop}\nparts = []"), "at least one part"),
        (format!("{drop}\nleg = \"negative\"\nparts = [\"switch\"]"), "no switch"),
        (format!("{drop}\nmeter = \"10 Mohm\""), "no meter"),
        ("what = \"twist-on\"\ncount = 1\nleg = \"positive\"".into(), "has no leg"),
    ] {
        let error = with(&entry(&keys)).unwrap_err();
        assert!(error.contains(words), "{words}: {error}");
    }
}
