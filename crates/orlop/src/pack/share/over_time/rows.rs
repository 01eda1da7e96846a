//! Groups of parallel cells, each between rails of its own, joined by one lead: solved side by side.
//!
//! The equations are those of a ladder (see `mesh.rs`). Each row of a ladder waits for the one before it, so the ladders of
//! `LANES` groups go in step: places of a block hold the first cells of its groups, then the second cells, and so on.

use super::kernel::IDLE;
use super::net::{Links, Net};
use super::wiring::Wiring;
use crate::error::Error;
use crate::pack::share::mesh::Rails;
use orlop_units::Quantity;
use std::ops::Range;

/// Rows of cells, `LANES` groups to a block.
pub(super) struct Rows<const LANES: usize> {
    groups: usize,
    parallel: usize,
    rails: Rails,
    /// Each link between groups, and what stands before the whole.
    series_link: f64,
    manager: f64,
    places: Vec<usize>,
    /// Both rails between neighbours, and volts around a mesh per ampere of load.
    loops: Vec<f64>,
    drive: Vec<f64>,
    /// What each sum of currents drops on the way from the first cell to the take-offs.
    way: Vec<f64>,
    inverse: Vec<f64>,
    factor: Vec<f64>,
    first_r: Vec<f64>,
    last_r: Vec<f64>,
    /// Sums of currents of the last solution: of all cells up to this.
    sums: Vec<f64>,
    across: Vec<f64>,
    rail_heat: [Vec<f64>; 2],
    /// Square of the load over time.
    load_squares: f64,
}

/// Rows for this wiring, with as many lanes as leave at most one place in eight idle.
pub(super) fn rows(wiring: &Wiring) -> Result<Box<dyn Net>, Error> {
    let spare = |lanes: usize| wiring.series.next_multiple_of(lanes) - wiring.series;
    Ok(match [8, 4, 2].into_iter().find(|lanes| 8 * spare(*lanes) <= wiring.series) {
        Some(8) => Box::new(Rows::<8>::new(wiring)?),
        Some(4) => Box::new(Rows::<4>::new(wiring)?),
        Some(2) => Box::new(Rows::<2>::new(wiring)?),
        _ => Box::new(Rows::<1>::new(wiring)?),
    })
}

impl<const LANES: usize> Rows<LANES> {
    fn new(wiring: &Wiring) -> Result<Self, Error> {
        let (groups, parallel) = (wiring.series, wiring.parallel);
        let rails = wiring.rails()?;
        let blocks = groups.div_ceil(LANES);
        let place = |at: usize| {
            let (block, k, lane) = (at / LANES / parallel, at / LANES % parallel, at % LANES);
            let group = block * LANES + lane;
            if group < groups { group * parallel + k } else { IDLE }
        };
        let of_links = |positive: &dyn Fn(usize) -> bool, negative: &dyn Fn(usize) -> bool| {
            let one = |k: usize| {
                let part = |counts: bool, link: f64| if counts { link } else { 0.0 };
                part(positive(k), rails.positive[k]) + part(negative(k), rails.negative[k])
            };
            (0..parallel - 1).map(one).collect::<Vec<f64>>()
        };
        let (tp, tn) = (rails.take_positive, rails.take_negative);
        let column = || vec![0.0; blocks * parallel * LANES];
        Ok(Self {
            groups,
            parallel,
            series_link: wiring.series_link.si(),
            manager: wiring.manager.si(),
            places: (0..blocks * parallel * LANES).map(place).collect(),
            loops: of_links(&|_| true, &|_| true),
            drive: of_links(&|k| tp <= k, &|k| tn <= k),
            way: of_links(&|k| k < tp, &|k| k < tn),
            inverse: column(),
            factor: column(),
            first_r: vec![0.0; blocks * LANES],
            last_r: vec![0.0; blocks * LANES],
            sums: column(),
            across: vec![0.0; blocks * LANES],
            rail_heat: [column(), column()],
            load_squares: 0.0,
            rails,
        })
    }

    fn block(&self, part: usize) -> Range<usize> {
        let size = self.parallel * LANES;
        part * size..(part + 1) * size
    }

    fn lanes(part: usize) -> Range<usize> {
        part * LANES..(part + 1) * LANES
    }

    /// Where cell `k` of a group stands.
    fn place(&self, group: usize, k: usize) -> usize {
        (group / LANES * self.parallel + k) * LANES + group % LANES
    }
}

#[allow(clippy::needless_range_loop, reason = "lanes of many columns go side by side")]
impl<const LANES: usize> Net for Rows<LANES> {
    fn places(&self) -> &[usize] {
        &self.places
    }

    fn parts(&self) -> Vec<Range<usize>> {
        (0..self.groups.div_ceil(LANES)).map(|part| self.block(part)).collect()
    }

