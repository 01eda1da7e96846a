"""The survey as Python sees it: types, tables, the command. The numbers are proven in Rust."""

from __future__ import annotations

import json
import pickle
import subprocess
import sys
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
