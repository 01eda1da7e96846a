//! Least copper: the sizes of a whole feed tree at once.

mod purchase;
mod read;

pub use purchase::Purchase;

use crate::asked::Asked;
use crate::circuit::permitted;
use crate::conductor::series_named;
use crate::convert::{self, out};
use crate::errors::{OrRaise, raise};
use crate::html::sheet;
use crate::run::run;
use crate::table::Table;
use crate::working::Working;
use orlop::circuit::{CircuitQuestion, Supply};
use orlop::conductor::{Material, SpaceKind};
use orlop::error::positive;
use orlop::network::least::{FeedSizes, FeedTree, Objective, Offer};
use orlop::rules::{Bundling, DeviceRating, RuleSetId};
use orlop::{Error, Working as Steps};
use orlop_units::{
    ConductorSize, Fraction, Length, Loop, Quantity, Voltage, amperes, kilograms, show, significant, volts,
};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString, PyTuple};

type Any<'a, 'py> = Option<&'a Bound<'py, PyAny>>;

/// Sizes a whole feed tree: the lightest or cheapest conductors with which every load still gets its volts, exact.
///
/// Feeder and branches share each permitted drop. Sizing them one by one shares it out by feel; this takes the sizes together
/// and proves that nothing less would do, for currents that are fixed and conductors as warm as the largest of them makes each.
/// Give a load of constant power the current that it draws at the lowest service voltage.
///
/// Parameters
/// ----------
/// tree : dict of columns, or any table with the Arrow stream interface
///     One row for each run of conductor (both legs of one size):
///
///     * ``id``, and ``parent``: the run it hangs on, null at the source;
///     * ``one_way_m`` from end to end counted once, or ``loop_m`` out and back;
///     * ``current_a`` that flows through the run, or ``load_a`` that is drawn at its end (null for nothing), of which the
///       currents are then summed; for several scenarios one column each, as ``day_current_a`` and ``night_current_a``;
///     * ``max_drop_v``, optional: permitted from the source to the end of the run, null for no promise; for one scenario
///       alone ``night_max_drop_v``;
///     * ``size``, optional: a size that is there already, null where it is to be chosen.
/// sizes : {"awg", "sae", "metric"} or table
///     A standard series, of which each run is offered the sizes that keep ampacity, heat balance and smallest area; or a list
///     that is taken as it is: columns ``size`` and ``resistance_ohm_per_m``, optionally ``mass_kg_per_m``, ``cost_per_m`` and
///     ``ampacity_a``, each for a metre of one conductor.
/// rules : {"us-small-craft", "iso-small-craft"}
///     Asked for with a series; there is no default. The drop by its formula must then be kept, too.
/// max_drop : str or quantity, optional
///     Permitted at each run on which nothing hangs and for which the table says nothing: volts, or with ``nominal`` a share
///     "3 %", "critical" or "general".
/// nominal : str or quantity, optional
///     Nominal voltage; asked for with a share, and with devices.
/// objective : {"mass", "cost"}
///     What should be least; mass unless stated.
/// at_most_sizes : int, optional
///     The most different sizes that may be bought.
/// prices : dict, optional
///     Size to money for a metre of one conductor, for a series. What has no price is not for sale.
/// insulation, material, tinned, space, ambient, bundled, minimum_size, bundling, device_rating :
///     As for :func:`size_circuit`, the same for all runs.
/// families : list of str, optional
///     Device families, where each run has a device of its own at its start; the device must then fit the conductor, and its
///     resistance counts. Without it no devices.
///
/// Raises
/// ------
/// NoSolution
///     When no sizes keep everything, naming the run and what it lacks.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> best = orlop.least_copper(
/// ...     {
/// ...         "id": ["feeder", "lamps", "pump"],
/// ...         "parent": [None, "feeder", "feeder"],
/// ...         "one_way_m": [5.0, 4.0, 2.0],
/// ...         "load_a": [None, 4.0, 12.0],
/// ...     },
/// ...     sizes="metric", rules="iso-small-craft", nominal="12 V", max_drop="3 %",
/// ... )
/// >>> best.sizes
/// {'feeder': '16 mm2', 'lamps': '6 mm2', 'pump': '10 mm2'}
/// >>> print(f"{best.mass:.1f}")
/// 2.7 kilogram
#[pyfunction]
#[pyo3(signature = (tree, *, sizes, rules=None, max_drop=None, nominal=None, objective=None, at_most_sizes=None, prices=None,
    insulation=None, material=None, tinned=None, space=None, ambient=None, bundled=None, families=None, minimum_size=None,
    bundling=None, device_rating=None))]
