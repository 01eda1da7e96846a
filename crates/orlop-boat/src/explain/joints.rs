//! The segments and joints of a circuit after the readings, with their working.

use crate::design::Design;
use crate::joints::BoatJoints;
use orlop::working::Step;
use orlop::{Error, Recorder};
use orlop_units::{Fraction, show};

/// The pieces of a circuit that readings went through, one after another.
///
/// # Errors
/// As [`BoatJoints::of`].
pub(super) fn joints(design: &Design, circuit: &str, rec: &mut impl Recorder) -> Result<(), Error> {
    let all = BoatJoints::of(design)?;
    let id = |at: usize| design.boat.circuits[at].id.as_str();
    let of: Vec<_> = all.pieces.iter().filter(|p| id(p.circuit) == circuit).collect();
    if of.is_empty() {
        rec.step(|| {
            Step::new("readings", "", "no drop was read over this circuit, with the current that flowed")
        });
        return Ok(());
    }
    for p in of {
        rec.step(|| {
            let step = Step::new(format!("Resistance of the {} of circuit {circuit}", p.name()), "R", p.resistance)
                .formula(
                    "the fewest bad pieces that explain all readings of the boat; then the least of sum((drop - sum I R)^2/u^2) + \
                     sum((R - R0)^2/s^2), R >= 0, where bad pieces have no second term",
                )
                .input("R0, sound", p.expected)
                .input("a sound one has up to", p.sound_to)
                .input("95 % interval", format!("{}", p.interval))
                .input("readings", p.readings.join(", "));
            match p.or_else.is_empty() {
                true => step,
                false => step.input("no reading tells it from", p.or_else.join(", ")),
            }
        });
        if p.verdict == orlop::Verdict::Pass {
            continue;
        }
        rec.step(|| {
            let step = Step::new(format!("Heat of the {} at full load", p.name()), "P", p.watts_full)
                .formula("I^2 R; of a conductor that of its excess")
                .input("I", p.full)
                .input("in the test", format!("{} at {}", show(p.watts_tested), show(p.tested)));
            match p.rise {
                Some(rise) => step.input("rise, dT = P / (n sqrt(h p k A))", format!("{rise}")),
                None => step,
            }
        });
        if let Some(ratio) = p.ratio {
            rec.step(|| {
                Step::new("Against an equal length of its cable", "R/R_cable", Fraction::new(ratio))
                    .formula("a joint counts as 20 mm long")
            });
        }
    }
    Ok(())
}
