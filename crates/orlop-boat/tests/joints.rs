//! Which segment or joint is bad, from the readings of a boat file.

use orlop_boat::joints::BoatJoints;
use orlop_boat::{document, survey, tables};

const FOUND: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");

#[test]
fn look() {
    let (design, survey) =
        survey(&document::read(FOUND, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap();
    for p in BoatJoints::of(&design).unwrap().pieces {
        println!(
            "{} {} exp {:.3} sound {:.3} R {:.3} [{:?}] W {:.2} shown {:.1} or {:?} both {:?}",
            p.id,
            p.verdict.word(),
            p.expected.value * 1e3,
            p.sound_to.value * 1e3,
            p.resistance.value * 1e3,
            p.excess().0.value * 1e3,
            p.watts_full.value,
            p.shown_from.value,
            p.or_else,
            p.or_both
        );
    }
    for f in survey.findings.iter().chain(&survey.undecided) {
        println!("{} {} {} {}: {}", f.number, f.severity.word(), f.verdict.word(), f.subject, f.deficiency);
    }
    let _ = tables::table(&design, "joints").unwrap();
}