#[allow(clippy::too_many_arguments)] // the arguments are the question
pub fn least_copper(
    py: Python<'_>,
    tree: &Bound<'_, PyAny>,
    sizes: &Bound<'_, PyAny>,
    rules: Any<'_, '_>,
    max_drop: Any<'_, '_>,
    nominal: Any<'_, '_>,
    objective: Any<'_, '_>,
    at_most_sizes: Any<'_, '_>,
    prices: Any<'_, '_>,
    insulation: Any<'_, '_>,
    material: Any<'_, '_>,
    tinned: Option<bool>,
    space: Any<'_, '_>,
    ambient: Any<'_, '_>,
    bundled: Any<'_, '_>,
    families: Any<'_, '_>,
    minimum_size: Any<'_, '_>,
    bundling: Any<'_, '_>,
    device_rating: Any<'_, '_>,
) -> PyResult<LeastCopper> {
    let mut asked = Asked::default();
    let mut table = read::tree(&mut asked, tree)?;
    let volts_nominal: Option<Voltage> =
        asked.optional("nominal", nominal)?.map(|v| positive(v, "nominal")).transpose().or_raise(py)?;
    let rules: Option<RuleSetId> = rules.map(|r| asked.word("rules", r, RuleSetId::parse)).transpose()?;
    if let Some(most) = max_drop {
        let most = drop_at_ends(&mut asked, most, rules, volts_nominal)?;
        table.permit_at_ends(most);
    }
    let offer = if sizes.is_instance_of::<PyString>() {
        let system = asked.word("sizes", sizes, series_named)?;
        let Some(rules) = rules else {
            let expected = format!("one of {}; there is no default", RuleSetId::WORDS.join(", "));
            return Err(raise(py, &Error::input("rules", "none", expected)));
        };
        // Without devices nothing depends on the voltage.
        let supply = Supply::nominal(volts_nominal.unwrap_or(volts(12.0))).or_raise(py)?;
        // Current and length are those of each run.
        let mut q = CircuitQuestion::new(amperes(1.0), Loop(Length::from_si(1.0)), rules, system, supply);
        if let Some(insulation) = insulation {
            q.insulation = asked.quantity("insulation", insulation)?;
        }
        if let Some(material) = material {
            q.material = asked.word("material", material, Material::parse)?;
        }
        q.tinned = match tinned {
            Some(tinned) => asked.flag("tinned", tinned),
            None => q.material == Material::Copper,
        };
        if let Some(space) = space {
            q.space = asked.word("space", space, SpaceKind::parse)?;
        }
        q.ambient = asked.optional("ambient", ambient)?;
        q.bundled = bundled.map_or(Ok(2), |n| asked.count("bundled", n))?;
        q.minimum_size = asked.size("minimum_size", minimum_size)?;
        q.families = asked
            .words("families", families, "a list of ids of families, see orlop.families()")?
            .unwrap_or_default();
        for id in &q.families {
            orlop::protection::family(id).or_raise(py)?;
        }
        if !q.families.is_empty() && volts_nominal.is_none() {
            return Err(raise(py, &Error::input("nominal", "none", "the nominal voltage, for the devices")));
        }
        if let Some(word) = bundling {
            q.options.bundling = asked.word("bundling", word, Bundling::parse)?;
        }
        if let Some(word) = device_rating {
            q.options.device_rating = asked.word("device_rating", word, DeviceRating::parse)?;
        }
        Offer::Series { common: Box::new(q), prices: money(&mut asked, prices)? }
    } else {
        let unread = [
            ("rules", rules.is_some()),
            ("prices", prices.is_some()),
            ("insulation", insulation.is_some()),
            ("material", material.is_some()),
            ("tinned", tinned.is_some()),
            ("space", space.is_some()),
            ("ambient", ambient.is_some()),
            ("bundled", bundled.is_some()),
            ("families", families.is_some()),
            ("minimum_size", minimum_size.is_some()),
            ("bundling", bundling.is_some()),
            ("device_rating", device_rating.is_some()),
        ];
        if let Some((name, _)) = unread.iter().find(|(_, given)| *given) {
            let got = "given beside a list of sizes";
            let expected = "nothing: a list is taken as it is, only a series (awg, sae, metric) asks for it";
            return Err(raise(py, &Error::input(name, got, expected)));
        }
        Offer::Listed(read::list(&mut asked, sizes)?)
    };
    let objective =
        objective.map_or(Ok(Objective::Mass), |o| asked.word("objective", o, Objective::parse))?;
    let at_most_sizes =
        at_most_sizes.map(|n| asked.count("at_most_sizes", n)).transpose()?.map(|n| n as usize);
    let tree = table.into_tree(offer, objective, at_most_sizes).or_raise(py)?;
    let answer = run(py, || tree.solve())?;
    Ok(LeastCopper { answer, asked })
}

