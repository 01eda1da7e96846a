//! Whether a value has changed by more than the uncertainty of both readings together.

use crate::found::{Holds, Item, Reading};
use crate::survey::gather::Known;
use orlop::Sense;
use orlop::proving::uncertainty::{Budget, Common, Relation, Term};
use orlop_units::{AnyQuantity, Fraction, Kind, Number, Quantity};

/// Which way a value has gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// Further beyond its limit, or nearer to it.
    Worse,
    /// The other way.
    Better,
    /// It differs by less than the uncertainty of the difference.
    NotSignificant,
    /// The same.
    Same,
    /// It cannot be said: another rule leads, or an uncertainty is not stated.
    NotKnown,
}

impl Change {
    /// The word in tables.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Worse => "worse",
            Self::Better => "better",
            Self::NotSignificant => "not-significant",
            Self::Same => "same",
            Self::NotKnown => "not-known",
        }
    }

    /// For people.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NotSignificant => "no significant change",
            Self::Same => "the same",
            Self::NotKnown => "whether it changed is not known",
            _ => self.word(),
        }
    }
}

/// How far a value has moved between two visits, with half the width of the 95 % interval of that.
///
/// ```text
/// independent:      U = sqrt(U1^2 + U2^2)
/// same instrument:  U = sqrt(r1^2 + r2^2 + (c2 - c1)^2),  c = sqrt(U^2 - r^2)
/// ```
/// U1, U2: half-widths as stated. r: the part that differs from reading to reading ([`Reading::repeat`]). c: the rest, the instrument's
/// own error, which is the same on both visits where the instrument has not drifted in between. Readings at two currents are compared at
/// the current of the earlier one; a boat file does not state the uncertainty of a current, and it is not counted: read at like currents.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// The later value less the earlier one.
    pub value: AnyQuantity,
    /// The later value at the current of the earlier reading, where that differs.
    pub now_scaled: Option<AnyQuantity>,
    /// For independent instruments; none where an uncertainty is not stated.
    pub independent: Option<AnyQuantity>,
    /// For one instrument, where both readings name the same and say how well it repeats.
    pub same_instrument: Option<AnyQuantity>,
    /// The verdict: for the same instrument where that is known, for independent ones otherwise.
    pub change: Change,
    /// The verdict for independent instruments.
    pub if_independent: Change,
}

/// A half-width as it is printed: two significant digits (GUM 7.2.6), rounded up.
///
/// ```
/// assert_eq!(orlop_boat::survey::two_digits(7.053e-3), 7.1e-3);
/// assert_eq!(orlop_boat::survey::two_digits(0.02), 0.02);
/// ```
#[must_use]
pub fn two_digits(half: f64) -> f64 {
    if half == 0.0 || !half.is_finite() {
        return half;
    }
    let step = 10_f64.powf(half.abs().log10().floor() - 1.0);
    // Twenty steps written in binary are not quite twenty.
    let steps = (half / step - 1e-6).ceil();
    format!("{:.1e}", steps * step).parse().unwrap_or(half)
}

