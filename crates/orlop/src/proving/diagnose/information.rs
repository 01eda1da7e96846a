//! What a further reading would tell about the cause.

use super::belief::{Belief, NEGLIGIBLE, dot};
use super::model::Model;

/// Bits of a distribution: what is not known. Probabilities that are not above zero count as zero.
///
/// ```
/// use orlop::proving::diagnose::entropy;
/// assert_eq!(entropy(&[0.5, 0.25, 0.25]), 1.5);
/// ```
#[must_use]
pub fn entropy(probabilities: &[f64]) -> f64 {
    probabilities.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

/// A question that could be put to the boat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ask {
    /// Read a value, with a meter whose standard uncertainty is the larger of a share of the reading and a least one.
    Value {
        /// Its place among the values.
        of: usize,
        /// Share of the reading.
        relative: f64,
        /// The least.
        least: f64,
    },
    /// A question with yes or no for an answer, by its place.
    Answer(usize),
}

/// One outcome of a question, and what it would mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The lowest reading of this outcome; none for the lowest outcome. For answers: none for no, 1 for yes.
    pub from: Option<f64>,
    /// The highest.
    pub to: Option<f64>,
    /// How probable it is.
    pub chance: f64,
    /// Probabilities of all hypotheses after it.
    pub after: Vec<f64>,
}

/// Representatives of one hypothesis.
const PER_CAUSE: usize = 24;
/// Cells of equal probability that readings are sorted into, before each is halved.
const CELLS: usize = 64;
/// Outcomes that are less probable than this are joined to a neighbour.
const RARE: f64 = 0.02;
/// Outcomes after which no more than this share of all probability lies elsewhere mean the same.
const ALIKE: f64 = 0.2;
/// Outcomes of one question.
const MOST: usize = 4;

/// Cells from the first to the last, and the joint probability of them with each hypothesis.
type Run = (usize, usize, Vec<f64>);

/// A group of neighbouring nodes: its middle one, its weight, and how far it spreads along the axis.
struct Stratum {
    node: usize,
    weight: f64,
    spread: f64,
}