/// Volts permitted at the ends of the tree.
fn drop_at_ends(
    asked: &mut Asked,
    most: &Bound<'_, PyAny>,
    rules: Option<RuleSetId>,
    nominal: Option<Voltage>,
) -> PyResult<Voltage> {
    let py = most.py();
    let word =
        most.cast::<PyString>().is_ok_and(|t| matches!(t.to_string_lossy().trim(), "critical" | "general"));
    let share = if word {
        let Some(rules) = rules else {
            return Err(raise(
                py,
                &Error::input("rules", "none", "the rule set whose permitted drop is meant"),
            ));
        };
        permitted(asked, most, rules)?
    } else if convert::quantity::<Fraction>(most, "max_drop").is_ok() {
        asked.quantity("max_drop", most)?
    } else {
        return positive(asked.quantity("max_drop", most)?, "max_drop").or_raise(py);
    };
    let Some(nominal) = nominal else {
        let got = format!("{}, but no nominal voltage", show(share));
        return Err(raise(py, &Error::input("max_drop", got, "a share together with nominal=, or volts")));
    };
    if !(share.value() > 0.0 && share.value() < 1.0) {
        let expected = "a percentage between 0 % and 100 %";
        return Err(raise(py, &Error::input("max_drop", show(share), expected)));
    }
    Ok(nominal * share.value())
}

/// Money by size.
fn money(asked: &mut Asked, prices: Any<'_, '_>) -> PyResult<Vec<(ConductorSize, f64)>> {
    let Some(prices) = prices else { return Ok(Vec::new()) };
    let py = prices.py();
    let expected = "a dict of size to money for a metre of one conductor, such as {\"6 mm2\": 1.90}";
    let refused = |got: String| raise(py, &Error::input("prices", got, expected));
    let Ok(dict) = prices.cast::<PyDict>() else { return Err(refused(convert::short(prices)?)) };
    let mut all: Vec<(ConductorSize, f64)> = Vec::new();
    for (size, money) in dict {
        let size = convert::size(&size, "prices")?;
        let Ok(money) = money.extract::<f64>() else {
            return Err(refused(format!("{} for {size}", convert::short(&money)?)));
        };
        if all.iter().any(|(other, _)| *other == size) {
            return Err(refused(format!("{size} twice")));
        }
        all.push((size, money));
    }
    if all.is_empty() {
        return Err(refused("an empty dict".into()));
    }
    asked.numbers("prices", all.iter().map(|(size, money)| (size.to_string(), *money)).collect());
    Ok(all)
}

