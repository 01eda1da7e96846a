//! The second visit: what was planted in the later file comes out, each as what it is, and nothing else.

use orlop::Severity;
use orlop_boat::survey::{Change, Matter, Outcome, Part, Resurvey, compare, extract};
use orlop_boat::{Design, document, size, tables};

const FIRST: &str = include_str!("../../../python/orlop/boats/dunlin_as_found.toml");
const SECOND: &str = include_str!("../../../python/orlop/boats/dunlin_second_visit.toml");

fn sized(text: &str) -> Design {
    size(&document::read(text, "boat.toml").unwrap_or_else(|e| panic!("{e}"))).unwrap()
}

fn changed(text: &str, old: &str, new: &str) -> String {
    assert!(text.contains(old), "{old}");
    text.replacen(old, new, 1)
}

fn both() -> Resurvey {
    compare(&sized(FIRST), &sized(SECOND)).unwrap()
}

/// The matter with a reading of this id on either visit.
fn of<'a>(two: &'a Resurvey, id: &str) -> &'a Matter {
    let has =
        |m: &&Matter| [&m.before, &m.now].into_iter().flatten().any(|s| s.readings.iter().any(|r| r == id));
    two.matters.iter().find(has).unwrap_or_else(|| panic!("no {id}"))
}

#[test]
fn each_matter_comes_out_as_it_was_planted() {
    let two = both();
    let outcomes = [
        ("AF-01", Outcome::Resolved),
        ("AF-02", Outcome::Resolved),
        ("AF-03", Outcome::Open),
        ("AF-04", Outcome::Resolved),
        ("AF-05", Outcome::Resolved),
        ("AF-06", Outcome::Resolved),
        ("AF-07", Outcome::Open),
        ("AF-08", Outcome::Open),
        ("AF-09", Outcome::Resolved),
        ("AF-10", Outcome::Open),
        ("AF-11", Outcome::Resolved),
        ("AF-12", Outcome::Open),
        ("AF-13", Outcome::Open),
        ("AF-14", Outcome::NotChecked),
        ("AF-15", Outcome::NotChecked),
        ("NEW-1", Outcome::New),
        ("NEW-2", Outcome::New),
        ("OK-1", Outcome::InOrder),
        ("AF-05-loop", Outcome::InOrder),
    ];
    for (id, outcome) in outcomes {
        assert_eq!(of(&two, id).outcome, outcome, "{id}: {}", of(&two, id).why);
    }
    // Two more, worked out on the new main fuse: too slow for the weak old bank, and as large as the one of the thruster behind it.
    let worked_out = two.matters.iter().filter(|m| m.now.as_ref().is_some_and(|n| n.readings.is_empty()));
    let worked_out = worked_out.filter(|m| m.outcome == Outcome::New).map(|m| (m.rule, m.severity()));
    assert_eq!(
        worked_out.collect::<Vec<_>>(),
        [("device-clears", Some(Severity::A)), ("device-selective", Some(Severity::C))]
    );
    assert_eq!(two.matters.len(), outcomes.len() + 2, "nothing else");
    let order: Vec<Outcome> = two.matters.iter().map(|m| m.outcome).collect();
    assert!(order.is_sorted());
    assert!(of(&two, "AF-15").why.contains("fixed down"));
    assert!(of(&two, "AF-09").why.contains("no longer on board"));
}

