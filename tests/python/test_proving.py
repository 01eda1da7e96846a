"""Capacity tests from Python: columns in, verdict out. The numbers are proven in Rust."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

import orlop

METER: dict[str, Any] = {"gain": "0.5 %", "offset": "50 mA", "cell_meter": "5 mV", "thermometer": "1 K"}
PROCEDURE: dict[str, Any] = {
    "rated": "230 Ah",
    "full": "0.4 %",
    "stop_cell": "2.8 V",
    "temperature_coefficient": "0.25 %",
    "coefficient_within": "0.10 %",
}


def simulate(capacity: float, *, seed: int = 1, gain: float = 0.0, step: float = 30.0) -> dict[str, Any]:
    """A bank of two cells under a load that comes and goes, read by a meter with noise; not the library's model."""
    rng = np.random.default_rng(seed)
    rows = int(1.2 * capacity / 36.0 * 3600.0 / step)
    time = np.arange(rows) * step
    current = np.where(np.sin(time / 900.0) > 0.5, 45.0, 36.0)
    drawn = np.concatenate([[0.0], np.cumsum(0.5 * (current[1:] + current[:-1])) * step / 3600.0])
    cells = {}
    for name, size, resistance in [("cell_a_v", capacity, 0.5e-3), ("cell_b_v", 1.02 * capacity, 0.9e-3)]:
        left = 1.0 - drawn / size
        cells[name] = 3.25 + 0.1 * left - 0.75 * np.exp(-(left + 0.0074) / 0.015) - current * resistance
    end = int(np.argmax(cells["cell_a_v"] <= 2.8)) + 1
    read = current * (1.0 + gain) + 0.1 * rng.standard_normal(rows)
    whole = {
        "time_s": time,
        "current_a": read,
        "voltage_v": cells["cell_a_v"] + cells["cell_b_v"],
        "temperature_degc": np.full(rows, 25.0),
        "indicated_percent": 100.0 * (1.0 - drawn / 230.0),
        **cells,
    }
    return {name: column[:end] for name, column in whole.items()}


def test_a_test_finds_the_capacity_and_the_weak_cells() -> None:
    test = orlop.DischargeLog(simulate(236.0)).capacity_test(**PROCEDURE, **METER)
    assert test.capacity is not None
    low, high = test.bounds()
    assert low is not None and high is not None
    assert low.to("A*h").magnitude < 236.0 < high.to("A*h").magnitude
    assert test.smallest_cell == "cell_a_v"
    assert test.most_resistive_cell == "cell_b_v"
    assert test.against_rated().verdict == "pass"
    assert "gain" in test.budget and "temperature coefficient" in test.budget
    assert test.explain().steps


def test_a_percentage_is_caught() -> None:
    columns = simulate(236.0)
    stop = int(np.argmax(columns["indicated_percent"] <= 20.0)) + 1
    log = orlop.DischargeLog({name: column[:stop] for name, column in columns.items()})
    test = log.capacity_test(rated="230 Ah", full="0.4 %", stop_indicated="20 %", **METER)
    assert test.capacity is None
    assert "repeat" in test.why and "no estimate" in test.sentence
    assert test.monitor_setting is not None
    assert math.isclose(test.monitor_setting.to("A*h").magnitude, 230.0, rel_tol=2e-3)
    assert test.bounds().high is None


def test_any_order_and_any_table() -> None:
    pyarrow = pytest.importorskip("pyarrow")
    columns = simulate(236.0)
    straight = orlop.DischargeLog(columns)
    order = np.random.default_rng(2).permutation(len(columns["time_s"]))
    mixed = orlop.DischargeLog(pyarrow.table({name: column[order] for name, column in columns.items()}))
    assert mixed.charge == straight.charge
    assert any("out of order" in note for note in mixed.notes)


def test_the_same_meter_sees_more() -> None:
    first = orlop.DischargeLog(simulate(236.0, gain=0.004)).capacity_test(**PROCEDURE, **METER)
    later = orlop.DischargeLog(simulate(234.0, gain=0.004, seed=2)).capacity_test(**PROCEDURE, **METER)
    same, apart = first.compare(later)
    assert same.endswith(": significant")
    assert apart.endswith("not yet significant")


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({}, "one of time_s"),
        ({"time_s": [0, 1]}, "no column 'current_a'"),
        ({"time_s": [0, 1], "time_h": [0, 1], "current_a": [1, 1]}, "several time columns"),
        ({"time_s": [0], "current_a": [1]}, "1 usable row"),
        ({"time_s": [0, 1], "current_a": [1, 1], "amps": [1, 1]}, "a column 'amps'"),
        ({"time_s": [0, 1, 2], "current_a": [None, None, 1]}, "the first is row 1"),
        ({"time_s": [0, 1], "current_a": [0, 0]}, "a discharge"),
    ],
)
def test_bad_logs_are_named(columns: dict[str, Any], words: str) -> None:
    with pytest.raises(orlop.InputError, match=words):
        orlop.DischargeLog(columns)


def test_a_wrong_sign_is_an_error_when_it_was_stated() -> None:
    columns = simulate(236.0)
    columns["current_a"] = -columns["current_a"]
    assert orlop.DischargeLog(columns).sign.startswith("discharge negative")
    with pytest.raises(orlop.InputError, match="turn the sign"):
        orlop.DischargeLog(columns, sign="discharge-positive")


def test_bad_definitions_are_named() -> None:
    log = orlop.DischargeLog(simulate(236.0))
    with pytest.raises(orlop.InputError, match="at most one of"):
        log.capacity_test(rated="230 Ah", stop_cell="2.8 V", stop_bank="5.6 V")
    with pytest.raises(orlop.InputError, match="temperature_coefficient"):
        log.capacity_test(rated="230 Ah", reference="20 degC")
    with pytest.raises(orlop.InputError, match="gain"):
        log.capacity_test(rated="230 Ah", gain="-1 %")
    assert log.capacity_test(rated="230 Ah", stop_cell="2.8 V").capacity is None