/// The sizes of a feed tree at least mass or cost, with the proof.
///
/// Examples
/// --------
/// >>> import orlop
/// >>> best = orlop.least_copper(
/// ...     {"id": ["feeder", "lamp"], "parent": [None, "feeder"], "one_way_m": [4, 3], "current_a": [30, 5],
/// ...      "max_drop_v": [None, 0.36]},
/// ...     sizes={"size": ["4 mm2", "10 mm2", "16 mm2", "25 mm2"], "resistance_ohm_per_m": [4.45e-3, 1.78e-3, 1.1125e-3, 7.12e-4],
/// ...            "mass_kg_per_m": [0.0356, 0.089, 0.1424, 0.2225]},
/// ... )
/// >>> best
/// LeastCopper(2 runs, 1.67 kg, sizes 10 mm2, 16 mm2, proven)
/// >>> print(f"{best.drop('lamp'):.3f}")
/// 0.320 volt
/// >>> best.shadow_prices("0.1 V").to_dicts()[0]["id"]
/// 'lamp'
#[pyclass(frozen, module = "orlop")]
pub struct LeastCopper {
    answer: FeedSizes,
    asked: Asked,
}

impl LeastCopper {
    fn tree(&self) -> &FeedTree {
        self.answer.tree()
    }
    fn total(&self) -> String {
        match self.answer.objective() {
            Objective::Mass => show(self.answer.mass),
            Objective::Cost => format!("cost {}", significant(self.answer.value, 4)),
        }
    }
    fn proof(&self) -> String {
        match (self.answer.gap > 0.0, self.answer.objective()) {
            (false, _) => "proven".into(),
            (true, Objective::Mass) => {
                format!("at most {} above the least", show(kilograms(self.answer.gap)))
            }
            (true, Objective::Cost) => format!("at most {} above the least", significant(self.answer.gap, 3)),
        }
    }
    fn names(&self) -> String {
        let all: Vec<String> = self.answer.different_sizes().iter().map(ToString::to_string).collect();
        match all.as_slice() {
            [first, .., last] if all.len() > 6 => format!("{first} to {last}"),
            _ => all.join(", "),
        }
    }
}

