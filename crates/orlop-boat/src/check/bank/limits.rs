//! `cell-charge-temperature`, `cell-discharge-temperature`, `cell-charge-rate`, `cell-discharge-rate`: cells are asked only for
//! what their chemistry permits.

use super::Subject;
use crate::model::{Feeds, SourceKind};
use orlop::cell::{Permission, Rate};
use orlop::{Citation, Judgement, Severity, Verdict};
use orlop_units::{Charge, Current, Quantity, amperes, show};

pub(super) fn judge(of: &Subject<'_>) -> Vec<Judgement> {
    let chemistry = of.build.pack.cell().chemistry();
    let (cold, warm) = (of.build.coldest, of.build.warmest);
    let at_both = |at: &dyn Fn(orlop_units::Temperature) -> Result<Permission, orlop::Error>| {
        worst([at(cold), at(warm)].into_iter().flatten())
    };
    let mut all = vec![
        verdict(
            of,
            "cell-charge-temperature",
            Severity::A,
            at_both(&|t| chemistry.charging_at(t)),
            &format!("charging from {} to {} is permitted by every source", show(cold), show(warm)),
            "warm the cells before they are charged, or let the manager stop charging when they are cold or hot",
            &chemistry.charge_from.citation,
        ),
        verdict(
            of,
            "cell-discharge-temperature",
            Severity::B,
            at_both(&|t| chemistry.discharging_at(t)),
            &format!("discharging from {} to {} is permitted by every source", show(cold), show(warm)),
            "insulate or ventilate the bank",
            &chemistry.discharge_from.citation,
        ),
    ];
    let capacity = of.bank.capacity.unwrap_or(of.build.pack.capacity());
    let charging = charging(of);
    if charging.si() > 0.0 {
        let (text, permitted) = rate(charging, capacity, |r| chemistry.charge_rate_permitted(r));
        all.push(verdict(
            of,
            "cell-charge-rate",
            Severity::B,
            permitted,
            &format!("all chargers together give {}, {text}", show(charging)),
            "limit the chargers, or take a larger bank",
            &chemistry.charge_rate.citation,
        ));
    }
    // The worst that lasts: one string lost, where there are strings to lose.
    let strings = f64::from(of.build.pack.managers());
    let left = capacity * ((strings - 1.0).max(1.0) / strings);
    let continuous = of.answer.asked.continuous;
    if continuous.si() > 0.0 {
        let (text, permitted) = rate(continuous, left, |r| chemistry.discharge_rate_permitted(r));
        let lost = if strings > 1.0 { ", with one string lost" } else { "" };
        let judgement = verdict(
            of,
            "cell-discharge-rate",
            Severity::B,
            permitted,
            &format!("the loads take {}, {text}{lost}", show(continuous)),
            "shed loads when a string is lost, or take a larger bank",
            &chemistry.discharge_rate.citation,
        );
        all.push(judgement.case(of.answer.asked.case.clone()));
    }
    all
}

/// All charging sources that reach the boat's circuits from this bank, at their ratings; those of no bank count everywhere.
fn charging(of: &Subject<'_>) -> Current {
    let (boat, tree) = (&of.design.boat, &of.design.demand.tree);
    let reaches = |id: &str| {
        let mut brought = boat.circuits.iter().filter(|c| matches!(&c.feeds, Feeds::Source(s) if s == id));
        brought.any(|c| tree.supply(&c.id).is_some_and(|s| s.id == of.bank.id))
    };
    let sources = boat.sources.iter().filter(|s| s.kind != SourceKind::Converter && reaches(&s.id));
    sources.fold(amperes(0.0), |sum, s| sum + s.rating)
}

fn rate(
    current: Current,
    capacity: Charge,
    permitted: impl Fn(Rate) -> Permission,
) -> (String, Option<Permission>) {
    match Rate::of(current, capacity) {
        Ok(rate) => (format!("{:.2}C", rate.per_hour()), Some(permitted(rate))),
        Err(error) => (error.to_string(), None),
    }
}

fn worst(all: impl Iterator<Item = Permission>) -> Option<Permission> {
    let rank = |p: &Permission| match p {
        Permission::Yes => 0,
        Permission::SourcesDiffer(_) => 1,
        Permission::No(_) => 2,
    };
    // The first of equals.
    all.fold(None, |worst, p| match worst {
        Some(w) if rank(&w) >= rank(&p) => Some(w),
        _ => Some(p),
    })
}

fn verdict(
    of: &Subject<'_>,
    rule: &'static str,
    severity: Severity,
    permitted: Option<Permission>,
    fine: &str,
    to_do: &str,
    source: &Citation,
) -> Judgement {
    let (verdict, what) = match permitted {
        Some(Permission::Yes) => (Verdict::Pass, fine.to_string()),
        Some(Permission::SourcesDiffer(why)) => (Verdict::Undecided, why),
        Some(Permission::No(why)) => (Verdict::Fail, why),
        None => (Verdict::NotTested, format!("{fine}: it cannot be told")),
    };
    // What sources differ about may be settled by the sheet of the cell.
    let severity = if verdict == Verdict::Undecided { Severity::C } else { severity };
    Judgement::bare(rule, of.address(""), severity, verdict)
        .clause(source.short(), source.confidence)
        .what(what)
        .to_do(to_do)
}
