//! How a starter or return current divides between the paths, with both ends of every resistance.
//!
//! **Exact for given resistances.** The paths are split into blocks. What a block takes in at each of its points follows
//! from the currents alone; a bridge is a block of one path and its current needs no resistance. In a block with loops
//! the potentials solve the conductance equations.
//!
//! **Exact between the ends of the ranges.** The current of one path as a function of one conductance `g`, all
//! others held, is `(a + b g)/(c + d g)` with a positive denominator (the determinant of the conductance matrix, a sum
//! over spanning trees, in which each conductance stands at most once). Such a function is monotone in `g`. So from any
//! inner choice of resistances one can go to an end of each range, one after the other, without lowering the current:
//! the highest, and likewise the lowest, is found at a corner where each resistance is at one of its ends. All
//! corners are tried. Two paths that part a block in two when both are taken out carry the same current, and only their
//! sum counts; they move together and make one range (`k` ranges, `2^k` corners). With two paths beside each other this
//! is the common-sense rule: a path takes most when it is at its low end and the other at its high end.
//!
//! **Heat.** `P = i^2 R` is not monotone in the path's own `R`: with the rest of the network as a source of internal
//! resistance `R_i`, `P` is highest at `R = R_i`, clamped into the range. It is found so at each corner of the others.
//!
//! An end of a resistance that is not known counts as the worst one for the quantity asked: [`LEAST_OHMS`] and
//! [`MOST_OHMS`] lie beyond any path on a boat. The answer then says that it rests on no measured value.
//!
//! Beyond [`MOST_RANGES`] ranges in one block the bound is the whole current that enters the block, since in a
//! resistive network no path carries more; the answer then says that it is not exact.

use super::flow::{Flow, let_in};
use super::graph::GroundGraph;
use super::kinds::FlowKind;
use super::solve::{Resistor, potentials};
use super::topology::{blocks, components};
use crate::error::{Error, positive};
use crate::range::Range;
use orlop_units::{Current, Power, Quantity, Resistance, amperes, watts};

/// Ranges in one block up to which all corners are tried.
pub const MOST_RANGES: usize = 12;
/// Lower end of a resistance that is not known: less than any path on a boat, ohm.
pub const LEAST_OHMS: f64 = 1e-5;
/// Upper end of one: as good as open, ohm.
pub const MOST_OHMS: f64 = 1e4;
/// Work up to which they are: corners times the cube of the points of a block.
const MOST_WORK: f64 = 2e9;
/// Paths of a block up to which they are.
const MOST_PATHS: usize = 200;

/// What one path carries of one flow.
#[derive(Clone, Debug, PartialEq)]
pub struct Carried {
    /// The path.
    pub path: String,
    /// The flow.
    pub flow: String,
    /// What sort of current it is.
    pub kind: FlowKind,
    /// Lowest and highest current, whichever way it flows.
    pub current: Range<Current>,
    /// The most heat in it; none when its resistance is not known.
    pub heat: Option<Power>,
    /// Whether the ends are reached, or only bounds.
    pub exact: bool,
    /// Whether every resistance that decides is known; else the worst was taken.
    pub known: bool,
}

/// A block with what it takes in.
struct Block {
    /// Its paths.
    edges: Vec<usize>,
    /// Ends of each, in its own point numbers.
    ends: Vec<(usize, usize)>,
    /// What it takes in at each of its points, amperes.
    let_in: Vec<f64>,
}