#[test]
fn changes_are_told_from_scatter() {
    let two = both();
    let change = |id: &str| of(&two, id).difference.as_ref().unwrap().change;
    assert_eq!(change("AF-07"), Change::Worse);
    assert_eq!(change("AF-08"), Change::Better);
    assert_eq!(change("AF-10"), Change::Better);
    assert_eq!(change("AF-12"), Change::Same);
    assert_eq!(change("AF-03"), Change::NotSignificant);
    let more = changed(SECOND, "value = \"2.89 V\"", "value = \"2.90 V\"");
    let two = compare(&sized(FIRST), &sized(&more)).unwrap();
    // By hand: 2.90 V at 17.7 A is 2.8836 V at 17.6 A, 13.6 mV more than 2.87 V. Independent: sqrt(20^2 + 19.9^2) = 28.2 mV. One meter
    // that repeats to 5 mV: sqrt(5^2 + 4.97^2 + (19.36 (1 - 17.6 / 17.7))^2) = 7.05 mV.
    let d = of(&two, "AF-03").difference.clone().unwrap();
    let scale = 17.6 / 17.7;
    assert!((d.value.si - (2.90 * scale - 2.87)).abs() < 1e-12);
    assert!((d.now_scaled.unwrap().si - 2.90 * scale).abs() < 1e-12);
    let independent = (0.02_f64.powi(2) + (0.02 * scale).powi(2)).sqrt();
    assert!((d.independent.unwrap().si - independent).abs() < 1e-6 * independent);
    let own = 0.02_f64.mul_add(0.02, -0.005 * 0.005).sqrt();
    let same = (0.005_f64.powi(2) * (1.0 + scale * scale) + (own * (1.0 - scale)).powi(2)).sqrt();
    assert!((d.same_instrument.unwrap().si - same).abs() < 1e-6 * same);
    // 13.6 mV is more than 7.05 mV and less than 28.2 mV: one instrument decides what two could not.
    assert_eq!((d.change, d.if_independent), (Change::Worse, Change::NotSignificant));
    // Without saying how well it repeats, or with another meter, it is not significant.
    let vague = changed(
        &more,
        "value = \"2.90 V\"\nuncertainty = \"0.02 V\"\nrepeat = \"5 mV\"",
        "value = \"2.90 V\"\nuncertainty = \"0.02 V\"",
    );
    let other = changed(
        &more,
        "current = \"17.7 A\"\ninstrument = \"multimeter A",
        "current = \"17.7 A\"\ninstrument = \"multimeter E",
    );
    for text in [vague, other] {
        let two = compare(&sized(FIRST), &sized(&text)).unwrap();
        let d = of(&two, "AF-03").difference.clone().unwrap();
        assert_eq!((d.change, d.same_instrument), (Change::NotSignificant, None));
    }
    // Without any uncertainty nothing can be said.
    let bare = changed(
        &more,
        "value = \"2.90 V\"\nuncertainty = \"0.02 V\"\nrepeat = \"5 mV\"",
        "value = \"2.90 V\"",
    );
    let two = compare(&sized(FIRST), &sized(&bare)).unwrap();
    assert_eq!(of(&two, "AF-03").difference.as_ref().unwrap().change, Change::NotKnown);
}

#[test]
fn the_same_boat_a_day_later_has_only_what_it_had() {
    let next = changed(FIRST, "date = \"2026-10-10\"", "date = \"2026-10-11\"");
    let two = compare(&sized(FIRST), &sized(&next)).unwrap();
    assert_eq!(two.count(Outcome::Open), 15);
    assert_eq!(two.count(Outcome::New) + two.count(Outcome::Resolved) + two.count(Outcome::NotChecked), 0);
    for m in &two.matters {
        assert!(m.difference.as_ref().is_none_or(|d| d.change == Change::Same), "{}", m.why);
    }
}

#[test]
fn there_and_back_is_new_for_resolved() {
    let back = compare(&sized(&changed(SECOND, "2027-04-17", "2026-04-17")), &sized(FIRST)).unwrap();
    // What was put right on the way there is new on the way back, and what was worse is better.
    for id in ["AF-02", "AF-04", "AF-05", "AF-06", "AF-11"] {
        assert_eq!(of(&back, id).outcome, Outcome::New, "{id}");
    }
    assert_eq!(of(&back, "AF-07").difference.as_ref().unwrap().change, Change::Better);
    assert_eq!(of(&back, "NEW-1").outcome, Outcome::NotChecked);
}

#[test]
fn joints_are_found_again_by_number_or_by_name() {
    // The isolator was renamed and kept its number; the other way round works as well.
    let renumbered = changed(SECOND, "[found.AF-07]", "[found.X]");
    let two = compare(&sized(FIRST), &sized(&renumbered)).unwrap();
    assert_eq!(of(&two, "X").outcome, Outcome::Open);
    let another = changed(&renumbered, "Negative bus, third stud", "Negative bus, fifth stud");
    let two = compare(&sized(FIRST), &sized(&another)).unwrap();
    assert_eq!(of(&two, "X").outcome, Outcome::New);
    assert_eq!(of(&two, "AF-07").outcome, Outcome::NotChecked);
}

