//! The tables of a design: every schema is declared here, and nowhere else.

use crate::demand::LoadDemand;
use crate::design::Design;
use orlop::protection::SELECTIVITY;
use orlop::table::{Cell, ColumnSchema, ColumnType, Schema, quantity, schema};
use orlop::{Error, Judgement, Table};
use orlop_units::{Current, Fraction, Kind, Quantity, Temperature};

use ColumnType::{Flag, Integer, Number, Quantity as Of, Text};

mod bank;
mod bonding;
mod joints;
mod network;
mod survey;

pub use survey::{RESURVEY, insurer_extract, resurvey};

const CIRCUITS: Schema = schema!("circuits", "one row per circuit", [
    "id": Text, "id in the boat file";
    "name": Text, "name for people";
    "from": Text, "bank, panel or converter it starts from";
    "feeds": Text, "loads, panel, converter or source at its far end";
    "one_way_m": Of(Kind::Length), "length of one leg";
    "conductor": Text, "size of each leg";
    "conductor_origin": Text, "given or chosen";
    "area_mm2": Of(Kind::Area), "cross-section of each leg";
    "device": Text, "family and rating, empty when none fits";
    "device_origin": Text, "given or chosen";
    "device_rating_a": Of(Kind::Current), "rating of the device";
    "runs": Integer, "identical runs side by side";
    "design_current_a": Of(Kind::Current), "continuous current of each run";
    "case": Text, "scenario and corner of the design current";
    "ambient_degc": Of(Kind::Temperature), "hottest ambient on its way";
    "bundled": Integer, "current-carrying conductors that lie together";
    "ampacity_a": Of(Kind::Current), "by the rule set, with its factors";
    "temperature_degc": Of(Kind::Temperature), "where the conductor settles at the design current";
    "resistance_ohm": Of(Kind::Resistance), "both legs warm, device and joints";
    "drop_v": Of(Kind::Voltage), "in this circuit at its design current";
    "mass_kg": Of(Kind::Mass), "of all conductors of the circuit";
    "fault_high_a": Of(Kind::Current), "largest fault current through its device";
    "fault_low_a": Of(Kind::Current), "least fault current through its device for a fault just behind it";
    "fault_end_a": Of(Kind::Current), "least fault current through its device for a fault at its far end";
    "governed_by": Text, "what asks for the largest conductor";
    "margin_percent": Of(Kind::Fraction), "room that the governing criterion leaves";
    "confidence": Text, "weakest source it rests on";
    "remarks": Text, "what to know about the numbers";
]);

const LOADS: Schema = schema!("loads", "one row per load", [
    "id": Text, "id in the boat file";
    "name": Text, "name for people";
    "circuit": Text, "circuit that feeds it";
    "nominal_v": Of(Kind::Voltage), "nominal voltage it lives at";
    "current_a": Of(Kind::Current), "ordinary work at the bank's nominal voltage";
    "continuous_a": Of(Kind::Current), "ordinary work at its worst voltage";
    "peak_a": Of(Kind::Current), "most while working";
    "start_a": Of(Kind::Current), "inrush";
    "stall_a": Of(Kind::Current), "held still";
    "drop_class": Text, "critical or general";
    "drop_v": Of(Kind::Voltage), "from the source to the load";
    "drop_percent": Of(Kind::Fraction), "the same of nominal";
    "rule_drop_percent": Of(Kind::Fraction), "by the rule set's formula";
    "limit_percent": Of(Kind::Fraction), "permitted";
    "lowest_v": Of(Kind::Voltage), "at the load with the source at its lowest";
    "case": Text, "scenario and corner of the drop";
    "essential": Flag, "needed for safety";
    "guess": Flag, "rests on a guess";
]);

