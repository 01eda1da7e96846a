//! From rows that passed every check to the model.
//!
//! Each function returns nothing only when a row lacks what the checks promise.

use super::bank;
use super::check::{corner_points, hottest_space};
use super::row::{Cell, Corner, Measure, Row, Rows};
use crate::found::{Item, Leg, LegPart, Poles, Reading, Visit};
use crate::model::{
    Boat, Bond, Circuit, Demand, DropClass, Feeds, Ground, Known, Load, LoadState, Panel, Place, Run,
    Scenario, Source, SourceKind, Space, State, Trunk, Value,
};
use orlop::conductor::{Duty, Material, SpaceKind};
use orlop::network::ground::{Carries, PathKind, ReturnSystem, Role};
use orlop::rules::{Bundling, DeviceRating, RuleOptions, RuleSetId};
use orlop_units::{AnyQuantity, Fraction, Kind, Length, Number, OneWay, SizeSystem, Time};

pub(super) fn boat(rows: &Rows) -> Option<Boat> {
    let boat = rows.single("boat")?;
    let rules = rows.single("rules")?;
    let list = |section: &'static str| rows.of(section);
    let loads: Vec<Load> = list("load").map(load).collect::<Option<_>>()?;
    Some(Boat {
        name: boat.text("name")?.into(),
        kind: boat.text("kind")?.into(),
        hull: boat.text("hull")?.trim().into(),
        state: match boat.text("state")? {
            "as-found" => State::AsFound,
            "as-built" => State::AsBuilt,
            _ => State::Design,
        },
        nominal: boat.quantity("nominal")?,
        rules: RuleSetId::parse(boat.text("rules")?, "rules").ok()?,
        options: RuleOptions {
            bundling: Bundling::parse(rules.text("bundling")?, "bundling").ok()?,
            device_rating: DeviceRating::parse(rules.text("device_rating")?, "device_rating").ok()?,
        },
        drop_limits: (rules.quantity("drop_critical"), rules.quantity("drop_general")),
        sizes: SizeSystem::parse(boat.text("sizes")?, "sizes").ok()?,
        insulation: boat.quantity("insulation")?,
        material: material(boat)?,
        tinned: boat.flag("tinned"),
        slack: boat.quantity("slack")?,
        termination: boat.quantity("termination")?,
        joint: rules.value("joint")?,
        negative: choice(rules, "negative", ReturnSystem::parse),
        families: names(boat.families("families")?),
        growth: boat.quantity("growth")?,
        spaces: list("space").map(space).collect::<Option<_>>()?,
        places: list("place").map(|r| place(rows, r)).collect::<Option<_>>()?,
        trunks: list("trunk").map(|r| trunk(rows, r)).collect::<Option<_>>()?,
        banks: list("bank").map(|r| bank::bank(rows, r)).collect::<Option<_>>()?,
        sources: list("source").map(source).collect::<Option<_>>()?,
        panels: list("panel").map(panel).collect::<Option<_>>()?,
        circuits: list("circuit").map(|r| circuit(rows, r, &loads)).collect::<Option<_>>()?,
        loads,
        scenarios: list("scenario").map(scenario).collect::<Option<_>>()?,
        grounds: list("ground").map(ground).collect::<Option<_>>()?,
        bonds: list("bond").map(bond).collect::<Option<_>>()?,
        visit: visit(rows.single("survey")?),
        found: list("found").map(found).collect::<Option<_>>()?,
        guesses: guesses(rows),
        remarks: remarks(rows).into_iter().chain(bank::remarks(rows)).collect(),
    })
}

fn names<T>(list: &[(String, T)]) -> Vec<String> {
    list.iter().map(|(name, _)| name.clone()).collect()
}

/// Its name for people; the id when it has none.
pub(super) fn name(row: &Row) -> String {
    row.text("name").filter(|n| !n.is_empty()).unwrap_or(&row.id).to_string()
}

pub(super) fn text(row: &Row, key: &str) -> Option<String> {
    row.id(key).map(str::to_string)
}

