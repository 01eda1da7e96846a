"""Packs from Python: units, choices, errors, what answers carry. Numbers are proven in Rust."""

from __future__ import annotations

from typing import Any

import pytest

import orlop

HALF: dict[str, Any] = {"charge": "50 %", "temperature": "25 degC"}


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


@pytest.fixture(scope="module")
def strings(cell: orlop.Cell) -> orlop.Pack:
    return orlop.Pack(cell, series=8, parallel=2, order="series-first", link="0.06 mohm", parts="0.66 mohm")


def test_a_pack_is_its_cells(cell: orlop.Cell, strings: orlop.Pack) -> None:
    assert strings.cell == cell
    assert (strings.series, strings.parallel, strings.order) == (8, 2, "series-first")
    assert strings.nominal_voltage.m_as("V") == pytest.approx(25.6)
    assert strings.capacity.m_as("A*h") == pytest.approx(460)
    assert strings.mass is not None and strings.mass.m_as("kg") == pytest.approx(16 * 4.15)
    assert strings.volume is not None and strings.volume.m_as("l") == pytest.approx(16 * 0.54 * 1.74 * 2.07)
    assert strings.voltage_window.high is not None
    assert strings.voltage_window.high.m_as("V") == pytest.approx(8 * 3.65)
    bare = orlop.Pack(orlop.Cell("lfp", capacity="100 Ah"), series=4, parallel=1, order="parallel-first")
    assert bare.mass is None and bare.volume is None and bare.link is None


def test_links_are_one_value_a_pair_or_a_link(cell: orlop.Cell) -> None:
    def pack(link: Any) -> orlop.Pack:
        return orlop.Pack(cell, series=2, parallel=2, order="parallel-first", link=link)

    one = pack("0.06 mohm")
    assert pack(orlop.Link("0.06 mohm")) == one
    assert pack(("0.05 mohm", "0.07 mohm")) != one
    assert repr(pack(("0.05 mohm", "0.07 mohm")).link) == "Link(50 uohm to 70 uohm)"
    most = orlop.Link((None, "0.07 mohm"))
    assert most.resistance.low is None and orlop.Link(most.resistance) == most


def test_answers_carry_more_than_one_number(strings: orlop.Pack) -> None:
    fault = strings.fault_current(warmest="25 degC", coldest="25 degC", least_charge="50 %")
    names = [name for name, _ in fault.more]
    assert names == ["all strings closed", "one string's own", "from the other strings into one"]
    assert any("arcing" in flag for flag in fault.flags)
    assert "bolted fault" in str(fault.explain())
    unknown = orlop.Pack(strings.cell, series=8, parallel=2, order="series-first")
    answer = unknown.fault_current(warmest="25 degC", coldest="25 degC", least_charge="50 %")
    assert answer.range.low is None and answer.range.high is not None
    # Asked without conditions, as on the back of an envelope: the worst ends, and the answer says so.
    worst = strings.fault_current()
    assert worst.range.low < fault.range.low and worst.range.high > fault.range.high
    assert sum(flag.startswith("no ") for flag in worst.flags) == 3


def test_what_is_left(cell: orlop.Cell, strings: orlop.Pack) -> None:
    pairs = orlop.Pack(cell, series=8, parallel=2, order="parallel-first", link="0.06 mohm")
    assert pairs.without_one_manager().share.m_as("") == 0
    assert strings.without_one_manager().share.m_as("") == pytest.approx(0.5)
    assert pairs.without_one_cell().burden == 2
    short = pairs.after("cell-short")
    asked = pairs.after("cell-short", warmest="25 degC", coldest="25 degC", least_charge="50 %")
    assert short.short_current is not None and asked.short_current is not None and short.burden is None
    assert short.short_current.low < asked.short_current.low
    assert any("an empty cell is taken" in flag for flag in short.flags)
    with pytest.raises(orlop.InputError, match="two or more in parallel"):
        orlop.Pack(cell, series=8, parallel=1, order="series-first").after("rail-link")


def test_shared_current(cell: orlop.Cell) -> None:
    shared = orlop.share_current([cell] * 4, "0.08 mohm", takeoff=(1, 4), current="200 A")
    same = orlop.share_current([cell] * 4, orlop.Link("0.08 mohm"), takeoff="diagonal", current="200 A", **HALF)
    assert shared.sustained.currents == same.sustained.currents
    assert sum(i.m_as("A") for i in shared.sustained.currents) == pytest.approx(200)
    assert shared.sustained.takeoff == (1, 4)
    assert len(shared.closing.positive_links) == len(shared.closing.negative_links) == 3
    assert len(shared.sustained.link_heat[0]) == 3
    assert "Kirchhoff" in str(shared.explain())
    idle = orlop.share_current([cell] * 2, "0.08 mohm", takeoff="middle", current="0 A")
    assert idle.sustained.shares == (None, None) and idle.sustained.excess is None


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ({"series": 0}, "series"),
        ({"parallel": -1}, "whole number of 1 or more"),
        ({"order": "both"}, "one of parallel-first, series-first"),
        ({"link": "-0.1 mohm"}, "link.*resistance of zero or more"),
        ({"link": 0.1}, "link.*write the unit"),
        ({"parts": "5 V"}, "parts"),
    ],
)
def test_bad_packs_are_refused(cell: orlop.Cell, question: dict[str, Any], said: str) -> None:
    arguments: dict[str, Any] = {"series": 8, "parallel": 2, "order": "series-first", **question}
    with pytest.raises(orlop.OrlopError, match=said):
        orlop.Pack(cell, **arguments)


