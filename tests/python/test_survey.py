"""The survey as Python sees it: types, tables, the command. The numbers are proven in Rust."""

from __future__ import annotations

import json
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import orlop


@pytest.fixture(scope="module")
def survey() -> orlop.Survey:
    return orlop.demo_boat("dunlin_as_found").survey()


def run(*arguments: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "orlop", *arguments], capture_output=True, timeout=120)


def test_all_planted_deficiencies_are_found_and_none_invented(survey: orlop.Survey) -> None:
    assert sorted(reading for finding in survey.findings for reading in finding.readings) == [
        f"AF-{number:02}" for number in range(1, 16)
    ]
    assert survey.undecided == ()


def test_values_are_quantities_of_the_shared_registry(survey: orlop.Survey) -> None:
    macerator = next(finding for finding in survey.findings if finding.readings == ("AF-03",))
    assert macerator.value is not None and macerator.limit is not None and macerator.uncertainty is not None
    assert macerator.value.to("mV").magnitude == pytest.approx(2870)
    assert macerator.limit.to("V").magnitude == pytest.approx(2.4)
    assert macerator.uncertainty.to("mV").magnitude == pytest.approx(20)
    assert macerator.margin == pytest.approx((2.4 - 2.87) / 2.4)


def test_pickles_alone_and_whole(survey: orlop.Survey) -> None:
    assert pickle.loads(pickle.dumps(survey)) == survey
    again = pickle.loads(pickle.dumps(survey.findings))
    assert again == survey.findings
    assert [finding.beside for finding in again] == [finding.beside for finding in survey.findings]


def test_tables_of_a_survey(survey: orlop.Survey) -> None:
    rows = survey.table("survey").to_dicts()
    assert [row["number"] for row in rows] == list(range(1, 16))
    found = {row["id"]: row for row in survey.table("found").to_dicts()}
    assert (found["AF-13-air"]["value"], found["AF-13-air"]["uncertainty"]) == (57.0, 2.0)
    assert (found["AF-11"]["value"], found["AF-11"]["uncertainty"]) == (0.045, 0.003)
    assert found["NO-1"]["verdict"] is None
    notes = survey.table("survey_notes").to_dicts()
    assert {row["kind"] for row in notes} == {"not-opened", "not-tested", "in-order"}


def test_the_test_sheet_leaves_a_box_for_what_is_read(dunlin: orlop.Design, survey: orlop.Survey) -> None:
    sheet: list[dict[str, Any]] = dunlin.table("tests").to_dicts()
    assert len(sheet) > 100
    assert all(row["reading"] is None for row in sheet)
    filled = [row for row in survey.table("tests").to_dicts() if row["reading"] is not None]
    assert {row["found"] for row in filled} == {"AF-03", "AF-04", "AF-05-loop", "OK-1"}


def test_the_command_reports_and_says_severity_a() -> None:
    done = run("survey", "demo:dunlin_as_found")
    assert done.returncode == 3, done.stderr
    text = done.stdout.decode()
    assert "AF-15" in text and "Not opened" in text and "In order" in text
    assert max(map(len, text.splitlines())) <= 110
    told = json.loads(run("survey", "demo:dunlin_as_found", "--json").stdout)
    assert len(told["findings"]) == 15
    assert run("survey", "demo:dunlin_as_found", "--table", "tests").stdout.startswith(b"number,test,subject")


# --- the second visit, and what goes to an insurer ---


@pytest.fixture(scope="module")
def visits(survey: orlop.Survey) -> orlop.Resurvey:
    return orlop.demo_boat("dunlin_second_visit").survey().compared_with(survey)


def test_a_second_visit_has_its_answers_and_its_table(visits: orlop.Resurvey) -> None:
    rows = visits.table().to_dicts()
    outcomes = [row["outcome"] for row in rows]
    told = {
        "new": visits.new,
        "open": visits.open,
        "not-checked": visits.not_checked,
        "resolved": visits.resolved,
        "in-order": visits.in_order,
    }
    assert {outcome: len(lines) for outcome, lines in told.items()} == {o: outcomes.count(o) for o in outcomes}
    assert visits.undecided == ()
    assert visits.dates == ("2026-10-10", "2027-04-17")
    stud = next(row for row in rows if row["readings_now"] == "AF-07")
    # Ohm's law: 175 mV and 205 mV at 62 A.
    assert stud["before"] == pytest.approx(0.175 * 62) and stud["now"] == pytest.approx(0.205 * 62)
    assert stud["change"] == "worse" and stud["severity_before"] == stud["severity_now"] == "B"
    # Two half-widths of independent readings, 2 mV at 62 A each, in quadrature.
    assert stud["difference_uncertainty"] == pytest.approx(0.002 * 62 * 2**0.5, rel=1e-6)