/// The blocks of a graph with what each takes in.
fn divided(graph: &GroundGraph, amperes: &[f64], whole: f64) -> Vec<Block> {
    let n = graph.points().len();
    blocks(n, &graph.ends)
        .into_iter()
        .map(|edges| {
            let mut own: Vec<usize> =
                edges.iter().flat_map(|e| [graph.ends[*e].0, graph.ends[*e].1]).collect();
            own.sort_unstable();
            own.dedup();
            // What hangs on a point of the block without the block.
            let rest = (0..graph.ends.len()).filter(|e| edges.binary_search(e).is_err());
            let of = components(n, rest.map(|e| graph.ends[e]));
            let mut sum = vec![0.0; n];
            for x in 0..n {
                sum[of[x]] += amperes[x];
            }
            let let_in =
                own.iter().map(|x| sum[of[*x]]).map(|i| if i.abs() <= 1e-12 * whole { 0.0 } else { i });
            let at = |x: usize| own.binary_search(&x).unwrap_or(0);
            Block {
                let_in: let_in.collect(),
                ends: edges.iter().map(|e| (at(graph.ends[*e].0), at(graph.ends[*e].1))).collect(),
                edges,
            }
        })
        .collect()
}

impl Block {
    fn idle(&self) -> bool {
        self.let_in.iter().all(|i| *i == 0.0)
    }

    /// Current of each path from its first to its second end, for these resistances.
    fn currents(&self, ohms: &[f64]) -> Option<Vec<f64>> {
        if self.idle() {
            return Some(vec![0.0; self.edges.len()]);
        }
        if self.edges.len() == 1 {
            return Some(vec![self.let_in[self.ends[0].0]]);
        }
        let resistors: Vec<Resistor> = self.ends.iter().zip(ohms).map(|(e, r)| (e.0, e.1, 1.0 / r)).collect();
        let v = potentials(self.let_in.len(), &resistors, &self.let_in)?;
        Some(resistors.iter().map(|&(a, b, s)| (v[a] - v[b]) * s).collect())
    }

    /// The class of each path: those that carry the same current share one.
    fn classes(&self) -> Vec<usize> {
        let n = self.let_in.len();
        // Points that take something in are tied together: a cut that parts them does not make two currents equal.
        let mut fed = (0..n).filter(|x| self.let_in[*x] != 0.0);
        let first = fed.next().unwrap_or(0);
        let ties: Vec<(usize, usize)> = fed.map(|x| (first, x)).collect();
        let m = self.ends.len();
        let mut of: Vec<usize> = (0..m).collect();
        for e in 0..m {
            if of[e] != e {
                continue;
            }
            let apart = |f: usize| {
                let left = (0..m).filter(|k| *k != e && *k != f).map(|k| self.ends[k]);
                let parts = components(n, left.chain(ties.iter().copied()));
                parts.iter().any(|p| *p != parts[0])
            };
            for f in (e + 1..m).filter(|f| apart(*f)) {
                of[f] = e;
            }
        }
        of
    }
}

/// Currents of one block over the corners of its ranges.
struct Corners {
    /// Class of each path, and the classes that have a range, each a bit of the corner's number.
    of: Vec<usize>,
    bits: Vec<usize>,
    /// Current of each path at each corner.
    at: Vec<Vec<f64>>,
}

impl Corners {
    /// Tries all corners; nothing when they are too many.
    fn of(block: &Block, ends: &[(f64, f64)]) -> Option<Self> {
        if ends.len() > MOST_PATHS {
            return None;
        }
        let of = block.classes();
        let bits: Vec<usize> =
            (0..of.len()).filter(|c| (0..of.len()).any(|e| of[e] == *c && ends[e].0 < ends[e].1)).collect();
        #[allow(clippy::cast_precision_loss)]
        let work = (block.let_in.len() as f64).powi(3) * 2f64.powi(i32::try_from(bits.len()).unwrap_or(99));
        if bits.len() > MOST_RANGES || work > MOST_WORK {
            return None;
        }
        let at = (0..1usize << bits.len())
            .map(|corner| {
                let high =
                    |e: usize| bits.iter().position(|c| *c == of[e]).is_some_and(|b| corner >> b & 1 == 1);
                let ohms: Vec<f64> =
                    (0..of.len()).map(|e| if high(e) { ends[e].1 } else { ends[e].0 }).collect();
                block.currents(&ohms)
            })
            .collect::<Option<_>>()?;
        Some(Self { of, bits, at })
    }

