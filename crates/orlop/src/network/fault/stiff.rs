//! A second upper bound: no source that limits its current drives more through a resistance than its voltage does.
//!
//! Every converter, charger and running motor is put as an ideal source of the highest voltage that it can have: its output, for a motor
//! the highest electromotive force or output of its island. In a fault the voltage at its terminals is no higher. With the voltages of
//! some nodes given, the current into a fault grows with each of them (the inverse of a conductance matrix has no negative
//! entry), so what this network draws is an upper bound, too. At the end of a long thin cable it is far below the sum of
//! all limits; the lesser of the two counts.

use super::plan::Plan;
use crate::network::{Corner, Network, RETURN, Source};
use crate::range::Range;
use orlop_units::{Quantity, Voltage, ohms, volts};

/// The network with its limited sources as ideal ones, at the high corner; none where there is no limited source, or where it would be no
/// bound: with diodes, with a drawn return, with an electromotive force that is not known.
pub(super) fn stiff(net: &Network, plan: &Plan) -> Option<Plan> {
    let limited = net.converters().len() + net.loads().iter().filter(|l| l.part.motor.is_some()).count();
    let plain = plan.diodes.is_empty() && plan.flags.is_empty() && !plan.blind.contains(&true);
    let to_return = net.sources().iter().all(|s| s.to == 0)
        && net.converters().iter().all(|c| c.output.to == 0)
        && net.loads().iter().all(|l| l.to == 0 || l.part.motor.is_none());
    if limited == 0 || !plain || !to_return {
        return None;
    }
    let mut highest = vec![0.0_f64; plan.nodes];
    let mut raise = |node: usize, v: Voltage| {
        let slot = &mut highest[plan.island[node]];
        *slot = slot.max(v.si());
    };
    for s in net.sources() {
        raise(s.from, s.part.emf.high()?);
    }
    for c in net.converters() {
        raise(c.output.from, c.output.part.output);
    }
    let mut out = Network::new();
    for node in net.nodes() {
        out.node(node).ok()?;
    }
    let name = |node: usize| net.nodes()[node].as_str();
    for s in net.sources() {
        out.source(&s.id, name(s.from), RETURN, s.part).ok()?;
    }
    for b in net.branches() {
        out.branch(&b.id, name(b.from), name(b.to), b.part).ok()?;
    }
    let mut ideal = |id: &str, node: usize, v: Voltage| {
        let source =
            Source { emf: Range::exactly(v), resistance: Range::exactly(ohms(0.0)), may_open: false };
        out.source(id, name(node), RETURN, source).ok()
    };
    for c in net.converters() {
        ideal(&c.output.id, c.output.from, c.output.part.output)?;
    }
    for l in net.loads().iter().filter(|l| l.part.motor.is_some()) {
        ideal(&l.id, l.from, volts(highest[plan.island[l.from]]))?;
    }
    Some(Plan::new(&out, Corner::High))
}
