//! From a network with given states to unknowns and equations.
//!
//! Ideal sources and converters that hold their voltage tie nodes together, so that one unknown stands for all of them, or none
//! where [`RETURN`](super::RETURN) is among them. What no branch, source or converter joins to the return is *dark*. The
//! unknowns are not the voltages themselves but what they differ from a reference that is the same all along a rail: the
//! small drops then keep their digits.

use super::build::Network;
use super::element::{Corner, Demand, Part};
use super::join::{Sets, Ties};
use crate::error::Error;
use crate::range::Range;
use crate::solve::Symbolic;
use orlop_units::{Quantity, Resistance, Voltage, show, volts};

/// What a load draws, in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Draw {
    Off,
    Amps(f64),
    Watts(f64),
    Ohms(f64),
}

impl From<Demand> for Draw {
    fn from(demand: Demand) -> Self {
        match demand {
            Demand::Current(i) => Self::Amps(i.si()),
            Demand::Power(p) => Self::Watts(p.si()),
            Demand::Resistance(r) => Self::Ohms(r.si()),
        }
    }
}

/// How a converter works at present.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// It does not take part, has no input, or its input is too low.
    Off,
    /// Something else holds its output above its own voltage.
    Idle,
    /// It holds its voltage.
    Held,
    /// It gives its limit.
    Limited,
}

/// The values of one corner, and states of what switches by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Values {
    /// Conductance of each branch; of a diode beyond its threshold.
    pub siemens: Vec<f64>,
    pub threshold: Vec<f64>,
    /// Whether a branch conducts: all but diodes that block.
    pub conducts: Vec<bool>,
    pub emf: Vec<f64>,
    /// Resistance behind each source, zero for an ideal one.
    pub behind: Vec<f64>,
    pub source_on: Vec<bool>,
    pub draw: Vec<Draw>,
    pub mode: Vec<Mode>,
    /// Power that each converter takes from its input.
    pub taken: Vec<f64>,
}

impl Values {
    /// # Errors
    /// [`Error::Input`] when a bound that this corner needs is not known.
    pub fn new(net: &Network, corner: Corner) -> Result<Self, Error> {
        let missing = |what: &str, id: &str| {
            let end = if corner == Corner::High { "high" } else { "low" };
            Error::Input {
                field: format!("{what} of {id}"),
                got: "only its other end".into(),
                expected: format!("the end that counts in the {end} corner"),
                hint: "give both ends, or one value that is exact".into(),
            }
        };
        let ohms = |range: Range<Resistance>, id: &str| {
            corner.ohms(range).map(Quantity::si).ok_or_else(|| missing("resistance", id))
        };
        let emf = |range: Range<Voltage>, id: &str| {
            corner.volts(range).map(Quantity::si).ok_or_else(|| missing("emf", id))
        };
        let mut siemens = Vec::with_capacity(net.branches().len());
        let mut threshold = Vec::with_capacity(net.branches().len());
        for branch in net.branches() {
            let (resistance, forward) = match branch.part {
                Part::Resistance(range) => (ohms(range, &branch.id)?, 0.0),
                Part::Diode { forward, slope } => (slope.si(), forward.si()),
            };
            siemens.push(1.0 / resistance);
            threshold.push(forward);
        }
        let sources = net.sources();
        let feeds = net.converters();
        Ok(Self {
            conducts: vec![true; siemens.len()],
            siemens,
            threshold,
            emf: sources.iter().map(|s| emf(s.part.emf, &s.id)).collect::<Result<_, _>>()?,
            behind: sources.iter().map(|s| ohms(s.part.resistance, &s.id)).collect::<Result<_, _>>()?,
            source_on: vec![true; sources.len()],
            draw: net.loads().iter().map(|l| l.part.demand.into()).collect(),
            mode: feeds.iter().map(|f| if f.output.part.runs { Mode::Held } else { Mode::Off }).collect(),
            taken: vec![0.0; feeds.len()],
        })
    }

