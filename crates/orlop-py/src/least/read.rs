//! The tables of the question: the tree, and a list of sizes.

use crate::asked::Asked;
use crate::columns::Columns;
use crate::errors::{OrRaise, raise};
use orlop::Error;
use orlop::conductor::{Conductor, Material};
use orlop::network::least::{FeedRun, FeedTree, ListedSize, Objective, Offer};
use orlop_units::{
    ConductorSize, OneWay, ResistancePerLength, Temperature, Voltage, amperes, kilograms_per_metre, metres,
    volts,
};
use pyo3::prelude::*;

/// Name of the only scenario.
const ONLY: &str = "all";
const KNOWN: &str = "id, parent, one_way_m or loop_m, current_a or load_a, max_drop_v, size, and for a scenario columns such as \
                     day_current_a, day_load_a, day_max_drop_v";

/// The tree as it was read.
pub struct Rows {
    scenarios: Vec<String>,
    runs: Vec<FeedRun>,
    /// Currents are drawn at the ends of runs.
    loads: bool,
}

impl Rows {
    /// Permits a drop at each end of the tree for which nothing is said.
    pub fn permit_at_ends(&mut self, most: Voltage) {
        let fed: std::collections::BTreeSet<String> =
            self.runs.iter().filter_map(|run| run.parent.clone()).collect();
        for run in self.runs.iter_mut().filter(|run| !fed.contains(&run.id)) {
            run.permitted.iter_mut().for_each(|p| *p = p.or(Some(most)));
        }
    }

    /// The question.
    pub fn into_tree(
        self,
        offer: Offer,
        objective: Objective,
        at_most_sizes: Option<usize>,
    ) -> Result<FeedTree, Error> {
        let tree = FeedTree { scenarios: self.scenarios, runs: self.runs, offer, objective, at_most_sizes };
        if self.loads { tree.with_loads_summed() } else { Ok(tree) }
    }
}

/// The scenario of a column that ends so; none for another column.
fn scenario<'a>(name: &'a str, end: &str) -> Option<&'a str> {
    match name.strip_suffix(end)? {
        "" => Some(ONLY),
        prefix => prefix.strip_suffix('_').filter(|s| !s.is_empty()),
    }
}

/// Reads the tree.
pub fn tree(asked: &mut Asked, value: &Bound<'_, PyAny>) -> PyResult<Rows> {
    let py = value.py();
    let table = Columns::read(value, "tree")?;
    asked.table("tree", &table);
    let names: Vec<&str> = table.all().iter().map(|(name, _)| name.as_str()).collect();
    let ending = |end: &str| -> Vec<(&str, &str)> {
        names.iter().filter_map(|name| scenario(name, end).map(|s| (s, *name))).collect()
    };
    let (through, drawn, drops) = (ending("current_a"), ending("load_a"), ending("max_drop_v"));
    let plain = ["id", "parent", "one_way_m", "loop_m", "size"];
    let read = |name: &str| {
        plain.contains(&name)
            || [&through, &drawn, &drops].iter().any(|some| some.iter().any(|(_, n)| *n == name))
    };
    if let Some(name) = names.iter().find(|name| !read(name)) {
        return Err(raise(py, &Error::input("tree", format!("a column '{name}'"), KNOWN)));
    }
    let (loads, currents) = match (through.is_empty(), drawn.is_empty()) {
        (false, true) => (false, through),
        (true, false) => (true, drawn),
        (both, _) => {
            let error = Error::Input {
                field: "tree".into(),
                got: if both { "neither current_a nor load_a" } else { "both current_a and load_a" }.into(),
                expected: "exactly one of current_a and load_a, for all scenarios".into(),
                hint: "current_a flows through a run; load_a is drawn at its end, and what flows is summed"
                    .into(),
            };
            return Err(raise(py, &error));
        }
    };
    let ids = table.needed(py, table.texts(py, "id")?, "id")?;
    let parents = table.optional_texts(py, "parent")?;
    let lengths = lengths(py, &table)?;
    let sizes = table
        .optional_texts(py, "size")?
        .into_iter()
        .zip(&ids)
        .map(|(size, id)| {
            let size = size.filter(|s| !s.trim().is_empty());
            size.map(|s| ConductorSize::parse(&s, &format!("{id}: size"))).transpose().map_err(Error::from)
        })
        .collect::<Result<Vec<_>, _>>()
        .or_raise(py)?;
    let amounts = currents
        .iter()
        .map(|(_, name)| numbers(py, &table, name, loads.then_some(0.0)))
        .collect::<PyResult<Vec<_>>>()?;
    let scenarios: Vec<String> = currents.iter().map(|(s, _)| (*s).to_string()).collect();
    let permitted = permitted(py, &table, &scenarios, &drops)?;
    let runs = ids.into_iter().enumerate().map(|(row, id)| FeedRun {
        id,
        parent: parents[row].clone().filter(|p| !p.is_empty()),
        one_way: lengths[row],
        currents: amounts.iter().map(|column| amperes(column[row])).collect(),
        permitted: permitted.iter().map(|column| column[row]).collect(),
        size: sizes[row],
    });
    Ok(Rows { runs: runs.collect(), scenarios, loads })
}

