//! What each hypothesis predicts.

use crate::error::Error;

/// What a hypothesis predicts at one value of its free magnitude.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Point {
    /// Where on its axis: the natural logarithm of a magnitude, or the magnitude itself; ascending along the grid.
    pub at: f64,
    /// Nothing is interpolated between neighbours in different states: a load that runs and one that has given up.
    pub state: u32,
    /// Each value that could be read.
    pub values: Vec<f64>,
    /// What one standard deviation of each common unknown adds to each value: unknowns of value 0, then of value 1.
    pub slopes: Vec<f64>,
    /// Standard deviation of each value from unknowns that nothing else shares.
    pub spreads: Vec<f64>,
    /// Probability of yes for each answer that could be given.
    pub chances: Vec<f64>,
}

/// One cause: prior odds, and a grid of its free magnitude, each value of which is as probable as the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    /// Odds against the other hypotheses before anything was seen; they need not add up to 1.
    pub odds: f64,
    /// One point without a free magnitude, else the grid in ascending order.
    pub points: Vec<Point>,
}

/// All hypotheses.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    pub(super) hypotheses: Vec<Hypothesis>,
    pub(super) unknowns: usize,
    pub(super) nodes: Vec<Node>,
}

/// Nodes between two neighbours of a grid.
const FINER: usize = 8;
/// Standard deviation of the bell around each node, in distances of nodes: their sum is flat within 1 %.
const BELL: f64 = 0.6;

/// A place on the grid of a hypothesis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Node {
    pub hypothesis: usize,
    /// The point to the left, and how far the node is on the way to the next.
    pub left: usize,
    pub part: f64,
    /// Standard deviation along the axis that the node stands for.
    pub width: f64,
}

impl Model {
    /// Checks that all points predict the same things and makes the grids finer.
    ///
    /// # Errors
    /// [`Error::Input`] for no hypothesis, odds that are not above zero, points that differ in what they predict, a grid that does
    /// not ascend, and numbers that are not finite.
    pub fn new(unknowns: usize, hypotheses: Vec<Hypothesis>) -> Result<Self, Error> {
        let Some(first) = hypotheses.first().and_then(|h| h.points.first()) else {
            return Err(Error::input("hypotheses", "none", "at least one, with a point"));
        };
        let (values, answers) = (first.values.len(), first.chances.len());
        let mut nodes = Vec::new();
        for (h, hypothesis) in hypotheses.iter().enumerate() {
            if !(hypothesis.odds.is_finite() && hypothesis.odds > 0.0) {
                return Err(Error::input("odds", hypothesis.odds.to_string(), "a finite number above zero"));
            }
            for point in &hypothesis.points {
                let alike = point.values.len() == values
                    && point.spreads.len() == values
                    && point.slopes.len() == values * unknowns
                    && point.chances.len() == answers;
                let numbers = [&point.values, &point.spreads, &point.slopes, &point.chances];
                let finite = point.at.is_finite() && numbers.iter().all(|n| n.iter().all(|x| x.is_finite()));
                let chances = point.chances.iter().all(|p| (0.0..=1.0).contains(p));
                if !(alike && finite && chances) {
                    let got = format!("hypothesis {h} with a point that differs or is not finite");
                    return Err(Error::input("points", got, "the same finite predictions at every point"));
                }
            }
            if hypothesis.points.is_empty() || hypothesis.points.windows(2).any(|p| p[0].at >= p[1].at) {
                let got = format!("hypothesis {h} without a grid that ascends");
                return Err(Error::input("points", got, "one point, or several in ascending order"));
            }
            for left in 0..hypothesis.points.len().saturating_sub(1) {
                let step = (hypothesis.points[left + 1].at - hypothesis.points[left].at) / FINER as f64;
                for k in 0..FINER {
                    let part = (k as f64 + 0.5) / FINER as f64;
                    nodes.push(Node { hypothesis: h, left, part, width: BELL * step });
                }
            }
            if hypothesis.points.len() == 1 {
                nodes.push(Node { hypothesis: h, left: 0, part: 0.0, width: 0.0 });
            }
        }
        Ok(Self { hypotheses, unknowns, nodes })
    }

    /// Number of hypotheses.
    #[must_use]
    pub fn len(&self) -> usize {
        self.hypotheses.len()
    }
    /// Never: there is at least one.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.hypotheses.is_empty()
    }

    fn point(&self, node: &Node, step: usize) -> &Point {
        &self.hypotheses[node.hypothesis].points[node.left + step]
    }

    /// The neighbours, and how far the node is between them: none of the way across a change of state.
    fn between(&self, node: &Node) -> (&Point, &Point, f64) {
        let a = self.point(node, 0);
        if node.width == 0.0 {
            return (a, a, 0.0);
        }
        let b = self.point(node, 1);
        match (a.state == b.state, node.part < 0.5) {
            (true, _) => (a, b, node.part),
            (false, true) => (a, a, 0.0),
            (false, false) => (b, b, 0.0),
        }
    }

    pub(super) fn at(&self, node: &Node) -> f64 {
        let a = self.point(node, 0).at;
        if node.width == 0.0 { a } else { a + node.part * (self.point(node, 1).at - a) }
    }

    /// A value at a node and its derivative along the axis: a cubic through the neighbours and their neighbours.
    pub(super) fn value(&self, node: &Node, of: usize) -> (f64, f64) {
        let (a, b, t) = self.between(node);
        let span = b.at - a.at;
        if span == 0.0 {
            return (a.values[of], 0.0);
        }
        let points = &self.hypotheses[node.hypothesis].points;
        let outer = |at: Option<&Point>| at.filter(|p| p.state == a.state).map(|p| (p.at, p.values[of]));
        let (ya, yb) = (a.values[of], b.values[of]);
        let chord = (yb - ya) / span;
        let before = outer(node.left.checked_sub(1).and_then(|k| points.get(k)));
        let after = outer(points.get(node.left + 2));
        let da = before.map_or(chord, |(x, y)| (yb - y) / (b.at - x)) * span;
        let db = after.map_or(chord, |(x, y)| (y - ya) / (x - a.at)) * span;
        let (c2, c3) = (3.0 * (yb - ya) - 2.0 * da - db, da + db - 2.0 * (yb - ya));
        let value = ya + t * (da + t * (c2 + t * c3));
        (value, (da + t * (2.0 * c2 + 3.0 * c3 * t)) / span)
    }

    /// What the common unknowns, and last the axis itself, add to a value.
    pub(super) fn slopes(&self, node: &Node, of: usize, out: &mut Vec<f64>) {
        let (a, b, t) = self.between(node);
        out.clear();
        let first = of * self.unknowns;
        let pairs = a.slopes[first..first + self.unknowns].iter().zip(&b.slopes[first..]);
        out.extend(pairs.map(|(x, y)| x + t * (y - x)));
        out.push(self.value(node, of).1 * node.width);
    }

    pub(super) fn spread(&self, node: &Node, of: usize) -> f64 {
        let (a, b, t) = self.between(node);
        a.spreads[of] + t * (b.spreads[of] - a.spreads[of])
    }

    pub(super) fn chance(&self, node: &Node, of: usize) -> f64 {
        let (a, b, t) = self.between(node);
        a.chances[of] + t * (b.chances[of] - a.chances[of])
    }
}
