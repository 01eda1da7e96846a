//! Tables of tests, readings and surveys.

use super::{ColumnType, Of, Text};
use crate::check::found::judged;
use crate::design::Design;
use crate::sheet::sheet;
use crate::survey::{Survey, SurveyFinding};
use ColumnType::{Integer, Number};
use orlop::table::{Cell, Schema, quantity, schema};
use orlop::{Error, Table};
use orlop_units::{AnyQuantity, Fraction, Kind};

pub(super) const TESTS: Schema = schema!("tests", "one row per test of the test sheet, in the order of work", [
    "number": Integer, "its number";
    "test": Text, "polarity, continuity, rest, drain, leakage, joints, drop-positive, drop-negative, drop-whole, volts-at-load";
    "subject": Text, "address of the subject";
    "name": Text, "name for people";
    "switch_on": Text, "what to switch on; all else is off";
    "probe": Text, "where to hold the probes";
    "current_a": Of(Kind::Current), "current that flows then";
    "expected": Number, "what a sound one shows, in the unit beside it";
    "sense": Text, "at most or at least";
    "limit": Number, "its limit, in the same unit";
    "unit": Text, "unit of expected, limit and reading";
    "reading": Number, "what was read, in the same unit; empty until it is in the boat file";
    "found": Text, "id of that reading";
    "verdict": Text, "when it is in order";
    "if_not": Text, "what to do when it is not";
    "clause": Text, "what sets the limit";
    "confidence": Text, "how far that can be trusted";
]);

pub(super) const FOUND: Schema = schema!("found", "one row per reading or statement of the boat file", [
    "id": Text, "id in the boat file";
    "subject": Text, "what it is about";
    "name": Text, "where exactly";
    "what": Text, "what was looked at";
    "evidence": Text, "measured or seen";
    "value": Number, "what was read, in the unit beside it";
    "uncertainty": Number, "half the width of its 95 % interval, in the same unit, or kelvins for temperatures";
    "unit": Text, "unit of the reading";
    "current_a": Of(Kind::Current), "current at which it was read";
    "verdict": Text, "pass, fail, undecided; empty where there is no limit";
    "severity": Text, "A, B or C when it fails";
    "judged": Number, "the value that was judged, in the unit beside it: watts for a joint";
    "judged_unit": Text, "unit of the value judged and its limit";
    "sense": Text, "at most or at least";
    "limit": Number, "its limit";
    "margin_percent": Of(Kind::Fraction), "room left over the limit; positive is good";
    "clause": Text, "what sets the limit";
    "instrument": Text, "the instrument";
    "when": Text, "the day, or the conditions";
    "text": Text, "what was found, in words";
]);

pub(super) const SURVEY: Schema = schema!("survey", "one row per finding of the survey, then what could not be decided", [
    "number": Integer, "its number";
    "severity": Text, "A act before use, B soon, C good practice";
    "verdict": Text, "fail or undecided";
    "subject": Text, "address of the subject";
    "place": Text, "name for people";
    "evidence": Text, "measured, seen, inferred";
    "deficiency": Text, "what is wrong";
    "value": Number, "the value, in the unit beside it";
    "uncertainty": Number, "half the width of its 95 % interval";
    "sense": Text, "at most or at least";
    "limit": Number, "its limit, in the same unit";
    "unit": Text, "unit of value and limit";
    "margin_percent": Of(Kind::Fraction), "room left over the limit; positive is good";
    "risk": Text, "what may come of it";
    "correction": Text, "what must be true afterwards";
    "standard": Text, "document and clause, or the practice";
    "confidence": Text, "how far our copy of that can be trusted";
    "rule": Text, "the rule that leads";
    "readings": Text, "readings of the boat file that it rests on";
    "beside": Text, "other judgements on the same matter";
]);

pub(super) const SURVEY_NOTES: Schema = schema!("survey_notes", "one row per observation, thing not opened, thing not tested, confirmation", [
    "kind": Text, "observation, not-opened, not-tested, in-order";
    "subject": Text, "address of the subject";
    "place": Text, "name for people";
    "evidence": Text, "measured, seen, inferred";
    "text": Text, "what it says";
    "reading": Text, "the reading of the boat file";
]);

