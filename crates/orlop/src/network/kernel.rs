//! Newton's method on the conductance matrix, in plain numbers.
//!
//! The Jacobian is symmetric: a load of constant power P at V volts counts as a conductance of -P/V². For loads from the nodes of a
//! passive network to its return the equations are convex and their Jacobian, where it is positive definite, has no negative
//! entry in its inverse. Newton's iterates from above then fall monotonically to the high-voltage root, without any
//! damping; and a pivot that is not positive at such an iterate *proves* that there is no root, since at a root below it
//! the Jacobian would be smaller still. For any network, at most one root has a positive definite Jacobian: the set of
//! voltages where it is so is convex, and there the equations are the gradient of a strictly convex function.

use super::build::Network;
use super::plan::{Draw, Ends, Mode, Plan, Values};
use crate::solve::Factor;
use orlop_units::Quantity;

/// An element that is linear: the current from `a` to `b` is `g (u_a - u_b) + k`.
#[derive(Clone, Copy, Debug)]
struct Line {
    ends: Ends,
    g: f64,
    k: f64,
}

/// Something that draws constant power: a load or the input of a converter.
#[derive(Clone, Copy, Debug)]
pub struct Constant {
    pub ends: Ends,
    /// Volts across it where all unknowns are zero.
    pub base: f64,
    pub watts: f64,
    /// Index of the load, or of the converter after all loads.
    pub owner: usize,
}

/// Something of constant current from `a` to `b`: a load, or a converter at its limit.
#[derive(Clone, Copy, Debug)]
pub struct Steady {
    pub ends: Ends,
    pub base: f64,
    pub amps: f64,
    /// As in [`Constant`].
    pub owner: usize,
}

/// How Newton's method ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Report {
    pub iterations: usize,
    /// Sum of the currents that do not balance, over the sum of what the loads draw.
    pub balance: f64,
}

/// There is no solution near: the iterate that is left has no positive definite Jacobian or no positive voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Collapse;

/// Share of the load current that may be left over.
const BALANCE: f64 = 1e-12;
/// Quadratic convergence needs a handful; close to the largest power every step halves the distance.
const ITERATIONS: usize = 100;

/// Buffers of one plan.
#[derive(Clone, Debug)]
pub struct Kernel {
    pub factor: Factor,
    lines: Vec<Line>,
    pub constants: Vec<Constant>,
    pub currents: Vec<Steady>,
    /// Deviations from the references; the last is always zero.
    pub u: Vec<f64>,
    diagonal: Vec<f64>,
    pairs: Vec<f64>,
    linear_diagonal: Vec<f64>,
    linear_pairs: Vec<f64>,
    residual: Vec<f64>,
    known: usize,
    /// Whether the factor is that of the linear part as it is now.
    is_current: bool,
}

impl Kernel {
    pub fn new(plan: &Plan) -> Self {
        let (n, slots) = (plan.symbolic.len(), plan.symbolic.slots());
        Self {
            factor: Factor::new(&plan.symbolic),
            lines: Vec::with_capacity(plan.branch.len() + plan.source.len()),
            constants: Vec::new(),
            currents: Vec::new(),
            u: vec![0.0; n + 1],
            diagonal: vec![0.0; n + 1],
            pairs: vec![0.0; slots + 1],
            linear_diagonal: vec![0.0; n + 1],
            linear_pairs: vec![0.0; slots + 1],
            residual: vec![0.0; n + 1],
            known: n,
            is_current: false,
        }
    }

