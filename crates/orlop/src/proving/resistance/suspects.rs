//! The fewest bad parts that explain a set of readings.
//!
//! Readings y = A R + e with independent errors, sound parts R = R₀ + d with known spreads: r = y - A R₀ has the covariance
//! S = N + A P Aᵀ, sparse like the tree of feeders and branches. A part k that is bad by any amount takes
//! u²/q from rᵀ S⁻¹ r, with u = aₖᵀ S⁻¹ r and q = aₖᵀ S⁻¹ aₖ, and its excess is u/q. Parts are freed one by one, the one that explains
//! most first, and only towards more resistance, as long as it stands out; the others keep what their readings leave of their spread,
//! none below zero (active set).

use crate::solve::{Factor, Symbolic};

/// A part is freed when it stands out by so many standard uncertainties: one false alarm in 740 sound parts.
pub(super) const STANDS_OUT: f64 = 3.0;
/// Two explanations are told apart when the better one fits by so much more, as a difference of squared standard uncertainties.
const TOLD_APART: f64 = 4.0;
/// A freed part may have any resistance: its spread is so many times the most that its readings leave it.
const FREE: f64 = 10.0;

/// Readings with what is expected of their parts.
pub(super) struct Problem {
    /// For each part: readings that go through it, with the current.
    columns: Vec<Vec<(usize, f64)>>,
    /// Expected resistance and variance of each sound part.
    expected: Vec<(f64, f64)>,
    /// Variance of each part when it may have any resistance.
    free: Vec<f64>,
    /// Readings and their variances.
    drops: Vec<(f64, f64)>,
    symbolic: Symbolic,
    pairs: Vec<(usize, usize)>,
}

/// A bad part, or several that no reading tells apart.
#[derive(Clone, Debug)]
pub(super) struct Suspect {
    /// The part that explains most.
    pub part: usize,
    /// Others that explain as much by themselves, in the order of parts.
    pub or_else: Vec<usize>,
    /// Two others that explain as much together; empty when there are none.
    pub or_both: Vec<usize>,
}

/// What the readings say of each part, and which readings do not fit.
pub(super) struct Explained {
    pub suspects: Vec<Suspect>,
    /// Resistance and standard uncertainty of each part.
    pub values: Vec<(f64, f64)>,
    /// Least excess of each part that the readings would have shown.
    pub shown_from: Vec<f64>,
    /// By how many standard uncertainties each reading is off what the others make of it.
    pub off: Vec<f64>,
}

/// One state of knowledge: S factored, S⁻¹ r at hand.
struct State<'a> {
    problem: &'a Problem,
    factor: Factor,
    weighted: Vec<f64>,
}

impl Problem {
    /// `rows`: parts of each reading with their currents.
    pub fn new(rows: &[Vec<(usize, f64)>], drops: Vec<(f64, f64)>, expected: Vec<(f64, f64)>) -> Self {
        let mut columns = vec![Vec::new(); expected.len()];
        for (i, row) in rows.iter().enumerate() {
            for (k, current) in row.iter().filter(|(_, current)| *current != 0.0) {
                columns[*k].push((i, *current));
            }
        }
        let both = |c: &Vec<(usize, f64)>| -> Vec<(usize, usize)> {
            (0..c.len()).flat_map(|a| (0..a).map(move |b| (a, b))).map(|(a, b)| (c[b].0, c[a].0)).collect()
        };
        let mut pairs: Vec<(usize, usize)> = columns.iter().flat_map(both).filter(|(a, b)| a != b).collect();
        pairs.sort_unstable();
        pairs.dedup();
        let small: Vec<(u32, u32)> = pairs.iter().map(|(a, b)| (*a as u32, *b as u32)).collect();
        let symbolic = Symbolic::new(drops.len(), &small);
        let most = |(i, current): &(usize, f64)| {
            let (drop, own): (f64, f64) = drops[*i];
            (FREE * (drop.abs() + own.sqrt()) / current).powi(2)
        };
        let free = columns.iter().map(|c| c.iter().map(most).fold(f64::INFINITY, f64::min)).collect();
        Self { columns, expected, free, drops, symbolic, pairs }
    }

