//! Volts at a load and fault currents, with their working.

use crate::design::Design;
use crate::network::DropPart;
use orlop::working::Step;
use orlop::{Error, Recorder};
use orlop_units::{Quantity, Voltage, show};

/// The way to a load in the case of its lowest voltage, step by step.
pub(super) fn voltage(design: &Design, id: &str, rec: &mut impl Recorder) {
    let (boat, network) = (&design.boat, &design.network);
    let Some(place) = boat.loads.iter().position(|l| l.id == id) else { return };
    let Some(w) = network.waterfalls.iter().find(|w| w.load == place) else {
        rec.step(|| {
            Step::new(format!("Voltage at load {id}"), "U", "cannot be fed")
                .formula("it asks for more than the conductors on its way can carry at any voltage")
        });
        return;
    };
    rec.step(|| {
        Step::new(
            format!("Where the way begins, {}, in case {}", network.nodes[w.root].id, w.case),
            "U",
            w.from,
        )
        .formula("the bank's terminals at its lowest service voltage; a converter at its output voltage")
    });
    let case = network.cases.iter().find(|c| c.case == w.case);
    for s in &w.steps {
        let circuit = &boat.circuits[s.circuit];
        rec.step(|| {
            let step =
                Step::new(format!("Lost in the {} of circuit {}", s.part.word(), circuit.id), "dU", s.drop)
                    .formula(match s.part {
                        DropPart::Conductor => {
                            "I R' x loop, R' at the temperature at which this current leaves the metal"
                        }
                        DropPart::Device => "I R, the device at its highest",
                        DropPart::Joints => "I R, two lugs on each leg at their highest",
                        DropPart::Switch => "I R, as stated",
                    })
                    .input("left behind it", millivolts(s.left));
            match case {
                Some(c) if s.part == DropPart::Conductor => step
                    .input("I, all runs", c.currents[s.circuit])
                    .input("temperature", c.temperatures[s.circuit]),
                _ => step,
            }
        });
    }
    rec.step(|| {
        let step = Step::new(format!("Voltage at load {id}"), "U", millivolts(w.at_load)).formula(
            "every load of the case at the voltage that it really gets, all conductors at their temperatures",
        );
        let rounds = case.map_or(0, |c| c.rounds);
        let step = step.input("network solved, times", rounds.to_string());
        match boat.loads[place].minimum {
            Some(least) => step.input("it asks for", least),
            None => step,
        }
    });
}

/// Volts to the millivolt: what is left of 24 V after a drop of 40 mV.
fn millivolts(volts: Voltage) -> String {
    format!("{:.3} V", volts.si())
}

/// Fault currents at a node; of a circuit, at its far end and through its device.
///
/// # Errors
/// [`Error::Input`] for a node that is not there: a source that no circuit connects.
pub(super) fn fault(design: &Design, address: &str, rec: &mut impl Recorder) -> Result<(), Error> {
    let network = &design.network;
    let circuit = address.strip_prefix("circuit.");
    let at = circuit.and_then(|id| design.boat.circuits.iter().position(|c| c.id == id));
    // The far end of a circuit may have a name of its own: a panel, a source.
    let node = at.map_or(address, |at| network.nodes[network.ends[at].1].id.as_str());
    network.faults.fault_at_recorded(node, &mut *rec)?;
    if let Some(device) = at.map(|at| &network.devices[at]) {
        rec.step(|| {
            Step::new("Through the device of one run", "I", device.through.to_string())
                .formula(
                    "least: a fault at the far end, its own resistance counted; most: a fault at its terminals, its own resistance left out",
                )
                .input("back-feed, at most", device.back.map_or_else(|| "none".into(), show))
        });
    }
    Ok(())
}