#[test]
fn a_margin_within_the_uncertainty_is_undecided_this_time() {
    let text = changed(
        SECOND,
        "value = \"4 mm\"\nuncertainty = \"3 mm\"",
        "value = \"11 mm\"\nuncertainty = \"3 mm\"",
    );
    let two = compare(&sized(FIRST), &sized(&text)).unwrap();
    assert_eq!(of(&two, "AF-11").outcome, Outcome::Undecided);
}

#[test]
fn what_cannot_be_compared_is_refused_with_what_to_do() {
    let said = |a: &str, b: &str| compare(&sized(a), &sized(b)).unwrap_err().to_string();
    let hull = "hull = \"DUNLIN 0001, invented\"";
    let cases = [
        (
            FIRST.to_string(),
            changed(SECOND, hull, "hull = \"DUNLIN 0002\""),
            "hull: got 'DUNLIN 0001, invented' and 'DUNLIN 0002'",
        ),
        (FIRST.to_string(), changed(SECOND, hull, ""), "state the same [boat] hull"),
        (SECOND.to_string(), FIRST.to_string(), "the other way round"),
        (
            FIRST.to_string(),
            changed(SECOND, "date = \"2027-04-17\"", ""),
            "later: got 'Dunlin, second visit' without the date",
        ),
        (
            changed(FIRST, "date = \"2026-10-10\"", ""),
            SECOND.to_string(),
            "earlier: got 'Dunlin, as found' without the date",
        ),
        (FIRST.to_string(), FIRST.to_string(), "twice"),
        (FIRST.to_string(), SECOND[..SECOND.find("[found.").unwrap()].to_string(), "without any [found.ID]"),
        (
            FIRST.to_string(),
            changed(SECOND, "rules = \"iso-small-craft\"", "rules = \"us-small-craft\""),
            "one rule set",
        ),
    ];
    for (a, b, expected) in cases {
        let got = said(&a, &b);
        assert!(got.contains(expected), "{got}");
    }
    let twin = "\n[found.TWIN]\nname = \"negative bus,  Third stud\"\nat = \"panel.SWB\"\nwhat = \"joint\"\nvalue = \"20 mV\"\ncurrent = \"62 A\"\n";
    let got = said(FIRST, &format!("{SECOND}{twin}"));
    assert!(got.contains("'AF-07' and 'TWIN'") && got.contains("a name each"), "{got}");
}

#[test]
fn a_name_written_otherwise_needs_no_hull() {
    let plain = |text: &str| {
        changed(
            &changed(text, "hull = \"DUNLIN 0001, invented\"", ""),
            "name = \"Dunlin, ",
            "name = \"Dunlin #",
        )
    };
    let first = changed(&plain(FIRST), "Dunlin #as found", "DUNLIN");
    let second = changed(&plain(SECOND), "Dunlin #second visit", "Dunlin ");
    assert!(compare(&sized(&first), &sized(&second)).is_ok());
    // A dash is no hull number: the names decide, and these differ.
    let dash = |text: &str, mark: &str| changed(text, "DUNLIN 0001, invented", mark);
    let got = compare(&sized(&dash(FIRST, "-")), &sized(&dash(SECOND, "?"))).unwrap_err().to_string();
    assert!(got.starts_with("name: "), "{got}");
}

#[test]
fn a_visit_that_finds_nothing_wrong_leaves_nothing_unsaid() {
    // One statement and no reading: everything that was measured counts as not looked at.
    let start = SECOND.find("[found.").unwrap();
    let text = format!(
        "{}[found.S]\nat = \"boat\"\nwhat = \"seen\"\ntext = \"looked at from the quay\"\n",
        &SECOND[..start]
    );
    let two = compare(&sized(FIRST), &sized(&text)).unwrap();
    for id in ["AF-02", "AF-05", "AF-07", "AF-08", "AF-11", "AF-14"] {
        assert_eq!(of(&two, id).outcome, Outcome::NotChecked, "{id}");
    }
    assert_eq!(two.count(Outcome::InOrder), 0);
}