fn material(row: &Row) -> Option<Material> {
    Material::parse(row.text("material")?, "material").ok()
}

fn space(row: &Row) -> Option<Space> {
    Some(Space {
        id: row.id.clone(),
        name: name(row),
        boxes: row.boxes("boxes").unwrap_or_default().to_vec(),
        ambient: row.quantity("ambient")?,
        winter: row.quantity("winter"),
        kind: SpaceKind::parse(row.text("kind")?, "kind").ok()?,
        damp: row.flag("damp"),
        vapour: row.flag("vapour"),
    })
}

fn place(rows: &Rows, row: &Row) -> Option<Place> {
    let at = row.point("at")?;
    let space = text(row, "space").or_else(|| hottest_space(rows, at).map(|s| s.id.clone()))?;
    Some(Place { id: row.id.clone(), name: name(row), at, space })
}

fn trunk(rows: &Rows, row: &Row) -> Option<Trunk> {
    let places = row.corners("path")?.iter().map(|(corner, _)| match corner {
        Corner::Place(id) => Some(id.clone()),
        Corner::Point(_) => None,
    });
    Some(Trunk {
        id: row.id.clone(),
        name: name(row),
        points: corner_points(rows, row)?.into_iter().map(|(p, _)| p).collect(),
        places: places.collect(),
        space: text(row, "space"),
        conduit: row.quantity("conduit"),
        enclosed: row.flag("enclosed"),
        apart: row.flag("apart"),
        others: row.count("others")?,
        support: row.quantity("support"),
    })
}

fn source(row: &Row) -> Option<Source> {
    Some(Source {
        id: row.id.clone(),
        name: name(row),
        kind: match row.text("kind")? {
            "alternator" => SourceKind::Alternator,
            "solar" => SourceKind::Solar,
            "charger" => SourceKind::Charger,
            _ => SourceKind::Converter,
        },
        place: text(row, "place"),
        nominal: row.quantity("nominal"),
        rating: row.quantity("rating")?,
        efficiency: row.quantity("efficiency").unwrap_or(Fraction::new(1.0)),
        minimum: row.quantity("minimum"),
        self_limiting: row.flag("self_limiting"),
        protected: row.flag("protected"),
    })
}

fn panel(row: &Row) -> Option<Panel> {
    Some(Panel {
        id: row.id.clone(),
        name: name(row),
        place: text(row, "place"),
        rating: row.quantity("rating"),
        always_on: row.flag("always_on"),
    })
}

fn demand(measure: &Measure) -> Option<Demand> {
    match measure.value.kind {
        Kind::Power => Some(Demand::Power(measure.typed())),
        Kind::Current => Some(Demand::Current(measure.typed())),
        Kind::Resistance => Some(Demand::Resistance(measure.typed())),
        _ => None,
    }
}

fn load(row: &Row) -> Option<Load> {
    let states = LoadState::ALL.into_iter();
    let hours = |key: &str| row.hours(key).unwrap_or_default().to_vec();
    Some(Load {
        id: row.id.clone(),
        name: name(row),
        place: text(row, "place"),
        demand: states.clone().filter_map(|s| Some((s, demand(row.measure(s.word())?)?))).collect(),
        lasts: states
            .filter_map(|s| Some((s, row.quantity::<Time>(&format!("{}_time", s.word()))?)))
            .collect(),
        drop_class: match row.text("drop_class")? {
            "critical" => DropClass::Critical,
            _ => DropClass::General,
        },
        max_drop: row.quantity("max_drop"),
        minimum: row.quantity("minimum"),
        essential: row.flag("essential"),
        second_source: text(row, "second_source"),
        unattended: row.flag("unattended"),
        motor: row.flag("motor"),
        stall_withstand: row.quantity("stall_withstand"),
        thermal_protection: row.flag("thermal_protection"),
        capacitance: row.quantity("capacitance"),
        max_device: row.quantity("max_device"),
        spark: row.flag("spark"),
        ignition_protected: row.flag("ignition_protected"),
        hours: hours("hours"),
        idle_hours: hours("idle_hours"),
        peak_hours: hours("peak_hours"),
    })
}

