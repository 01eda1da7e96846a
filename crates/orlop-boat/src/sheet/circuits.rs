//! Tests circuit by circuit: polarity, volts lost on each leg, volts across joints, volts at the load.

use super::{Test, TestKind};
use crate::check::found::electric::METER;
use crate::demand::CaseKind;
use crate::design::Design;
use crate::model::{Circuit, Feeds, LoadState};
use crate::network::{CaseAnswer, Trials};
use orlop::{Confidence, Error, Range, Sense};
use orlop_units::{Current, Quantity, Voltage, volts};

const SOUND: &str = "a sound leg: conductor at its temperature, joints and device at their highest";
const REMAKE: &str = "move one probe along the leg: where the volts jump is the joint, switch or fuse to take apart, clean and re-make";

const SCALED: &str = "in order when reading x current of this sheet / current read is at most the limit";

/// What is on while one circuit is tested.
enum Trial {
    /// A set of loads, by number of the trial.
    Loads(usize),
    /// A charging source at its rating.
    Charging,
}

pub(super) fn tests(design: &Design) -> Result<Vec<Test>, Error> {
    let boat = &design.boat;
    let trials = Trials::of(boat, &design.routes, &design.circuits);
    let (mut sets, mut of) = (Vec::new(), Vec::new());
    for (at, circuit) in boat.circuits.iter().enumerate() {
        of.push(match &circuit.feeds {
            Feeds::Source(_) => Trial::Charging,
            Feeds::Loads(ids) => {
                sets.push(on(design, ids.iter().map(|id| (id.as_str(), LoadState::Run))));
                Trial::Loads(sets.len() - 1)
            }
            Feeds::Panel(_) | Feeds::Converter(_) => {
                sets.push(heaviest(design, at));
                Trial::Loads(sets.len() - 1)
            }
        });
    }
    let answers = trials.run(&sets)?;
    let mut out = Vec::new();
    for (at, circuit) in boat.circuits.iter().enumerate() {
        match of[at] {
            Trial::Charging => out.extend(charging(design, &trials, at)),
            Trial::Loads(set) => out.extend(with_loads(design, &trials, at, circuit, &answers[set])),
        }
    }
    Ok(out)
}

fn on<'a>(design: &Design, loads: impl Iterator<Item = (&'a str, LoadState)>) -> Vec<(usize, LoadState)> {
    let number = |id: &str| design.boat.loads.iter().position(|l| l.id == id);
    loads
        .filter_map(|(id, state)| Some((number(id)?, crate::demand::lasting(design.boat.load(id)?, state))))
        .collect()
}

/// The loads of the scenario in which a feeder carries most.
fn heaviest(design: &Design, circuit: usize) -> Vec<(usize, LoadState)> {
    let demand = &design.demand;
    let scenario = |id: &str| demand.case(id).filter(|c| c.kind != CaseKind::Charging);
    let all = demand.circuits[circuit].at_nominal.iter().filter_map(|(id, i)| Some((scenario(id)?, *i)));
    // The first of the largest: nothing must depend on how equal ones are ordered.
    let most = all.fold(None, |most: Option<(_, Current)>, (case, i)| match most {
        Some((_, m)) if m >= i => most,
        _ => Some((case, i)),
    });
    most.map_or_else(Vec::new, |(case, _)| on(design, case.on.iter().map(|(id, s)| (id.as_str(), *s))))
}

/// Names of the loads that are on.
fn names(design: &Design, answer: &CaseAnswer) -> String {
    let name = |(load, state): &(usize, LoadState)| {
        let name = &design.boat.loads[*load].name;
        if *state == LoadState::Run { name.clone() } else { format!("{name} ({})", state.word()) }
    };
    answer.on.iter().map(name).collect::<Vec<_>>().join("; ")
}

/// Where a circuit begins and ends, for somebody with two probes.
fn ends(design: &Design, circuit: &Circuit) -> (String, String) {
    let boat = &design.boat;
    let from = boat
        .panel(&circuit.from)
        .map(|p| &p.name)
        .or_else(|| boat.bank(&circuit.from).map(|b| &b.name))
        .or_else(|| boat.source(&circuit.from).map(|s| &s.name));
    let to = match &circuit.feeds {
        Feeds::Loads(ids) => {
            ids.iter().filter_map(|id| boat.load(id)).map(|l| l.name.clone()).collect::<Vec<_>>().join(", ")
        }
        Feeds::Panel(id) => boat.panel(id).map_or_else(|| id.clone(), |p| p.name.clone()),
        Feeds::Converter(id) => {
            boat.source(id).map_or_else(|| id.clone(), |s| format!("input of {}", s.name))
        }
        Feeds::Source(id) => boat.source(id).map_or_else(|| id.clone(), |s| format!("output of {}", s.name)),
    };
    (from.map_or_else(|| circuit.from.clone(), Clone::clone), to)
}

fn middle(r: Range<Voltage>) -> Option<Voltage> {
    Some((r.low()? + r.high()?) / 2.0)
}

/// Both legs of a circuit.
fn legs(
    design: &Design,
    trials: &Trials,
    at: usize,
    current: Current,
    metal: orlop_units::Temperature,
    switch_on: &str,
) -> Vec<Test> {
    let circuit = &design.boat.circuits[at];
    let (from, to) = ends(design, circuit);
    let lost = trials.legs(at, current, metal);
    let one = |kind, pole: &str, lost: Range<Voltage>| {
        let limit = lost.high().map(|v| v + volts(METER));
        Test {
            switch_on: switch_on.to_string(),
            probe: format!("{pole} of {from} to {pole} at {to}"),
            current: Some(current),
            expected: middle(lost).map(Into::into),
            limit: limit.map(Into::into),
            clause: SOUND.into(),
            verdict: SCALED.into(),
            if_not: REMAKE.into(),
            ..Test::new(kind, format!("circuit.{}", circuit.id), &circuit.name)
        }
    };
    vec![
        one(TestKind::DropPositive, "positive", lost.positive),
        one(TestKind::DropNegative, "negative", lost.negative),
    ]
}

