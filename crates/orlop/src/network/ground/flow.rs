//! Currents that enter negative at one point and leave it at another.

use super::graph::GroundGraph;
use super::kinds::FlowKind;
use crate::error::{Error, positive};
use orlop_units::{Current, Quantity};

/// A current that comes into the negative conductors at one point and leaves them at another.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// Where it comes in: the negative of a load, the engine block under its starter.
    pub from: String,
    /// Where it leaves: the battery's negative.
    pub to: String,
    /// How much.
    pub current: Current,
}

/// Currents that flow together: a starter, a scenario, a charging source.
#[derive(Clone, Debug, PartialEq)]
pub struct Flow {
    /// Its id.
    pub id: String,
    /// Its name for people; the id when it has none.
    pub name: String,
    /// What sort of current.
    pub kind: FlowKind,
    /// Its parts.
    pub parts: Vec<Transfer>,
}

impl Flow {
    /// A flow of one part.
    ///
    /// # Errors
    /// [`Error::Input`] for a current that is not above zero and finite.
    pub fn new(
        id: impl Into<String>,
        kind: FlowKind,
        from: impl Into<String>,
        to: impl Into<String>,
        current: Current,
    ) -> Result<Self, Error> {
        let id = id.into();
        let empty = Self { name: id.clone(), id, kind, parts: Vec::new() };
        empty.and(from, to, current)
    }

    /// The same with one part more.
    ///
    /// # Errors
    /// [`Error::Input`] for a current that is not above zero and finite, and for two ends at one point.
    pub fn and(
        mut self,
        from: impl Into<String>,
        to: impl Into<String>,
        current: Current,
    ) -> Result<Self, Error> {
        let part = Transfer {
            from: from.into(),
            to: to.into(),
            current: positive(current, &format!("current of flow {}", self.id))?,
        };
        if part.from == part.to {
            let got = format!("in and out at '{}'", part.from);
            return Err(Error::input(&format!("flow {}", self.id), got, "two different points"));
        }
        self.parts.push(part);
        Ok(self)
    }

    /// Its name for people.
    #[must_use]
    pub fn name(mut self, name: impl Into<String>) -> Self {
        self.name = name.into();
        self
    }
}

/// What a flow lets in at each point, in amperes; parts between points that are not joined are left out.
pub(super) struct LetIn {
    /// For each point.
    pub amperes: Vec<f64>,
    /// Sum of all parts.
    pub whole: f64,
    /// Parts that have no way: from, to.
    pub without_way: Vec<(String, String)>,
}

/// Reads the parts of a flow against a graph whose components are known.
pub(super) fn let_in(graph: &GroundGraph, of: &[usize], flow: &Flow) -> Result<LetIn, Error> {
    let field = format!("flow {}", flow.id);
    let n = graph.points().len();
    let mut out = LetIn { amperes: vec![0.0; n], whole: 0.0, without_way: Vec::new() };
    for part in &flow.parts {
        let (from, to) = (graph.point(&part.from, &field)?, graph.point(&part.to, &field)?);
        let amperes = positive(part.current, &format!("current of {field}"))?.si();
        if from == to {
            let got = format!("in and out at '{}'", part.from);
            return Err(Error::input(&field, got, "two different points"));
        }
        if of[from] != of[to] {
            out.without_way.push((part.from.clone(), part.to.clone()));
            continue;
        }
        out.amperes[from] += amperes;
        out.amperes[to] -= amperes;
        out.whole += amperes;
    }
    Ok(out)
}