fn feeds(row: &Row) -> Option<Feeds> {
    if let Some(loads) = row.ids("loads") {
        return Some(Feeds::Loads(names(loads)));
    }
    text(row, "panel")
        .map(Feeds::Panel)
        .or_else(|| text(row, "converter").map(Feeds::Converter))
        .or_else(|| text(row, "source").map(Feeds::Source))
}

fn run(rows: &Rows, row: &Row, feeds: &Feeds) -> Option<Run> {
    let tail = row.quantity("tail");
    if let Some(length) = row.value::<Length>("one_way") {
        let length = Value {
            q: OneWay(length.q),
            known: length.known,
            range: length.range.map(|(low, high)| (OneWay(low), OneWay(high))),
        };
        return Some(Run::OneWay { length, spaces: names(row.ids("spaces")?) });
    }
    if let Some(path) = row.ids("path") {
        return Some(Run::Trunks { path: names(path), tail });
    }
    let place = |section: &'static str, id: &str| rows.find(section, id).and_then(|r| text(r, "place"));
    let from = ["bank", "panel", "source"].into_iter().find_map(|s| place(s, row.id("from")?))?;
    let to = match feeds {
        Feeds::Loads(loads) => place("load", loads.first()?)?,
        Feeds::Panel(id) => place("panel", id)?,
        Feeds::Converter(id) | Feeds::Source(id) => place("source", id)?,
    };
    Some(Run::Shortest { from, to, tail })
}

/// The circuit's own name, else those of its loads.
fn circuit_name(row: &Row, feeds: &Feeds, loads: &[Load]) -> String {
    match feeds {
        Feeds::Loads(ids) if row.text("name").is_none_or(str::is_empty) => {
            let named = ids.iter().filter_map(|id| loads.iter().find(|l| l.id == *id));
            named.map(|l| l.name.as_str()).collect::<Vec<_>>().join("; ")
        }
        _ => name(row),
    }
}

fn circuit(rows: &Rows, row: &Row, loads: &[Load]) -> Option<Circuit> {
    let feeds = feeds(row)?;
    Some(Circuit {
        id: row.id.clone(),
        name: circuit_name(row, &feeds, loads),
        from: text(row, "from")?,
        negative: text(row, "negative"),
        run: run(rows, row, &feeds)?,
        feeds,
        string: row.count("string"),
        runs: row.count("runs")?,
        alone: row.flag("alone"),
        size: row.size("size"),
        minimum_size: row.size("minimum_size"),
        insulation: row.quantity("insulation"),
        material: material(row),
        sheathed: row.flag("sheathed"),
        device: row.device("device"),
        families: row.families("families").map(names),
        device_distance: row.quantity("device_distance"),
        device_enclosed: row.flag("device_enclosed"),
        cranking: row.flag("cranking"),
        ignition_protected: row.flag("ignition_protected"),
        device_space: text(row, "device_space"),
        bundled: row.count("bundled"),
        duty: match row.quantity::<Time>("on_time") {
            Some(on) => Duty::Intermittent { on, off: row.quantity("off_time") },
            None => Duty::Continuous,
        },
        max_drop: row.quantity("max_drop"),
        extra_resistance: row.quantity("extra_resistance"),
    })
}

/// An optional choice.
fn choice<T>(row: &Row, key: &str, parse: fn(&str, &str) -> Result<T, orlop::Error>) -> Option<T> {
    parse(row.text(key)?, key).ok()
}

fn ground(row: &Row) -> Option<Ground> {
    let role = choice(row, "role", Role::parse)?;
    Some(Ground {
        id: row.id.clone(),
        name: name(row),
        role,
        place: text(row, "place"),
        hangs: if row.given("hangs") { row.flag("hangs") } else { role.hangs() },
        starter: row.value("starter"),
        starter_battery: text(row, "starter_battery"),
    })
}

