//! The part of the boat that a complaint is about: the ways from the bank to it, what is switched on, what may be at fault.

use super::reading::{FaultReading, What};
use super::symptom::{Sign, Symptom};
use crate::design::Design;
use crate::model::{Boat, Demand, Feeds, LoadState, SourceKind};
use crate::network::Anatomy;
use orlop::Error;
use orlop_units::{Quantity, Voltage};

/// What one search is about.
pub(super) struct Scene<'a> {
    pub design: &'a Design,
    pub boat: &'a Boat,
    pub anatomy: Anatomy,
    /// The bank at the root of all ways.
    pub bank: usize,
    pub bank_node: usize,
    /// Loads complained of, or one that stands for what is complained of.
    pub complained: Vec<usize>,
    /// What is on while something is read.
    pub on: Vec<usize>,
    /// What is on before another load starts, where something dims.
    pub before: Option<Vec<usize>>,
    /// Circuits that may be at fault, those at the bank first.
    pub blamed: Vec<usize>,
    /// Circuits that carry current.
    pub wired: Vec<usize>,
    /// Sources that charge the bank, and the circuit of each.
    pub chargers: Vec<(usize, usize)>,
    /// Converters on the way, and the circuit that feeds each.
    pub converters: Vec<(usize, usize)>,
    /// Nodes where volts may be read, the bank's first.
    pub nodes: Vec<usize>,
    /// Loads that may be tried.
    pub others: Vec<usize>,
}

/// What an address stands for.
struct Subject {
    loads: Vec<usize>,
    node: usize,
}

impl<'a> Scene<'a> {
    pub fn of(design: &'a Design, symptoms: &[Symptom], readings: &[FaultReading]) -> Result<Self, Error> {
        let boat: &Boat = &design.boat;
        let anatomy = Anatomy::of(boat, &design.routes, &design.circuits);
        let mut found = Finder { boat, anatomy: &anatomy };
        let mut subjects = Vec::new();
        let (mut fine, mut cause_of_dip) = (Vec::new(), Vec::new());
        for symptom in symptoms {
            let subject = found.subject(&symptom.at, "symptom")?;
            if symptom.sign == Sign::Works {
                fine.extend(subject.loads.iter().copied());
            } else {
                subjects.push(subject);
            }
            if let Some(when) = &symptom.when {
                cause_of_dip.extend(found.subject(when, "symptom")?.loads);
            }
        }
        if subjects.is_empty() && symptoms.is_empty() {
            // Without a symptom the readings say what it is about: loads if any, else circuits, else what lies above them.
            let at = |section: &str| -> Vec<&String> {
                readings.iter().map(|r| &r.place.at).filter(|at| at.starts_with(section)).collect()
            };
            let about = ["load.", "circuit.", "panel.", "source."].map(at);
            for at in about.into_iter().find(|list| !list.is_empty()).unwrap_or_default() {
                subjects.push(found.subject(at, "reading")?);
            }
        }
        for reading in readings {
            found.exists(&reading.place.at)?;
        }
        if subjects.is_empty() {
            let first = boat.banks.first().ok_or_else(|| {
                Error::input("boat", "no bank", "a boat with a bank, to look for faults in")
            })?;
            subjects.push(found.subject(&format!("bank.{}", first.id), "boat")?);
        }
        let mut others: Vec<usize> = Vec::new();
        for reading in readings.iter().filter(|r| r.place.what == What::Try) {
            others.extend(found.subject(&reading.place.at, "reading")?.loads.first());
        }

        let once = |list: &mut Vec<usize>| {
            let mut seen = Vec::new();
            list.retain(|x| {
                !seen.contains(x) && {
                    seen.push(*x);
                    true
                }
            });
        };
        let mut complained: Vec<usize> = subjects.iter().flat_map(|s| s.loads.iter().copied()).collect();
        complained.sort_unstable();
        complained.dedup();
        subjects.sort_by_key(|s| (found.whole_way(s.node).0.len(), s.node));
        let mut on: Vec<usize> = complained.iter().chain(&fine).chain(&cause_of_dip).copied().collect();
        on.sort_unstable();
        on.dedup();
        let before = (!cause_of_dip.is_empty())
            .then(|| on.iter().copied().filter(|l| !cause_of_dip.contains(l)).collect());

        let (mut blamed, mut wired, mut converters) = (Vec::new(), Vec::new(), Vec::new());
        let mut root = None;
        for subject in &subjects {
            let (way, feeds, bank) = found.whole_way(subject.node);
            root = root.or(bank);
            blamed.extend(way);
            converters.extend(feeds);
        }
        for load in &on {
            let node = anatomy.of_load[*load].expect("subjects have a node");
            let (way, feeds, bank) = found.whole_way(node);
            root = root.or(bank);
            wired.extend(way);
            converters.extend(feeds);
        }
        wired.extend(blamed.iter().copied());
        once(&mut blamed);
        once(&mut wired);
        converters.sort_unstable();
        converters.dedup();
        let bank_node =
            root.ok_or_else(|| Error::input("boat", "a way without a bank", "a bank at its root"))?;
        let bank = boat
            .banks
            .iter()
            .position(|b| format!("bank.{}", b.id) == anatomy.nodes[bank_node])
            .expect("the node of a bank");
        let chargers: Vec<(usize, usize)> = boat
            .circuits
            .iter()
            .enumerate()
            .filter_map(|(c, circuit)| {
                let Feeds::Source(id) = &circuit.feeds else { return None };
                let source = boat.sources.iter().position(|s| s.id == *id)?;
                let converter = boat.sources[source].kind == SourceKind::Converter;
                (!converter && found.whole_way(anatomy.ends[c].1).2 == Some(bank_node)).then_some((source, c))
            })
            .collect();
        let mut nodes = vec![bank_node];
        for c in &blamed {
            nodes.push(anatomy.ends[*c].1);
            let output = |s: &usize| format!("source.{}", boat.sources[*s].id);
            let feeds = converters.iter().filter(|(_, feeder)| feeder == c);
            nodes.extend(feeds.filter_map(|(s, _)| anatomy.nodes.iter().position(|n| *n == output(s))));
        }
        once(&mut nodes);
        for panel in nodes.iter().filter(|n| anatomy.nodes[**n].starts_with("panel.")) {
            others.extend(found.sibling(*panel, &on));
        }
        once(&mut others);
        Ok(Self {
            design,
            boat,
            bank,
            bank_node,
            complained,
            on,
            before,
            blamed,
            wired,
            chargers,
            converters,
            nodes,
            others,
            anatomy,
        })
    }

