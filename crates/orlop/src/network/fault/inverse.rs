//! The conductance matrix of one state: volts for given currents, and the resistances that faults ask for.

use super::plan::Wire;
use crate::solve::{self, Factor, Symbolic};

/// Where the couplings of a network stand, whatever their values.
#[derive(Debug)]
pub(super) struct Pattern {
    symbolic: Symbolic,
    /// By wire, in the order given; none for one to the node of zero volts.
    slots: Vec<Option<usize>>,
}

impl Pattern {
    /// Of wires between nodes numbered from 0, the node of zero volts; an absent wire couples nothing.
    pub fn new<'w>(nodes: usize, wires: impl Iterator<Item = Option<&'w Wire>>) -> Self {
        let mut pairs = Vec::new();
        let mut nth = Vec::new();
        for wire in wires {
            let between = wire.filter(|w| w.a != 0 && w.b != 0);
            nth.push(between.map(|w| {
                // A network of four thousand million nodes does not fit into memory.
                pairs.push(((w.a - 1) as u32, (w.b - 1) as u32));
                pairs.len() - 1
            }));
        }
        let symbolic = Symbolic::new(nodes - 1, &pairs);
        let slots = nth.into_iter().map(|n| n.map(|n| symbolic.slot(n))).collect();
        Self { symbolic, slots }
    }
}

/// The values of a matrix, being gathered.
#[derive(Clone)]
pub(super) struct Conductances<'p> {
    pattern: &'p Pattern,
    diagonal: Vec<f64>,
    pairs: Vec<f64>,
}

impl<'p> Conductances<'p> {
    pub fn new(pattern: &'p Pattern) -> Self {
        let symbolic = &pattern.symbolic;
        Self { pattern, diagonal: vec![0.0; symbolic.len()], pairs: vec![0.0; symbolic.slots()] }
    }

    /// Adds the wire that came `nth`.
    pub fn add(&mut self, nth: usize, wire: &Wire) {
        for node in [wire.a, wire.b].into_iter().filter(|n| *n != 0) {
            self.ground(node, wire.siemens);
        }
        if let Some(slot) = self.pattern.slots[nth] {
            self.pairs[slot] -= wire.siemens;
        }
    }

    /// Adds a path from a node to zero volts.
    pub fn ground(&mut self, node: usize, siemens: f64) {
        self.diagonal[self.pattern.symbolic.place(node - 1)] += siemens;
    }

    /// None when the matrix is not positive definite: a number overflowed.
    pub fn invert(&self) -> Option<Inverse<'p>> {
        let symbolic = &self.pattern.symbolic;
        let mut factor = Factor::new(symbolic);
        factor.factor(symbolic, &self.diagonal, &self.pairs).ok()?;
        let entries = factor.inverse(symbolic);
        Some(Inverse { pattern: self.pattern, factor, entries })
    }
}

/// The inverse `Z` of a conductance matrix, as far as it is wanted.
pub(super) struct Inverse<'p> {
    pattern: &'p Pattern,
    factor: Factor,
    entries: solve::Inverse,
}

impl Inverse<'_> {
    /// Volts at a node for one ampere into it.
    pub fn own(&self, node: usize) -> f64 {
        self.entries.diagonal[self.pattern.symbolic.place(node - 1)]
    }

    /// Volts at one end of the wire that came `nth` for one ampere into its other end.
    pub fn across(&self, nth: usize) -> f64 {
        self.pattern.slots[nth].map_or(0.0, |slot| self.entries.pairs[slot])
    }

    /// Volts by node for currents by node; both with the node of zero volts.
    pub fn solve(&self, amps: &[f64]) -> Vec<f64> {
        let symbolic = &self.pattern.symbolic;
        let mut x = vec![0.0; symbolic.len()];
        (1..amps.len()).for_each(|n| x[symbolic.place(n - 1)] = amps[n]);
        self.factor.solve(symbolic, &mut x);
        let mut volts = vec![0.0; amps.len()];
        (1..amps.len()).for_each(|n| volts[n] = x[symbolic.place(n - 1)]);
        volts
    }
}