const JUDGEMENT_COLUMNS: &[ColumnSchema] = schema!("", "", [
    "severity": Text, "A act before use, B soon, C good practice";
    "verdict": Text, "pass, fail, undecided, not-tested, not-applicable";
    "rule": Text, "id of the rule";
    "subject": Text, "address of the subject";
    "case": Text, "scenario and corner";
    "value": Number, "the value, in the unit beside it";
    "sense": Text, "at most or at least";
    "limit": Number, "its limit, in the same unit";
    "unit": Text, "unit of value and limit";
    "margin_percent": Of(Kind::Fraction), "room left over the limit; positive is good";
    "clause": Text, "what sets the limit";
    "confidence": Text, "weakest source it rests on";
    "what": Text, "what is the matter";
    "to_do": Text, "what to do about it";
])
.columns;

const FINDINGS: Schema = Schema {
    name: "findings",
    doc: "one row per judgement that failed or is undecided",
    columns: JUDGEMENT_COLUMNS,
};
const JUDGEMENTS: Schema =
    Schema { name: "judgements", doc: "one row per judgement, passes as well", columns: JUDGEMENT_COLUMNS };

const TRUNKS: Schema = schema!("trunks", "one row per trunk", [
    "id": Text, "id in the boat file";
    "name": Text, "name for people";
    "polyline_m": Of(Kind::Length), "from corner to corner";
    "one_way_m": Of(Kind::Length), "with slack and terminations";
    "spaces": Text, "spaces it goes through";
    "ambient_degc": Of(Kind::Temperature), "hottest of them";
    "circuits": Integer, "circuits that lie in it";
    "supports": Integer, "supports it needs";
]);

const FEEDERS: Schema = schema!("feeders", "one row per circuit and scenario in which it carries current", [
    "circuit": Text, "id of the circuit";
    "scenario": Text, "id of the scenario";
    "current_a": Of(Kind::Current), "at the bank's nominal voltage";
    "worst_current_a": Of(Kind::Current), "at the worst voltage of each load";
]);

const COPPER: Schema = schema!("copper", "one row per circuit: what choosing all conductors together saves", [
    "circuit": Text, "id of the circuit";
    "split": Text, "size of each leg when drops are shared out along each path";
    "least": Text, "size of each leg when all are chosen together";
    "split_kg": Of(Kind::Mass), "mass of the former, all legs and runs";
    "least_kg": Of(Kind::Mass), "mass of the latter";
    "saved_kg": Of(Kind::Mass), "the difference; below zero where one circuit gives so that others save more";
    "tenth_of_a_volt_saves_kg": Of(Kind::Mass), "what the whole boat would save with 0.1 V more permitted at its loads";
]);

const SOURCES: Schema = schema!("sources", "one row per source that numbers rest on", [
    "id": Text, "short name";
    "document": Text, "document";
    "edition": Text, "edition";
    "place": Text, "clause or table";
    "title": Text, "what it says";
    "confidence": Text, "published, common practice, from memory";
    "reading": Text, "how it was read";
]);

/// Every table of a design.
pub const SCHEMAS: &[Schema] = &[
    CIRCUITS,
    LOADS,
    FINDINGS,
    JUDGEMENTS,
    TRUNKS,
    FEEDERS,
    COPPER,
    network::NODES,
    network::CURRENTS,
    network::DROPS,
    network::DIPS,
    network::FAULTS,
    SELECTIVITY,
    network::FAILURES,
    bonding::BONDING,
    bank::BANK,
    bank::CELLS,
    bank::THRESHOLDS,
    survey::TESTS,
    survey::FOUND,
    joints::JOINTS,
    survey::SURVEY,
    survey::SURVEY_NOTES,
    survey::EXTRACT,
    SOURCES,
];

