//! The table of segments and joints that drops were read over.

use super::{Of, Text};
use crate::design::Design;
use crate::joints::BoatJoints;
use orlop::table::{Schema, quantity, schema};
use orlop::{Error, Table, Verdict};
use orlop_units::{Fraction, Kind};

pub(super) const JOINTS: Schema = schema!("joints", "one row per segment or joint that a reading of drop went through", [
    "id": Text, "address: circuit, leg, part";
    "circuit": Text, "id of the circuit";
    "leg": Text, "positive or negative";
    "part": Text, "start and end are lugs; device, switch, conductor";
    "name": Text, "name for people";
    "verdict": Text, "pass, fail; undecided where others explain the readings as well, or readings contradict each other";
    "severity": Text, "A, B or C when it is not passed";
    "expected_ohm": Of(Kind::Resistance), "resistance of a sound one, all runs side by side";
    "sound_to_ohm": Of(Kind::Resistance), "the most that a sound one has";
    "resistance_ohm": Of(Kind::Resistance), "what the readings say";
    "excess_ohm": Of(Kind::Resistance), "that beyond what is expected";
    "excess_low_ohm": Of(Kind::Resistance), "lower end of its 95 % interval";
    "excess_high_ohm": Of(Kind::Resistance), "upper end";
    "tested_a": Of(Kind::Current), "largest current of the readings through it";
    "full_a": Of(Kind::Current), "its current at full load";
    "tested_w": Of(Kind::Power), "heat in the test; of a conductor that of its excess";
    "full_w": Of(Kind::Power), "heat at full load, likewise";
    "rise_low_k": Of(Kind::TemperatureRise), "rise over the air at full load, predicted from the cables that cool it, lower end";
    "rise_high_k": Of(Kind::TemperatureRise), "upper end";
    "ratio_percent": Of(Kind::Fraction), "resistance over that of an equal length of its cable; a joint counts as 20 mm long";
    "shown_from_w": Of(Kind::Power), "least heat at full load of a fault in it that the readings would have shown";
    "or_else": Text, "pieces that explain the readings as well, each by itself";
    "or_both": Text, "two pieces that explain them as well together";
    "readings": Text, "readings of the boat file that went through it";
]);

pub(super) fn joints(design: &Design) -> Result<Table, Error> {
    let mut table = Table::new(&JOINTS);
    for p in BoatJoints::of(design)?.pieces {
        let (low, excess, high) = p.excess();
        let rise = p.rise.map_or((None, None), |r| (r.low(), r.high()));
        table.push([
            p.id.as_str().into(),
            design.boat.circuits[p.circuit].id.as_str().into(),
            p.leg.word().into(),
            p.part.word().into(),
            p.name().into(),
            p.verdict.word().into(),
            if p.verdict == Verdict::Pass { orlop::table::Cell::Null } else { p.severity.word().into() },
            quantity(Some(p.expected)),
            quantity(Some(p.sound_to)),
            quantity(Some(p.resistance)),
            quantity(Some(excess)),
            quantity(Some(low)),
            quantity(Some(high)),
            quantity(Some(p.tested)),
            quantity(Some(p.full)),
            quantity(Some(p.watts_tested)),
            quantity(Some(p.watts_full)),
            quantity(rise.0),
            quantity(rise.1),
            quantity(p.ratio.map(Fraction::new)),
            quantity(Some(p.shown_from)),
            p.or_else.join(", ").into(),
            p.or_both.join(", ").into(),
            p.readings.join(", ").into(),
        ]);
    }
    Ok(table)
}