fn bond(row: &Row) -> Option<Bond> {
    let kind = choice(row, "kind", PathKind::parse)?;
    Some(Bond {
        id: row.id.clone(),
        name: name(row),
        from: text(row, "from")?,
        to: text(row, "to")?,
        kind,
        size: row.size("size"),
        piece: row.value("piece"),
        resistance: row.value("resistance"),
        carries: choice(row, "carries", Carries::parse).unwrap_or(kind.carries()),
        may_cut: if row.given("may_cut") { row.flag("may_cut") } else { kind.may_cut() },
        effort: row.count("effort")?,
        bypass: row.ids("bypass").map(names).unwrap_or_default(),
    })
}

fn visit(row: &Row) -> Visit {
    let words = |key: &str| row.text(key).unwrap_or_default().trim().to_string();
    Visit {
        date: row.day("date"),
        by: words("by"),
        scope: words("scope"),
        conditions: words("conditions"),
        instruments: words("instruments"),
    }
}

fn found(row: &Row) -> Option<Reading> {
    let words = |key: &str| row.text(key).unwrap_or_default().to_string();
    let count = row.count("count").map(|n| Number::of(f64::from(n)).into());
    Some(Reading {
        id: row.id.clone(),
        at: words("at"),
        name: words("name"),
        item: Item::parse(row.text("what")?)?,
        value: row.measure("value").map(|m| m.value.clone()).or(count),
        uncertainty: row.measure("uncertainty").map(|m| m.value.si),
        repeat: row.measure("repeat").map(|m| m.value.si),
        current: row.quantity("current"),
        rise: row.quantity("rise"),
        leg: Leg::parse(row.text("leg")?, "leg").ok()?,
        parts: row
            .families("parts")
            .unwrap_or_default()
            .iter()
            .filter_map(|(w, _)| LegPart::parse(w, "parts").ok())
            .collect(),
        poles: poles(row),
        of: row.count("of"),
        instrument: words("instrument"),
        when: words("when"),
        text: words("text"),
    })
}

fn poles(row: &Row) -> Option<Poles> {
    Some(Poles {
        positive_to_hull: row.quantity("positive_to_hull")?,
        negative_to_hull: row.quantity("negative_to_hull")?,
        resistor: row.quantity("resistor")?,
        meter: row.quantity("meter")?,
    })
}

fn scenario(row: &Row) -> Option<Scenario> {
    let on = LoadState::ALL
        .into_iter()
        .flat_map(|s| row.ids(s.word()).unwrap_or_default().iter().map(move |(id, _)| (id.clone(), s)))
        .collect();
    Some(Scenario { id: row.id.clone(), name: name(row), on })
}

/// Every measure that is in the file, with its address.
fn measures(rows: &Rows) -> impl Iterator<Item = (String, &Measure)> {
    rows.all().flat_map(|row| {
        row.section.fields.iter().filter_map(|field| {
            let found = row.cells.get(field.key).filter(|f| f.given)?;
            match &found.cell {
                Cell::Measure(m) => Some((row.address(field.key), m)),
                _ => None,
            }
        })
    })
}

fn guesses(rows: &Rows) -> Vec<(String, AnyQuantity)> {
    let guessed = measures(rows).filter(|(_, m)| m.known == Known::Guess);
    guessed.map(|(address, m)| (address, m.value.clone())).collect()
}

/// Ranges that the model does not carry on.
fn remarks(rows: &Rows) -> Vec<String> {
    let carried =
        ["run", "idle", "peak", "start", "stall", "one_way", "joint", "starter", "piece", "resistance"];
    let of_cells = ["link", "parts", "resistance_1khz", "resistance_dc"];
    measures(rows)
        .filter(|(address, m)| {
            let key = address.rsplit('.').next().unwrap_or("");
            let cells = of_cells.contains(&key) && !address.starts_with("delivered.");
            m.range.is_some() && !carried.contains(&key) && !cells
        })
        .map(|(address, m)| {
            let written = m.value.as_written.clone().unwrap_or_else(|| m.value.to_string());
            format!("{address}: '{written}' counts; its range is noted but not carried into the results")
        })
        .collect()
}