    /// Takes over values; the plan must be the one of these states.
    pub fn load(&mut self, net: &Network, plan: &Plan, values: &Values) {
        let apart = |from: usize, to: usize| plan.base[from] - plan.base[to];
        self.lines.clear();
        for (at, branch) in net.branches().iter().enumerate() {
            let lit = !plan.dark[branch.from] && !plan.dark[branch.to];
            let g = if values.conducts[at] && lit { values.siemens[at] } else { 0.0 };
            let k = g * (apart(branch.from, branch.to) - values.threshold[at]);
            self.lines.push(Line { ends: plan.branch[at], g, k });
        }
        for (k, source) in net.sources().iter().enumerate() {
            let on = values.source_on[k] && values.behind[k] > 0.0 && !plan.dark[source.from];
            let g = if on { 1.0 / values.behind[k] } else { 0.0 };
            let offset = g * (apart(source.from, source.to) - values.emf[k]);
            self.lines.push(Line { ends: plan.source[k], g, k: offset });
        }
        self.constants.clear();
        self.currents.clear();
        for (k, load) in net.loads().iter().enumerate().filter(|(k, _)| !plan.unfed[*k]) {
            let (ends, base) = (plan.load[k], apart(load.from, load.to));
            match values.draw[k] {
                Draw::Off => {}
                Draw::Amps(amps) => self.currents.push(Steady { ends, base, amps, owner: k }),
                Draw::Watts(watts) => self.constants.push(Constant { ends, base, watts, owner: k }),
                Draw::Ohms(r) => self.lines.push(Line { ends, g: 1.0 / r, k: base / r }),
            }
        }
        let loads = net.loads().len();
        for (k, feed) in net.converters().iter().enumerate() {
            let owner = loads + k;
            if values.mode[k] == Mode::Limited {
                let (ends, base) = (plan.output[k], apart(feed.output.from, feed.output.to));
                self.currents.push(Steady { ends, base, amps: -feed.output.part.limit.si(), owner });
            }
            if let (Some((a, b)), true) = (feed.input, values.taken[k] > 0.0 && values.mode[k] != Mode::Off) {
                let (ends, base) = (plan.input[k], apart(a, b));
                self.constants.push(Constant { ends, base, watts: values.taken[k], owner });
            }
        }
        self.assemble();
    }

    fn assemble(&mut self) {
        // The arrays of last time are kept for comparison: equal matrices need no new factor.
        self.diagonal.fill(0.0);
        self.pairs.fill(0.0);
        for Line { ends, g, .. } in &self.lines {
            self.diagonal[ends.a as usize] += g;
            self.diagonal[ends.b as usize] += g;
            self.pairs[ends.slot as usize] -= g;
        }
        if self.diagonal != self.linear_diagonal || self.pairs != self.linear_pairs {
            self.is_current = false;
            self.linear_diagonal.copy_from_slice(&self.diagonal);
            self.linear_pairs.copy_from_slice(&self.pairs);
        }
    }

    /// Current from `a` to `b` of the k-th line: branches first, then sources, then resistors.
    pub fn line_current(&self, k: usize) -> f64 {
        let Line { ends, g, k } = self.lines[k];
        g * (self.u[ends.a as usize] - self.u[ends.b as usize]) + k
    }

    /// Volts across a constant-power element.
    pub fn across(&self, c: &Constant) -> f64 {
        c.base + self.apart(c.ends)
    }

    fn apart(&self, ends: Ends) -> f64 {
        self.u[ends.a as usize] - self.u[ends.b as usize]
    }

    /// Volts across the k-th constant current.
    pub fn across_current(&self, k: usize) -> f64 {
        self.currents[k].base + self.apart(self.currents[k].ends)
    }

    /// Newton's method: from where the unknowns stand when `warm`, else from the references.
    ///
    /// # Errors
    /// [`Collapse`] when there is no solution; the unknowns are left where that showed.
    pub fn solve(&mut self, plan: &Plan, warm: bool) -> Result<Report, Collapse> {
        if warm && let Ok(report) = self.newton(plan) {
            return Ok(report);
        }
        self.u.fill(0.0);
        if let Ok(report) = self.newton(plan) {
            return Ok(report);
        }
        // References that are no upper bound, or loads between two rails: grow the loads from nothing.
        self.grow(plan)
    }

    fn grow(&mut self, plan: &Plan) -> Result<Report, Collapse> {
        let watts: Vec<f64> = self.constants.iter().map(|c| c.watts).collect();
        let set = |kernel: &mut Self, share: f64| {
            kernel.constants.iter_mut().zip(&watts).for_each(|(c, w)| c.watts = share * w);
        };
        let start = |kernel: &mut Self| {
            set(kernel, 0.0);
            kernel.u.fill(0.0);
            let done = kernel.newton(plan);
            set(kernel, 1.0);
            done
        };
        let linear = start(self)?;
        // Straight from the no-load voltages: an upper bound wherever the theory at the head of this file holds.
        let first = self.newton(plan);
        if first.is_ok() || self.constants.iter().all(|c| c.ends.b as usize == self.known) {
            return first;
        }
        start(self)?;
        let (mut share, mut step) = (0.0_f64, 0.25_f64);
        let mut last = Ok(linear);
        while share < 1.0 && step > 1e-9 {
            let good = self.u.clone();
            let next = (share + step).min(1.0);
            set(self, next);
            last = self.newton(plan);
            if last.is_ok() {
                share = next;
                step *= 2.0;
            } else {
                self.u.copy_from_slice(&good);
                step *= 0.5;
            }
        }
        set(self, 1.0);
        if share < 1.0 { Err(Collapse) } else { last }
    }