/// From the same rule on two visits.
pub(super) fn difference(before: &Known, now: &Known) -> Option<Difference> {
    let (a, b) = (before.judgement, now.judgement);
    let (old, new) = (a.value.as_ref()?, b.value.as_ref()?);
    if a.rule != b.rule || old.kind != new.kind || !(old.si.is_finite() && new.si.is_finite()) {
        return None;
    }
    let scale = scale(before, now);
    let moved = new.si * scale - old.si;
    let kind = if old.kind == Kind::Temperature { Kind::TemperatureRise } else { old.kind };
    let quantity = |kind, si| AnyQuantity { kind, si, as_written: None };
    let halves = parts(before)
        .zip(parts(now))
        .map(|((u1, r1), (u2, r2))| ((u1, r1), (u2 * scale, r2.map(|r| r * scale))));
    let half = |relation: Relation| {
        let ((u1, r1), (u2, r2)) = halves?;
        width(relation, (old.si, u1, r1), (new.si * scale, u2, r2))
    };
    let independent = half(Relation::Independent);
    let repeats = halves.is_some_and(|((_, r1), (_, r2))| r1.is_some() && r2.is_some());
    let same = if repeats && one_instrument(before, now) { half(Relation::SameInstrument) } else { None };
    let verdict = |half: Option<f64>| way(moved, old.si, half, b.sense);
    Some(Difference {
        value: quantity(kind, moved),
        now_scaled: ((scale - 1.0).abs() > 1e-9).then(|| quantity(new.kind, new.si * scale)),
        independent: independent.map(|u| quantity(kind, u)),
        same_instrument: same.map(|u| quantity(kind, u)),
        change: verdict(same.or(independent)),
        if_independent: verdict(independent),
    })
}

/// Which way, where half the width of the interval is known.
fn way(moved: f64, old: f64, half: Option<f64>, sense: Sense) -> Change {
    let Some(half) = half else { return Change::NotKnown };
    if moved.abs() <= 1e-9 * old.abs() {
        return Change::Same;
    }
    if moved.abs() <= half {
        return Change::NotSignificant;
    }
    if (moved > 0.0) == (sense == Sense::AtMost) { Change::Worse } else { Change::Better }
}

/// Half-width as judged, and the part that differs from reading to reading.
fn parts(known: &Known) -> Option<(f64, Option<f64>)> {
    let Some(reading) = known.reading else { return Some((0.0, None)) };
    if exact(reading) {
        return Some((0.0, None));
    }
    let judged = known.half_width()?.si;
    let stated = reading.uncertainty?;
    Some((judged, reading.repeat.filter(|_| stated > 0.0).map(|r| judged * (r / stated))))
}

/// Counts and ratings are exact, and whether there is a device at all.
fn exact(reading: &Reading) -> bool {
    matches!(reading.item, Item::DeviceRating | Item::NoDevice)
        || matches!(reading.item.info().holds, Holds::Count | Holds::CountOf)
}

fn one_instrument(before: &Known, now: &Known) -> bool {
    let name = |k: &Known| k.reading.map(|r| r.instrument.trim().to_lowercase()).filter(|n| !n.is_empty());
    name(before).is_some_and(|n| name(now) == Some(n))
}

/// What brings the later value to the current of the earlier one: drops go with the current, the heat of a joint with its square.
fn scale(before: &Known, now: &Known) -> f64 {
    let current = |k: &Known| k.reading.and_then(|r| r.current).map(Quantity::si).filter(|i| *i > 0.0);
    let Some((old, new)) = current(before).zip(current(now)) else { return 1.0 };
    match now.judgement.rule {
        "found-drop" => old / new,
        // On a circuit the heat is worked out at its full current already.
        "joint-heat" if !now.judgement.subject.starts_with("circuit.") => (old / new).powi(2),
        _ => 1.0,
    }
}

/// Half the width of the 95 % interval of a difference; each side is value, half-width, and the part that does not repeat.
fn width(relation: Relation, before: (f64, f64, Option<f64>), now: (f64, f64, Option<f64>)) -> Option<f64> {
    let budget = |(value, half, repeat): (f64, f64, Option<f64>)| {
        let own = repeat.unwrap_or(half).min(half);
        let instrument = (half * half - own * own).max(0.0).sqrt();
        let term = |name: &str, half: f64, common| {
            Term::normal(name, Number::of(half / crate::check::found::HALF_WIDTH), 1.0, common)
        };
        let terms =
            vec![term("reading", own, Common::Own), term("instrument", instrument, Common::Instrument)];
        Budget::new(Number::of(value), terms).ok()
    };
    let difference = budget(before)?.difference(&budget(now)?, relation);
    difference.half_width(Fraction::new(0.95)).ok().map(Quantity::si)
}