#[pymethods]
impl LeastCopper {
    /// The size of each run, in the order of the table.
    #[getter]
    fn sizes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let dict = PyDict::new(py);
        for taken in &self.answer.taken {
            dict.set_item(&taken.segment, taken.size.to_string())?;
        }
        Ok(dict)
    }
    /// The different sizes, small to large: what is bought.
    #[getter]
    fn different_sizes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.answer.different_sizes().iter().map(ToString::to_string))
    }
    /// Mass of all conductors, both legs.
    #[getter]
    fn mass(&self, py: Python<'_>) -> PyResult<Py<PyAny>> {
        out(py, self.answer.mass)
    }
    /// Money for all conductors, in the unit of the prices; None where one that is taken has no price.
    #[getter]
    fn cost(&self) -> Option<f64> {
        self.answer.price()
    }
    /// "mass" or "cost".
    #[getter]
    fn objective(&self) -> &'static str {
        self.answer.objective().word()
    }
    /// By how many kilograms, or how much money, the answer may at most exceed the least: 0 when it is proven to be the least.
    #[getter]
    fn gap(&self) -> f64 {
        self.answer.gap
    }
    /// Names of the scenarios.
    #[getter]
    fn scenarios<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, &self.tree().scenarios)
    }
    /// Sizes that are there already and would not be chosen, and why.
    #[getter]
    fn flags<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.answer.flags())
    }
    /// Volts lost from the source to the end of a run, in one scenario or the most of all.
    #[pyo3(signature = (run, *, scenario=None))]
    fn drop(&self, py: Python<'_>, run: &str, scenario: Option<&str>) -> PyResult<Py<PyAny>> {
        out(py, self.answer.drop(run, scenario).or_raise(py)?)
    }
    /// What the whole tree would save if one run were permitted so many volts more, most first; 0.1 V unless stated.
    ///
    /// Each row is the difference of two optima: exact, and valid for this step alone, since sizes come in steps. Runs where it
    /// saves nothing are left out.
    #[pyo3(signature = (more=None))]
    fn shadow_prices(&self, py: Python<'_>, more: Any<'_, '_>) -> PyResult<Table> {
        let more: Voltage = more.map_or(Ok(volts(0.1)), |m| convert::quantity(m, "more"))?;
        run(py, || self.answer.shadow_prices_table(more)).map(Into::into)
    }
    /// The certificate: the least mass or cost against volts that are lost before the tree, in one scenario.
    ///
    /// With no more lost than ``spare_v``, no sizes weigh or cost less. The first row is the answer itself; at most ``most`` rows,
    /// 20 unless stated.
    #[pyo3(signature = (*, scenario=None, most=None))]
    fn frontier(&self, py: Python<'_>, scenario: Option<&str>, most: Any<'_, '_>) -> PyResult<Table> {
        let most = most.map_or(Ok(20), |n| Asked::default().count("most", n))?;
        run(py, || self.answer.frontier_table(scenario, most as usize)).map(Into::into)
    }
    /// The sizes and drums that cost least: conductors are bought on drums, each leg cut from one piece.
    ///
    /// The question is asked again for money: with a metre of each size at its cheapest, the exact least cost is a lower bound of every
    /// purchase. The sizes found so, and those with ever fewer different sizes, are cut from drums; the cheapest purchase is taken.
    /// What has no drum is not for sale; a run that has its size already buys nothing.
    ///
    /// ``drums`` has columns ``size``, ``length_m`` and ``cost``: one row for each drum that is for sale.
    ///
    /// Examples
    /// --------
    /// >>> import orlop
    /// >>> best = orlop.least_copper(
    /// ...     {"id": ["feeder", "lamp"], "parent": [None, "feeder"], "one_way_m": [5, 4], "load_a": [None, 6]},
    /// ...     sizes="metric", rules="iso-small-craft", nominal="12 V", max_drop="3 %",
    /// ... )
    /// >>> bought = best.buy({"size": ["6 mm2", "6 mm2", "10 mm2"], "length_m": [10, 25, 25], "cost": [21.0, 45.0, 70.0]})
    /// >>> bought.cost >= bought.bound
    /// True
    fn buy(slf: &Bound<'_, Self>, drums: &Bound<'_, PyAny>) -> PyResult<Purchase> {
        purchase::buy(slf, drums)
    }
    /// Every run with its size and the drop at its end.
    fn table(&self) -> Table {
        self.answer.table().into()
    }
    /// The steps that lead to the sizes.
    fn explain(&self, py: Python<'_>) -> PyResult<Working> {
        run(py, || {
            let mut steps = Steps::new(format!("least copper of {} runs", self.tree().runs.len()));
            self.tree().solve_recorded(&mut steps)?;
            Ok(steps)
        })
        .map(Into::into)
    }
    fn __len__(&self) -> usize {
        self.answer.taken.len()
    }
    fn __eq__(&self, other: &Bound<'_, PyAny>) -> bool {
        // Same question, same answer.
        other.cast::<Self>().is_ok_and(|other| self.tree() == other.get().tree())
    }
    fn __repr__(&self) -> String {
        let n = self.answer.taken.len();
        format!("LeastCopper({n} runs, {}, sizes {}, {})", self.total(), self.names(), self.proof())
    }
    fn _repr_html_(&self) -> String {
        let cost = self.answer.price().map_or_else(String::new, |price| significant(price, 6));
        let mut rows = vec![
            ("mass", show(self.answer.mass)),
            ("cost", cost),
            ("least", format!("{}, {}", self.answer.objective().word(), self.proof())),
            ("sizes to buy", self.names()),
        ];
        let shown = self.answer.taken.iter().take(40);
        rows.extend(shown.map(|t| (t.segment.as_str(), t.size.to_string())));
        sheet("Least copper", &rows, &self.answer.flags())
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        self.asked.reduce(py, None, "least_copper")
    }
}
