//! The feed tree: which circuit feeds where each circuit starts, and at which voltages.

use crate::model::{Boat, Feeds, SourceKind};
use orlop_units::Voltage;
use std::collections::BTreeMap;

/// What a circuit lives behind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum SupplyKind {
    /// A bank, with its service window.
    Bank,
    /// The output of a converter, at one voltage.
    Converter,
}

/// The bank or converter at the root of a circuit, and its voltages.
#[derive(Clone, Debug, PartialEq)]
pub struct Supply {
    /// Its id.
    pub id: String,
    /// What it is.
    pub kind: SupplyKind,
    /// Nominal voltage.
    pub nominal: Voltage,
    /// Lowest service voltage.
    pub lowest: Voltage,
    /// Highest voltage with sources charging.
    pub highest: Voltage,
}

/// Who feeds whom.
#[derive(Clone, Debug)]
pub struct FeedTree {
    ids: Vec<String>,
    index: BTreeMap<String, usize>,
    parent: Vec<Option<usize>>,
    children: Vec<Vec<usize>>,
    supply: Vec<Supply>,
}

impl FeedTree {
    /// The feed tree of a boat, in time linear in its circuits.
    ///
    /// A ring, which the reader of boat files refuses, is cut where it closes.
    #[must_use]
    pub fn new(boat: &Boat) -> Self {
        let ids: Vec<String> = boat.circuits.iter().map(|c| c.id.clone()).collect();
        let index = ids.iter().enumerate().map(|(at, id)| (id.clone(), at)).collect();
        let fed_by: BTreeMap<&str, usize> = boat
            .circuits
            .iter()
            .enumerate()
            .filter_map(|(at, c)| match &c.feeds {
                Feeds::Panel(id) | Feeds::Converter(id) => Some((id.as_str(), at)),
                Feeds::Loads(_) | Feeds::Source(_) => None,
            })
            .collect();
        let mut parent: Vec<Option<usize>> =
            boat.circuits.iter().map(|c| fed_by.get(c.from.as_str()).copied()).collect();
        cut_rings(&mut parent);
        let mut children = vec![Vec::new(); ids.len()];
        for (at, up) in parent.iter().enumerate() {
            if let Some(up) = up {
                children[*up].push(at);
            }
        }
        let supplies = supplies(boat);
        let mut known: Vec<Option<Supply>> = vec![None; ids.len()];
        for at in 0..ids.len() {
            let mut way = vec![at];
            let found = loop {
                let here = way[way.len() - 1];
                let from = boat.circuits[here].from.as_str();
                if let Some(supply) = known[here].as_ref().or_else(|| supplies.get(from)) {
                    break supply.clone();
                }
                match parent[here] {
                    Some(up) => way.push(up),
                    None => break fixed(from, SupplyKind::Bank, boat.nominal),
                }
            };
            for here in way {
                known[here] = Some(found.clone());
            }
        }
        let supply = known.into_iter().flatten().collect();
        Self { ids, index, parent, children, supply }
    }

    /// Circuits from this one up to the one that starts at a bank or converter, this one first.
    ///
    /// A converter restarts the drop budget, so the way ends there. Empty for an unknown circuit.
    #[must_use]
    pub fn path_to_root(&self, circuit: &str) -> Vec<String> {
        let mut way: Vec<String> = Vec::new();
        let Some(mut here) = self.at(circuit) else { return way };
        way.push(self.ids[here].clone());
        while let Some(up) = self.parent[here].filter(|up| self.supply[*up].id == self.supply[here].id) {
            way.push(self.ids[up].clone());
            here = up;
        }
        way
    }

    /// The circuit that feeds where this one starts: the input of a converter, too. None at a bank.
    #[must_use]
    pub fn parent(&self, circuit: &str) -> Option<&str> {
        self.parent[self.at(circuit)?].map(|up| self.ids[up].as_str())
    }

    /// Circuits that start where this one ends, or behind the converter it feeds, in the order of the file.
    #[must_use]
    pub fn children(&self, circuit: &str) -> Vec<&str> {
        let Some(at) = self.at(circuit) else { return Vec::new() };
        self.children[at].iter().map(|c| self.ids[*c].as_str()).collect()
    }

    /// What a circuit lives behind.
    #[must_use]
    pub fn supply(&self, circuit: &str) -> Option<&Supply> {
        self.at(circuit).map(|at| &self.supply[at])
    }

    pub(super) fn at(&self, circuit: &str) -> Option<usize> {
        self.index.get(circuit).copied()
    }
    pub(crate) fn parent_at(&self, at: usize) -> Option<usize> {
        self.parent[at]
    }
    pub(super) fn supply_at(&self, at: usize) -> &Supply {
        &self.supply[at]
    }
}

fn cut_rings(parent: &mut [Option<usize>]) {
    // 0 not seen, 1 on the way being walked, 2 done.
    let mut state = vec![0_u8; parent.len()];
    for start in 0..parent.len() {
        let mut way = Vec::new();
        let mut here = Some(start);
        while let Some(at) = here.filter(|at| state[*at] == 0) {
            state[at] = 1;
            way.push(at);
            here = parent[at].filter(|up| state[*up] != 2);
            if here.is_some_and(|up| state[up] == 1) {
                parent[at] = None;
                here = None;
            }
        }
        for at in way {
            state[at] = 2;
        }
    }
}

fn supplies(boat: &Boat) -> BTreeMap<&str, Supply> {
    let banks = boat.banks.iter().map(|b| {
        let (id, kind) = (b.id.clone(), SupplyKind::Bank);
        (b.id.as_str(), Supply { id, kind, nominal: b.nominal, lowest: b.lowest, highest: b.highest })
    });
    let converters = boat
        .sources
        .iter()
        .filter(|s| s.kind == SourceKind::Converter)
        .map(|s| (s.id.as_str(), fixed(&s.id, SupplyKind::Converter, s.nominal.unwrap_or(boat.nominal))));
    banks.chain(converters).collect()
}

fn fixed(id: &str, kind: SupplyKind, nominal: Voltage) -> Supply {
    Supply { id: id.into(), kind, nominal, lowest: nominal, highest: nominal }
}
