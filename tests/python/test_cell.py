"""Cells from Python: units, choices, errors, what answers carry. Numbers are proven in Rust."""

from __future__ import annotations

from typing import Any

import pint
import pytest

import orlop

U = pint.application_registry


@pytest.fixture(scope="module")
def cell() -> orlop.Cell:
    return orlop.Cell(
        "lfp",
        capacity="230 Ah",
        size="54 x 174 x 207 mm",
        mass="4.15 kg",
        resistance_1khz="0.18 mohm",
        resistance_dc="0.55 mohm",
    )


def test_what_was_given_comes_back(cell: orlop.Cell) -> None:
    assert cell.chemistry == "lfp"
    assert cell.capacity.m_as("A*h") == 230
    assert cell.size is not None
    assert [side.m_as("mm") for side in cell.size] == pytest.approx([54, 174, 207])
    assert cell.mass is not None and cell.mass.m_as("kg") == 4.15
    assert cell.energy.m_as("W*h") == pytest.approx(736)
    assert cell.specific_energy is not None
    assert cell.specific_energy.m_as("W*h/kg") == pytest.approx(736 / 4.15)
    assert cell.resistance_1khz is not None and cell.resistance_1khz.high is not None
    assert cell.resistance_1khz.high.m_as("mohm") == pytest.approx(0.18)


def test_a_cell_needs_no_more_than_chemistry_and_capacity() -> None:
    cell = orlop.Cell("lead-flooded", capacity=U.Quantity(100, "A*h"))
    assert cell.size is None and cell.mass is None and cell.specific_energy is None
    assert cell.resistance_1khz is None and cell.resistance_dc is None
    answer = cell.resistance("1khz", charge="50 %", temperature="25 degC")
    assert "no resistance was given" in answer.flags[0]


def test_bounds_are_a_pair_a_range_or_a_maximum() -> None:
    pair = orlop.Cell("lfp", capacity="100 Ah", resistance_1khz=("0.5 mohm", "0.4 mohm"))
    assert repr(pair.resistance_1khz) == "Range(400 uohm to 500 uohm)"
    assert pair.resistance_1khz is not None
    again = orlop.Cell("lfp", capacity="100 Ah", resistance_1khz=pair.resistance_1khz)
    assert again.resistance_1khz == pair.resistance_1khz
    sheet = orlop.Cell("lfp", capacity="100 Ah", resistance_1khz_max="0.5 mohm")
    assert sheet.resistance_1khz is not None and sheet.resistance_1khz.low is None
    answer = sheet.fault_current(warmest="25 degC", coldest="25 degC", least_charge="50 %")
    assert any("is a maximum" in flag for flag in answer.flags)


def test_answers_explain_themselves(cell: orlop.Cell) -> None:
    answer = cell.open_circuit(charge="50 %", temperature="25 degC")
    assert answer.value is not None and answer.range is not None
    assert answer.value.m_as("V") == 3.29
    assert answer.cell == cell
    working = answer.explain()
    assert working.steps[0].source is not None
    assert len(working) >= len(cell.curves)
    other = cell.open_circuit(charge="50 %", temperature="25 degC", curve=cell.curves[1])
    assert other != answer and other.range == answer.range


def test_a_rested_voltage_is_a_range_of_charge(cell: orlop.Cell) -> None:
    narrow = cell.charge_from_rest(voltage="3.30 V", temperature="25 degC").range
    wide = cell.charge_from_rest(voltage="3.30 V", temperature="25 degC", meter="10 mV").range
    assert narrow is not None and wide is not None
    assert narrow.low is not None and wide.low is not None
    assert wide.low < narrow.low


def test_life_is_a_sentence_with_what_decides(cell: orlop.Cell) -> None:
    duty: dict[str, Any] = {"charge": "60 %", "temperature": "20 degC", "depth": "80 %", "current": "46 A"}
    rare = cell.life(model="naumann", full_cycles_a_year=41, **duty)
    often = cell.life(model="naumann", full_cycles_a_year="365", **duty)
    assert rare.value is not None and often.value is not None
    assert often.value < rare.value
    assert "the calendar decides" in rare.sentence
    assert "ten kelvins cooler" in rare.sentence
    said = cell.life(model="naumann", cycles_model="naumann", full_cycles_a_year=41.0, lost="20 %", **duty)
    assert said.value == rare.value and said.sentence == rare.sentence


def test_charging_when_cold(cell: orlop.Cell) -> None:
    assert cell.charging_at("20 degC") == ("yes", "")
    assert cell.charging_at("-1 degC")[0] == "no"
    assert cell.charging_at("50 degC")[0] == "sources differ"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"capacity": 230}, "capacity"),
        ({"capacity": "0 Ah"}, "capacity"),
        ({"capacity": "-5 Ah"}, "capacity"),
        ({"capacity": "230 V"}, "capacity"),
        ({"size": "54 x 174 mm"}, "size"),
        ({"size": 54}, "size"),
        ({"mass": "0 kg"}, "mass"),
        ({"resistance_1khz": "0 ohm"}, "resistance_1khz"),
        ({"resistance_1khz": ("1 mohm",)}, "resistance_1khz"),
        ({"resistance_1khz": 0.18}, "resistance_1khz"),
        ({"resistance_1khz": "1 mohm", "resistance_1khz_max": "2 mohm"}, "resistance_1khz"),
        ({"resistance_1khz": "2 mohm", "resistance_dc": "1 mohm"}, "resistance_1khz"),
    ],
)
def test_bad_cells_are_refused(change: dict[str, Any], field: str) -> None:
    arguments: dict[str, Any] = {"capacity": "230 Ah", **change}
    with pytest.raises((orlop.InputError, orlop.UnitError)) as caught:
        orlop.Cell("lfp", **arguments)
    assert caught.value.field.startswith(field)


def test_bad_questions_are_refused(cell: orlop.Cell) -> None:
    with pytest.raises(orlop.InputError, match="one of lfp, nmc"):
        orlop.Cell("nicad", capacity="1 Ah")  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="0 % \\(empty\\) and 100 %"):
        cell.open_circuit(charge="101 %", temperature="25 degC")
    with pytest.raises(orlop.OutOfTable, match="-10 to 45 degC"):
        cell.open_circuit(charge="50 %", temperature="55 degC")
    with pytest.raises(orlop.InputError, match="one of lfp-prismatic-52ah"):
        cell.open_circuit(charge="50 %", temperature="25 degC", curve="mine")
    with pytest.raises(orlop.NoSolution, match=r"shows 12\.8 V at rest"):
        cell.charge_from_rest(voltage="12.8 V", temperature="25 degC")
    with pytest.raises(orlop.InputError, match="one of 1khz, 10s"):
        cell.resistance("dc", charge="50 %", temperature="25 degC")  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="tells nothing of calendar"):
        cell.life(
            model="wang-2011", charge="50 %", temperature="25 degC", depth="80 %", current="46 A", full_cycles_a_year=50
        )
    for cycles in (-1, float("nan"), True, None):
        with pytest.raises(orlop.InputError, match="full_cycles_a_year"):
            cell.life(
                model="naumann",
                charge="50 %",
                temperature="25 degC",
                depth="80 %",
                current="46 A",
                full_cycles_a_year=cycles,  # type: ignore[arg-type]
            )
