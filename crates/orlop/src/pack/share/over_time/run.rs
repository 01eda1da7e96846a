//! One run: solve, look at the managers, take the step.

use super::kernel::Cells;
use super::{Course, Opened, Why, Wired};
use crate::cell::CircuitState;
use crate::error::Error;
use crate::pack::share::mesh::{Mesh, Rails};
use crate::pack::topology::Order;
use orlop_units::{Quantity, joules, seconds};

pub(super) struct Run<'a> {
    wired: &'a Wired,
    cells: Cells,
    rails: Rails,
    /// Cells of each branch.
    each: usize,
    /// Resistance of each branch besides its cells, and of the way to all of them.
    fixed: (f64, f64),
    /// One for each ladder: of the step, and of an instant.
    meshes: Vec<Mesh>,
    instant: Vec<Mesh>,
    dirty: Vec<bool>,
    /// Lowest and highest voltage of a cell that the managers permit.
    window: Option<(f64, f64)>,
    cell_e: Vec<f64>,
    cell_i: Vec<f64>,
    branch_e: Vec<f64>,
    branch_i: Vec<f64>,
    branch_r: Vec<f64>,
    /// Voltage of each ladder in the last solution.
    across: Vec<f64>,
}

/// What a manager would not permit.
struct Violation {
    manager: usize,
    cell: usize,
    why: Why,
    by: f64,
}

impl<'a> Run<'a> {
    pub fn new(wired: &'a Wired, states: &[CircuitState]) -> Result<Self, Error> {
        let count = wired.cells.len();
        if states.len() != count {
            let expected = format!("{count} states, one for each cell");
            return Err(Error::input("states", states.len().to_string(), expected));
        }
        let wiring = &wired.wiring;
        let (ladders, each) = wiring.shape();
        let rails = wiring.rails()?;
        let all: Vec<usize> = (0..wiring.parallel).collect();
        let meshes = vec![Mesh::new(&rails, all); ladders];
        let bound = |v: Option<orlop_units::Voltage>, none: f64| v.map_or(none, Quantity::si);
        let branches = ladders * wiring.parallel;
        let mut own = Self {
            wired,
            cells: Cells::new(&wired.cells, states),
            rails,
            each,
            fixed: wiring.fixed(),
            instant: meshes.clone(),
            meshes,
            dirty: vec![true; ladders],
            window: wiring
                .window
                .map(|w| (bound(w.low(), f64::NEG_INFINITY), bound(w.high(), f64::INFINITY))),
            cell_e: vec![0.0; count],
            cell_i: vec![0.0; count],
            branch_e: vec![0.0; branches],
            branch_i: vec![0.0; branches],
            branch_r: vec![0.0; branches],
            across: vec![0.0; ladders],
        };
        own.factor_instant();
        Ok(own)
    }

    fn ladder(&self, g: usize) -> std::ops::Range<usize> {
        let p = self.wired.wiring.parallel;
        g * p..(g + 1) * p
    }

    fn sum(&self, branch: usize, of: impl Fn(usize) -> f64) -> f64 {
        (branch * self.each..(branch + 1) * self.each).map(of).sum()
    }

    fn factor_instant(&mut self) {
        let r: Vec<f64> =
            (0..self.branch_r.len()).map(|b| self.fixed.0 + self.sum(b, |c| self.cells.r0[c])).collect();
        for g in 0..self.instant.len() {
            let range = self.ladder(g);
            self.instant[g].factor(&r[range]);
        }
    }

    fn set_step(&mut self, h: f64) {
        self.cells.set_step(h);
        self.dirty.fill(true);
    }

    /// Branch voltages from those of the cells.
    fn gather(&mut self) {
        if self.each == 1 {
            self.branch_e.copy_from_slice(&self.cell_e);
            return;
        }
        for (e, cells) in self.branch_e.iter_mut().zip(self.cell_e.chunks_exact(self.each)) {
            *e = cells.iter().sum();
        }
    }

    /// Solves the step that was set for a load; the voltage between the terminals in its middle.
    fn solve(&mut self, load: f64) -> f64 {
        self.cells.voltages(&mut self.cell_e);
        self.gather();
        for g in 0..self.meshes.len() {
            let range = self.ladder(g);
            if std::mem::take(&mut self.dirty[g]) {
                for b in range.clone() {
                    self.branch_r[b] = self.fixed.0 + self.sum(b, |c| self.cells.resistance(c));
                }
                self.meshes[g].factor(&self.branch_r[range.clone()]);
            }
            let mesh = &mut self.meshes[g];
            let (e, r) = (&self.branch_e[range.clone()], &self.branch_r[range.clone()]);
            let i = &mut self.branch_i[range];
            mesh.solve(e, load);
            mesh.currents(load, i);
            let first = mesh.live[0];
            self.across[g] = mesh.voltage(e[first] - r[first] * i[first], load);
        }
        if self.each == 1 {
            self.cell_i.copy_from_slice(&self.branch_i);
        } else {
            for (i, cells) in self.branch_i.iter().zip(self.cell_i.chunks_exact_mut(self.each)) {
                cells.fill(*i);
            }
        }
        self.across.iter().sum::<f64>() - self.fixed.1 * load
    }

    /// Currents of the branches at this instant under a load; the voltage between the terminals.
    pub fn instant(&mut self, load: f64) -> f64 {
        self.cells.voltages_now(&mut self.cell_e);
        self.gather();
        let mut volts = -self.fixed.1 * load;
        for g in 0..self.instant.len() {
            let range = self.ladder(g);
            let mesh = &mut self.instant[g];
            let e = &self.branch_e[range.clone()];
            mesh.solve(e, load);
            mesh.currents(load, &mut self.branch_i[range.clone()]);
            let first = range.start + mesh.live[0];
            let cells = first * self.each..(first + 1) * self.each;
            let r = self.fixed.0 + self.cells.r0[cells].iter().sum::<f64>();
            volts += mesh.voltage(self.branch_e[first] - r * self.branch_i[first], load);
        }
        volts
    }

