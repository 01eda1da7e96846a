//! Head and counts.

use super::words;
use crate::pretty;
use crate::view::{Head, Summary};
use orlop::rules::{Bundling, DeviceRating, DropClass, RuleSetId};
use orlop::{Severity, Verdict};
use orlop_boat::Design;
use orlop_boat::model::{Boat, State};
use orlop_units::{Quantity, SizeSystem, kilograms};

/// Format of boat files that this edition reads.
const FORMAT: &str = "1";

pub(super) fn head(design: &Design, date: Option<String>) -> Head {
    let boat = &design.boat;
    Head {
        boat: boat.name.clone(),
        kind: boat.kind.clone(),
        state: match boat.state {
            State::AsFound => "the boat as found",
            State::Design => "a design, not yet built",
            State::AsBuilt => "the boat as built",
        }
        .into(),
        nominal: pretty::show(boat.nominal),
        rules: boat.rules.word().into(),
        rules_name: match boat.rules {
            RuleSetId::UsSmallCraft => "33 CFR 183 Subpart I and United States practice",
            RuleSetId::IsoSmallCraft => "ISO 13297 and European practice",
        }
        .into(),
        version: orlop::VERSION.into(),
        format: FORMAT.into(),
        data_edition: orlop::tables::data_edition(),
        date,
        basis: basis(boat),
    }
}

fn basis(boat: &Boat) -> Vec<(String, String)> {
    let sizes = match boat.sizes {
        SizeSystem::Awg => "AWG sizes",
        SizeSystem::Sae => "SAE sizes",
        SizeSystem::Metric => "metric sizes",
    };
    let tinned = if boat.tinned { "tinned " } else { "" };
    let limit = |class: DropClass, own: Option<orlop_units::Fraction>| match own {
        Some(f) => format!("{} (set by the owner)", pretty::percent(f.si())),
        None => pretty::percent(boat.rules.drop_limit(class).value.si()),
    };
    let families: Vec<String> = boat
        .families
        .iter()
        .map(|id| orlop::protection::family(id).map_or_else(|_| id.clone(), |f| f.name.clone()))
        .collect();
    let mut out = vec![
        (
            "New conductors",
            format!(
                "{tinned}{}, {} insulation, {sizes}",
                boat.material.word(),
                pretty::show(boat.insulation)
            ),
        ),
        (
            "Voltage drop at most",
            format!(
                "{} for critical loads, {} for the rest",
                limit(DropClass::Critical, boat.drop_limits.0),
                limit(DropClass::General, boat.drop_limits.1)
            ),
        ),
        (
            "Lengths along cable ways",
            format!(
                "{} slack and {} for terminations added",
                pretty::percent(boat.slack.si()),
                pretty::show(boat.termination)
            ),
        ),
        ("Each joint", pretty::show(boat.joint.q)),
        ("Devices to choose from", families.join("; ")),
        ("Allowance for growth", pretty::percent(boat.growth.si())),
    ];
    let bundling = match boat.options.bundling {
        Bundling::Practice => "by the rule set's factors, as common practice",
        Bundling::Off => "no table factor; the heat balance still counts them",
    };
    out.push(("Cables lying together", bundling.into()));
    if boat.rules == RuleSetId::UsSmallCraft {
        let rating = match boat.options.device_rating {
            DeviceRating::Outright => "at most 150 % of the conductor's current",
            DeviceRating::NextStandard => "the conductor's current or the next standard size, at most 150 %",
        };
        out.push(("Device rating", rating.into()));
    }
    out.into_iter().filter(|(_, v)| !v.is_empty()).map(|(k, v)| (k.to_string(), v)).collect()
}

pub(super) fn summary(design: &Design) -> Summary {
    let verdicts = |v: Verdict| design.judgements.iter().filter(|j| j.verdict == v).count();
    let mass: f64 = design.circuits.iter().map(|c| c.mass.si()).sum();
    Summary {
        circuits: design.boat.circuits.len(),
        loads: design.boat.loads.len(),
        a: words::count(design, Severity::A),
        b: words::count(design, Severity::B),
        c: words::count(design, Severity::C),
        passed: verdicts(Verdict::Pass),
        not_tested: verdicts(Verdict::NotTested),
        guesses: design.boat.guesses.len(),
        copper: (mass > 0.0).then(|| pretty::show(kilograms(mass))),
    }
}