    /// With these variances and means of the parts.
    fn state(&self, variance: &[f64], mean: &[f64]) -> Option<State<'_>> {
        let (m, symbolic) = (self.drops.len(), &self.symbolic);
        let (mut diagonal, mut pairs) = (vec![0.0; m], vec![0.0; symbolic.slots()]);
        let mut rest = vec![0.0; m];
        for (i, (drop, own)) in self.drops.iter().enumerate() {
            diagonal[symbolic.place(i)] = *own;
            rest[symbolic.place(i)] = *drop;
        }
        for (k, column) in self.columns.iter().enumerate() {
            for (at, (i, current)) in column.iter().enumerate() {
                diagonal[symbolic.place(*i)] += variance[k] * current * current;
                rest[symbolic.place(*i)] -= mean[k] * current;
                for (j, other) in &column[..at] {
                    if let Ok(pair) = self.pairs.binary_search(&(*j, *i)) {
                        pairs[symbolic.slot(pair)] += variance[k] * current * other;
                    }
                }
            }
        }
        let mut factor = Factor::new(symbolic);
        factor.factor(symbolic, &diagonal, &pairs).ok()?;
        factor.solve(symbolic, &mut rest);
        Some(State { problem: self, factor, weighted: rest })
    }

    /// With these parts freed.
    fn freed(&self, free: &[usize]) -> Option<State<'_>> {
        let mut variance: Vec<f64> = self.expected.iter().map(|e| e.1).collect();
        free.iter().for_each(|k| variance[*k] = self.free[*k]);
        let mean: Vec<f64> = self.expected.iter().map(|e| e.0).collect();
        self.state(&variance, &mean)
    }

    fn touched(&self) -> Vec<usize> {
        (0..self.columns.len()).filter(|k| !self.columns[*k].is_empty()).collect()
    }

    /// None where numbers get out of hand.
    pub fn explain(&self) -> Option<Explained> {
        let touched = self.touched();
        let free = self.select(&touched, Vec::new(), self.drops.len())?;
        let suspects = free.iter().map(|f| self.suspect(*f, &free, &touched)).collect::<Option<Vec<_>>>()?;
        let full = self.freed(&free)?;
        let mut values = self.bounded(&free, &touched)?;
        let mut shown_from: Vec<f64> = vec![f64::INFINITY; self.columns.len()];
        for k in &touched {
            shown_from[*k] = STANDS_OUT / full.see(*k).1.max(1e-300).sqrt();
        }
        for s in &suspects {
            let without: Vec<usize> = free.iter().copied().filter(|f| *f != s.part).collect();
            let state = self.freed(&without)?;
            for k in std::iter::once(&s.part).chain(&s.or_else) {
                // Its own spread as a sound part plays no role: it is bad by any amount.
                let (u, q) = state.see(*k);
                let variance = (1.0 / q - self.expected[*k].1).max(1e-6 / q);
                values[*k] = ((self.expected[*k].0 + u / q).max(0.0), variance.sqrt());
            }
        }
        let off = (0..self.drops.len()).map(|i| full.off(i)).collect();
        Some(Explained { suspects, values, shown_from, off })
    }

    /// Frees parts one after another, at most so many, and takes back those that others have made needless.
    fn select(&self, from: &[usize], kept: Vec<usize>, most: usize) -> Option<Vec<usize>> {
        let mut free = kept;
        let start = free.len();
        for _ in 0..2 * most {
            if free.len() - start >= most {
                break;
            }
            let state = self.freed(&free)?;
            let candidates = from.iter().filter(|k| !free.contains(k)).map(|k| (*k, state.stands_out(*k)));
            let best = candidates.max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
            let Some((part, _)) = best.filter(|(_, z)| *z > STANDS_OUT) else { break };
            free.push(part);
            for f in free.clone().into_iter().skip(start) {
                let without: Vec<usize> = free.iter().copied().filter(|k| *k != f).collect();
                if f != part && self.freed(&without)?.stands_out(f) <= STANDS_OUT {
                    free = without;
                }
            }
        }
        Some(free)
    }

    fn suspect(&self, part: usize, free: &[usize], touched: &[usize]) -> Option<Suspect> {
        let others: Vec<usize> = free.iter().copied().filter(|f| *f != part).collect();
        let state = self.freed(&others)?;
        let own = state.stands_out(part).powi(2);
        let as_good = |k: &usize| {
            let z = state.stands_out(*k);
            !free.contains(k) && z > STANDS_OUT && z * z > own - TOLD_APART
        };
        let or_else: Vec<usize> = touched.iter().copied().filter(as_good).collect();
        // Or two that share the work: what a bad feeder does, two bad branches can do.
        let rest: Vec<usize> =
            touched.iter().copied().filter(|k| *k != part && !or_else.contains(k)).collect();
        let two = self.select(&rest, others.clone(), 2)?;
        let mut or_both = Vec::new();
        if two.len() == others.len() + 2 {
            let gain = state.fit() - self.freed(&two)?.fit();
            if gain > state.fit() - self.freed(free)?.fit() - TOLD_APART {
                or_both = two[others.len()..].to_vec();
                or_both.sort_unstable();
            }
        }
        Some(Suspect { part, or_else, or_both })
    }

    /// Resistances with none below zero, and their standard uncertainties without that bound.
    fn bounded(&self, free: &[usize], touched: &[usize]) -> Option<Vec<(f64, f64)>> {
        let mut variance: Vec<f64> = self.expected.iter().map(|e| e.1).collect();
        free.iter().for_each(|k| variance[*k] = self.free[*k]);
        let mut mean: Vec<f64> = self.expected.iter().map(|e| e.0).collect();
        let own = variance.clone();
        let mut values: Vec<(f64, f64)> = self.expected.iter().map(|(r, v)| (*r, v.sqrt())).collect();
        let open = self.freed(free)?;
        for k in touched {
            let q = open.see(*k).1;
            values[*k].1 = (own[*k] - own[*k] * own[*k] * q).max(1e-12 * own[*k]).sqrt();
        }
        for _ in 0..3 * touched.len() + 3 {
            let state = self.state(&variance, &mean)?;
            // Where each part would be if it were not held at zero.
            let pull = |k: usize| self.expected[k].0 + own[k] * state.see(k).0;
            let held = |k: usize| variance[k] == 0.0 && mean[k] == 0.0;
            let worst = touched.iter().copied().filter(|k| !held(*k)).map(|k| (k, pull(k)));
            let below = worst.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, r)| *r < 0.0);
            if let Some((k, _)) = below {
                (variance[k], mean[k]) = (0.0, 0.0);
                continue;
            }
            let pulled = touched.iter().copied().filter(|k| held(*k)).map(|k| (k, pull(k)));
            let above = pulled.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(k, r)| *r > 1e-9 * own[*k].sqrt());
            let Some((k, _)) = above else {
                touched.iter().for_each(|k| values[*k].0 = if held(*k) { 0.0 } else { pull(*k) });
                break;
            };
            (variance[k], mean[k]) = (own[k], self.expected[k].0);
        }
        Some(values)
    }
}