    fn factor(&mut self, part: usize, r: &[f64]) -> Result<(), Error> {
        let block = self.block(part);
        let (r, _) = r.as_chunks::<LANES>();
        let (inverse, _) = self.inverse[block.clone()].as_chunks_mut::<LANES>();
        let (factor, _) = self.factor[block].as_chunks_mut::<LANES>();
        // What a mesh sees of all before it. No difference is ever taken: a cell of any size keeps all digits.
        let mut seen = r[0];
        for (k, both) in self.loops.iter().enumerate() {
            let next = &r[k + 1];
            for l in 0..LANES {
                let before = seen[l] + both;
                inverse[k][l] = 1.0 / (before + next[l]);
                factor[k][l] = next[l] * inverse[k][l];
                seen[l] = before * factor[k][l];
            }
        }
        self.first_r[Self::lanes(part)].copy_from_slice(&r[0]);
        self.last_r[Self::lanes(part)].copy_from_slice(&r[self.parallel - 1]);
        Ok(())
    }

    fn solve(&mut self, part: usize, e: &[f64], load: f64, i: &mut [f64]) {
        let (block, lanes, count) = (self.block(part), Self::lanes(part), self.parallel - 1);
        let e = &e.as_chunks::<LANES>().0[..=count];
        let inverse = &self.inverse[block.clone()].as_chunks::<LANES>().0[..=count];
        let factor = &self.factor[block.clone()].as_chunks::<LANES>().0[..=count];
        let sums = &mut self.sums[block].as_chunks_mut::<LANES>().0[..=count];
        let i = &mut i.as_chunks_mut::<LANES>().0[..=count];
        let (drive, way) = (&self.drive[..count], &self.way[..count]);
        let mut carried = [0.0; LANES];
        let mut own = e[0];
        for k in 0..count {
            let push = load * drive[k];
            let next = e[k + 1];
            for l in 0..LANES {
                carried[l] += own[l] - next[l] + push;
            }
            if k + 1 == count {
                for l in 0..LANES {
                    carried[l] += self.last_r[lanes.start + l] * load;
                }
            }
            for l in 0..LANES {
                sums[k][l] = carried[l] * inverse[k][l];
                carried[l] *= factor[k][l];
            }
            own = next;
        }
        // All cells together carry the load; below the last mesh nothing comes back.
        let (mut above, mut after, mut along) = ([load; LANES], [0.0; LANES], [0.0; LANES]);
        sums[count] = above;
        for k in (0..count).rev() {
            for l in 0..LANES {
                after[l] = sums[k][l] + factor[k][l] * after[l];
                sums[k][l] = after[l];
                i[k + 1][l] = above[l] - after[l];
                above[l] = after[l];
                along[l] += after[l] * way[k];
            }
        }
        i[0] = above;
        for l in 0..LANES {
            let at = lanes.start + l;
            self.across[at] = e[0][l] - self.first_r[at] * i[0][l] - along[l];
        }
    }

    fn voltage(&self, load: f64) -> f64 {
        let fixed = self.series_link * (self.groups - 1) as f64 + self.manager;
        self.groups().iter().sum::<f64>() - fixed * load
    }

    fn groups(&self) -> &[f64] {
        &self.across[..self.groups]
    }

    fn open(&mut self, _: usize) -> bool {
        false
    }

    fn count_heat(&mut self, _: &[f64], load: f64, h: f64) {
        self.load_squares += load * load * h;
        let (sums, _) = self.sums.as_chunks::<LANES>();
        let rails = [
            (&self.rails.positive, self.rails.take_positive),
            (&self.rails.negative, self.rails.take_negative),
        ];
        for ((links, take), heat) in rails.into_iter().zip(&mut self.rail_heat) {
            if links.iter().all(|r| *r == 0.0) {
                continue;
            }
            let (heat, _) = heat.as_chunks_mut::<LANES>();
            let blocks = heat.chunks_exact_mut(self.parallel).zip(sums.chunks_exact(self.parallel));
            for (heat, sums) in blocks {
                for (k, r) in links.iter().enumerate() {
                    let (taken, weight) = (if take <= k { load } else { 0.0 }, r * h);
                    for l in 0..LANES {
                        let i = sums[k][l] - taken;
                        heat[k][l] += weight * (i * i);
                    }
                }
            }
        }
    }

    fn heat(&self) -> Links {
        let of = |heat: &[f64]| {
            let group = |g| (0..self.parallel - 1).map(move |k| heat[self.place(g, k)]);
            (0..self.groups).flat_map(group).collect()
        };
        Links {
            positive_rail: of(&self.rail_heat[0]),
            negative_rail: of(&self.rail_heat[1]),
            bars: Vec::new(),
            series: vec![self.load_squares * self.series_link; self.groups - 1],
            managers: vec![self.load_squares * self.manager],
        }
    }

    fn links(&self, _: &[f64], load: f64) -> Links {
        let of = |take: usize, sign: f64| {
            let one = move |at: usize| {
                let (g, k) = (at / (self.parallel - 1), at % (self.parallel - 1));
                sign * (self.sums[self.place(g, k)] - if take <= k { load } else { 0.0 })
            };
            (0..self.groups * (self.parallel - 1)).map(one).collect::<Vec<f64>>()
        };
        Links {
            positive_rail: of(self.rails.take_positive, 1.0),
            negative_rail: of(self.rails.take_negative, -1.0),
            bars: Vec::new(),
            series: vec![load; self.groups - 1],
            managers: vec![load],
        }
    }

    fn branches(&self, i: &[f64]) -> Vec<f64> {
        let group = |g| (0..self.parallel).map(move |k| i[self.place(g, k)]);
        (0..self.groups).flat_map(group).collect()
    }
}