/// One table of a design by its name.
///
/// # Errors
/// [`Error::Input`] with the names there are.
pub fn table(design: &Design, name: &str) -> Result<Table, Error> {
    Ok(match name {
        "circuits" => circuits(design),
        "loads" => loads(design),
        "findings" => judgements(&FINDINGS, design.findings()),
        "judgements" => judgements(&JUDGEMENTS, design.judgements.iter()),
        "trunks" => trunks(design),
        "feeders" => feeders(design),
        "copper" => copper(design)?,
        "nodes" => network::nodes(design),
        "currents" => network::currents(design),
        "drops" => network::drops(design),
        "dips" => network::dips(design),
        "faults" => network::faults(design),
        "selectivity" => design.network.selectivity.table(),
        "single_failures" => network::failures(design),
        "bonding" => bonding::bonding(design)?,
        "bank" => bank::bank(design),
        "cells" => bank::cells(design),
        "thresholds" => bank::thresholds(design),
        "tests" => survey::tests(design)?,
        "found" => survey::found(design),
        "joints" => joints::joints(design)?,
        "survey" => survey::survey(&crate::survey::of(design)),
        "survey_notes" => survey::notes(&crate::survey::of(design)),
        "insurer_extract" => insurer_extract(&crate::survey::extract(design, None)),
        "sources" => sources(),
        other => {
            let names: Vec<_> = SCHEMAS.iter().map(|s| s.name).collect();
            return Err(Error::input("table", format!("'{other}'"), format!("one of {}", names.join(", "))));
        }
    })
}

fn copper(design: &Design) -> Result<Table, Error> {
    let prices = crate::size::shadow_prices(design, orlop_units::volts(0.1))?;
    let mut table = Table::new(&COPPER);
    for c in &design.copper.circuits {
        table.push([
            c.circuit.as_str().into(),
            c.split.to_string().into(),
            c.least.to_string().into(),
            quantity(Some(c.split_mass)),
            quantity(Some(c.least_mass)),
            quantity(Some(c.split_mass - c.least_mass)),
            quantity(prices.iter().find(|(id, _)| *id == c.circuit).map(|p| p.1)),
        ]);
    }
    Ok(table)
}

fn circuits(design: &Design) -> Table {
    let mut table = Table::new(&CIRCUITS);
    for (c, circuit) in design.circuits.iter().zip(&design.boat.circuits) {
        let governing = c.margins.iter().find(|m| m.criterion == c.governed_by).and_then(|m| m.margin);
        let origin = |o| if o == crate::design::Origin::Given { "given" } else { "chosen" };
        table.push([
            c.id.as_str().into(),
            circuit.name.as_str().into(),
            circuit.from.as_str().into(),
            circuit.feeds.words().into(),
            quantity(Some(c.one_way.0)),
            c.conductor.size().to_string().into(),
            origin(c.conductor_origin).into(),
            quantity(Some(c.conductor.area())),
            c.device.as_ref().map(ToString::to_string).into(),
            origin(c.device_origin).into(),
            quantity(c.device.as_ref().map(orlop::protection::Device::rating)),
            i64::from(circuit.runs).into(),
            quantity(Some(c.design_current)),
            c.case.as_str().into(),
            quantity(Some(c.ambient)),
            i64::from(c.bundled).into(),
            quantity(c.ampacity),
            quantity(c.temperature),
            quantity(Some(c.resistance)),
            quantity(Some(c.drop)),
            quantity(Some(c.mass)),
            quantity(c.fault_start.high()),
            quantity(c.fault_start.low()),
            quantity(c.fault_end),
            c.governed_by.word().into(),
            quantity(governing.map(Fraction::new)),
            c.confidence.word().into(),
            c.flags.join("; ").into(),
        ]);
    }
    table
}