def test_a_second_visit_pickles_and_compares(visits: orlop.Resurvey, survey: orlop.Survey) -> None:
    again = pickle.loads(pickle.dumps(visits))
    assert again == visits and hash(again) == hash(visits)
    assert again.earlier == survey and again.later == visits.later


@pytest.mark.parametrize("earlier", [None, "dunlin_as_found", 3])
def test_only_a_survey_is_compared(survey: orlop.Survey, earlier: Any) -> None:
    with pytest.raises(orlop.InputError, match="the survey of the earlier visit"):
        survey.compared_with(earlier)


def test_what_cannot_be_compared_says_what_to_try(survey: orlop.Survey) -> None:
    later = orlop.demo_boat("dunlin_second_visit").survey()
    for old, new, said in (
        (later, survey, "the other way round"),
        (survey, survey, "twice"),
        (survey, orlop.demo_boat("teal").survey(), "one vessel"),
    ):
        with pytest.raises(orlop.InputError, match=said):
            new.compared_with(old)


def test_papers_of_two_visits(visits: orlop.Resurvey, survey: orlop.Survey, tmp_path: Path) -> None:
    names = {path.name for path in visits.papers(tmp_path / "second", date="2027-04-18")}
    assert names - {path.name for path in survey.papers(tmp_path / "first")} == {"resurvey.csv"}
    html = (tmp_path / "second" / "survey.html").read_text(encoding="utf-8")
    assert "Since the visit of 2026-10-10" in html and "Put right" in html
    assert "Since the visit" not in (tmp_path / "first" / "survey.html").read_text(encoding="utf-8")
    told = json.loads((tmp_path / "second" / "survey.json").read_text(encoding="utf-8"))
    assert told["tables"]["resurvey"] == visits.table().to_dicts()
    with pytest.raises(orlop.InputError, match="date"):
        visits.papers(tmp_path / "third", date="2027-02-30")


def test_the_extract_holds_only_what_is_urgent(visits: orlop.Resurvey, survey: orlop.Survey) -> None:
    rows = survey.insurer_extract().to_dicts()
    assert rows == survey.table("insurer_extract").to_dicts()
    assert {row["severity"] for row in rows if row["part"] == "open"} == {"A", "B"}
    later = visits.insurer_extract().to_dicts()
    closed = [row for row in later if row["part"] == "closed"]
    assert len(closed) == len(visits.resolved)
    assert {(row["reported"], row["closed"]) for row in closed} == {visits.dates}


def test_the_command_tells_two_visits_apart(tmp_path: Path) -> None:
    both = ("survey", "demo:dunlin_second_visit", "--since", "demo:dunlin_as_found")
    text = run(*both).stdout.decode()
    assert "Since the visit of 2026-10-10" in text and "counted as open" in text
    assert max(map(len, text.splitlines())) <= 110
    table = run(*both, "--table", "resurvey").stdout
    assert table.startswith(b"number,outcome,change")
    assert len(json.loads(run(*both, "--json").stdout)["resurvey"]) == len(table.splitlines()) - 1
    extract = run(*both, "--extract").stdout.decode()
    assert "Put right" in extract and "in order 2027-04-17" in extract and "correction:" in extract
    done = run(*both, "--out", str(tmp_path / "papers"))
    assert done.returncode == 3 and (tmp_path / "papers" / "insurer-extract.html").exists()
    for arguments in (
        ("survey", "demo:dunlin_as_found", "--table", "resurvey"),
        ("survey", "demo:dunlin_as_found", "--since", "demo:dunlin_second_visit"),
        ("survey", "demo:dunlin_as_found", "--since", "demo:teal"),
        ("survey", "-", "--since", "-"),
    ):
        done = run(*arguments)
        assert done.returncode == 2 and done.stderr.startswith(b"orlop: ") and b"expected" in done.stderr
    done = run("survey", "demo:dunlin_as_found", "--extract", "--table", "found")
    assert done.returncode == 2 and b"not allowed with" in done.stderr