    fn newton(&mut self, plan: &Plan) -> Result<Report, Collapse> {
        let mut before = f64::INFINITY;
        for iterations in 0..ITERATIONS {
            let (left, drawn, rounding) = self.residual();
            if !left.is_finite() || self.constants.iter().any(|c| c.watts > 0.0 && self.across(c) <= 0.0) {
                return Err(Collapse);
            }
            // Done when nothing is left that matters, or when rounding is all that is left.
            let stalled = left <= 16.0 * rounding && (left >= 0.5 * before || iterations > ITERATIONS / 2);
            if iterations > 0 && (left <= BALANCE * drawn || stalled) {
                if !self.constants.is_empty() {
                    self.stamp();
                    self.is_current = false;
                    self.factor.factor(&plan.symbolic, &self.diagonal, &self.pairs).map_err(|_| Collapse)?;
                }
                let balance = if drawn > 0.0 { left / drawn } else { 0.0 };
                return Ok(Report { iterations, balance });
            }
            before = left;
            if !self.constants.is_empty() {
                self.stamp();
                self.is_current = false;
                self.factor.factor(&plan.symbolic, &self.diagonal, &self.pairs).map_err(|_| Collapse)?;
            } else if !self.is_current {
                self.factor
                    .factor(&plan.symbolic, &self.linear_diagonal, &self.linear_pairs)
                    .map_err(|_| Collapse)?;
                self.is_current = true;
            }
            self.factor.solve(&plan.symbolic, &mut self.residual);
            for (u, step) in self.u[..self.known].iter_mut().zip(&self.residual) {
                *u -= step;
            }
        }
        Err(Collapse)
    }

    /// Currents leaving each unknown; their sum, the sum of what loads draw, and what rounding may make of it.
    fn residual(&mut self) -> (f64, f64, f64) {
        self.residual.fill(0.0);
        let (mut drawn, mut rough) = (0.0_f64, 0.0_f64);
        for Line { ends, g, k } in &self.lines {
            let (a, b) = (ends.a as usize, ends.b as usize);
            let (ua, ub) = (self.u[a], self.u[b]);
            let current = g * (ua - ub) + k;
            rough += g * (ua.abs() + ub.abs()) + k.abs();
            self.residual[a] += current;
            self.residual[b] -= current;
        }
        for &Steady { ends, amps, .. } in &self.currents {
            drawn += amps.abs();
            self.residual[ends.a as usize] += amps;
            self.residual[ends.b as usize] -= amps;
        }
        for c in &self.constants {
            let (a, b) = (c.ends.a as usize, c.ends.b as usize);
            let amps = c.watts / (c.base + (self.u[a] - self.u[b]));
            drawn += amps.abs();
            self.residual[a] += amps;
            self.residual[b] -= amps;
        }
        self.residual[self.known] = 0.0;
        let left: f64 = self.residual.iter().map(|r| r.abs()).sum();
        (left, drawn, 4.0 * f64::EPSILON * (rough + drawn))
    }

    /// The Jacobian where the unknowns stand.
    fn stamp(&mut self) {
        self.diagonal.copy_from_slice(&self.linear_diagonal);
        self.pairs.copy_from_slice(&self.linear_pairs);
        for c in &self.constants {
            let (a, b) = (c.ends.a as usize, c.ends.b as usize);
            let volts = c.base + (self.u[a] - self.u[b]);
            let g = -c.watts / (volts * volts);
            self.diagonal[a] += g;
            self.diagonal[b] += g;
            self.pairs[c.ends.slot as usize] -= g;
        }
    }

    /// The direction in which the voltages give way most easily where the unknowns stand: inverse iteration on the
    /// Jacobian of the last solve.
    pub fn weakest(&self, plan: &Plan) -> Vec<f64> {
        let mut mode = vec![1.0; self.known + 1];
        mode[self.known] = 0.0;
        for _ in 0..8 {
            self.factor.solve(&plan.symbolic, &mut mode);
            let size = mode.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
            if !(size > 0.0 && size.is_finite()) {
                break;
            }
            mode.iter_mut().for_each(|x| *x /= size);
        }
        mode
    }
}
