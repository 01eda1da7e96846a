//! What each node sees of the network: voltage and resistance, and what follows for bolted faults.
//!
//! The *linear part* of a network: sources and branches, without loads and converters. Every node `k` then sees the return as a
//! voltage `V_k` behind a resistance `Z_kk`. The voltages come from one solve, the resistances are the diagonal of the inverse
//! of the conductance matrix, and with the entries `Z_ab` at the two ends of every branch one pass also gives the current
//! through every branch for a fault at either of its ends:
//!
//! * fault at `b`: `I = g (V_a - Z_ab V_b / Z_bb)` from `a` to `b`;
//! * without the branch (its own resistance not counted): `V_a' / Z_aa'`, where with `z = Z (e_a - e_b)`, `ρ = z_a - z_b` and the
//!   present current `I_ab`: `V_a' = V_a + z_a I_ab / (1 - g ρ)` and `Z_aa' = Z_aa + g z_a² / (1 - g ρ)`.
//!
//! A tree takes time linear in its nodes; a network with loops the selected inverse (Takahashi 1973).
//!
//! For fault levels: solve one [`Thevenin`] per corner and per set of closed sources ([`Network::thevenin_with`]);
//! [`Thevenin::volts`] and [`Thevenin::ohms`] give all nodes, [`Thevenin::throughs`] all branches, [`Thevenin::bolted`] every current
//! for a fault at one node, [`Thevenin::ends`] the numbers of one branch.

use super::build::Network;
use super::element::{Corner, Part};
use super::operating::unknown;
use super::prepared::Prepared;
use crate::error::Error;
use crate::solve::Inverse;
use orlop_units::{Current, Resistance, Voltage, amperes, ohms, volts};

impl Network {
    /// Voltage and resistance that every node sees against the return, all sources closed.
    ///
    /// # Errors
    /// [`Error::Input`] when this corner needs a bound that is not known, for ideal sources against each other, and for a
    /// source whose island hangs on nothing.
    ///
    /// ```
    /// use orlop::Range;
    /// use orlop::network::{Corner, Network, Part, RETURN, Source};
    /// use orlop::units::{amperes, ohms, volts};
    ///
    /// let mut net = Network::new();
    /// for id in ["A", "B"] {
    ///     let string = Source { emf: Range::exactly(volts(26.8)), resistance: Range::exactly(ohms(0.00252)), may_open: true };
    ///     net.source(id, "bus", RETURN, string)?;
    /// }
    /// net.branch("run", "bus", "bow", Part::Resistance(Range::exactly(ohms(0.006))))?;
    /// let seen = net.thevenin(Corner::High)?;
    /// // Two strings side by side: 26.8 V / 1.26 mohm = 21.3 kA.
    /// assert!((seen.fault_current("bus")?.unwrap() - amperes(21_269.84)).abs() < amperes(0.01));
    /// assert!((seen.resistance("bow")?.unwrap() - ohms(0.00726)).abs() < ohms(1e-12));
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn thevenin(&self, corner: Corner) -> Result<Thevenin, Error> {
        self.thevenin_with(corner, &vec![true; self.sources().len()])
    }

    /// The same with only some sources closed, one flag for each in the order of [`Network::sources`].
    ///
    /// # Errors
    /// Those of [`Self::thevenin`], and [`Error::Input`] for a number of flags other than that of the sources.
    pub fn thevenin_with(&self, corner: Corner, closed: &[bool]) -> Result<Thevenin, Error> {
        if closed.len() != self.sources().len() {
            let expected = format!("one for each of the {} sources", self.sources().len());
            return Err(Error::input("closed", format!("{} flags", closed.len()), expected));
        }
        let mut prepared = self.prepare(corner)?;
        prepared.converters_rest = true;
        for (k, on) in closed.iter().enumerate() {
            prepared.set_source(k, *on)?;
        }
        let point = prepared.solve(&vec![None; self.loads().len()])?;
        let (plan, kernel, _) = prepared.equations();
        let inverse = kernel.factor.inverse(&plan.symbolic);
        let n = plan.symbolic.len();
        let resistance = |v: usize| match (plan.dark[v], plan.unknown[v] as usize) {
            (true, _) => f64::NAN,
            (_, u) if u == n => 0.0,
            (_, u) => inverse.diagonal[u],
        };
        let resistance = (0..self.nodes().len()).map(resistance).collect();
        Ok(Thevenin {
            volts: point.volts().to_vec(),
            branch: point.branch_amperes().to_vec(),
            source: point.source_amperes().to_vec(),
            prepared,
            inverse,
            resistance,
        })
    }
}

/// The network as each node sees it.
///
/// Diodes count as they stand without any load: conducting both ways where they then conduct, open where they then block.
/// [`Self::has_diodes`] says that this matters.
#[derive(Clone, Debug)]
pub struct Thevenin {
    prepared: Prepared,
    inverse: Inverse,
    volts: Vec<f64>,
    resistance: Vec<f64>,
    branch: Vec<f64>,
    source: Vec<f64>,
}

