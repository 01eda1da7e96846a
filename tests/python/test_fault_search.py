"""The search for a fault from Python, and against a simulator that shares nothing with it."""

from __future__ import annotations

import json
import math
import pickle
import subprocess
import sys

import numpy as np
import pytest

import orlop
from fault_simulator import Boat, Case, Fault, random_fault

FRIDGE = ["voltage panel.FWD = 24.6 V", "voltage load.F1 = 21.9 V"]


@pytest.fixture(scope="module")
def fridge(dunlin: orlop.Design) -> orlop.Diagnosis:
    return dunlin.find_fault(symptoms=["weak load.F1"], readings=FRIDGE)


@pytest.fixture(scope="module")
def boats(dunlin: orlop.Design) -> list[Boat]:
    teal = orlop.demo_boat("teal").size()
    # Volts at rest in use, and the resistance of the strings in parallel, as the boat files have them.
    return [
        Boat(dunlin, "BANK", (24.8, 26.6), 2.0e-3, 24.0),
        Boat(teal, "HOUSE", (12.2, 12.8), 4.6e-3, 12.0),
    ]


def is_it(row: dict[str, object], fault: Fault) -> bool:
    same = row["cause"] == fault.kind and row["subject"] == fault.at
    return same and (fault.spot is None or row["spot"] == fault.spot)


def follow(case: Case, steps: int) -> orlop.Diagnosis:
    """What an owner reads first, then what the search asks for."""
    load = f"load.{case.load}"
    above = case.boat.circuits[case.way[-1]]["from"]
    start = f"panel.{above}" if len(case.way) > 1 else f"bank.{above}"
    told = case.boat.design.find_fault(
        symptoms=[case.symptom()], readings=[case.answer(f"voltage {start}"), case.answer(f"voltage {load}")]
    )
    for _ in range(steps):
        ahead = told.table("next_measurements").to_dicts()
        if not ahead:
            break
        told = told.with_reading(case.answer(ahead[0]["measurement"]))
    return told


def simulated(boats: list[Boat], seed: int, cases: int) -> tuple[int, int, int]:
    """How often cause, then place, comes first after three measurements, and how often no cause explains them."""
    rng = np.random.default_rng(seed)
    first = place = unexplained = done = 0
    while done < cases:
        boat = boats[done % 2]
        load = str(rng.choice(boat.on_the_bank()))
        case = Case(boat, load, random_fault(boat, load, rng), rng)
        if not case.noticed():
            continue
        done += 1
        told = follow(case, 3)
        row = told.table("causes").to_dicts()[0]
        first += is_it(row, case.fault)
        place += row["subject"] == case.fault.at
        unexplained += told.explained < 1e-3
    return first, place, unexplained


def test_three_measurements_find_the_fault(boats: list[Boat]) -> None:
    first, place, unexplained = simulated(boats, seed=7, cases=30)
    assert first >= 27 and place >= 28 and unexplained <= 1, (first, place, unexplained)


@pytest.mark.slow
def test_three_measurements_find_the_fault_in_many_boats(boats: list[Boat]) -> None:
    first, place, unexplained = simulated(boats, seed=11, cases=300)
    assert first >= 0.88 * 300 and place >= 0.95 * 300 and unexplained <= 9, (first, place, unexplained)


def test_heat_is_that_of_the_simulator(boats: list[Boat]) -> None:
    case = Case(boats[0], "F4", Fault("joint", "circuit.F4", "end-negative", 0.6), np.random.default_rng(3))
    asks = ["drop circuit.F4 end-negative", "current circuit.F4", "voltage load.F4"]
    told = boats[0].design.find_fault(symptoms=[case.symptom()], readings=[case.answer(ask) for ask in asks])
    row = told.table("causes").to_dicts()[0]
    assert is_it(row, case.fault)
    assert row["low"] < 0.6 < row["high"]
    assert row["heat_now_w"] == pytest.approx(case.heat(), rel=0.1)


def test_tables_and_explanation(fridge: orlop.Diagnosis) -> None:
    causes, ahead = (fridge.table(name) for name in fridge.tables)
    rows = causes.to_dicts()
    assert [row["rank"] for row in rows] == list(range(1, len(rows) + 1))
    assert sum(row["probability_percent"] for row in rows) == pytest.approx(100, abs=0.5)
    assert causes.units["heat_now_w"] == "W"
    assert {row["number"] for row in ahead.to_dicts()} == set(range(1, 1 + max(r["number"] for r in ahead.to_dicts())))
    assert all(not (isinstance(cell, float) and math.isnan(cell)) for row in rows for cell in row.values())
    steps = fridge.explain().steps
    assert [step.what for step in steps] == ["before anything was seen", "weak load.F1", *sorted(FRIDGE)]
    assert "weak load.F1" in str(fridge.explain())
    with pytest.raises(orlop.InputError, match="next_measurements"):
        fridge.table("circuits")  # type: ignore[arg-type]


def test_one_more_reading_is_the_same_as_all_at_once(dunlin: orlop.Design, fridge: orlop.Diagnosis) -> None:
    more = "drop circuit.F1 negative = 2.52 V"
    at_once = dunlin.find_fault(symptoms=["weak load.F1"], readings=[*FRIDGE, more])
    assert fridge.with_reading(more) == at_once != fridge
    assert at_once.missing_bits < fridge.missing_bits
    as_mapping = {"what": "drop", "at": "circuit.F1", "part": "negative", "value": "2.52 V"}
    assert fridge.with_reading(as_mapping) == at_once
    assert pickle.loads(pickle.dumps(at_once)) == at_once


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"symptoms": "weak load.F1"}, "list"),
        ({"symptoms": [3]}, "weak load.F1"),
        ({"symptoms": ["odd load.F1"]}, "dead, weak, trips"),
        ({"readings": ["voltage load.F1 = 3"]}, "bare number"),
        ({"readings": [{"what": "voltage", "at": "load.F1"}]}, "no value"),
        ({"readings": [{"what": "voltage", "at": "load.F1", "valu": "3 V"}]}, "valu"),
        ({"readings": ["voltage load.F9 = 3 V"]}, "load.F1"),
        ({"odds": {"joint": -1.0}}, "above zero"),
        ({"odds": {"joint": "many"}}, "factors"),
        ({"odds": 3}, "factors"),
        ({"odds": {"gremlin": 1.0}}, "joint"),
    ],
)
def test_bad_input(dunlin: orlop.Design, arguments: dict[str, object], says: str) -> None:
    with pytest.raises((orlop.InputError, orlop.UnitError), match=says):
        dunlin.find_fault(**arguments)  # type: ignore[arg-type]


def run(*arguments: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run([sys.executable, "-m", "orlop", *arguments], capture_output=True, timeout=120)


def test_the_command() -> None:
    told = ["fault", "demo:dunlin", "--symptom", "weak load.F1"]
    for reading in FRIDGE:
        told += ["--reading", reading]
    done = run(*told)
    assert done.returncode == 0, done.stderr
    text = done.stdout.decode()
    assert "Causes" in text and "Next" in text and "Never measure ohms on a live circuit" in text
    assert max(map(len, text.splitlines())) <= 110
    as_json = json.loads(run(*told, "--json").stdout)
    assert as_json["readings"] == FRIDGE and not as_json["decided"]
    assert run(*told, "--table", "causes").stdout.startswith(b"rank,cause,subject")
    wrong = run("fault", "demo:dunlin", "--symptom", "sulks load.F1")
    assert wrong.returncode == 2 and b"intermittent" in wrong.stderr