impl State<'_> {
    /// u and q of a part.
    fn see(&self, part: usize) -> (f64, f64) {
        let symbolic = &self.problem.symbolic;
        let column = &self.problem.columns[part];
        let mut solved = vec![0.0; self.problem.drops.len()];
        column.iter().for_each(|(i, current)| solved[symbolic.place(*i)] += current);
        self.factor.solve(symbolic, &mut solved);
        let dot = |x: &[f64]| column.iter().map(|(i, current)| current * x[symbolic.place(*i)]).sum::<f64>();
        (dot(&self.weighted), dot(&solved))
    }

    /// Excess of a part in standard uncertainties; negative where it would have less.
    fn stands_out(&self, part: usize) -> f64 {
        let (u, q) = self.see(part);
        if q > 0.0 { u / q.sqrt() } else { 0.0 }
    }

    /// rᵀ S⁻¹ r of the expected values of all parts.
    fn fit(&self) -> f64 {
        let p = self.problem;
        let mut rest: Vec<f64> = p.drops.iter().map(|d| d.0).collect();
        for (k, column) in p.columns.iter().enumerate() {
            column.iter().for_each(|(i, current)| rest[*i] -= p.expected[k].0 * current);
        }
        rest.iter().enumerate().map(|(i, r)| r * self.weighted[p.symbolic.place(i)]).sum()
    }

    /// A reading against what the others make of it, in standard uncertainties.
    fn off(&self, reading: usize) -> f64 {
        let at = self.problem.symbolic.place(reading);
        let mut unit = vec![0.0; self.problem.drops.len()];
        unit[at] = 1.0;
        self.factor.solve(&self.problem.symbolic, &mut unit);
        self.weighted[at] / unit[at].max(1e-300).sqrt()
    }
}