    fn is_ideal(&self, source: usize) -> bool {
        self.source_on[source] && self.behind[source] == 0.0
    }
}

/// Ends of an element among the unknowns. The last index, one beyond the unknowns, stands for everything known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    pub a: u32,
    pub b: u32,
    /// Where its coupling stands in the matrix; the last slot is for none.
    pub slot: u32,
}

/// The equations of a network in one state.
#[derive(Clone, Debug)]
pub struct Plan {
    pub symbolic: Symbolic,
    /// The unknown of each node; one beyond the last where the voltage is known or there is none.
    pub unknown: Vec<u32>,
    /// The reference of each node: its voltage where it is known.
    pub base: Vec<f64>,
    pub dark: Vec<bool>,
    pub branch: Vec<Ends>,
    pub source: Vec<Ends>,
    pub load: Vec<Ends>,
    pub output: Vec<Ends>,
    pub input: Vec<Ends>,
    /// Loads that draw nothing because an end is dark.
    pub unfed: Vec<bool>,
    /// Resistors that join nodes: with others the equations have another shape.
    pub links: Vec<((usize, usize), usize)>,
    /// A node that each unknown stands for, by unknown.
    pub node_of: Vec<u32>,
}

impl Plan {
    /// Whether the loads, as they are now, still have their places in these equations.
    pub fn fits(&self, net: &Network, values: &Values) -> bool {
        let known = self.symbolic.len() as u32;
        let none = self.symbolic.slots() as u32;
        let placed = self.load.iter().zip(&values.draw).all(|(ends, draw)| {
            ends.slot != none
                || ends.a == known
                || ends.b == known
                || !matches!(draw, Draw::Watts(_) | Draw::Ohms(_))
        });
        placed && links(net, values) == self.links
    }

    /// # Errors
    /// [`Error::Input`] for ideal sources against each other and for an island that hangs on nothing;
    /// [`Error::NoSolution`] for an island whose only feed is a converter at its limit.
    pub fn new(net: &Network, values: &mut Values, force_mesh: bool) -> Result<Self, Error> {
        loop {
            let ties = ties(net, values)?;
            let dark = dark(net, values)?;
            let starved = |at: usize| {
                net.converters()[at].input.is_some_and(|(a, b)| dark[a] || dark[b])
                    && values.mode[at] != Mode::Off
            };
            let starved: Vec<usize> = (0..values.mode.len()).filter(|&at| starved(at)).collect();
            if starved.is_empty() {
                determined(net, values, &dark)?;
                return Ok(Self::with(net, values, &ties, dark, force_mesh));
            }
            for at in starved {
                values.mode[at] = Mode::Off;
            }
        }
    }

