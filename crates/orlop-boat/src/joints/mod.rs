//! Which segment or joint is bad, from the drops that were read on the boat.
//!
//! | question | answer |
//! |---|---|
//! | what is each piece that a reading went through, how bad is it, how warm does it get | [`BoatJoints::pieces`] |
//! | which readings cannot be brought together with the others | [`BoatJoints::contradicting`] |
//!
//! All readings of the file are solved at once on the tree of its circuits, so that a bad joint of a shared feeder is told from bad ones
//! in its branches: see [`orlop::proving::resistance::Run`]. Readings that count: drops of circuits and their parts, drops of one leg from the
//! source's terminal to a load with nothing else on, and single joints whose part is named.

mod judge;
mod readings;

pub(crate) use judge::judge;

use crate::design::Design;
use crate::found::{HALF_WIDTH, Leg, LegPart};
use crate::network::{Section, Trials};
use orlop::proving::resistance::{Found, Joint, Part, PartKind, Run};
use orlop::{Error, Range, Severity, Verdict};
use orlop_units::{
    Current, Power, Quantity, Resistance, TemperatureRise, amperes, millimetres, ohms, volts, watts,
};
use readings::Through;

/// One piece of a circuit that a reading went through; all runs side by side as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Its address: `circuit.D1.positive.start`.
    pub id: String,
    /// The circuit, by its place in the file.
    pub circuit: usize,
    /// Its leg.
    pub leg: Leg,
    /// What it is.
    pub part: LegPart,
    /// Resistance of a sound one on the day of the test.
    pub expected: Resistance,
    /// The most that a sound one has.
    pub sound_to: Resistance,
    /// What the readings say of it.
    pub resistance: Resistance,
    /// 95 % interval of that.
    pub interval: Range<Resistance>,
    /// The largest current of the readings through it.
    pub tested: Current,
    /// Its current at full load.
    pub full: Current,
    /// Heat in the test; of a conductor that beyond a sound one's.
    pub watts_tested: Power,
    /// The same at full load.
    pub watts_full: Power,
    /// Rise over the air at full load, from the cables that cool it; of a conductor as if all its excess were in one place.
    pub rise: Option<Range<TemperatureRise>>,
    /// Its resistance over that of an equal length of its cable; a joint counts as 20 mm long.
    pub ratio: Option<f64>,
    /// Bad, sound, or not to be told.
    pub verdict: Verdict,
    /// How soon to act if it is bad.
    pub severity: Severity,
    /// Pieces that explain the readings as well, each by itself.
    pub or_else: Vec<String>,
    /// Two pieces that explain them as well together.
    pub or_both: Vec<String>,
    /// Whether a reading through it contradicts the others.
    pub contradicted: bool,
    /// Least heat at full load of a fault in it that the readings would have shown.
    pub shown_from: Power,
    /// Readings that went through it.
    pub readings: Vec<String>,
}

/// The pieces of the boat that readings went through, in the order of the file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoatJoints {
    /// The pieces.
    pub pieces: Vec<Piece>,
    /// Readings that no resistances bring together with the others, or with length and size.
    pub contradicting: Vec<String>,
}

/// Length of a joint from probe to probe, in millimetres, where it is set against its cable: common practice.
const JOINT: f64 = 20.0;

/// A piece before the readings are solved.
struct Blank {
    circuit: usize,
    section: Section,
}

impl BoatJoints {
    /// Solves the readings of a design; empty where it has none.
    ///
    /// # Errors
    /// [`Error::Input`] for readings that cannot be used, such as one of no current.
    pub fn of(design: &Design) -> Result<Self, Error> {
        let readings = readings::all(design);
        if readings.is_empty() {
            return Ok(Self::default());
        }
        let blanks = blanks(design, &readings);
        let run = run(design, &blanks, &readings);
        let answer = run.solve()?;
        let contradicting = answer.contradicting.iter().map(|i| readings[*i].id.clone()).collect();
        let mut found = answer.found;
        found.sort_by_key(|f| f.part);
        let pieces = found.iter().filter(|f| f.read).map(|f| piece(f, &blanks[f.part], &run, &readings));
        Ok(Self { pieces: pieces.collect::<Result<_, _>>()?, contradicting })
    }
}

/// The pieces of every circuit that a reading goes through.
fn blanks(design: &Design, readings: &[Through]) -> Vec<Blank> {
    let trials = Trials::of(&design.boat, &design.routes, &design.circuits);
    let mut out = Vec::new();
    for circuit in 0..design.boat.circuits.len() {
        let on = |r: &&Through| r.of.iter().any(|(c, _, _)| *c == circuit);
        let mut here = readings.iter().filter(on).peekable();
        if here.peek().is_none() {
            continue;
        }
        let switch = readings::names_switch(design, circuit);
        let most = here.map(|r| r.current).fold(amperes(0.0), Current::max);
        let rated = design.circuits[circuit].device.as_ref().map(orlop::protection::Device::rating);
        let sections = trials.sections(circuit, most, rated, switch);
        out.extend(sections.into_iter().map(|section| Blank { circuit, section }));
    }
    out
}