    /// Lowest and highest magnitude of the current in a path.
    fn magnitude(&self, e: usize) -> (f64, f64) {
        let all = self.at.iter().map(|i| i[e]);
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), i| (l.min(i), h.max(i)));
        let least = if low <= 0.0 && high >= 0.0 { 0.0 } else { low.abs().min(high.abs()) };
        (least, low.abs().max(high.abs()))
    }

    /// The most heat in a path.
    fn heat(&self, e: usize, ends: &[(f64, f64)]) -> f64 {
        let Some(bit) = self.bits.iter().position(|c| *c == self.of[e]) else {
            return self.at.iter().map(|i| i[e] * i[e] * ends[e].1).fold(0.0, f64::max);
        };
        let same = || (0..ends.len()).filter(|k| self.of[*k] == self.of[e]);
        let (low, high) = same().fold((0.0, 0.0), |(l, h), k| (l + ends[k].0, h + ends[k].1));
        let others = low - ends[e].0;
        (0..self.at.len())
            .filter(|corner| corner >> bit & 1 == 0)
            .map(|corner| {
                let (i, j) = (self.at[corner][e], self.at[corner | 1 << bit][e]);
                if (i - j).abs() <= 1e-12 * i.abs() {
                    return i * i * ends[e].1;
                }
                let inner = ((j * high - i * low) / (i - j)).max(0.0);
                let volts = i * (inner + low);
                let around = inner + others;
                let r = around.clamp(ends[e].0, ends[e].1);
                (volts / (around + r)).powi(2) * r
            })
            .fold(0.0, f64::max)
    }
}

impl GroundGraph {
    /// Current of each path, in the order of [`GroundGraph::paths`], from its first to its second end, for these
    /// resistances.
    ///
    /// # Errors
    /// [`Error::Input`] for points that are not there, a number of resistances other than that of the paths, or one that
    /// is not above zero; [`Error::NoSolution`] for points that no path joins.
    pub fn currents(&self, flow: &Flow, resistances: &[Resistance]) -> Result<Vec<Current>, Error> {
        if resistances.len() != self.paths().len() {
            let expected = format!("one for each of the {} paths", self.paths().len());
            return Err(Error::input("resistances", resistances.len().to_string(), expected));
        }
        let mut ohms = Vec::with_capacity(resistances.len());
        for (path, r) in self.paths().iter().zip(resistances) {
            ohms.push(positive(*r, &format!("resistance of path {}", path.id))?.si());
        }
        let of = components(self.points().len(), self.ends.iter().copied());
        let taken = let_in(self, &of, flow)?;
        if let Some((from, to)) = taken.without_way.first() {
            return Err(Error::NoSolution {
                what: format!("flow {}: no path joins {from} and {to}", flow.id),
                hint: "add the missing negative or bond".into(),
            });
        }
        let mut out = vec![amperes(0.0); ohms.len()];
        for block in divided(self, &taken.amperes, taken.whole) {
            let own: Vec<f64> = block.edges.iter().map(|e| ohms[*e]).collect();
            let currents = block.currents(&own).ok_or_else(|| too_far_apart(flow))?;
            for (e, i) in block.edges.iter().zip(currents) {
                out[*e] = amperes(i);
            }
        }
        Ok(out)
    }