impl Belief<'_> {
    /// Bits that an answer to this question is expected to tell about which cause it is, from 0 to the entropy of
    /// [`Belief::probabilities`].
    #[must_use]
    pub fn information(&self, ask: Ask) -> f64 {
        self.information_of(&[ask])[0]
    }

    /// The same for several questions, each by itself.
    #[must_use]
    pub fn information_of(&self, asks: &[Ask]) -> Vec<f64> {
        let strata = self.strata();
        asks.iter().map(|ask| bits(&self.cells(&strata, *ask).1)).collect()
    }

    /// The outcomes of a question from the lowest to the highest reading, at most four; neighbours that mean nearly the same are one.
    #[must_use]
    pub fn outcomes(&self, ask: Ask) -> Vec<Outcome> {
        let (edges, joint) = self.cells(&self.strata(), ask);
        let leader = |cell: &[f64]| {
            (0..cell.len()).max_by(|a, b| cell[*a].total_cmp(&cell[*b]).then(b.cmp(a))).unwrap_or(0)
        };
        // Cell k lies between edge k - 1 and edge k.
        let mut runs: Vec<Run> = Vec::new();
        for (k, cell) in joint.iter().enumerate() {
            match runs.last_mut() {
                Some(run) if leader(&run.2) == leader(cell) || cell.iter().sum::<f64>() < 1e-6 => {
                    run.1 = k;
                    run.2.iter_mut().zip(cell).for_each(|(a, b)| *a += b);
                }
                _ => runs.push((k, k, cell.clone())),
            }
        }
        // Neighbours that mean nearly the same are one, and so are rare ones and the next; no more than a few are told apart.
        while runs.len() > 1 {
            let mass = |r: &Run| r.2.iter().sum::<f64>();
            let apart = |k: usize| {
                let (a, b) = (&runs[k].2, &runs[k + 1].2);
                let (ma, mb) = (mass(&runs[k]), mass(&runs[k + 1]));
                let far: f64 = a.iter().zip(b).map(|(x, y)| (x / ma - y / mb).abs()).sum::<f64>() / 2.0;
                if ma.min(mb) < RARE { far * ma.min(mb) } else { far }
            };
            let nearest = (0..runs.len() - 1).map(|k| (k, apart(k))).min_by(|x, y| x.1.total_cmp(&y.1));
            let Some((k, far)) = nearest else { break };
            if far >= ALIKE && runs.len() <= MOST {
                break;
            }
            let gone = runs.remove(k + 1);
            runs[k].1 = gone.1;
            runs[k].2.iter_mut().zip(gone.2).for_each(|(a, b)| *a += b);
        }
        let last = joint.len() - 1;
        let outcome = |(from, to, cell): Run| {
            let chance: f64 = cell.iter().sum();
            Outcome {
                from: (from > 0).then(|| edges[from - 1]),
                to: (to < last).then(|| edges[to]),
                chance,
                after: cell.into_iter().map(|p| p / chance).collect(),
            }
        };
        runs.into_iter().filter(|r| r.2.iter().sum::<f64>() > 0.0).map(outcome).collect()
    }

    /// Every hypothesis by a few of its nodes.
    fn strata(&self) -> Vec<Stratum> {
        let weights = self.weights();
        let nodes = &self.model.nodes;
        let mut out = Vec::new();
        let mut first = 0;
        while first < nodes.len() {
            let hypothesis = nodes[first].hypothesis;
            let len = nodes[first..].iter().take_while(|n| n.hypothesis == hypothesis).count();
            let own: Vec<usize> = (first..first + len).filter(|n| weights[*n] > NEGLIGIBLE).collect();
            first += len;
            let total: f64 = own.iter().map(|n| weights[*n]).sum();
            if total < 100.0 * NEGLIGIBLE {
                continue;
            }
            let mut group: Vec<usize> = Vec::new();
            let (mut mass, mut gone, mut cuts) = (0.0, 0.0, 1.0);
            for (at, n) in own.iter().enumerate() {
                let jumps = group.last().is_some_and(|l| state(self.model, *l) != state(self.model, *n));
                if jumps {
                    out.push(self.stratum(&group, mass));
                    group.clear();
                    mass = 0.0;
                }
                group.push(*n);
                mass += weights[*n];
                gone += weights[*n] / total;
                // By shares, so that causes that predict the same are cut alike.
                if gone >= cuts / PER_CAUSE as f64 - 1e-9 || at + 1 == own.len() {
                    out.push(self.stratum(&group, mass));
                    group.clear();
                    mass = 0.0;
                    cuts = (gone * PER_CAUSE as f64 + 1e-6).floor() + 1.0;
                }
            }
        }
        out
    }

    fn stratum(&self, group: &[usize], weight: f64) -> Stratum {
        let at = |n: usize| self.model.at(&self.model.nodes[n]);
        let (first, last) = (group[0], group[group.len() - 1]);
        Stratum { node: group[group.len() / 2], weight, spread: (at(last) - at(first)) / 12_f64.sqrt() }
    }

    /// Edges of the cells, and the joint probability of cell and hypothesis.
    fn cells(&self, strata: &[Stratum], ask: Ask) -> (Vec<f64>, Vec<Vec<f64>>) {
        let total: f64 = strata.iter().map(|s| s.weight).sum();
        let hypothesis = |s: &Stratum| self.model.nodes[s.node].hypothesis;
        match ask {
            Ask::Answer(of) => {
                let mut joint = vec![vec![0.0; self.model.len()]; 2];
                for s in strata {
                    let chance = self.model.chance(&self.model.nodes[s.node], of);
                    joint[0][hypothesis(s)] += s.weight / total * (1.0 - chance);
                    joint[1][hypothesis(s)] += s.weight / total * chance;
                }
                (vec![1.0], joint)
            }
            Ask::Value { of, relative, least } => {
                let bells: Vec<(f64, f64)> =
                    strata.iter().map(|s| self.bell(s, of, relative, least)).collect();
                let edges = edges(strata, &bells, total);
                let mut joint = vec![vec![0.0; self.model.len()]; edges.len() + 1];
                for (s, (mean, deviation)) in strata.iter().zip(&bells) {
                    let (h, weight) = (hypothesis(s), s.weight / total);
                    let start = edges.partition_point(|e| *e < mean - 6.0 * deviation);
                    let mut below = 0.0;
                    for (k, cell) in joint.iter_mut().enumerate().skip(start) {
                        let up_to = edges.get(k).map_or(1.0, |e| bell_below((e - mean) / deviation));
                        cell[h] += weight * (up_to - below).max(0.0);
                        below = up_to;
                        if edges.get(k).is_some_and(|e| *e > mean + 6.0 * deviation) {
                            break;
                        }
                    }
                }
                (edges, joint)
            }
        }
    }

    /// Mean and standard deviation of what the meter would show.
    fn bell(&self, s: &Stratum, of: usize, relative: f64, least: f64) -> (f64, f64) {
        let (node, held, k) = (&self.model.nodes[s.node], &self.held[s.node], self.model.unknowns + 1);
        let mut slopes = Vec::with_capacity(k);
        self.model.slopes(node, of, &mut slopes);
        let (value, along) = self.model.value(node, of);
        let mean = value + dot(&slopes, &held.mean);
        let known: f64 = (0..k).map(|i| slopes[i] * dot(&held.covariance[i * k..(i + 1) * k], &slopes)).sum();
        let meter = least.max(relative * mean.abs());
        let own = self.model.spread(node, of).powi(2) + (along * s.spread).powi(2);
        (mean, (known.max(0.0) + own + meter * meter).sqrt())
    }
}

