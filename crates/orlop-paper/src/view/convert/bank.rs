//! Banks built from cells, in words.

use super::words;
use crate::pretty;
use crate::view::{Bank, PackDrawing, Rung, ShareRow, Slot};
use orlop::Range;
use orlop::pack::assign::Assignment;
use orlop::pack::{Failure, Order};
use orlop_boat::Design;
use orlop_boat::bank::{BankAnswer, Tied};
use orlop_boat::model::{Bank as Stated, Build};
use orlop_units::{Charge, Quantity, significant};

/// Drawings of more cells than this in a row or side by side would not be read.
const MOST: u32 = 24;

pub(super) fn banks(design: &Design) -> Vec<Bank> {
    let of = |answer: &BankAnswer| {
        let stated = design.boat.bank(&answer.bank)?;
        Some(bank(design, stated, stated.build.as_ref()?, answer))
    };
    design.bank.iter().filter_map(of).collect()
}

fn bank(design: &Design, stated: &Stated, build: &Build, answer: &BankAnswer) -> Bank {
    let mut notes: Vec<String> = Vec::new();
    for flag in answer.orders.iter().filter_map(|t| t.fault.as_ref()).flat_map(|f| &f.flags) {
        let flag = words::sentence(flag);
        if !notes.contains(&flag) {
            notes.push(flag);
        }
    }
    for flag in answer.window.iter().flat_map(|w| &w.flags) {
        notes.push(words::sentence(flag));
    }
    let (rungs, harm) = rungs(design, build);
    Bank {
        id: stated.id.clone(),
        name: if stated.name == stated.id { String::new() } else { stated.name.clone() },
        facts: facts(stated, build, answer),
        orders: answer.orders.iter().map(head).collect(),
        compared: compared(answer),
        packs: answer.orders.iter().filter_map(drawing).collect(),
        assigned: answer.orders.iter().flat_map(assigned).collect(),
        shares: answer.orders.iter().flat_map(shares).collect(),
        rungs,
        harm,
        notes,
    }
}

fn order(order: Order) -> &'static str {
    match order {
        Order::ParallelFirst => "groups side by side first",
        Order::SeriesFirst => "strings in a row first",
    }
}

fn head(tied: &Tied) -> String {
    let built = if tied.built { "As built" } else { "Instead" };
    format!("{built}, {}", order(tied.pack.order()))
}

fn range<Q: Quantity>(range: Range<Q>) -> String {
    pretty::units(&range.to_string())
}

fn facts(stated: &Stated, build: &Build, answer: &BankAnswer) -> Vec<(String, String)> {
    let pack = &build.pack;
    let mut out = vec![
        (
            "Cells".to_string(),
            format!(
                "{} of {} ({}), {} in a row, {} side by side",
                pack.cells(),
                pretty::show(pack.cell().capacity()),
                build.cell_name,
                pack.series(),
                pack.parallel()
            ),
        ),
        ("Energy".into(), pretty::show(pack.energy())),
        (
            "Temperatures designed for".into(),
            format!("{} to {}", pretty::show(build.coldest), pretty::show(build.warmest)),
        ),
        (
            "Resistance of one string that counts".into(),
            range(Range::from_bounds(stated.string_low, stated.string_high)),
        ),
        ("Most that loads take for long".into(), pretty::show(answer.asked.continuous)),
    ];
    if let Some(mass) = pack.mass() {
        out.push(("Mass of the cells".into(), pretty::show(mass)));
    }
    if let Some(m) = &answer.asked.moment {
        let text = format!("{} for {} ({})", pretty::show(m.current), pretty::show(m.time), m.load);
        out.push(("Most for a moment".into(), text));
    }
    if let Some(manager) = build.manager {
        let peak = manager
            .peak()
            .map_or_else(String::new, |(i, t)| format!(", {} for {}", pretty::show(i), pretty::show(t)));
        out.push(("Each manager carries".into(), format!("{}{peak}", pretty::show(manager.continuous()))));
    }
    out.extend(disconnect(build, answer));
    if let Some(window) = &answer.window {
        let least = if window.closing < window.sustained { window.closing } else { window.sustained };
        let text = format!("{} apart at most, near full charge", pretty::show(least));
        out.push(("Strings may be joined".into(), text));
    }
    if let Some(filling) = &answer.filling {
        let text = match (&filling.nominal, &filling.resistor) {
            (Some(f), Some([low, _])) => format!(
                "{}: {} at first, time constant {}, {}\u{a0}J in the resistor",
                pretty::show(low.resistor()),
                pretty::show(f.peak),
                pretty::show(f.time_constant),
                significant(f.energy.si(), 2)
            ),
            (None, Some(_)) => "the bus cannot come up".into(),
            _ => "none stated".into(),
        };
        out.push(("Pre-charge".into(), text));
    }
    out
}