    /// Current of each path over the ranges of all resistances, in the order of [`GroundGraph::paths`].
    ///
    /// Parts of the flow between points that no path joins are left out.
    ///
    /// # Errors
    /// [`Error::Input`] for points that are not there.
    ///
    /// ```
    /// use orlop::network::ground::{Flow, FlowKind, GroundGraph, Path, PathKind, Point, ReturnSystem, Role};
    /// use orlop::{Range, units::{Quantity, amperes, ohms}};
    /// let points = vec![
    ///     Point::new("BAT", Role::BatteryNegative), Point::new("BUS", Role::NegativeBus), Point::new("ENGINE", Role::Engine),
    /// ];
    /// let path = |id: &str, from: &str, to: &str, kind, r: f64| {
    ///     Path::new(id, from, to, kind).resistance(Range::exactly(ohms(r)))
    /// };
    /// let graph = GroundGraph::new(ReturnSystem::OneBond, points, vec![
    ///     path("MAIN", "BUS", "BAT", PathKind::NegativeCable, 0.000_4),
    ///     path("STRAP", "BUS", "ENGINE", PathKind::Strap, 0.015),
    ///     path("ENGINE-BAT", "ENGINE", "BAT", PathKind::NegativeCable, 0.004_37),
    /// ])?;
    /// let thruster = Flow::new("thruster", FlowKind::Return, "BUS", "BAT", amperes(168.0))?;
    /// let strap = graph.carried(&thruster)?[2].current;
    /// assert!((strap.high().unwrap().si() - 3.4).abs() < 0.01);
    /// # Ok::<(), orlop::Error>(())
    /// ```
    pub fn carried(&self, flow: &Flow) -> Result<Vec<Carried>, Error> {
        let of = components(self.points().len(), self.ends.iter().copied());
        let taken = let_in(self, &of, flow)?;
        let ends = |e: usize| {
            let r = self.paths()[e].resistance;
            let end = |q: Option<Resistance>, else_: f64| q.map_or(else_, Quantity::si);
            (end(r.low(), LEAST_OHMS), end(r.high(), MOST_OHMS))
        };
        let known = |e: usize| {
            let r = self.paths()[e].resistance;
            r.low().is_some() && r.high().is_some()
        };
        let mut out: Vec<Carried> = self
            .paths()
            .iter()
            .map(|p| Carried {
                path: p.id.clone(),
                flow: flow.id.clone(),
                kind: flow.kind,
                current: Range::exactly(amperes(0.0)),
                heat: Some(watts(0.0)),
                exact: true,
                known: true,
            })
            .collect();
        for block in divided(self, &taken.amperes, taken.whole) {
            if block.idle() {
                continue;
            }
            if let [e] = block.edges[..] {
                let i = block.let_in[block.ends[0].0];
                out[e].current = Range::exactly(amperes(i.abs()));
                out[e].heat = known(e).then(|| watts(i * i * ends(e).1));
                continue;
            }
            let own: Vec<(f64, f64)> = block.edges.iter().map(|e| ends(*e)).collect();
            let all_known = block.edges.iter().all(|e| known(*e));
            let corners = Corners::of(&block, &own);
            let whole: f64 = block.let_in.iter().filter(|i| **i > 0.0).sum();
            for (at, e) in block.edges.iter().enumerate() {
                let (low, high) = corners.as_ref().map_or((0.0, whole), |c| c.magnitude(at));
                let heat = corners.as_ref().map_or(whole * whole * own[at].1, |c| c.heat(at, &own));
                out[*e] = Carried {
                    current: Range::new(amperes(low), amperes(high)),
                    heat: known(*e).then(|| watts(heat)),
                    exact: corners.is_some(),
                    known: all_known,
                    ..out[*e].clone()
                };
            }
        }
        Ok(out)
    }
}

fn too_far_apart(flow: &Flow) -> Error {
    Error::NoSolution {
        what: format!("flow {}: the resistances lie too far apart to be solved", flow.id),
        hint: "check their units: negatives and bonds have 0.01 mohm to 10 ohm".into(),
    }
}

/// Parts of a flow that no path joins: from, to.
pub(super) fn without_way(graph: &GroundGraph, flow: &Flow) -> Result<Vec<(String, String)>, Error> {
    let of = components(graph.points().len(), graph.ends.iter().copied());
    Ok(let_in(graph, &of, flow)?.without_way)
}