    pub fn branch_currents(&self) -> Vec<f64> {
        self.branch_i.clone()
    }

    /// What a manager would not permit in the step just solved: the worst of it.
    fn violation(&self, load: f64) -> Option<Violation> {
        let (low, high) = self.window?;
        let outside = |u: f64, i: f64| {
            if i > 0.0 && u < low {
                Some((Why::Low, low - u))
            } else if i < 0.0 && u > high {
                Some((Why::High, u - high))
            } else {
                None
            }
        };
        let mut worst: Option<Violation> = None;
        let mut note = |found: Violation| {
            if worst.as_ref().is_none_or(|w| found.by > w.by) {
                worst = Some(found);
            }
        };
        let one = self.wired.wiring.order == Order::ParallelFirst;
        if one {
            for (g, u) in self.across.iter().enumerate() {
                if let Some((why, by)) = outside(*u, load) {
                    note(Violation { manager: 0, cell: g, why, by });
                }
            }
        }
        for (c, i) in self.cell_i.iter().enumerate().filter(|(_, i)| **i != 0.0) {
            let manager = if one { 0 } else { c / self.each };
            if !one && let Some((why, by)) = outside(self.cell_e[c] - self.cells.resistance(c) * i, *i) {
                note(Violation { manager, cell: c, why, by });
            }
            if self.cells.leaves(c, *i) {
                let why = if *i > 0.0 { Why::Empty } else { Why::Full };
                note(Violation { manager, cell: c, why, by: 0.0 });
            }
        }
        worst
    }

    /// Takes a string out; false when nothing is left.
    fn open(&mut self, manager: usize) -> bool {
        if self.wired.wiring.order == Order::ParallelFirst || self.meshes[0].live.len() == 1 {
            return false;
        }
        let live = self.meshes[0].live.iter().copied().filter(|b| *b != manager).collect();
        self.meshes[0] = Mesh::new(&self.rails, live);
        self.instant[0] = self.meshes[0].clone();
        self.branch_i[manager] = 0.0;
        self.dirty[0] = true;
        self.factor_instant();
        true
    }

    /// Heat in links and managers in the step just solved, W.
    fn link_heat(&self, load: f64) -> f64 {
        let mut watts = load * load * self.fixed.1;
        if self.fixed.0 > 0.0 {
            watts += self.fixed.0 * self.branch_i.iter().map(|i| i * i).sum::<f64>();
        }
        if self.wired.wiring.rail_link.si() > 0.0 {
            watts += self.meshes.iter().map(|mesh| mesh.link_heat(&self.rails, load)).sum::<f64>();
        }
        watts
    }

    fn sample(&mut self, course: &mut Course, at: f64, load: f64) {
        course.voltage_v.push(self.instant(load));
        course.time_s.push(at);
        course.branch_current_a.push(self.branch_i.clone());
        course.charge.push(self.cells.z.clone());
    }

    pub fn through(mut self, loads: &[f64], h: f64, every: usize) -> Result<Course, Error> {
        let mut course = Course {
            time_s: Vec::new(),
            voltage_v: Vec::new(),
            branch_current_a: Vec::new(),
            charge: Vec::new(),
            states: Vec::new(),
            delivered: joules(0.0),
            cell_heat_j: Vec::new(),
            link_heat: joules(0.0),
            opened: Vec::new(),
            stopped: None,
        };
        self.set_step(h);
        self.sample(&mut course, 0.0, loads.first().copied().unwrap_or(0.0));
        let (mut delivered, mut link_heat) = (0.0, 0.0);
        for (k, &load) in loads.iter().enumerate() {
            let mut volts = self.solve(load);
            let (start, mut taken) = (h * k as f64, h);
            while let Some(found) = self.violation(load) {
                course.opened.push(Opened {
                    at: seconds(start),
                    manager: found.manager + 1,
                    cell: found.cell + 1,
                    why: found.why,
                });
                if !self.open(found.manager) {
                    course.stopped = Some(seconds(start));
                    taken = 0.0;
                    break;
                }
                volts = self.solve(load);
            }
            let short = self.window.is_none() && self.cells.any_leaves(&self.cell_i);
            let part = if short { self.cells.part_within(&self.cell_i) } else { 1.0 };
            if part < 1.0 {
                taken = h * part;
                course.stopped = Some(seconds(start + taken));
                self.set_step(taken);
                volts = self.solve(load);
            }
            if taken > 0.0 {
                delivered += volts * load * taken;
                link_heat += self.link_heat(load) * taken;
                self.cells.advance(&self.cell_i, taken);
                self.follow();
            }
            let stop = course.stopped.is_some();
            if (k + 1) % every == 0 || k + 1 == loads.len() || stop {
                if stop {
                    self.cells.clamp();
                }
                if !stop || taken > 0.0 {
                    self.sample(&mut course, start + taken, load);
                }
            }
            if stop {
                break;
            }
        }
        course.delivered = joules(delivered);
        course.link_heat = joules(link_heat);
        course.cell_heat_j = self.cells.heat.clone();
        course.states = (0..self.cells.len())
            .map(|c| {
                CircuitState::of(self.cells.z[c].clamp(0.0, 1.0), [self.cells.v[0][c], self.cells.v[1][c]])
            })
            .collect();
        Ok(course)
    }

    fn follow(&mut self) {
        let per_ladder = self.each * self.wired.wiring.parallel;
        let dirty = &mut self.dirty;
        self.cells.follow(|c| dirty[c / per_ladder] = true);
    }
}
