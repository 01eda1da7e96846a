//! One run: solve, look at the managers, take the step.

use super::kernel::{Cells, IDLE};
use super::net::{Links, Net};
use super::watch::Watch;
use super::{Course, Opened, Wired};
use crate::cell::CircuitState;
use crate::error::Error;
use orlop_units::{joules, seconds};
use std::ops::Range;

pub(in crate::pack::share) struct Run {
    cells: Cells,
    /// The network of a step, and of an instant.
    net: Box<dyn Net>,
    now: Box<dyn Net>,
    parts: Vec<Range<usize>>,
    /// Parts of the network of a step whose resistances have changed.
    dirty: Vec<bool>,
    /// Where each cell stands.
    place: Vec<usize>,
    watch: Option<Watch>,
    e: Vec<f64>,
    i: Vec<f64>,
    r: Vec<f64>,
}

impl Run {
    pub fn new(wired: &Wired, states: &[CircuitState]) -> Result<Self, Error> {
        let count = wired.cells.len();
        if states.len() != count {
            let expected = format!("{count} states, one for each cell");
            return Err(Error::input("states", states.len().to_string(), expected));
        }
        let (net, now) = (wired.wiring.net()?, wired.wiring.net()?);
        let cells = Cells::new(&wired.cells, states, net.places());
        let mut place = vec![0; count];
        for (at, &cell) in net.places().iter().enumerate().filter(|(_, cell)| **cell != IDLE) {
            place[cell] = at;
        }
        let (parts, places) = (net.parts(), net.places().len());
        let mut own = Self {
            cells,
            net,
            now,
            dirty: vec![true; parts.len()],
            parts,
            place,
            watch: Watch::of(&wired.wiring),
            e: vec![0.0; places],
            i: vec![0.0; places],
            r: vec![0.0; places],
        };
        own.factor_now()?;
        Ok(own)
    }

    fn factor_now(&mut self) -> Result<(), Error> {
        let mut each = self.parts.iter().enumerate();
        each.try_for_each(|(part, of)| self.now.factor(part, &self.cells.r0[of.clone()]))
    }

    fn set_step(&mut self, h: f64) {
        self.cells.set_step(h);
        for (c, r) in self.r.iter_mut().enumerate() {
            *r = self.cells.resistance(c);
        }
        self.dirty.fill(true);
    }

    /// Solves the step that was set for a load; whether a cell would be emptied or overfilled.
    fn solve(&mut self, load: f64) -> Result<bool, Error> {
        let mut leaves = false;
        for (part, of) in self.parts.iter().enumerate() {
            if std::mem::take(&mut self.dirty[part]) {
                self.net.factor(part, &self.r[of.clone()])?;
            }
            let (e, i) = (&mut self.e[of.clone()], &mut self.i[of.clone()]);
            self.cells.voltages(of.clone(), e);
            self.net.solve(part, e, load, i);
            leaves |= self.cells.any_leaves(of.clone(), i);
        }
        Ok(leaves)
    }

    /// Currents at this instant under a load; the voltage between the terminals.
    pub fn instant(&mut self, load: f64) -> f64 {
        for (part, of) in self.parts.iter().enumerate() {
            self.cells.voltages_now(of.clone(), &mut self.e[of.clone()]);
            self.now.solve(part, &self.e[of.clone()], load, &mut self.i[of.clone()]);
        }
        self.now.voltage(load)
    }

    pub fn branch_currents(&self) -> Vec<f64> {
        self.now.branches(&self.i)
    }

    /// Currents and heat of links and managers at the instant just solved, A and W.
    pub fn links(&mut self, load: f64) -> (Links, Links) {
        self.now.count_heat(&self.i, load, 1.0);
        (self.now.links(&self.i, load), self.now.heat())
    }

    /// Heat of each cell at the instant just solved, W.
    pub fn cell_watts(&self) -> Vec<f64> {
        self.place.iter().map(|at| self.cells.watts(*at, self.i[*at])).collect()
    }

    fn in_order(&self, column: &[f64]) -> Vec<f64> {
        self.place.iter().map(|at| column[*at]).collect()
    }

    /// Takes a string out; false when nothing is left.
    fn open(&mut self, manager: usize) -> Result<bool, Error> {
        if !(self.net.open(manager) && self.now.open(manager)) {
            return Ok(false);
        }
        self.dirty.fill(true);
        self.factor_now()?;
        Ok(true)
    }

    fn sample(&mut self, course: &mut Course, at: f64, load: f64) {
        let volts = self.instant(load);
        course.voltage_v.push(volts);
        course.time_s.push(at);
        course.branch_current_a.push(self.branch_currents());
        course.charge.push(self.in_order(&self.cells.z));
    }

    pub fn through(mut self, loads: &[f64], h: f64, every: usize) -> Result<Course, Error> {
        let mut course = Course::empty();
        self.set_step(h);
        self.sample(&mut course, 0.0, loads.first().copied().unwrap_or(0.0));
        let mut delivered = 0.0;
        for (k, &load) in loads.iter().enumerate() {
            let mut leaves = self.solve(load)?;
            let (start, mut taken) = (h * k as f64, h);
            while let Some(found) = self.violation(load, leaves) {
                course.opened.push(Opened { at: seconds(start), ..found });
                if !self.open(found.manager - 1)? {
                    course.stopped = Some(seconds(start));
                    taken = 0.0;
                    break;
                }
                leaves = self.solve(load)?;
            }
            let short = self.watch.is_none() && leaves;
            let part = if short { self.cells.part_within(&self.i) } else { 1.0 };
            if part < 1.0 {
                taken = h * part;
                course.stopped = Some(seconds(start + taken));
                self.set_step(taken);
                self.solve(load)?;
            }
            if taken > 0.0 {
                delivered += self.net.voltage(load) * load * taken;
                self.advance(load, taken);
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
        course.link_heat_j = self.net.heat();
        course.link_heat = joules(course.link_heat_j.total());
        course.cell_heat_j = self.in_order(&self.cells.heat);
        let state = |c: &usize| {
            let pairs = [self.cells.v[0][*c], self.cells.v[1][*c]];
            CircuitState::of(self.cells.z[*c].clamp(0.0, 1.0), pairs)
        };
        course.states = self.place.iter().map(state).collect();
        Ok(course)
    }

    fn violation(&self, load: f64, leaves: bool) -> Option<Opened> {
        let watch = self.watch.as_ref()?;
        watch.violation(&self.cells, self.net.groups(), (&self.place, &self.e, &self.i), load, leaves)
    }

    /// Takes the step just solved.
    fn advance(&mut self, load: f64, h: f64) {
        self.net.count_heat(&self.i, load, h);
        for (of, dirty) in self.parts.iter().zip(&mut self.dirty) {
            self.cells.advance(of.clone(), &self.i[of.clone()], h);
            self.cells.follow(of.clone(), |cells, c| {
                self.r[c] = cells.resistance(c);
                *dirty = true;
            });
        }
    }
}
