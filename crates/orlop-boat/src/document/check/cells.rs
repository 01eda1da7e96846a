//! Cells, what was delivered, thresholds: whole in themselves, and each with a bank that is built from cells.

use crate::document::bank::{self, Built};
use crate::document::problem::Problems;
use crate::document::row::{Row, Rows};
use orlop::Error;

/// Keys of a bank that mean something only with its cell.
const WITH_CELL: [&str; 27] = [
    "series",
    "parallel",
    "order",
    "link",
    "parts",
    "coldest",
    "warmest",
    "least_charge",
    "manager_continuous",
    "manager_peak",
    "manager_peak_time",
    "switch_breaks",
    "switch_breaks_at",
    "switch_opens_after",
    "switch_resistance",
    "switch_growth",
    "switch_rise_per_watt",
    "switch_hottest",
    "switch_ambient",
    "coil_hold",
    "coil_pull",
    "coil_pull_time",
    "precharge",
    "precharge_survives",
    "standing",
    "alarm_lead",
    "leave_out",
];

pub(super) fn check(rows: &Rows, problems: &mut Problems) {
    for row in rows.of("cell") {
        tell(bank::cell(row), problems);
    }
    for row in rows.of("bank") {
        whole(row, problems);
    }
    for row in rows.of("delivered") {
        tell(bank::delivered(row), problems);
        owner(rows, row, problems);
    }
    for row in rows.of("threshold") {
        let owner = owner(rows, row, problems);
        let series = owner.and_then(|bank| bank.count("series")).unwrap_or(u32::MAX);
        tell(bank::rung(row, series), problems);
    }
    // What belongs together is built only from parts that are fine alone.
    if problems.is_empty() {
        for row in rows.of("bank") {
            tell(bank::build(rows, row), problems);
        }
    }
}

fn tell<T>(built: Built<'_, T>, problems: &mut Problems) {
    let Err(Some(refused)) = built else { return };
    let refused = *refused;
    let (what, expected, hint) = match refused.error {
        Error::Input { field, got, expected, hint } => (format!("{field} cannot be {got}"), expected, hint),
        other => (other.to_string(), String::new(), String::new()),
    };
    let at = refused.row.at(refused.key);
    problems.add(at, refused.row.address(refused.key), what, expected, hint);
}

/// Whether a bank has all that its cells need.
fn whole(row: &Row, problems: &mut Problems) {
    let mut ask = |at: &str, key: &str, what: String, expected: &str, hint: &str| {
        problems.add(row.at(at), row.address(key), what, expected, hint);
    };
    if !row.given("cell") {
        if let Some(key) = WITH_CELL.into_iter().find(|k| row.given(k)) {
            let what = format!("{} has {key} but no cell", row.title());
            ask(key, key, what, "cell beside it", "name the section of its cells: cell = \"LFP230\"");
        }
        return;
    }
    if !row.given("series") {
        let what = format!("{} has a cell but no series", row.title());
        ask("cell", "series", what, "how many cells in a row", "add series = 4");
    }
    if row.count("parallel").is_some_and(|n| n > 1) && !row.given("order") {
        let what = format!("{} has cells side by side, and no order", row.title());
        let hint = "parallel-first: groups with one manager; series-first: strings with a manager each";
        ask("parallel", "order", what, "parallel-first or series-first", hint);
    }
    for (key, other) in [
        ("manager_peak", "manager_continuous"),
        ("manager_peak", "manager_peak_time"),
        ("manager_peak_time", "manager_peak"),
        ("precharge_survives", "precharge"),
        ("switch_breaks", "switch_breaks_at"),
        ("switch_breaks_at", "switch_breaks"),
        ("switch_resistance", "switch_rise_per_watt"),
        ("switch_resistance", "switch_hottest"),
        ("switch_growth", "switch_resistance"),
        ("switch_rise_per_watt", "switch_resistance"),
        ("switch_hottest", "switch_resistance"),
        ("switch_ambient", "switch_resistance"),
        ("coil_pull", "coil_hold"),
        ("coil_pull", "coil_pull_time"),
        ("coil_pull_time", "coil_pull"),
    ] {
        if row.given(key) && !row.given(other) {
            let what = format!("{} has {key} but no {other}", row.title());
            ask(key, key, what, &format!("{other} beside it"), "");
        }
    }
}

/// The bank of a delivered cell or a threshold, which must be built from cells.
fn owner<'a>(rows: &'a Rows, row: &Row, problems: &mut Problems) -> Option<&'a Row> {
    let bank = rows.find("bank", row.id("bank")?)?;
    if !bank.given("cell") {
        let what = format!("bank: '{}' is not built from cells", bank.id);
        let hint = "give that bank its cell and series first";
        problems.add(row.at("bank"), row.address("bank"), what, "a bank with a cell", hint);
    }
    Some(bank)
}