    /// The nominal voltage of what lies behind a circuit's beginning.
    pub fn nominal(&self, node: usize) -> f64 {
        let mut here = node;
        while let Some(circuit) = self.anatomy.ended_by[here] {
            here = self.anatomy.ends[circuit].0;
        }
        let id = &self.anatomy.nodes[here];
        let source = id.strip_prefix("source.").and_then(|id| self.boat.source(id));
        source.and_then(|s| s.nominal).unwrap_or(self.boat.nominal).si()
    }

    /// The node that an address names; none where it names none.
    pub fn node(&self, address: &str) -> Option<usize> {
        if let Some(id) = address.strip_prefix("load.") {
            let load = self.boat.loads.iter().position(|l| l.id == id)?;
            return self.anatomy.of_load[load];
        }
        self.anatomy.nodes.iter().position(|n| n == address)
    }

    /// The usual address of a node: that of a load where one is complained of there.
    pub fn address(&self, node: usize) -> String {
        let here = |l: &&usize| self.anatomy.of_load[**l] == Some(node);
        let load = self.complained.iter().find(here).or_else(|| self.on.iter().find(here));
        load.map_or_else(|| self.anatomy.nodes[node].clone(), |l| format!("load.{}", self.boat.loads[*l].id))
    }

    /// A thing for people: its name and its id.
    pub fn name(&self, address: &str) -> String {
        let name = crate::survey::gather::place(self.design, address);
        let id = address.split_once('.').map_or("", |(_, id)| id);
        // What stands behind the first comma or colon is a remark.
        let name = name.split([',', ':', ';']).next().unwrap_or_default().trim();
        if name.is_empty() || name == address { address.replace('.', " ") } else { format!("{name} ({id})") }
    }

    /// What is switched on, in words.
    pub fn switched_on(&self) -> String {
        let names: Vec<String> =
            self.on.iter().map(|l| self.name(&format!("load.{}", self.boat.loads[*l].id))).collect();
        names.join(", ")
    }
}

struct Finder<'a> {
    boat: &'a Boat,
    anatomy: &'a Anatomy,
}