fn unit(a: Option<&AnyQuantity>, b: Option<&AnyQuantity>) -> Cell {
    a.or(b).map(|q| q.kind.output().symbol).into()
}

pub(super) fn tests(design: &Design) -> Result<Table, Error> {
    let mut table = Table::new(&TESTS);
    for t in sheet(design)? {
        table.push([
            t.number.into(),
            t.kind.word().into(),
            t.subject.as_str().into(),
            t.name.as_str().into(),
            t.switch_on.as_str().into(),
            t.probe.as_str().into(),
            quantity(t.current),
            t.expected.clone().into(),
            if t.limit.is_some() { t.sense.word().into() } else { Cell::Null },
            t.limit.clone().into(),
            unit(t.expected.as_ref(), t.limit.as_ref()),
            t.found.as_ref().map(|(_, value)| value.clone()).into(),
            t.found.as_ref().map(|(id, _)| id.clone()).into(),
            t.verdict.as_str().into(),
            t.if_not.as_str().into(),
            t.clause.as_str().into(),
            if t.limit.is_some() { t.confidence.word().into() } else { Cell::Null },
        ]);
    }
    Ok(table)
}

pub(super) fn found(design: &Design) -> Table {
    let mut table = Table::new(&FOUND);
    for judged in judged(design) {
        let (r, j) = (judged.reading, judged.judgement.as_ref());
        let said = j.map_or(r.text.as_str(), |j| j.what.as_str());
        let failed = j.filter(|j| j.is_finding());
        // A half-width is a difference: the factor of its unit counts, without an offset.
        let half = r.value.as_ref().zip(r.uncertainty).map(|(v, half)| half / v.kind.output().factor);
        table.push([
            r.id.as_str().into(),
            r.at.as_str().into(),
            r.name.as_str().into(),
            r.item.info().word.into(),
            r.evidence().word().into(),
            r.value.clone().into(),
            half.into(),
            unit(r.value.as_ref(), None),
            quantity(r.current),
            j.map(|j| j.verdict.word()).into(),
            failed.map(|j| j.severity.word()).into(),
            j.and_then(|j| j.value.clone()).into(),
            j.map_or(Cell::Null, |j| unit(j.value.as_ref(), j.limit.as_ref())),
            j.filter(|j| j.limit.is_some()).map(|j| j.sense.word()).into(),
            j.and_then(|j| j.limit.clone()).into(),
            quantity(j.and_then(|j| j.margin).map(Fraction::new)),
            j.map(|j| j.clause.clone()).into(),
            r.instrument.as_str().into(),
            r.when.as_str().into(),
            said.into(),
        ]);
    }
    table
}

pub(super) fn survey(survey: &Survey) -> Table {
    let mut table = Table::new(&SURVEY);
    for f in survey.findings.iter().chain(&survey.undecided) {
        table.push(row(f));
    }
    table
}

fn row(f: &SurveyFinding) -> [Cell; 20] {
    let beside: Vec<String> = f.beside.iter().map(|(rule, what)| format!("{rule}: {what}")).collect();
    [
        f.number.into(),
        f.severity.word().into(),
        f.verdict.word().into(),
        f.subject.as_str().into(),
        f.place.as_str().into(),
        f.evidence.word().into(),
        f.deficiency.as_str().into(),
        f.value.clone().into(),
        f.uncertainty.clone().into(),
        if f.limit.is_some() { f.sense.word().into() } else { Cell::Null },
        f.limit.clone().into(),
        unit(f.value.as_ref(), f.limit.as_ref()),
        quantity(f.margin.map(Fraction::new)),
        f.risk.as_str().into(),
        f.correction.as_str().into(),
        f.standard.as_str().into(),
        f.confidence.word().into(),
        f.rule.into(),
        f.readings.join(", ").into(),
        beside.join("; ").into(),
    ]
}

pub(super) fn notes(survey: &Survey) -> Table {
    let mut table = Table::new(&SURVEY_NOTES);
    for n in survey.notes.iter().chain(&survey.confirmations) {
        table.push([
            n.kind.word().into(),
            n.subject.as_str().into(),
            n.place.as_str().into(),
            n.evidence.word().into(),
            n.text.as_str().into(),
            n.reading.as_str().into(),
        ]);
    }
    table
}