/// Currents and voltages for a bolted fault at one node, in SI units.
#[derive(Clone, Debug, PartialEq)]
pub struct Bolted {
    /// Into the fault.
    pub total: f64,
    /// Through each branch, first node to second.
    pub branch: Vec<f64>,
    /// Out of each source.
    pub source: Vec<f64>,
    /// Of each node, NaN in the dark.
    pub volts: Vec<f64>,
}

/// What the network looks like from the two ends of a branch, in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Open voltage of the first end.
    pub v_from: f64,
    /// Open voltage of the second end.
    pub v_to: f64,
    /// Resistance seen from the first end.
    pub z_from: f64,
    /// Resistance seen from the second end.
    pub z_to: f64,
    /// Transfer resistance between them.
    pub z_both: f64,
    /// Conductance of the branch itself.
    pub conductance: f64,
    /// Current through it without a fault, first node to second.
    pub current: f64,
}

/// Amperes through a branch for bolted faults at its own ends; none where no bound exists (an ideal source) or nothing
/// feeds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Through {
    /// From the first node to the second, fault at the second.
    pub forward: Option<f64>,
    /// From the second node to the first, fault at the first.
    pub backward: Option<f64>,
    /// Like `forward`, the branch itself without resistance: what arrives at its first node from elsewhere.
    pub forward_bare: Option<f64>,
    /// Like `backward`, the branch itself without resistance.
    pub backward_bare: Option<f64>,
}

impl Thevenin {
    /// The network.
    #[must_use]
    pub fn network(&self) -> &Network {
        self.prepared.network()
    }
    /// Whether there are diodes, so that a fault may see another network than the one at rest.
    #[must_use]
    pub fn has_diodes(&self) -> bool {
        self.network().branches().iter().any(|b| matches!(b.part, Part::Diode { .. }))
    }
    /// Open voltages of all nodes, in volts, NaN in the dark.
    #[must_use]
    pub fn volts(&self) -> &[f64] {
        &self.volts
    }
    /// Resistances seen from all nodes, in ohms, NaN in the dark, zero where an ideal source holds the node.
    #[must_use]
    pub fn ohms(&self) -> &[f64] {
        &self.resistance
    }
    /// Open voltage of a node; none in the dark.
    ///
    /// # Errors
    /// [`Error::Input`] for a node that does not exist.
    pub fn voltage(&self, node: &str) -> Result<Option<Voltage>, Error> {
        Ok(number(self.volts[self.node(node)?]).map(volts))
    }
    /// Resistance seen from a node against the return; none in the dark.
    ///
    /// # Errors
    /// [`Error::Input`] for a node that does not exist.
    pub fn resistance(&self, node: &str) -> Result<Option<Resistance>, Error> {
        Ok(number(self.resistance[self.node(node)?]).map(ohms))
    }
    /// Current into a bolted fault at a node; none in the dark and at an ideal source.
    ///
    /// # Errors
    /// [`Error::Input`] for a node that does not exist.
    pub fn fault_current(&self, node: &str) -> Result<Option<Current>, Error> {
        let k = self.node(node)?;
        Ok(ratio(self.volts[k], self.resistance[k]).map(amperes))
    }
    /// Volts at `at` for each ampere drawn at `from`: the resistance of the path that two loads share.
    ///
    /// # Errors
    /// [`Error::Input`] for a node that does not exist.
    pub fn transfer(&self, from: &str, at: &str) -> Result<Option<Resistance>, Error> {
        let (from, at) = (self.node(from)?, self.node(at)?);
        Ok(number(self.transfers(from)[at]).map(ohms))
    }
    /// [`Self::transfer`] from one node, by index, to all: one solve. NaN in the dark.
    #[must_use]
    pub fn transfers(&self, from: usize) -> Vec<f64> {
        let (plan, kernel, _) = self.prepared.equations();
        let n = plan.symbolic.len();
        let at = plan.unknown[from] as usize;
        if plan.dark[from] {
            return vec![f64::NAN; plan.dark.len()];
        }
        let mut column = vec![0.0; n + 1];
        if at < n {
            column[at] = 1.0;
            kernel.factor.solve(&plan.symbolic, &mut column);
        }
        let value = |v: usize| if plan.dark[v] { f64::NAN } else { column[plan.unknown[v] as usize] };
        (0..plan.dark.len()).map(value).collect()
    }

