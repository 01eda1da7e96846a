//! Tests of the boat as a whole: dead, and at rest.

use super::{Test, TestKind};
use crate::check::found::electric::{meant_at_rest, resting_limit};
use crate::check::ground::ground;
use crate::design::Design;
use orlop::proving::resistance::least_insulation;
use orlop::{Confidence, Sense};
use orlop_units::{Resistance, ohms, show};

/// A bond has at most this much from end to end: common practice, read with an ohmmeter less its leads.
const BONDED: f64 = 1.0;

pub(super) fn dead_and_at_rest(design: &Design) -> Vec<Test> {
    let mut tests = bonds(design);
    tests.extend(design.boat.banks.iter().map(|bank| Test {
        probe: "positive post to negative post of each battery, then of the whole bank, red probe to positive".into(),
        switch_on: "nothing; at rest for an hour, nothing charging".into(),
        expected: Some(bank.open_circuit.unwrap_or(bank.nominal).into()),
        sense: Sense::AtLeast,
        limit: Some(bank.lowest.into()),
        clause: "lowest service voltage stated for the bank".into(),
        confidence: Confidence::Published,
        verdict: "in order when the reading is positive, at least the limit, and batteries in series differ by 0.1 V at most".into(),
        if_not: "look for one that is reversed, flat, or carries a load of its own; charge, rest, read again".into(),
        ..Test::new(TestKind::Rest, format!("bank.{}", bank.id), &bank.name)
    }));
    if let Some(bank) = design.boat.banks.first() {
        let (meant, most) = (meant_at_rest(design), resting_limit(design));
        let subject = format!("bank.{}", bank.id);
        tests.push(Test {
            switch_on: "nothing; wait until everything has gone to sleep, up to an hour".into(),
            probe: "clamp around the negative lead of the bank, or a meter in series, bridged first so that nothing wakes".into(),
            expected: Some(meant.into()),
            limit: Some(most.into()),
            clause: "what is meant to run and 50 mA: practice on parasitic draw".into(),
            verdict: format!("in order at {} or less; {} of it is meant to run", show(most), show(meant)),
            if_not: "pull fuses one at a time until the current falls, and look at what hangs on that one".into(),
            ..Test::new(TestKind::Drain, subject.clone(), &bank.name)
        });
        tests.push(Test {
            switch_on: "every circuit, so that its positive is live; nothing charging; a bond of negative by design lifted for the test".into(),
            probe: "positive to hull, negative to hull; then the larger of the two once more with a resistor of known value across it".into(),
            limit: Some(least_insulation().into()),
            sense: Sense::AtLeast,
            clause: "class practice for circuits below 50 V".into(),
            verdict: "in order when both poles come out at the limit or more; readings near zero on both sides mean no leakage".into(),
            if_not: "switch circuits off one by one and read again: the one that brings the volts back is leaking".into(),
            ..Test::new(TestKind::Leakage, subject, &bank.name)
        });
    }
    tests
}

/// Bonds from end to end, dead.
fn bonds(design: &Design) -> Vec<Test> {
    let known = ground(design).and_then(Result::ok);
    let expected = |id: &str| -> Option<Resistance> {
        let path = known.as_ref()?.graph.paths().iter().find(|p| p.id == id)?;
        path.resistance.high()
    };
    let one = |bond: &crate::model::Bond| {
        let subject = format!("bond.{}", bond.id);
        Test {
            switch_on: "nothing; every source taken off and proven dead".into(),
            probe: format!(
                "ohmmeter from {} to {}, less the resistance of its own leads",
                bond.from, bond.to
            ),
            expected: expected(&subject).map(Into::into),
            limit: Some(ohms(BONDED).into()),
            clause: "practice on bonding".into(),
            verdict: format!("in order at {} or less", show(ohms(BONDED))),
            if_not: "clean and re-make both ends, then look along the conductor for a break".into(),
            ..Test::new(TestKind::Continuity, subject, &bond.name)
        }
    };
    design.boat.bonds.iter().map(one).collect()
}
