//! The builder: parts are added by name, checked at the door, and kept in the order they came.

use super::element::{Converter, Load, Part, Source};
use super::places::Places;
use crate::error::Error;
use std::sync::Arc;

/// Name of the node of zero volts. It exists in every network.
pub const RETURN: &str = "return";

/// One part between two nodes, by index.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch<T> {
    /// Its id.
    pub id: String,
    /// First node; the positive one of a source or load, the anode of a diode, the output of a converter.
    pub from: usize,
    /// Second node.
    pub to: usize,
    /// What it is.
    pub part: T,
}

/// A converter with its output and, unless it is a charging source, its two input nodes.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// The converter, positive output first.
    pub output: Branch<Converter>,
    /// Positive and negative input.
    pub input: Option<(usize, usize)>,
}

/// An electrical network of direct current.
///
/// Nodes come into being when they are first named; node 0 is [`RETURN`]. Ids of sources, branches, loads and converters
/// share one namespace. Nothing is solved here.
///
/// ```
/// use orlop::Range;
/// use orlop::network::{Demand, Load, Network, Part, RETURN, Source};
/// use orlop::units::{amperes, ohms, volts};
///
/// let mut net = Network::new();
/// let resistance = Range::exactly(ohms(0.005));
/// net.source("bank", "bank", RETURN, Source { emf: Range::exactly(volts(26.4)), resistance, may_open: false })?;
/// net.branch("m1", "bank", "bus", Part::Resistance(Range::exactly(ohms(0.0012))))?;
/// net.load("lamp", "bus", RETURN, Load::new(Demand::Current(amperes(5.0))))?;
/// assert_eq!(net.nodes(), ["return", "bank", "bus"]);
/// # Ok::<(), orlop::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Network {
    // Shared with the answers, which need the names; copied only when a network is changed that has answers alive.
    inner: Arc<Inner>,
}

/// Which list of the network an id stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Element {
    /// [`Network::sources`]
    Source,
    /// [`Network::branches`]
    Branch,
    /// [`Network::loads`]
    Load,
    /// [`Network::converters`]
    Converter,
}

impl Element {
    fn word(self) -> &'static str {
        match self {
            Self::Source => "source",
            Self::Branch => "branch",
            Self::Load => "load",
            Self::Converter => "converter",
        }
    }
}

#[derive(Clone, Debug)]
struct Inner {
    nodes: Vec<String>,
    index: Places,
    /// All elements in the order they came: the list each stands in, and where.
    elements: Vec<(Element, usize)>,
    ids: Places,
    sources: Vec<Branch<Source>>,
    branches: Vec<Branch<Part>>,
    loads: Vec<Branch<Load>>,
    converters: Vec<Feed>,
}

impl PartialEq for Inner {
    /// The same parts: in which order parts of different kinds came does not matter.
    fn eq(&self, other: &Self) -> bool {
        self.nodes == other.nodes
            && self.sources == other.sources
            && self.branches == other.branches
            && self.loads == other.loads
            && self.converters == other.converters
    }
}

impl Default for Network {
    fn default() -> Self {
        Self::new()
    }
}

impl Network {
    /// A network with nothing but [`RETURN`].
    #[must_use]
    pub fn new() -> Self {
        let mut index = Places::new();
        index.insert(RETURN, 0);
        let inner = Inner {
            nodes: vec![RETURN.into()],
            index,
            elements: Vec::new(),
            ids: Places::new(),
            sources: Vec::new(),
            branches: Vec::new(),
            loads: Vec::new(),
            converters: Vec::new(),
        };
        Self { inner: Arc::new(inner) }
    }

    /// The index of a node, made when it is new.
    ///
    /// # Errors
    /// [`Error::Input`] for an empty name.
    pub fn node(&mut self, name: &str) -> Result<usize, Error> {
        if let Some(at) = self.node_at(name) {
            return Ok(at);
        }
        if name.trim().is_empty() {
            return Err(Error::input("node", "an empty name", "a name such as bus or H1"));
        }
        let inner = Arc::make_mut(&mut self.inner);
        inner.nodes.push(name.into());
        inner.index.insert(name, inner.nodes.len() - 1);
        Ok(inner.nodes.len() - 1)
    }

    /// Adds a source, positive at `from`.
    ///
    /// # Errors
    /// [`Error::Input`] for an id in use, equal nodes, or values that are no electromotive force and resistance.
    pub fn source(&mut self, id: &str, from: &str, to: &str, source: Source) -> Result<(), Error> {
        source.check(id)?;
        let branch = self.between(id, Element::Source, from, to, source)?;
        Arc::make_mut(&mut self.inner).sources.push(branch);
        Ok(())
    }