fn run(design: &Design, blanks: &[Blank], readings: &[Through]) -> Run {
    let part = |b: &Blank| {
        let full = design.demand.circuits[b.circuit].design;
        let through = readings.iter().filter(|r| r.takes_in(b.circuit, &b.section));
        let most = through.map(|r| r.current).fold(amperes(0.0), Current::max);
        let (leg, part) = (b.section.leg.word(), b.section.part.word());
        Part {
            id: format!("circuit.{}.{leg}.{part}", design.boat.circuits[b.circuit].id),
            kind: b.section.kind,
            expected: b.section.expected,
            // A circuit that no scenario switches on is judged at the current of the test.
            design: if full > amperes(0.0) { full } else { most.max(amperes(1e-3)) },
        }
    };
    let drop = |r: &Through| {
        let through = blanks.iter().enumerate().filter(|(_, b)| r.takes_in(b.circuit, &b.section));
        orlop::proving::resistance::Drop {
            through: through.map(|(k, _)| (k, r.current)).collect(),
            drop: r.drop,
            standard: Some(r.standard),
        }
    };
    Run {
        parts: blanks.iter().map(part).collect(),
        drops: readings.iter().map(drop).collect(),
        noise: volts(readings::METER),
        gain: readings::CURRENT,
    }
}

fn piece(f: &Found, blank: &Blank, run: &Run, readings: &[Through]) -> Result<Piece, Error> {
    let (part, section) = (&run.parts[f.part], &blank.section);
    let through: Vec<&Through> = readings.iter().filter(|r| r.takes_in(blank.circuit, section)).collect();
    let tested = through.iter().map(|r| r.current).fold(amperes(0.0), Current::max);
    let conductor = matches!(section.kind, PartKind::Conductor { .. });
    // The ordinary heat of a conductor is spread over all of it, and no fault.
    let own = if conductor { (f.resistance.si() - part.expected.si()).max(0.0) } else { f.resistance.si() };
    let joint = Joint {
        resistance: ohms(own.max(1e-12)),
        standard: f.standard,
        length: millimetres(JOINT),
        cable: Some(section.cable),
        measured_rise: None,
    };
    let heat = joint.heat(part.design, tested)?;
    let severity = joint.judge(&part.id, part.design, tested)?.severity;
    let half = HALF_WIDTH * f.standard.si();
    let names = |parts: &[usize]| parts.iter().map(|k| run.parts[*k].id.clone()).collect();
    let watts_at = |current: Current, r: f64| watts(current.si().powi(2) * r);
    Ok(Piece {
        id: part.id.clone(),
        circuit: blank.circuit,
        leg: section.leg,
        part: section.part,
        expected: part.expected,
        sound_to: part.sound_to(),
        resistance: f.resistance,
        interval: Range::new(ohms((f.resistance.si() - half).max(0.0)), ohms(f.resistance.si() + half)),
        tested,
        full: part.design,
        watts_tested: watts_at(tested, own),
        watts_full: heat.power,
        rise: heat.rise,
        ratio: if conductor { Some(f.resistance.si() / part.expected.si()) } else { joint.ratio() },
        verdict: f.verdict(),
        severity,
        or_else: names(&f.or_else),
        or_both: names(&f.or_both),
        contradicted: f.contradicted,
        shown_from: watts_at(part.design, f.shown_from.si()),
        readings: through.iter().map(|r| r.id.clone()).collect(),
    })
}

impl Piece {
    /// What it is, for people: `positive lug at the far end`.
    #[must_use]
    pub fn name(&self) -> String {
        let leg = self.leg.word();
        match self.part {
            LegPart::Start => format!("{leg} lug at its beginning"),
            LegPart::Device => "fuse or breaker".into(),
            LegPart::Switch => "switch".into(),
            LegPart::Conductor => format!("{leg} conductor"),
            LegPart::End => format!("{leg} lug at its far end"),
        }
    }

    /// What it has beyond a sound one as expected: least, likeliest, most.
    #[must_use]
    pub fn excess(&self) -> (Resistance, Resistance, Resistance) {
        let over = |r: Resistance| r - self.expected;
        let end = |r: Option<Resistance>| over(r.unwrap_or(self.resistance));
        (end(self.interval.low()), over(self.resistance), end(self.interval.high()))
    }
}