    /// All currents for a bolted fault at a node, by index: one solve. None in the dark and at an ideal source.
    #[must_use]
    pub fn bolted(&self, node: usize) -> Option<Bolted> {
        let total = ratio(self.volts[node], self.resistance[node])?;
        let shift = self.transfers(node);
        let net = self.network();
        let (plan, _, values) = self.prepared.equations();
        let lit = |v: usize| !plan.dark[v];
        // The fault draws `total`: every voltage sinks by its transfer resistance times that.
        let change = |a: usize, b: usize| if lit(a) && lit(b) { total * (shift[a] - shift[b]) } else { 0.0 };
        let branch = net.branches().iter().enumerate().map(|(k, b)| {
            let g = if values.conducts[k] { values.siemens[k] } else { 0.0 };
            self.branch[k] - g * change(b.from, b.to)
        });
        let mut source: Vec<f64> = net
            .sources()
            .iter()
            .enumerate()
            .map(|(k, s)| {
                let g =
                    if values.source_on[k] && values.behind[k] > 0.0 { 1.0 / values.behind[k] } else { 0.0 };
                self.source[k] + g * change(s.from, s.to)
            })
            .collect();
        let branch: Vec<f64> = branch.collect();
        self.ideal_sources(node, total, &branch, &mut source);
        let volts =
            (0..shift.len()).map(|v| if lit(v) { self.volts[v] - total * shift[v] } else { f64::NAN });
        Some(Bolted { total, volts: volts.collect(), branch, source })
    }

    /// Ideal sources give what balances at their nodes.
    fn ideal_sources(&self, node: usize, total: f64, branch: &[f64], source: &mut [f64]) {
        use super::flow::{Flow, ideal};
        let net = self.network();
        let (_, _, values) = self.prepared.equations();
        let mut flow = Flow {
            volts: self.volts.clone(),
            branch: branch.to_vec(),
            source: source.to_vec(),
            load: vec![0.0; net.loads().len()],
            output: vec![0.0; net.converters().len()],
            input: vec![0.0; net.converters().len()],
        };
        ideal(net, values, &mut flow, Some((node, total)));
        source.copy_from_slice(&flow.source);
    }

    /// What the network looks like from the two ends of a branch; none when an end is dark or a diode blocks.
    #[must_use]
    pub fn ends(&self, branch: usize) -> Option<Ends> {
        let (plan, _, values) = self.prepared.equations();
        let found = self.network().branches().get(branch)?;
        if plan.dark[found.from] || plan.dark[found.to] || !values.conducts[branch] {
            return None;
        }
        let ends = plan.branch[branch];
        let z_both = if (ends.slot as usize) < self.inverse.pairs.len() {
            self.inverse.pairs[ends.slot as usize]
        } else if plan.unknown[found.from] == plan.unknown[found.to] {
            // Both ends are one unknown: an ideal source lies across.
            self.resistance[found.from]
        } else {
            0.0
        };
        Some(Ends {
            v_from: self.volts[found.from],
            v_to: self.volts[found.to],
            z_from: self.resistance[found.from],
            z_to: self.resistance[found.to],
            z_both,
            conductance: values.siemens[branch],
            current: self.branch[branch],
        })
    }

    /// Currents through one branch for faults at its own ends.
    #[must_use]
    pub fn through(&self, branch: usize) -> Through {
        match self.ends(branch) {
            None => Through { forward: None, backward: None, forward_bare: None, backward_bare: None },
            Some(ends) => ends.through(),
        }
    }

    /// [`Self::through`] for all branches in their order: no further solve.
    #[must_use]
    pub fn throughs(&self) -> Vec<Through> {
        (0..self.network().branches().len()).map(|k| self.through(k)).collect()
    }

    fn node(&self, name: &str) -> Result<usize, Error> {
        self.network().node_at(name).ok_or_else(|| unknown("node", name))
    }
}

impl Ends {
    fn through(&self) -> Through {
        let flipped = Self {
            v_from: self.v_to,
            v_to: self.v_from,
            z_from: self.z_to,
            z_to: self.z_from,
            current: -self.current,
            ..*self
        };
        Through {
            forward: self.forward(),
            backward: flipped.forward(),
            forward_bare: self.forward_bare(),
            backward_bare: flipped.forward_bare(),
        }
    }

    /// Fault at the second end.
    fn forward(&self) -> Option<f64> {
        if self.z_to <= 0.0 {
            return None;
        }
        // The fault takes `total` at the second end; the branch carries what it carried and its share of that.
        let total = self.v_to / self.z_to;
        Some(self.current + self.conductance * total * (self.z_to - self.z_both))
    }

    /// Fault at the first end of a network without this branch.
    fn forward_bare(&self) -> Option<f64> {
        let g = self.conductance;
        let (z_a, z_b) = (self.z_from - self.z_both, self.z_both - self.z_to);
        let left = 1.0 - g * (z_a - z_b);
        if left < 1e-9 {
            // A bridge: without it one side has no source. That side is the one whose resistance the branch makes up.
            return if g * z_a < 0.5 { ratio(self.v_from, self.z_from) } else { Some(0.0) };
        }
        let v = self.v_from + z_a * self.current / left;
        let z = self.z_from + g * z_a * z_a / left;
        ratio(v, z)
    }
}

fn number(x: f64) -> Option<f64> {
    x.is_finite().then_some(x)
}

fn ratio(v: f64, r: f64) -> Option<f64> {
    (r > 0.0 && v.is_finite()).then(|| v / r)
}
