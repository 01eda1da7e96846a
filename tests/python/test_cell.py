"""Cells from Python: units, choices, errors, what answers carry. Numbers are proven in Rust."""

from __future__ import annotations

import math
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


def test_what_comes_out_at_a_current() -> None:
    lead = orlop.Cell("lead-flooded", capacity="100 Ah")
    # Peukert's law through two ratings gives both of them back, and C (I_rated/I)^(k - 1) between (the law itself).
    two = [("100 Ah", "20 h"), ("83 Ah", "5 h")]
    fast = lead.capacity_at(current="16.6 A", ratings=two).range
    assert fast is not None and fast.low is not None and fast.low.m_as("Ah") == pytest.approx(83)
    k = math.log(4) / math.log(16.6 / 5)
    middle = lead.capacity_at(current="10 A", ratings=two).range
    assert middle is not None and middle.low is not None
    assert middle.low.m_as("Ah") == pytest.approx(100 * (5 / 10) ** (k - 1))
    # The kinetic model gives its three ratings back.
    three = [("60 Ah", "1 h"), ("93 Ah", "10 h"), ("100 Ah", "20 h")]
    for charge, hours in ((60, 1), (93, 10), (100, 20)):
        got = lead.capacity_at(current=f"{charge / hours} A", ratings=three)
        assert got.range is not None and got.range.low is not None
        assert got.range.low.m_as("Ah") == pytest.approx(charge, rel=1e-6)
        assert [step.symbol for step in got.explain().steps] == ["k", "c", "q_max", "t", "Q"]
    # By the chemistry alone it is a range, and says so.
    alone = lead.capacity_at(current="10 A")
    assert alone.range is not None and alone.range.low is not None and alone.range.high is not None
    assert alone.range.low < alone.range.high and "ratings" in alone.flags[0]
    for ratings in ([("60 Ah", "1 h")], [*three, three[0]], [three[1], three[0], three[2]], "all"):
        with pytest.raises(orlop.InputError, match="ratings"):
            lead.capacity_at(current="10 A", ratings=ratings)  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="current"):
        lead.capacity_at(current="0 A")
    assert len(alone.flags) == 1 and "discharge at 50C is above" in lead.capacity_at(current="5 kA").flags[1]


def test_heat_of_a_cell(cell: orlop.Cell) -> None:
    out = cell.heat(current="100 A", charge="50 %", temperature="25 degC")
    into = cell.heat(current="-100 A", charge="50 %", temperature="25 degC")
    # I^2 R with the ten-second resistance given, both ways; the entropy changes its sign with the current.
    ohmic = 100**2 * 0.55e-3
    for answer in (out, into):
        assert answer.range is not None and answer.range.low is not None and answer.range.high is not None
    assert out.range is not None and into.range is not None
    sums = out.range.low.m_as("W") + into.range.high.m_as("W")  # type: ignore[union-attr]
    assert sums == pytest.approx(2 * ohmic, rel=1e-3)
    assert [step.symbol for step in out.explain().steps][-3:] == ["P_R", "P_S", "P"]
    with pytest.raises(orlop.InputError, match="can carry"):
        cell.heat(current="1e300 A", charge="50 %", temperature="25 degC")


@pytest.mark.parametrize("chemistry", ["lfp", "nmc", "lto", "lead-flooded", "lead-agm", "lead-gel"])
def test_facts_of_a_chemistry_carry_their_sources(chemistry: Any) -> None:
    cell = orlop.Cell(chemistry, capacity="100 Ah")
    facts = cell.table("cell_facts").to_dicts()
    assert len(facts) >= 20 and all(row["source"] and row["confidence"] for row in facts)
    assert all(row["low"] <= row["high"] for row in facts)
    assert all(row["value"] and row["source"] for row in cell.table("cell_gas").to_dicts())
    with pytest.raises(orlop.InputError, match="cell_facts or cell_gas"):
        cell.table("facts")  # type: ignore[arg-type]


def test_cycles_in_a_record_of_charge(cell: orlop.Cell) -> None:
    # The example of ASTM E1049-85, 5.4.4, moved and stretched fivefold: its ranges 3, 4, 6, 8, 9 in percents.
    record = [50 + 5 * x for x in (-2, 1, -3, 5, -1, 3, -4, 4, -2)]
    counted = orlop.count_cycles({"charge_percent": record})
    assert counted.table is not None
    found: dict[float, float] = {}
    for row in counted.table.to_dicts():
        depth = round(row["depth_percent"], 9)
        found[depth] = found.get(depth, 0.0) + row["count"]
    assert found == {15.0: 0.5, 20.0: 1.5, 30.0: 0.5, 40.0: 1.0, 45.0: 0.5}
    assert counted["full_cycles"] == pytest.approx(sum(d / 100 * n for d, n in found.items()))
    assert len(counted.explain().steps) == 2  # type: ignore[union-attr]
    # What it counts goes straight into the question of life.
    life = cell.life(
        model="naumann",
        charge="50 %",
        temperature="20 degC",
        depth=counted["deepest"],
        current="46 A",
        full_cycles_a_year=52 * counted["full_cycles"],
    )
    assert "years" in life.sentence
    for wrong in ([50.0, 101.0], [50.0, None], ["half", "full"]):
        with pytest.raises(orlop.InputError, match="charge_percent"):
            orlop.count_cycles({"charge_percent": wrong})
    with pytest.raises(orlop.InputError, match="charge_percent"):
        orlop.count_cycles({"charge": [1.0]})
    for few in ([], [50.0]):
        with pytest.raises(orlop.InputError, match="two rows or more"):
            orlop.count_cycles({"charge_percent": few})
