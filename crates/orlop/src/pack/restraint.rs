//! Keeping the bank where it is: what the rule asks, and what the sea does.

use crate::error::{Error, not_negative, positive};
use crate::judgement::{Judgement, Sense, Severity, Verdict};
use crate::source::{Citation, Confidence};
use crate::working::{Recorder, Silent, Step};
use orlop_units::{Force, Length, Mass, Quantity, metres, show};

pub(crate) static MOVEMENT: Citation = Citation::fixed(
    "cfr33-183-420",
    "33 CFR 183.420",
    "2015",
    "(a)",
    "at most 1 inch of movement under 90 pounds or twice the weight, the lesser, for one minute each way",
    Confidence::Published,
    "two copies",
);
pub(crate) static MOTION: Citation = Citation::fixed(
    "battery-motion",
    "common practice",
    "",
    "",
    "accelerations in a seaway: 1 to 2 g up, 0.7 to 1 g sideways and lengthways; the own weight when inverted",
    Confidence::Memory,
    "recalled",
);

/// Standard acceleration of free fall, m/s2.
const G: f64 = 9.806_65;
const POUND_FORCE: f64 = 4.448_221_615_260_5;
const INCH: f64 = 0.0254;

/// The pull of the rule: 90 lbf or twice the weight, whichever is less.
///
/// ```
/// use orlop::{pack::restraint::pull_of_the_rule, units::{kilograms, show}};
/// assert_eq!(show(pull_of_the_rule(kilograms(66.0))?), "400 N");
/// assert_eq!(show(pull_of_the_rule(kilograms(10.0))?), "196 N");
/// # Ok::<(), orlop::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] for a mass not above zero.
pub fn pull_of_the_rule(mass: Mass) -> Result<Force, Error> {
    Ok(Force::from_si((2.0 * positive(mass, "mass")?.si() * G).min(90.0 * POUND_FORCE)))
}

/// Movement that the rule permits under that pull: one inch.
#[must_use]
pub fn movement_of_the_rule() -> Length {
    metres(INCH)
}

/// Largest accelerations, in multiples of g, that the bank's place must bear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Upward push off its bed, its own weight not taken away.
    pub up: f64,
    /// To either side.
    pub sideways: f64,
    /// Fore and aft.
    pub lengthways: f64,
}

impl Motion {
    /// The upper end of common figures: 2 g up, 1 g sideways and lengthways. From memory.
    pub const COMMON: Self = Self { up: 2.0, sideways: 1.0, lengthways: 1.0 };
}

/// What each hold-down bears.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HoldDown {
    /// Straps or bars against lifting, together.
    pub up: Option<Force>,
    /// Chocks against moving sideways.
    pub sideways: Option<Force>,
    /// Chocks against moving fore and aft.
    pub lengthways: Option<Force>,
}

/// What a bank needs in one direction: the larger of the rule's pull and m a g.
///
/// # Errors
/// [`Error::Input`] for a mass not above zero or a negative acceleration.
pub fn needed(mass: Mass, multiples_of_g: f64) -> Result<Force, Error> {
    needed_recorded(mass, multiples_of_g, "", &mut Silent)
}

/// The same with its steps; `way` names the direction in them.
///
/// # Errors
/// As [`needed`].
pub fn needed_recorded(
    mass: Mass,
    multiples_of_g: f64,
    way: &str,
    rec: &mut impl Recorder,
) -> Result<Force, Error> {
    if !(multiples_of_g.is_finite() && multiples_of_g >= 0.0) {
        return Err(Error::input("multiples_of_g", multiples_of_g.to_string(), "a number of zero or more"));
    }
    let by_motion = Force::from_si(mass.si() * G * multiples_of_g);
    let by_rule = pull_of_the_rule(mass)?;
    let needed = if by_motion > by_rule { by_motion } else { by_rule };
    rec.step(|| {
        Step::new(format!("force by motion, {way}"), "F_motion", by_motion)
            .formula("m a g")
            .input("m", mass)
            .input("a", multiples_of_g)
            .input("g", format!("{G} m/s2"))
            .source(&MOTION)
    });
    rec.step(|| {
        Step::new("pull of the rule", "F_rule", by_rule)
            .formula("the lesser of 90 lbf and 2 m g")
            .input("m", mass)
            .source(&MOVEMENT)
    });
    rec.step(|| Step::new(format!("force needed, {way}"), "F", needed).formula("the larger of both"));
    Ok(needed)
}

/// Judges hold-downs in each direction: rule `restraint-force`.
///
/// # Errors
/// As [`needed`]; [`Error::Input`] for a strength not above zero.
pub fn judge(mass: Mass, motion: Motion, holds: HoldDown) -> Result<Vec<Judgement>, Error> {
    let clause = format!("{}; {}", MOVEMENT.short(), MOTION.short());
    let directions = [
        ("up", motion.up, holds.up),
        ("sideways", motion.sideways, holds.sideways),
        ("lengthways", motion.lengthways, holds.lengthways),
    ];
    directions
        .into_iter()
        .map(|(way, g, strength)| {
            let need = needed(mass, g)?;
            let subject = format!("bank.restraint.{way}");
            let judgement = match strength {
                Some(strength) => Judgement::compare(
                    "restraint-force",
                    subject,
                    Severity::A,
                    positive(strength, way)?,
                    Sense::AtLeast,
                    need,
                ),
                None => Judgement::bare("restraint-force", subject, Severity::A, Verdict::NotTested),
            };
            Ok(judgement
                .clause(clause.clone(), MOTION.confidence)
                .what(format!("{} need {} against moving {way}", show(mass), show(need)))
                .to_do("fit straps, bars or chocks of that strength, bolted to structure"))
        })
        .collect()
}

/// Judges the pull test of the rule in one direction: `battery-movement`.
///
/// # Errors
/// [`Error::Input`] for a negative movement or force, or a mass not above zero.
pub fn judge_movement(way: &str, mass: Mass, pull: Force, movement: Length) -> Result<Judgement, Error> {
    let (asked, pull) = (pull_of_the_rule(mass)?, not_negative(pull, "pull")?);
    let movement = not_negative(movement, "movement")?;
    let subject = format!("bank.restraint.{way}");
    let mut judgement = Judgement::compare(
        "battery-movement",
        subject,
        Severity::B,
        movement,
        Sense::AtMost,
        movement_of_the_rule(),
    );
    // Too weak a pull proves a failure, never a pass.
    if judgement.verdict == Verdict::Pass && pull.si() < asked.si() * (1.0 - 1e-9) {
        judgement.verdict = Verdict::Undecided;
    }
    Ok(judgement
        .clause(MOVEMENT.short(), MOVEMENT.confidence)
        .what(format!("moved {} under {}; the rule pulls with {}", show(movement), show(pull), show(asked)))
        .to_do("hold it tighter, and pull again with the force of the rule for a minute"))
}