fn charging(design: &Design, trials: &Trials, at: usize) -> Vec<Test> {
    let circuit = &design.boat.circuits[at];
    let Feeds::Source(id) = &circuit.feeds else { return Vec::new() };
    let Some(source) = design.boat.source(id) else { return Vec::new() };
    let switch_on = format!("{} at its full output, bank not full", source.name);
    let mut tests = vec![polarity(design, circuit, "nothing else; the source running")];
    tests.extend(legs(design, trials, at, source.rating, trials.temperature(at, source.rating), &switch_on));
    tests
}

fn polarity(design: &Design, circuit: &Circuit, switch_on: &str) -> Test {
    let (_, to) = ends(design, circuit);
    Test {
        switch_on: switch_on.to_string(),
        probe: format!("red probe to positive, black to negative at {to}"),
        verdict: "in order when the reading is positive, and gone when this circuit's device is out".into(),
        if_not:
            "poles are crossed, or something else feeds this circuit: find it before anything is connected"
                .into(),
        ..Test::new(TestKind::Polarity, format!("circuit.{}", circuit.id), &circuit.name)
    }
}

fn with_loads(
    design: &Design,
    trials: &Trials,
    at: usize,
    circuit: &Circuit,
    answer: &CaseAnswer,
) -> Vec<Test> {
    let current = answer.currents[at];
    let mut tests = vec![polarity(design, circuit, "the circuit itself, loads off")];
    if current.si() <= 0.0 {
        return tests;
    }
    let switch_on = names(design, answer);
    tests.extend(legs(design, trials, at, current, answer.temperatures[at], &switch_on));
    match &circuit.feeds {
        Feeds::Loads(ids) => {
            for id in ids {
                tests.extend(load(design, trials, id, answer, &switch_on));
            }
        }
        Feeds::Panel(id) => tests.extend(joints(design, id, current, &switch_on)),
        Feeds::Converter(_) | Feeds::Source(_) => {}
    }
    tests
}

/// Joints of a bus at the current of its feeder.
fn joints(design: &Design, panel: &str, current: Current, switch_on: &str) -> Option<Test> {
    let joint = &design.boat.joint;
    let name = &design.boat.panel(panel)?.name;
    Some(Test {
        switch_on: switch_on.to_string(),
        probe: format!("from the lug of each cable to the bus beside it, positive and negative, at {name}"),
        current: Some(current),
        expected: Some((current * joint.q).into()),
        limit: Some((current * joint.high() + volts(METER)).into()),
        clause: "resistance of one joint stated in the boat file".into(),
        verdict: SCALED.into(),
        if_not: "take that joint apart, clean and re-make it, read again at the same current".into(),
        ..Test::new(TestKind::Joints, format!("panel.{panel}"), name)
    })
}

/// From the source to one load, and the volts there.
fn load(design: &Design, trials: &Trials, id: &str, answer: &CaseAnswer, switch_on: &str) -> Vec<Test> {
    let boat = &design.boat;
    let Some(number) = boat.loads.iter().position(|l| l.id == id) else { return Vec::new() };
    let (load, Some(result)) = (&boat.loads[number], design.load(id)) else { return Vec::new() };
    let Some((lost, there)) = trials.at_load(answer, number) else { return Vec::new() };
    let subject = format!("load.{id}");
    let current = design.demand.load(id).map(|d| d.nominal);
    let rule = boat.rules.drop_limit(load.drop_class);
    let (clause, confidence) = if rule.value == result.limit {
        (rule.clause, rule.confidence)
    } else {
        ("drop limit stated in the boat file".to_string(), Confidence::Published)
    };
    let source = if boat.source(&circuit_root(design, result)).is_some() { "converter" } else { "bank" };
    let mut tests = vec![Test {
        switch_on: switch_on.to_string(),
        probe: format!("volts at the terminals of the {source} less volts at the terminals of {}, read together", load.name),
        current,
        expected: Some(lost.into()),
        limit: Some(volts(result.limit.value() * result.nominal.si()).into()),
        clause,
        confidence,
        verdict: "in order when the difference is at most the limit, with the load at its full current".into(),
        if_not: "find the leg that loses more than its own limit; if none does, the conductors are too small for this load".into(),
        ..Test::new(TestKind::DropWhole, subject.clone(), &load.name)
    }];
    if let Some(least) = load.minimum {
        tests.push(Test {
            switch_on: switch_on.to_string(),
            probe: format!("positive to negative at the terminals of {}", load.name),
            current,
            expected: Some(there.into()),
            sense: Sense::AtLeast,
            limit: Some(least.into()),
            clause: "lowest voltage stated for the load".into(),
            confidence: Confidence::Published,
            verdict: "in order at the limit or more; expected is with the bank at its nominal voltage".into(),
            if_not: "read the bank at the same moment: if it is low charge first, else see the drops above"
                .into(),
            ..Test::new(TestKind::VoltsAtLoad, subject, &load.name)
        });
    }
    tests
}

/// Id of the bank or converter at the beginning of the way to a load.
fn circuit_root(design: &Design, result: &crate::design::LoadResult) -> String {
    let first = result.path.first().and_then(|id| design.boat.circuit(id));
    first.map_or_else(String::new, |c| c.from.clone())
}
