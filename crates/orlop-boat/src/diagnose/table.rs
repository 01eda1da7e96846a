//! The tables of a search: causes, and what to measure next.

use super::answer::Diagnosis;
use orlop::table::{Cell, ColumnType, Schema, quantity, schema};
use orlop::{Error, Table};
use orlop_units::{Fraction, Kind};

use ColumnType::{Integer, Number, Quantity as Of, Text};

const CAUSES: Schema = schema!("causes", "one row per cause, the most probable first", [
    "rank": Integer, "place in the order";
    "cause": Text, "kind of the cause";
    "subject": Text, "address of what it is about";
    "spot": Text, "where on a circuit";
    "what": Text, "in words";
    "probability_percent": Of(Kind::Fraction), "after what was seen and read";
    "prior_percent": Of(Kind::Fraction), "before it";
    "magnitude": Text, "what its magnitude is";
    "value": Number, "median of the magnitude if it is the cause, in the unit beside it";
    "low": Number, "lower bound of its 95 % interval";
    "high": Number, "upper bound";
    "unit": Text, "unit of the magnitude";
    "heat_now_w": Of(Kind::Power), "heat in it with what is on";
    "heat_full_w": Of(Kind::Power), "heat in it at the design current of its circuit";
    "fit_percent": Of(Kind::Fraction), "probability of a misfit at least as large, were it the cause";
    "remedy": Text, "what puts it right";
]);

const NEXT: Schema = schema!("next_measurements", "one row per outcome of each measurement, most bits per minute first", [
    "number": Integer, "place of the measurement in the order";
    "measurement": Text, "the left side of the reading that answers it";
    "how": Text, "what to do";
    "bits": Number, "expected information about the cause";
    "minutes": Number, "how long it takes, a guess";
    "bits_per_minute": Number, "what the order is by";
    "outcome": Text, "one outcome";
    "chance_percent": Of(Kind::Fraction), "how probable that outcome is";
    "means": Text, "what leads then";
    "then_percent": Of(Kind::Fraction), "how probable that is then";
]);

/// The tables of a search.
pub const SCHEMAS: &[Schema] = &[CAUSES, NEXT];

/// One table by its name.
///
/// # Errors
/// [`Error::Input`] with the names there are.
pub fn table(answer: &Diagnosis, name: &str) -> Result<Table, Error> {
    match name {
        "causes" => Ok(causes(answer)),
        "next_measurements" => Ok(next(answer)),
        other => {
            let expected = "one of causes, next_measurements";
            Err(Error::input("table", format!("'{other}'"), expected))
        }
    }
}

fn causes(answer: &Diagnosis) -> Table {
    let mut table = Table::new(&CAUSES);
    for c in &answer.causes {
        let size = |k: usize| -> Cell { c.size.as_ref().map(|s| s[k].out()).into() };
        let unit = c.size.as_ref().map(|s| s[0].kind.output().symbol).filter(|u| !u.is_empty());
        table.push([
            c.rank.into(),
            c.kind.word().into(),
            c.at.as_str().into(),
            c.spot.map(super::Spot::word).into(),
            c.what.as_str().into(),
            quantity(Some(Fraction::new(c.probability))),
            quantity(Some(Fraction::new(c.prior))),
            if c.magnitude.is_empty() { Cell::Null } else { c.magnitude.into() },
            size(0),
            size(1),
            size(2),
            unit.into(),
            quantity(c.heat_now),
            quantity(c.heat_full),
            quantity(Some(Fraction::new(c.fit))),
            c.remedy.into(),
        ]);
    }
    table
}

fn next(answer: &Diagnosis) -> Table {
    let mut table = Table::new(&NEXT);
    for (k, n) in answer.next.iter().enumerate() {
        for o in &n.outcomes {
            table.push([
                (k + 1).into(),
                n.ask.as_str().into(),
                n.how.as_str().into(),
                n.bits.into(),
                n.minutes.into(),
                n.bits_per_minute().into(),
                o.outcome.as_str().into(),
                quantity(Some(Fraction::new(o.chance))),
                o.means.as_str().into(),
                quantity(Some(Fraction::new(o.probability))),
            ]);
        }
    }
    table
}