/// The switch of each manager: what it breaks, how warm it gets, what its coil takes.
fn disconnect(build: &Build, answer: &BankAnswer) -> Vec<(String, String)> {
    let Some(d) = &build.disconnect else { return Vec::new() };
    let mut out = Vec::new();
    if let Some((breaks, at)) = d.breaks {
        let after =
            d.opens_after.map_or_else(String::new, |t| format!(", not sooner than {}", pretty::show(t)));
        let text = format!("{} at {}{after}", pretty::show(breaks), pretty::show(at));
        out.push(("Each switch breaks".into(), text));
    }
    if let Some(w) = &d.warming {
        let (_, current) = answer.asked.through_each(build.pack.managers());
        let what = "Each switch, one string lost";
        let text = match w.switch.under(current, w.ambient) {
            Ok(warm) => format!(
                "{} at {}, {} permitted",
                pretty::show(warm.temperature),
                pretty::show(current),
                pretty::show(w.hottest)
            ),
            Err(_) => format!("runs away at {}", pretty::show(current)),
        };
        out.push((if build.pack.managers() > 1 { what } else { "The switch" }.into(), text));
    }
    if d.coil.is_some() {
        out.push(("Coils that hold it closed".into(), pretty::show(build.coils())));
    }
    out
}

fn compared(answer: &BankAnswer) -> Vec<(String, Vec<String>)> {
    let row = |what: &str, of: &dyn Fn(&Tied) -> String| {
        (what.to_string(), answer.orders.iter().map(of).collect::<Vec<_>>())
    };
    let known = |text: Option<String>| text.unwrap_or_else(|| "not known".into());
    let mut out = vec![
        row("Managers, disconnects, fuses", &|t| t.parts.managers.to_string()),
        row("Voltages watched", &|t| t.parts.monitored_voltages.to_string()),
        row("Links between cells", &|t| (t.parts.series_links + t.parts.rail_links).to_string()),
        row("Fault current at the terminals, by the cells", &|t| {
            known(t.fault.as_ref().map(|f| range(f.current)))
        }),
    ];
    if answer.orders.iter().any(|t| t.assignment.is_some()) {
        out.push(row("Capacity of the delivered cells", &|t| {
            known(t.assignment.as_ref().map(|a| hours(a.capacity())))
        }));
        out.push(row("In the order of delivery", &|t| {
            known(t.assignment.as_ref().map(|a| hours(a.delivery_order())))
        }));
    }
    for (failure, what) in [
        (Failure::CellOpen, "Left when a cell opens"),
        (Failure::CellShort, "Left when a cell shorts inside"),
        (Failure::SeriesLink, "Left when a link in a row breaks"),
        (Failure::RailLink, "Left when a link of a rail breaks, at worst"),
        (Failure::Manager, "Left when a manager opens"),
    ] {
        if answer.orders.iter().any(|t| t.after.iter().any(|r| r.failure == failure)) {
            out.push(row(what, &|t| {
                let found = t.after.iter().find(|r| r.failure == failure);
                let Some(r) = found else { return String::new() };
                let short = r.short_current.map_or_else(String::new, |i| format!(", {} into it", range(i)));
                let left =
                    if r.share.value() == 0.0 { "nothing".into() } else { pretty::percent(r.share.value()) };
                format!("{left}{short}")
            }));
        }
    }
    out
}