    fn with(net: &Network, values: &Values, ties: &Ties, dark: Vec<bool>, force_mesh: bool) -> Self {
        let n = net.nodes().len();
        let roots: Vec<(usize, f64)> = (0..n).map(|v| ties.find(v)).collect();
        let base = references(net, values, &roots);
        // Numbers in the order of the nodes first, then as the elimination wants them.
        let mut number = vec![u32::MAX; n];
        let mut count = 0_u32;
        for v in 0..n {
            let root = roots[v].0;
            if root != 0 && !dark[v] && number[root] == u32::MAX {
                number[root] = count;
                count += 1;
            }
        }
        let known = count;
        let first: Vec<u32> =
            (0..n).map(|v| if roots[v].0 == 0 || dark[v] { known } else { number[roots[v].0] }).collect();
        let unfed: Vec<bool> = net.loads().iter().map(|l| dark[l.from] || dark[l.to]).collect();
        let is_on = |k: usize| values.conducts[k];
        let mut pairs = Vec::with_capacity(net.branches().len());
        let mut couple = |from: usize, to: usize, wanted: bool| {
            let (a, b) = (first[from], first[to]);
            if wanted && a != known && b != known && a != b {
                pairs.push((a, b));
                return pairs.len() as u32 - 1;
            }
            u32::MAX
        };
        let mut ends = Vec::new();
        for (k, branch) in net.branches().iter().enumerate() {
            ends.push((branch.from, branch.to, couple(branch.from, branch.to, is_on(k))));
        }
        for (k, source) in net.sources().iter().enumerate() {
            let wanted = values.source_on[k] && !values.is_ideal(k);
            ends.push((source.from, source.to, couple(source.from, source.to, wanted)));
        }
        for (k, load) in net.loads().iter().enumerate() {
            let wanted = !unfed[k] && matches!(values.draw[k], Draw::Watts(_) | Draw::Ohms(_));
            ends.push((load.from, load.to, couple(load.from, load.to, wanted)));
        }
        for feed in net.converters() {
            ends.push((feed.output.from, feed.output.to, u32::MAX));
        }
        for (k, feed) in net.converters().iter().enumerate() {
            let (a, b) = feed.input.unwrap_or((0, 0));
            ends.push((a, b, couple(a, b, values.mode[k] != Mode::Off)));
        }
        let make = if force_mesh { Symbolic::general } else { Symbolic::new };
        let symbolic = make(count as usize, &pairs);
        let place =
            |number: u32| if number == known { known } else { symbolic.place(number as usize) as u32 };
        let unknown: Vec<u32> = first.iter().map(|&k| place(k)).collect();
        let none = symbolic.slots() as u32;
        let mut all = ends.into_iter().map(|(from, to, pair)| {
            let (a, b) = (unknown[from], unknown[to]);
            let slot = if pair == u32::MAX { none } else { symbolic.slot(pair as usize) as u32 };
            // Ends that are the same unknown, or lie in the dark, change no equation.
            if a == b { Ends { a: known, b: known, slot } } else { Ends { a, b, slot } }
        });
        let mut next = |count: usize| all.by_ref().take(count).collect::<Vec<_>>();
        let branch = next(net.branches().len());
        let source = next(net.sources().len());
        let load = next(net.loads().len());
        let output = next(net.converters().len());
        let input = next(net.converters().len());
        drop(all);
        let mut node_of = vec![0; count as usize];
        for v in (0..n).rev() {
            if unknown[v] != known {
                node_of[unknown[v] as usize] = v as u32;
            }
        }
        let links = links(net, values);
        Self { symbolic, unknown, base, dark, branch, source, load, output, input, unfed, links, node_of }
    }
}