impl Finder<'_> {
    fn subject(&mut self, address: &str, field: &str) -> Result<Subject, Error> {
        let unknown = |expected: String| Err(Error::input(field, format!("'{address}'"), expected));
        let Some((section, id)) = address.split_once('.') else {
            return unknown("an address such as load.F1 or panel.FWD".into());
        };
        let boat = self.boat;
        let ids = |list: Vec<&String>| -> String {
            let list: Vec<String> = list.into_iter().map(|i| format!("{section}.{i}")).collect();
            format!("one of {}", list.join(", "))
        };
        let node_id = match section {
            "load" => {
                let Some(load) = boat.loads.iter().position(|l| l.id == id) else {
                    return unknown(ids(boat.loads.iter().map(|l| &l.id).collect()));
                };
                let Some(node) = self.anatomy.of_load[load] else {
                    return unknown("a load that a circuit feeds".into());
                };
                return Ok(Subject { loads: vec![load], node });
            }
            "circuit" => {
                let Some(circuit) = boat.circuits.iter().position(|c| c.id == id) else {
                    return unknown(ids(boat.circuits.iter().map(|c| &c.id).collect()));
                };
                self.anatomy.ends[circuit].1
            }
            "panel" | "bank" | "source" => match self.anatomy.nodes.iter().position(|n| n == address) {
                Some(node) => node,
                None if section == "panel" => {
                    return unknown(ids(boat.panels.iter().map(|p| &p.id).collect()));
                }
                None if section == "bank" => {
                    return unknown(ids(boat.banks.iter().map(|b| &b.id).collect()));
                }
                None => return unknown(ids(boat.sources.iter().map(|s| &s.id).collect())),
            },
            _ => return unknown("an address of a load, circuit, panel, bank or source".into()),
        };
        let Some(load) = self.stands_for(node_id) else {
            return unknown("a part of the boat that feeds a load".into());
        };
        Ok(Subject { loads: vec![load], node: node_id })
    }

    /// # Errors
    /// [`Error::Input`] for an address that the boat does not have.
    fn exists(&mut self, address: &str) -> Result<(), Error> {
        let circuit = address.strip_prefix("circuit.").is_some_and(|id| self.boat.circuit(id).is_some());
        if circuit { Ok(()) } else { self.subject(address, "reading").map(|_| ()) }
    }

    /// The load that shows best what happens at a node: the largest of those up to 30 A behind it, else the smallest.
    fn stands_for(&self, node: usize) -> Option<usize> {
        let behind = |l: &usize| {
            self.anatomy.of_load[*l].is_some_and(|n| {
                let (way, _, root) = self.whole_way(n);
                n == node
                    || root == Some(node)
                    || way.iter().any(|c| self.anatomy.ends[*c].1 == node)
                    || self.converter_of(node).is_some_and(|f| way.contains(&f))
            })
        };
        let mut all: Vec<(usize, f64)> =
            (0..self.boat.loads.len()).filter(behind).map(|l| (l, amperes(self.boat, l))).collect();
        all.sort_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        all.iter().rfind(|(_, i)| *i <= 30.0).or(all.first()).map(|(l, _)| *l)
    }

    fn converter_of(&self, node: usize) -> Option<usize> {
        let id = self.anatomy.nodes[node].strip_prefix("source.")?;
        self.boat.circuits.iter().position(|c| matches!(&c.feeds, Feeds::Converter(x) if x == id))
    }

    /// Circuits from the bank to a node, through converters; the converters with their circuits; the node of the bank.
    fn whole_way(&self, node: usize) -> (Vec<usize>, Vec<(usize, usize)>, Option<usize>) {
        let (mut way, mut feeds) = (self.anatomy.way(node), Vec::new());
        for _ in 0..self.boat.sources.len() {
            let root = way.first().map_or(node, |c| self.anatomy.ends[*c].0);
            let Some(feeder) = self.converter_of(root) else { break };
            let id = self.anatomy.nodes[root].trim_start_matches("source.");
            feeds.extend(self.boat.sources.iter().position(|s| s.id == id).map(|s| (s, feeder)));
            let mut above = self.anatomy.way(self.anatomy.ends[feeder].1);
            above.append(&mut way);
            way = above;
        }
        let root = way.first().map_or(node, |c| self.anatomy.ends[*c].0);
        let bank = self.anatomy.nodes[root].starts_with("bank.").then_some(root);
        (way, feeds, bank)
    }

    /// Another load straight on a panel, the largest up to 10 A.
    fn sibling(&self, panel: usize, on: &[usize]) -> Option<usize> {
        let straight = |l: &usize| {
            let node = self.anatomy.of_load[*l];
            let circuit = node.and_then(|n| self.anatomy.ended_by[n]);
            circuit.is_some_and(|c| self.anatomy.ends[c].0 == panel) && !on.contains(l)
        };
        let all = (0..self.boat.loads.len()).filter(straight).map(|l| (l, amperes(self.boat, l)));
        all.filter(|(_, i)| *i <= 10.0).max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0))).map(|x| x.0)
    }
}

/// What a load draws at nominal voltage when it runs.
pub(super) fn amperes(boat: &Boat, load: usize) -> f64 {
    let nominal: Voltage = boat.nominal;
    match boat.loads[load].demand_in(LoadState::Run) {
        Demand::Power(p) => (p.q / nominal).si(),
        Demand::Current(i) => i.q.si(),
        Demand::Resistance(r) => (nominal / r.q).si(),
    }
}