fn state(model: &Model, node: usize) -> u32 {
    let n = &model.nodes[node];
    let points = &model.hypotheses[n.hypothesis].points;
    points[if n.part < 0.5 || n.width == 0.0 { n.left } else { n.left + 1 }].state
}

/// Edges at equal shares of what may be read, and the middles between them.
fn edges(strata: &[Stratum], bells: &[(f64, f64)], total: f64) -> Vec<f64> {
    // Few bells get many marks each, from -2.5 to 2.5 standard deviations.
    let each = (4 * CELLS / bells.len().max(1)).clamp(4, CELLS);
    let mut marks: Vec<(f64, f64)> = Vec::with_capacity(each * bells.len());
    for (s, (mean, deviation)) in strata.iter().zip(bells) {
        let z = |k: usize| 5.0 * ((k as f64 + 0.5) / each as f64 - 0.5);
        marks.extend((0..each).map(|k| (mean + z(k) * deviation, s.weight / total / each as f64)));
    }
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut at_shares = Vec::with_capacity(2 * CELLS);
    let mut share = 0.0;
    for (at, weight) in &marks {
        share += weight;
        if share * CELLS as f64 >= (at_shares.len() + 1) as f64 {
            at_shares.push(*at);
            share = share.max(at_shares.len() as f64 / CELLS as f64);
        }
    }
    // The ends of every cluster count, however little of the probability it holds.
    at_shares.extend(marks.first().into_iter().chain(marks.last()).map(|m| m.0));
    at_shares.sort_by(f64::total_cmp);
    at_shares.dedup();
    let middles: Vec<f64> = at_shares.windows(2).map(|w| 0.5 * (w[0] + w[1])).collect();
    at_shares.extend(middles);
    at_shares.sort_by(f64::total_cmp);
    at_shares.dedup();
    at_shares
}

/// Bits that a joint distribution tells about its columns.
fn bits(joint: &[Vec<f64>]) -> f64 {
    let mut cause = vec![0.0; joint.first().map_or(0, Vec::len)];
    joint.iter().for_each(|cell| cause.iter_mut().zip(cell).for_each(|(c, p)| *c += p));
    let mut bits = 0.0;
    for cell in joint {
        let all: f64 = cell.iter().sum();
        for (p, c) in cell.iter().zip(&cause).filter(|(p, _)| **p > 0.0) {
            bits += p * (p / (all * c)).log2();
        }
    }
    bits.max(0.0)
}

/// Normal distribution function, to 1e-7: fast, and enough for bits. Abramowitz and Stegun 26.2.17, recalled; checked against
/// [`crate::solve::normal_cdf`] by a test.
fn bell_below(z: f64) -> f64 {
    let t = 1.0 / (1.0 + 0.231_641_9 * z.abs());
    let sum = t
        * (0.319_381_530
            + t * (-0.356_563_782 + t * (1.781_477_937 + t * (-1.821_255_978 + t * 1.330_274_429))));
    let tail = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() * sum;
    if z < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fast_bell_is_the_bell() {
        for k in -800..=800 {
            let z = f64::from(k) / 100.0;
            assert!((bell_below(z) - crate::solve::normal_cdf(z)).abs() < 1e-7, "{z}");
        }
    }
}
