//! Strings of cells between two buses, each with a manager of its own.

use super::net::{Links, Net};
use super::wiring::Wiring;
use crate::error::Error;
use crate::pack::share::mesh::{Mesh, Rails};
use orlop_units::Quantity;

/// One ladder whose branches are strings.
pub(super) struct Strings {
    /// Cells of each string.
    each: usize,
    rails: Rails,
    series_link: f64,
    manager: f64,
    places: Vec<usize>,
    mesh: Mesh,
    branch_r: Vec<f64>,
    branch_e: Vec<f64>,
    branch_i: Vec<f64>,
    across: f64,
    rail_heat: [Vec<f64>; 2],
    /// Square of the current of each string over time.
    squares: Vec<f64>,
}

impl Strings {
    pub fn new(wiring: &Wiring) -> Result<Self, Error> {
        let (each, count) = (wiring.series, wiring.parallel);
        let rails = wiring.rails()?;
        Ok(Self {
            each,
            mesh: Mesh::new(&rails, (0..count).collect()),
            rails,
            series_link: wiring.series_link.si(),
            manager: wiring.manager.si(),
            places: (0..each * count).collect(),
            branch_r: vec![0.0; count],
            branch_e: vec![0.0; count],
            branch_i: vec![0.0; count],
            across: 0.0,
            rail_heat: [vec![0.0; count - 1], vec![0.0; count - 1]],
            squares: vec![0.0; count],
        })
    }
}

impl Net for Strings {
    fn places(&self) -> &[usize] {
        &self.places
    }

    fn factor(&mut self, _: usize, r: &[f64]) -> Result<(), Error> {
        let fixed = self.series_link * (self.each - 1) as f64 + self.manager;
        for (branch, cells) in self.branch_r.iter_mut().zip(r.chunks_exact(self.each)) {
            *branch = fixed + cells.iter().sum::<f64>();
        }
        self.mesh.factor(&self.branch_r);
        Ok(())
    }

    fn solve(&mut self, _: usize, e: &[f64], load: f64, i: &mut [f64]) {
        for (branch, cells) in self.branch_e.iter_mut().zip(e.chunks_exact(self.each)) {
            *branch = cells.iter().sum();
        }
        self.mesh.solve(&self.branch_e, load);
        self.mesh.currents(load, &mut self.branch_i);
        let first = self.mesh.live[0];
        let own = self.branch_e[first] - self.branch_r[first] * self.branch_i[first];
        self.across = self.mesh.voltage(own, load);
        for (branch, cells) in self.branch_i.iter().zip(i.chunks_exact_mut(self.each)) {
            cells.fill(*branch);
        }
    }

    fn voltage(&self, _: f64) -> f64 {
        self.across
    }

    fn groups(&self) -> &[f64] {
        &[]
    }

    fn open(&mut self, string: usize) -> bool {
        if self.mesh.live.len() == 1 {
            return false;
        }
        let live = self.mesh.live.iter().copied().filter(|b| *b != string).collect();
        self.mesh = Mesh::new(&self.rails, live);
        self.branch_i[string] = 0.0;
        true
    }

    fn count_heat(&mut self, _: &[f64], load: f64, h: f64) {
        for (sum, i) in self.squares.iter_mut().zip(&self.branch_i) {
            *sum += i * i * h;
        }
        let [positive, negative] = &mut self.rail_heat;
        self.mesh.links(&self.rails, load, |k, p, n| {
            positive[k] += p * p * self.rails.positive[k] * h;
            negative[k] += n * n * self.rails.negative[k] * h;
        });
    }

    fn heat(&self) -> Links {
        let [positive_rail, negative_rail] = self.rail_heat.clone();
        let links = |s: &f64| vec![s * self.series_link; self.each - 1];
        Links {
            positive_rail,
            negative_rail,
            bars: Vec::new(),
            series: self.squares.iter().flat_map(links).collect(),
            managers: self.squares.iter().map(|s| s * self.manager).collect(),
        }
    }

    fn links(&self, _: &[f64], load: f64) -> Links {
        let mut links = Links { managers: self.branch_i.clone(), ..Links::default() };
        links.series = self.branch_i.iter().flat_map(|i| vec![*i; self.each - 1]).collect();
        self.mesh.links(&self.rails, load, |_, p, n| {
            links.positive_rail.push(p);
            links.negative_rail.push(n);
        });
        links
    }

    fn branches(&self, i: &[f64]) -> Vec<f64> {
        i.iter().step_by(self.each).copied().collect()
    }
}