fn drawing(tied: &Tied) -> Option<PackDrawing> {
    let pack = &tied.pack;
    if pack.series() > MOST || pack.parallel() > MOST {
        return None;
    }
    let groups_first = pack.order() == Order::ParallelFirst;
    let (count, size) =
        if groups_first { (pack.series(), pack.parallel()) } else { (pack.parallel(), pack.series()) };
    let (groups, holds) = match &tied.assignment {
        Some(a) => (slots(a), a.groups().iter().map(|g| hours(g.capacity)).collect()),
        None => (vec![vec![Slot::default(); size as usize]; count as usize], Vec::new()),
    };
    Some(PackDrawing { title: head(tied), groups_first, groups, holds })
}

fn slots(assignment: &Assignment) -> Vec<Vec<Slot>> {
    let (cells, flags) = (assignment.delivery().cells(), assignment.flags_in_use());
    let slot = |serial: &String| Slot {
        serial: serial.clone(),
        capacity: cells.iter().find(|c| c.id() == serial).map_or_else(String::new, |c| hours(c.capacity())),
        flagged: flags.iter().any(|f| f.cell == *serial),
    };
    assignment.groups().iter().map(|g| g.cells.iter().map(slot).collect()).collect()
}

fn assigned(tied: &Tied) -> Vec<String> {
    let Some(a) = &tied.assignment else { return Vec::new() };
    let list = |cells: Vec<String>| if cells.is_empty() { "none".to_string() } else { cells.join(", ") };
    let proof = if a.proved() { "nothing holds more" } else { "more may be possible" };
    vec![format!(
        "{}: {}, {} more than in the order of delivery; {proof}. Rejected: {}. Spare: {}.",
        head(tied),
        hours(a.capacity()),
        pretty::percent(a.gain().value()),
        list(a.rejected()),
        list(a.spares())
    )]
}

/// Capacity to a tenth of an ampere-hour: cells of one crate differ by little.
fn hours(capacity: Charge) -> String {
    format!("{:.1}\u{a0}Ah", capacity.out())
}

/// Strings on the bus, or the cells of each group.
fn shares(tied: &Tied) -> Vec<ShareRow> {
    let Some(a) = &tied.assignment else { return Vec::new() };
    let groups = a.groups();
    match tied.pack.order() {
        Order::SeriesFirst => {
            let Some(shares) = tied.string_shares() else { return Vec::new() };
            let named = shares.iter().enumerate().map(|(n, s)| (format!("string {}", n + 1), s.value()));
            vec![ShareRow {
                label: format!("{} bus", if tied.built { "As built," } else { "Instead," }),
                members: named.collect(),
            }]
        }
        Order::ParallelFirst => groups
            .iter()
            .enumerate()
            .filter(|(_, g)| g.shares.len() > 1)
            .map(|(n, g)| ShareRow {
                label: format!("{} group {}", if tied.built { "As built," } else { "Instead," }, n + 1),
                members: g.cells.iter().cloned().zip(g.shares.iter().map(|s| s.value())).collect(),
            })
            .collect(),
    }
}

fn rungs(design: &Design, build: &Build) -> (Vec<Rung>, (Option<f64>, Option<f64>)) {
    use orlop::pack::threshold::Role;
    let Some(ladder) = &build.ladder else { return (Vec::new(), (None, None)) };
    let harm = |role| ladder.rungs().iter().find(|r| r.role() == role).map(|r| r.per_cell().si());
    let mark = |id: &str| {
        words::mark(design, &|address| {
            let mut parts = address.split('.');
            parts.next() == Some("threshold") && parts.any(|p| p == id)
        })
    };
    let rows = ladder.rungs().iter().rev().map(|r| {
        let at = r.at_cell();
        let end = |v: Option<orlop_units::Voltage>| v.unwrap_or(r.per_cell()).si();
        Rung {
            id: r.id().to_string(),
            name: build
                .rung_names
                .iter()
                .find(|(id, _)| id == r.id())
                .map_or_else(String::new, |n| n.1.clone()),
            role: r.role().word().replace('-', " "),
            setting: format!("{}\u{a0}V", significant(r.setting().si(), 4)),
            cell: r.per_cell().si(),
            ends: (end(at.low()), end(at.high())),
            mark: mark(r.id()),
        }
    });
    (rows.collect(), (harm(Role::LowLimit), harm(Role::HighLimit)))
}