def test_bad_rows_are_refused(cell: orlop.Cell) -> None:
    share: Any = orlop.share_current
    for cells in ([], "cells", [1, 2], None):
        with pytest.raises(orlop.InputError):
            share(cells, "0.08 mohm", takeoff="diagonal", current="200 A")
    for takeoff in ("sideways", (0, 1), (1, 5), 3, None):
        with pytest.raises(orlop.InputError):
            share([cell] * 4, "0.08 mohm", takeoff=takeoff, current="200 A")
    with pytest.raises(orlop.InputError, match="a Cell"):
        pack: Any = orlop.Pack
        pack("lfp", series=8, parallel=2, order="series-first")


RUN: dict[str, Any] = {"step": "1 s", "start": "90 %", "temperature": "25 degC", "takeoff": "same-end"}


def test_a_pack_over_time(cell: orlop.Cell) -> None:
    pack = orlop.Pack(cell, series=2, parallel=3, order="parallel-first", link="0.05 mohm", parts="0.5 mohm")
    course = pack.over_time([300.0] * 1200, every=600, **RUN)
    branches = course.table("branches").to_numpy()
    assert list(branches) == ["time_s", "branch", "current_a"]
    assert len(branches["branch"]) == 3 * 6
    assert sum(branches["current_a"][:3]) == pytest.approx(300)
    assert course.delivered.m_as("W*h") > 0 and course.stopped is None and course.opened == []
    assert len(course.cell_heat) == 6 and course.link_heat.m_as("J") > 0
    assert course.table("samples").to_dicts()[-1]["time_s"] == 1200
    assert set(course.tables) == {"samples", "branches", "cells", "links"}
    with pytest.raises(orlop.InputError, match="samples, branches, cells"):
        course.table("volts")  # type: ignore[arg-type]


def test_unequal_cells_come_as_columns(cell: orlop.Cell) -> None:
    pack = orlop.Pack(cell, series=1, parallel=2, order="parallel-first", link="0 mohm")
    cells = {"capacity_ah": [230.0, 120.0], "resistance_mohm": [0.5, 0.8]}
    course = pack.over_time([200.0] * 20000, cells=cells, every=100, **RUN)
    assert len(course.opened) == 1 and course.stopped is not None
    assert course.opened[0][3] in ("empty", "low voltage")
    first = course.table("branches").to_numpy()["current_a"][:2]
    assert first == pytest.approx([200 * 0.8 / 1.3, 200 * 0.5 / 1.3])
    for bad in ({"capacity_ah": [1.0]}, {"volts": [1.0, 2.0]}, {"capacity_ah": [float("nan"), 1.0]}, [1, 2]):
        with pytest.raises(orlop.InputError):
            pack.over_time([200.0], cells=bad, **RUN)
    for currents in ("1 A", [float("nan")], None, ["a"]):
        bad_currents: Any = currents
        with pytest.raises(orlop.InputError):
            pack.over_time(bad_currents, **RUN)


def test_best_takeoff_and_largest_link(cell: orlop.Cell) -> None:
    best = orlop.best_takeoff([cell] * 6, "0.08 mohm", current="200 A")
    for takeoff in ("same-end", "diagonal", "middle"):
        named: Any = takeoff
        other = orlop.share_current([cell] * 6, "0.08 mohm", takeoff=named, current="200 A")
        assert best.sustained.excess is not None and other.sustained.excess is not None
        assert best.sustained.excess.m_as("") <= other.sustained.excess.m_as("") + 1e-9
    limit = orlop.largest_link([cell] * 6, takeoff="same-end", permitted="5 %")
    kept = orlop.share_current([cell] * 6, limit, takeoff="same-end", current="200 A")
    assert kept.closing.excess is not None and kept.closing.excess.m_as("%") == pytest.approx(5)
    assert kept.sustained.excess is not None and kept.sustained.excess.m_as("%") < 5
    with pytest.raises(orlop.InputError, match="permitted"):
        orlop.largest_link([cell] * 6, takeoff="same-end", permitted="0 %")
    with pytest.raises(orlop.InputError, match="current"):
        orlop.best_takeoff([cell] * 6, "0.08 mohm", current="0 A")