    /// Adds a conductor, device, joint or diode.
    ///
    /// # Errors
    /// [`Error::Input`] for an id in use, equal nodes, or a resistance that is not above zero.
    pub fn branch(&mut self, id: &str, from: &str, to: &str, part: Part) -> Result<(), Error> {
        part.check(id)?;
        let branch = self.between(id, Element::Branch, from, to, part)?;
        Arc::make_mut(&mut self.inner).branches.push(branch);
        Ok(())
    }

    /// Adds a load.
    ///
    /// # Errors
    /// [`Error::Input`] for an id in use, equal nodes, or a demand below zero.
    pub fn load(&mut self, id: &str, from: &str, to: &str, load: Load) -> Result<(), Error> {
        load.check(id)?;
        let branch = self.between(id, Element::Load, from, to, load)?;
        Arc::make_mut(&mut self.inner).loads.push(branch);
        Ok(())
    }

    /// Adds a converter with its output at `from`; `input` names its two input nodes, none for a charging source.
    ///
    /// # Errors
    /// [`Error::Input`] for an id in use, equal nodes, or values outside their range.
    pub fn converter(
        &mut self,
        id: &str,
        from: &str,
        to: &str,
        input: Option<(&str, &str)>,
        converter: Converter,
    ) -> Result<(), Error> {
        converter.check(id)?;
        let input = match input {
            Some((a, b)) if a == b => return Err(one_node(id, a)),
            Some((a, b)) => Some((self.node(a)?, self.node(b)?)),
            None => None,
        };
        let output = self.between(id, Element::Converter, from, to, converter)?;
        Arc::make_mut(&mut self.inner).converters.push(Feed { output, input });
        Ok(())
    }

    fn between<T>(
        &mut self,
        id: &str,
        kind: Element,
        from: &str,
        to: &str,
        part: T,
    ) -> Result<Branch<T>, Error> {
        if id.trim().is_empty() {
            return Err(Error::input(kind.word(), "an empty id", "an id such as m1"));
        }
        if let Some((other, _)) = self.find(id) {
            let expected = format!("an id that no {} has", other.word());
            return Err(Error::input(kind.word(), format!("the id '{id}' again"), expected));
        }
        if from == to {
            return Err(one_node(id, from));
        }
        let (from, to) = (self.node(from)?, self.node(to)?);
        let inner = Arc::make_mut(&mut self.inner);
        let at = match kind {
            Element::Source => inner.sources.len(),
            Element::Branch => inner.branches.len(),
            Element::Load => inner.loads.len(),
            Element::Converter => inner.converters.len(),
        };
        inner.ids.insert(id, inner.elements.len());
        inner.elements.push((kind, at));
        Ok(Branch { id: id.into(), from, to, part })
    }

    /// Names of the nodes, [`RETURN`] first.
    #[must_use]
    pub fn nodes(&self) -> &[String] {
        &self.inner.nodes
    }
    /// The index of a node.
    #[must_use]
    pub fn node_at(&self, name: &str) -> Option<usize> {
        self.inner.index.find(name, |at| self.inner.nodes[at] == name)
    }
    /// The list that an id stands in, and where.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<(Element, usize)> {
        let inner = &self.inner;
        let bears = |at: usize| match inner.elements[at] {
            (Element::Source, k) => inner.sources[k].id == id,
            (Element::Branch, k) => inner.branches[k].id == id,
            (Element::Load, k) => inner.loads[k].id == id,
            (Element::Converter, k) => inner.converters[k].output.id == id,
        };
        inner.ids.find(id, bears).map(|at| inner.elements[at])
    }
    /// Sources in the order they came.
    #[must_use]
    pub fn sources(&self) -> &[Branch<Source>] {
        &self.inner.sources
    }
    /// Conductors, devices, joints and diodes in the order they came.
    #[must_use]
    pub fn branches(&self) -> &[Branch<Part>] {
        &self.inner.branches
    }
    /// Loads in the order they came.
    #[must_use]
    pub fn loads(&self) -> &[Branch<Load>] {
        &self.inner.loads
    }
    /// Converters in the order they came.
    #[must_use]
    pub fn converters(&self) -> &[Feed] {
        &self.inner.converters
    }
}

fn one_node(id: &str, node: &str) -> Error {
    Error::input(id, format!("both ends at {node}"), "two different nodes")
}