/// A column of numbers; `empty` stands for cells in which nothing stands, if they may be empty.
fn numbers(py: Python<'_>, table: &Columns, name: &str, empty: Option<f64>) -> PyResult<Vec<f64>> {
    let column = table.needed(py, table.numbers(py, name)?, name)?;
    let cell = |(row, value): (usize, &f64)| match (value.is_nan(), empty) {
        (false, _) => Ok(*value),
        (true, Some(empty)) => Ok(empty),
        (true, None) => {
            let got = format!("nothing in row {}", row + 1);
            Err(raise(py, &Error::input(name, got, "a number in every row")))
        }
    };
    column.iter().enumerate().map(cell).collect()
}

fn lengths(py: Python<'_>, table: &Columns) -> PyResult<Vec<OneWay>> {
    let (one_way, out_and_back) = (table.numbers(py, "one_way_m")?, table.numbers(py, "loop_m")?);
    let (name, legs) = match (one_way, out_and_back) {
        (Some(_), None) => ("one_way_m", 1.0),
        (None, Some(_)) => ("loop_m", 2.0),
        (one_way, _) => {
            let error = crate::asked::ambiguous(one_way.is_some(), "the columns one_way_m and loop_m");
            return Err(raise(py, &error));
        }
    };
    Ok(numbers(py, table, name, None)?.into_iter().map(|m| OneWay(metres(m / legs))).collect())
}

/// Permitted drops: for each scenario a column.
fn permitted(
    py: Python<'_>,
    table: &Columns,
    scenarios: &[String],
    drops: &[(&str, &str)],
) -> PyResult<Vec<Vec<Option<Voltage>>>> {
    let column = |name: &str| -> PyResult<Vec<Option<Voltage>>> {
        let column = table.numbers(py, name)?.unwrap_or_default();
        Ok(column.iter().map(|v| (!v.is_nan()).then(|| volts(*v))).collect())
    };
    let general = match drops.iter().find(|(_, name)| *name == "max_drop_v") {
        Some((_, name)) => column(name)?,
        None => vec![None; table.rows()],
    };
    let mut all = vec![general; scenarios.len()];
    for (scenario, name) in drops.iter().filter(|(_, name)| *name != "max_drop_v") {
        let Some(at) = scenarios.iter().position(|s| s == scenario) else {
            let got = format!("a column '{name}' of a scenario without currents");
            let expected = format!("max_drop_v, or one of the scenarios {}", scenarios.join(", "));
            return Err(raise(py, &Error::input("tree", got, expected)));
        };
        for (place, own) in all[at].iter_mut().zip(column(name)?) {
            *place = own.or(*place);
        }
    }
    Ok(all)
}

/// Reads a list of sizes.
pub fn list(asked: &mut Asked, value: &Bound<'_, PyAny>) -> PyResult<Vec<ListedSize>> {
    let py = value.py();
    let table = Columns::read(value, "sizes")?;
    table.only(py, &["size", "resistance_ohm_per_m", "mass_kg_per_m", "cost_per_m", "ampacity_a"])?;
    asked.table("sizes", &table);
    let names = table.needed(py, table.texts(py, "size")?, "size")?;
    let resistance = numbers(py, &table, "resistance_ohm_per_m", None)?;
    let optional = |name: &str| -> PyResult<Vec<Option<f64>>> {
        Ok(match table.numbers(py, name)? {
            Some(column) => column.iter().map(|v| (!v.is_nan()).then_some(*v)).collect(),
            None => vec![None; table.rows()],
        })
    };
    let (mass, price, ampacity) =
        (optional("mass_kg_per_m")?, optional("cost_per_m")?, optional("ampacity_a")?);
    let row = |(row, name): (usize, String)| -> Result<ListedSize, Error> {
        let size = ConductorSize::parse(&name, "sizes: size")?;
        let mass = match mass[row] {
            Some(mass) => kilograms_per_metre(mass),
            // That of a cable of this size.
            None => {
                Conductor::new(size, Temperature::celsius(105.0), Material::Copper, true)?.mass_per_length()
            }
        };
        Ok(ListedSize {
            size,
            resistance: ResistancePerLength::ohms_per_metre(resistance[row]),
            mass,
            price: price[row],
            ampacity: ampacity[row].map(amperes),
        })
    };
    names.into_iter().enumerate().map(row).collect::<Result<_, _>>().or_raise(py)
}