#[test]
fn the_table_holds_every_matter_in_the_unit_beside_it() {
    let table = tables::resurvey(&both());
    let column = |name: &str| table.columns.iter().position(|c| c.schema.name == name).unwrap();
    assert_eq!(table.rows(), both().matters.len());
    let row = (0..table.rows()).find(|r| table.text(*r, column("readings_now")) == "AF-07").unwrap();
    assert_eq!(table.text(row, column("unit")), "W");
    // 0.175 V and 0.205 V at 62 A.
    let number = |name: &str| table.text(row, column(name)).parse::<f64>().unwrap();
    assert!((number("before") - 10.85).abs() < 1e-9 && (number("now") - 12.71).abs() < 1e-9);
    assert!((number("difference") - 1.86).abs() < 1e-9);
}

#[test]
fn the_extract_has_what_an_insurer_asks_for_and_no_more() {
    let (first, second) = (sized(FIRST), sized(SECOND));
    let lines = extract(&first, None);
    let open: Vec<_> = lines.iter().filter(|l| l.part == Part::Open).collect();
    // Five of severity A and eight of B; what is of good practice is left out.
    assert_eq!(open.len(), 13);
    for l in &open {
        assert!(l.severity.is_some_and(|s| s < Severity::C));
        assert!(!(l.risk.is_empty() || l.correction.is_empty() || l.standard.is_empty()), "{l:?}");
        assert_eq!(l.reported, "2026-10-10");
    }
    assert!(lines.iter().all(|l| l.part != Part::Closed));
    let two = compare(&first, &second).unwrap();
    let lines = extract(&second, Some(&two));
    let closed: Vec<_> = lines.iter().filter(|l| l.part == Part::Closed).collect();
    assert_eq!(closed.len(), 7);
    assert!(closed.iter().all(|l| l.reported == "2026-10-10" && l.closed == "2027-04-17"));
    let open: Vec<_> = lines.iter().filter(|l| l.part == Part::Open).collect();
    // Still open AF-03, 07, 08, 12, 13; not looked at AF-15; new NEW-1, NEW-2 and the slow main fuse.
    assert_eq!(open.len(), 9, "{open:#?}");
    let dates = |day: &str| open.iter().filter(|l| l.reported == day).count();
    assert_eq!((dates("2026-10-10"), dates("2027-04-17")), (6, 3));
    let all = |part| lines.iter().filter(|l| l.part == part).map(|l| l.text.as_str()).collect::<Vec<_>>();
    assert!(all(Part::Inspection).iter().any(|t| t.contains("lining of the lazarette")));
    assert!(all(Part::Protection).iter().any(|t| t.contains("250 A")));
    assert!(all(Part::Bank)[0].contains("24.4 V"));
}

#[test]
fn the_extract_says_what_could_not_be_decided_and_what_is_not_stated() {
    let between = changed(
        SECOND,
        "value = \"4 mm\"\nuncertainty = \"3 mm\"",
        "value = \"11 mm\"\nuncertainty = \"3 mm\"",
    );
    let lines = extract(&sized(&between), None);
    let line = lines.iter().find(|l| l.part == Part::Open && l.readings == "AF-11").unwrap();
    assert_eq!(line.text.matches("cannot be decided").count(), 1, "{}", line.text);
    // How long a motor bears its locked rotor is not in this file: undecided, without a reading.
    let design = sized(include_str!("../../../python/orlop/boats/teal.toml"));
    let lines = extract(&design, None);
    let locked = lines.iter().find(|l| l.text.contains("is not known")).unwrap();
    assert!(locked.text.starts_with("this cannot be decided: "), "{}", locked.text);
    let protection: Vec<_> = lines.iter().filter(|l| l.part == Part::Protection).collect();
    assert!(protection[0].text.starts_with("size not stated, device not stated; "), "{}", protection[0].text);
    assert!(protection.last().unwrap().text.starts_with("0 of 8 "));
}

#[test]
fn a_reading_is_explained_from_the_instrument_to_the_clause() {
    let first = sized(FIRST);
    let working = orlop_boat::explain(&first, "found.AF-03.verdict").unwrap();
    let text = working.to_string();
    // 2.87 V against a tenth of 24 V: 19.6 % beyond.
    for said in ["2.87 V", "20 mV", "17.6 A", "2.4 V", "ISO 10133:2012", "-19.6 %", "fail"] {
        assert!(text.contains(said), "{said}: {text}");
    }
    assert!(orlop_boat::explain(&first, "found.NO-1").unwrap().to_string().contains("a statement"));
    assert!(orlop_boat::explain(&first, "found.AF-99").is_err());
}