/// Ties by ideal sources first, then by converters from the highest voltage down.
fn ties(net: &Network, values: &mut Values) -> Result<Ties, Error> {
    let mut ties = Ties::new(net.nodes().len());
    for (k, source) in net.sources().iter().enumerate() {
        if values.is_ideal(k)
            && let Err(apart) = ties.tie(source.from, source.to, values.emf[k])
        {
            return Err(tied_sources(net, values, k, apart));
        }
    }
    let feeds = net.converters();
    let mut held: Vec<usize> = (0..feeds.len()).filter(|&k| values.mode[k] == Mode::Held).collect();
    held.sort_by(|&a, &b| {
        let volts = |k: usize| feeds[k].output.part.output.si();
        volts(b).total_cmp(&volts(a)).then(a.cmp(&b))
    });
    for k in held {
        let (branch, wanted) = (&feeds[k].output, feeds[k].output.part.output.si());
        if let Err(apart) = ties.tie(branch.from, branch.to, wanted) {
            if near(apart, wanted) {
                return Err(tied_converters(net, values, k));
            }
            values.mode[k] = if apart > wanted { Mode::Idle } else { Mode::Limited };
        }
    }
    Ok(ties)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

fn tied_sources(net: &Network, values: &Values, at: usize, apart: f64) -> Error {
    let sources = net.sources();
    let same = |k: &usize| {
        let (one, other) = (&sources[at], &sources[*k]);
        (one.from, one.to) == (other.from, other.to) || (one.from, one.to) == (other.to, other.from)
    };
    let earlier = || (0..at).filter(|&k| values.is_ideal(k));
    let other = earlier().find(same).or_else(|| earlier().next_back()).map_or("", |k| &sources[k].id);
    let one = &sources[at].id;
    let (a, b) = (show(volts(values.emf[at])), show(volts(apart)));
    let got = if near(values.emf[at], apart) {
        format!("two ideal sources of {a} tied together, so that the current of neither is defined")
    } else {
        format!("two ideal sources tied together that want {a} and {b}")
    };
    Error::Input {
        field: format!("sources {other} and {one}"),
        got,
        expected: "a resistance above zero behind one of them".into(),
        hint: "give each source the resistance that it has".into(),
    }
}

fn tied_converters(net: &Network, values: &Values, at: usize) -> Error {
    let feeds = net.converters();
    let one = &feeds[at].output;
    let other = feeds
        .iter()
        .enumerate()
        .filter(|(k, _)| *k != at && values.mode[*k] == Mode::Held)
        .map(|(_, feed)| &feed.output)
        .find(|other| other.from == one.from && other.to == one.to)
        .map_or("an ideal source", |other| &other.id);
    Error::Input {
        field: format!("converter {} and {other}", one.id),
        got: format!("both hold {} at the same place", show(one.part.output)),
        expected: "different voltages, or a resistance between them".into(),
        hint: "draw the cable of each, or let one rest".into(),
    }
}

/// Nodes that no branch, source or converter joins to the return; all of them where nothing feeds.
fn dark(net: &Network, values: &Values) -> Result<Vec<bool>, Error> {
    let n = net.nodes().len();
    let mut sets = Sets::new(n);
    let feeds = |k: usize| matches!(values.mode[k], Mode::Held | Mode::Limited);
    for (branch, _) in net.branches().iter().zip(&values.conducts).filter(|(_, on)| **on) {
        sets.join(branch.from, branch.to);
    }
    // A resistor between two nodes that are not the return carries current on; one to the return only ends there.
    for (load, _) in links(net, values) {
        sets.join(load.0, load.1);
    }
    let mut fed = Vec::new();
    for (k, source) in net.sources().iter().enumerate().filter(|(k, _)| values.source_on[*k]) {
        sets.join(source.from, source.to);
        fed.push((source.from, &net.sources()[k].id));
    }
    for (k, feed) in net.converters().iter().enumerate().filter(|(k, _)| feeds(*k)) {
        sets.join(feed.output.from, feed.output.to);
        fed.push((feed.output.from, &net.converters()[k].output.id));
    }
    if let Some((node, id)) = fed.iter().find(|(node, _)| sets.find(*node) != 0) {
        let island = sets.find(*node);
        let names: Vec<&str> =
            (0..n).filter(|&v| sets.find(v) == island).take(4).map(|v| net.nodes()[v].as_str()).collect();
        return Err(Error::Input {
            field: format!("island of {}", names.join(", ")),
            got: format!("{id} feeds it, but nothing joins it to the return"),
            expected: "a branch or source between it and the node 'return'".into(),
            hint: "draw its negative, or use the node 'return' for it".into(),
        });
    }
    let nothing = fed.is_empty();
    Ok((0..n).map(|v| v != 0 && (nothing || sets.find(v) != 0)).collect())
}

/// Ends and indices of the loads between two nodes neither of which is the return, as far as they are resistors.
fn links(net: &Network, values: &Values) -> Vec<((usize, usize), usize)> {
    let loads = net.loads().iter().enumerate();
    loads
        .filter(|(k, l)| l.from != 0 && l.to != 0 && matches!(values.draw[*k], Draw::Ohms(_)))
        .map(|(k, l)| ((l.from, l.to), k))
        .collect()
}

/// Whether every voltage is determined: a converter at its limit gives a current, which needs something that holds volts.
fn determined(net: &Network, values: &Values, dark: &[bool]) -> Result<(), Error> {
    let feeds = net.converters();
    let Some(limited) = (0..feeds.len()).find(|&k| values.mode[k] == Mode::Limited) else {
        return Ok(());
    };
    let mut sets = Sets::new(net.nodes().len());
    for (branch, _) in net.branches().iter().zip(&values.conducts).filter(|(_, on)| **on) {
        sets.join(branch.from, branch.to);
    }
    for (source, _) in net.sources().iter().zip(&values.source_on).filter(|(_, on)| **on) {
        sets.join(source.from, source.to);
    }
    for (feed, _) in feeds.iter().zip(&values.mode).filter(|(_, mode)| **mode == Mode::Held) {
        sets.join(feed.output.from, feed.output.to);
    }
    for (load, _) in net.loads().iter().zip(&values.draw).filter(|(_, d)| matches!(d, Draw::Ohms(_))) {
        sets.join(load.from, load.to);
    }
    let Some(lost) = (1..dark.len()).find(|&v| !dark[v] && sets.find(v) != 0) else {
        return Ok(());
    };
    let own = (0..feeds.len())
        .find(|&k| values.mode[k] == Mode::Limited && sets.find(feeds[k].output.from) == sets.find(lost))
        .unwrap_or(limited);
    let output = &feeds[own].output;
    Err(Error::NoSolution {
        what: format!(
            "the loads behind {} at {} want more than its limit of {} at {}, {} in all",
            output.id,
            net.nodes()[output.from],
            show(output.part.limit),
            show(output.part.output),
            show(output.part.limit * output.part.output),
        ),
        hint: "a larger converter, fewer loads at a time, or a battery beside it".into(),
    })
}

/// A reference voltage for each node, equal along every rail; the voltage itself where it is known.
///
/// It is the highest that a source could put there, so that no true voltage lies above it.
fn references(net: &Network, values: &Values, roots: &[(usize, f64)]) -> Vec<f64> {
    let n = roots.len();
    let is_known = |v: usize| roots[v].0 == 0;
    let mut rails = Sets::new(n);
    for (v, (root, _)) in roots.iter().enumerate() {
        if *root != 0 {
            rails.join(v, *root);
        }
    }
    for (branch, _) in net.branches().iter().zip(&values.conducts).filter(|(_, on)| **on) {
        if !is_known(branch.from) && !is_known(branch.to) {
            rails.join(branch.from, branch.to);
        }
    }
    // Highest candidate of each rail, by its name; a rail with a tie inside is offset by it.
    let rail: Vec<usize> = (0..n).map(|v| rails.find(v)).collect();
    let mut highest: Vec<Option<f64>> = vec![None; n];
    let offer = |v: usize, volts: f64, highest: &mut [Option<f64>]| -> bool {
        if is_known(v) {
            return false;
        }
        let own = &mut highest[rail[v]];
        let volts = volts - roots[v].1;
        let better = own.is_none_or(|h| volts > h);
        if better {
            *own = Some(volts);
        }
        better
    };
    for branch in net.branches() {
        for (known, other) in [(branch.from, branch.to), (branch.to, branch.from)] {
            if is_known(known) && roots[known].1 != 0.0 {
                offer(other, roots[known].1, &mut highest);
            }
        }
    }
    // Sources may stand on each other: as many rounds as that takes, few in any real network.
    for _ in 0..8 {
        let mut moved = false;
        let at = |v: usize, highest: &[Option<f64>]| {
            if is_known(v) { roots[v].1 } else { highest[rail[v]].unwrap_or(0.0) + roots[v].1 }
        };
        for (k, source) in net.sources().iter().enumerate().filter(|(k, _)| values.source_on[*k]) {
            let volts = at(source.to, &highest) + values.emf[k];
            moved |= offer(source.from, volts, &mut highest);
        }
        for (k, feed) in net.converters().iter().enumerate() {
            if matches!(values.mode[k], Mode::Held | Mode::Limited) {
                let volts = at(feed.output.to, &highest) + feed.output.part.output.si();
                moved |= offer(feed.output.from, volts, &mut highest);
            }
        }
        if !moved {
            break;
        }
    }
    (0..n)
        .map(|v| if is_known(v) { roots[v].1 } else { highest[rail[v]].unwrap_or(0.0) + roots[v].1 })
        .collect()
}