fn loads(design: &Design) -> Table {
    let mut table = Table::new(&LOADS);
    for load in &design.boat.loads {
        let result = design.load(&load.id);
        let demand = design.demand.load(&load.id);
        let share = |volts: orlop_units::Voltage, nominal: orlop_units::Voltage| {
            Fraction::new(volts.si() / nominal.si())
        };
        let prefix = format!("load.{}.", load.id);
        let moment = |of: fn(&LoadDemand) -> Option<Current>| quantity(demand.and_then(of));
        table.push([
            load.id.as_str().into(),
            load.name.as_str().into(),
            result.and_then(|r| r.path.last().cloned()).into(),
            quantity(result.map(|r| r.nominal)),
            quantity(demand.map(|d| d.nominal)),
            quantity(demand.map(|d| d.continuous)),
            moment(|d| d.peak.map(|m| m.0)),
            moment(|d| d.start.map(|m| m.0)),
            moment(|d| d.stall.map(|m| m.0)),
            load.drop_class.word().into(),
            quantity(result.map(|r| r.drop)),
            quantity(result.map(|r| share(r.drop, r.nominal))),
            quantity(result.map(|r| share(r.rule_drop, r.nominal))),
            quantity(result.map(|r| r.limit)),
            quantity(result.and_then(|r| r.lowest_voltage)),
            result.map(|r| r.case.clone()).into(),
            load.essential.into(),
            design.boat.guesses.iter().any(|(address, _)| address.starts_with(&prefix)).into(),
        ]);
    }
    table
}

fn judgements<'a>(schema: &Schema, rows: impl Iterator<Item = &'a Judgement>) -> Table {
    let mut table = Table::new(schema);
    for j in rows {
        let unit = j.value.as_ref().or(j.limit.as_ref()).map(|q| q.kind.output().symbol);
        table.push([
            j.severity.word().into(),
            j.verdict.word().into(),
            j.rule.into(),
            j.subject.as_str().into(),
            j.case.as_str().into(),
            j.value.clone().into(),
            if j.value.is_some() { j.sense.word().into() } else { Cell::Null },
            j.limit.clone().into(),
            unit.into(),
            quantity(j.margin.map(Fraction::new)),
            j.clause.as_str().into(),
            j.confidence.word().into(),
            j.what.as_str().into(),
            j.to_do.as_str().into(),
        ]);
    }
    table
}

fn trunks(design: &Design) -> Table {
    let mut table = Table::new(&TRUNKS);
    for (measure, trunk) in design.routes.trunks.iter().zip(&design.boat.trunks) {
        let mut spaces: Vec<&str> = measure.segments.iter().map(|s| s.space.as_str()).collect();
        spaces.dedup();
        let hottest = measure.segments.iter().map(|s| s.ambient).reduce(Temperature::max);
        table.push([
            trunk.id.as_str().into(),
            trunk.name.as_str().into(),
            quantity(Some(measure.polyline)),
            quantity(Some(measure.with_slack)),
            spaces.join(", ").into(),
            quantity(hottest),
            measure.circuits.len().into(),
            i64::from(measure.supports).into(),
        ]);
    }
    table
}

fn feeders(design: &Design) -> Table {
    let mut table = Table::new(&FEEDERS);
    for circuit in &design.demand.circuits {
        for (scenario, current) in circuit.at_nominal.iter().filter(|(_, i)| i.si() > 0.0) {
            let worst = circuit.in_scenario.iter().find(|(s, _)| s == scenario).map(|(_, i)| *i);
            table.push([
                circuit.circuit.as_str().into(),
                scenario.as_str().into(),
                quantity(Some(*current)),
                quantity(worst),
            ]);
        }
    }
    table
}

/// Every source that numbers rest on.
#[must_use]
pub fn sources() -> Table {
    let mut table = Table::new(&SOURCES);
    let mut all = orlop::sources();
    all.extend(crate::diagnose::SOURCES.iter().map(|c| (*c).clone()));
    all.sort_by(|a, b| a.id.cmp(&b.id));
    for s in all {
        table.push([
            s.id.into_owned().into(),
            s.document.into_owned().into(),
            s.edition.into_owned().into(),
            s.place.into_owned().into(),
            s.title.into_owned().into(),
            s.confidence.word().into(),
            s.reading.into_owned().into(),
        ]);
    }
    table
}
