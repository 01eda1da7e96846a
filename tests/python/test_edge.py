"""Anything at all into every argument: one of our errors or a finite answer, never a crash."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import orlop
from conftest import CIRCUIT

UNITS = ["", "A", "V", "m", "ft", "mm2", "AWG", "degC", "K", "%", "W", "s", "ohm", "kA", "Ah", "furlong"]
WORDS = [
    *orlop.standard_sizes("awg"),
    *orlop.standard_sizes("metric"),
    "us-small-craft",
    "engine",
    "copper",
    "nan",
    "inf",
]
NUMBERS = st.floats(allow_nan=True, allow_infinity=True).map(lambda x: f"{x}") | st.integers().map(str)
PHYSICAL = st.builds(
    lambda number, blank, unit: number + blank + unit,
    NUMBERS,
    st.sampled_from(["", " "]),
    st.sampled_from(UNITS),
)
PLAUSIBLE = st.builds(
    lambda number, unit: f"{number:.4g} {unit}",
    st.floats(0.01, 1e4),
    st.sampled_from(["A", "m", "V", "degC", "%", "W", "mm2", "s"]),
)
TEXT = st.text(max_size=40) | PHYSICAL | PLAUSIBLE | st.sampled_from(WORDS)
ANYTHING = (
    TEXT | st.integers() | st.floats() | st.booleans() | st.none() | st.binary(max_size=5) | st.lists(TEXT, max_size=3)
)

WIRE = orlop.Conductor("6 AWG", insulation="105 degC")
FUSE = orlop.Device("iso8820-3-blade", "10 A")


def finite(answer: Any) -> bool:
    """Whether every number of an answer is finite."""
    if hasattr(answer, "magnitude"):
        return math.isfinite(answer.magnitude)
    if isinstance(answer, orlop.Range):
        return all(bound is None or finite(bound) for bound in answer)
    names = [
        n for n in dir(answer) if n in ("current", "temperature", "time", "heat", "area", "rating", "drop", "table")
    ]
    return all(finite(value) for name in names if (value := getattr(answer, name)) is not None)


def ask(question: Any, *positional: Any, **named: Any) -> None:
    try:
        answer = question(*positional, **named)
    except orlop.InternalError:
        raise
    except orlop.OrlopError as error:
        assert str(error)
        assert error.code in ("unit", "input", "out-of-table", "no-solution")
    else:
        assert answer is None or finite(answer), answer


@given(ANYTHING, ANYTHING, ANYTHING)
def test_conductor(size: Any, insulation: Any, material: Any) -> None:
    ask(orlop.Conductor, size, insulation=insulation, material=material)


@given(ANYTHING, ANYTHING, ANYTHING, ANYTHING, ANYTHING)
def test_ampacity(rules: Any, space: Any, bundled: Any, ambient: Any, bundling: Any) -> None:
    ask(WIRE.ampacity, rules=rules, space=space, bundled=bundled, ambient=ambient, bundling=bundling)


@given(ANYTHING, ANYTHING, ANYTHING)
def test_heat(current: Any, ambient: Any, bundled: Any) -> None:
    ask(WIRE.steady_temperature, current=current, ambient=ambient, bundled=bundled)
    ask(WIRE.steady_current, reaches=current, ambient=ambient, bundled=bundled)
    ask(WIRE.withstand_time, fault=current, start=ambient)


@given(PLAUSIBLE, PLAUSIBLE, st.integers(1, 60))
def test_heat_of_plausible_questions(current: Any, ambient: Any, bundled: Any) -> None:
    ask(WIRE.steady_temperature, current=current, ambient=ambient, bundled=bundled)


@given(ANYTHING, ANYTHING, ANYTHING, ANYTHING, ANYTHING, ANYTHING)
def test_drop(current: Any, one_way: Any, loop: Any, temperature: Any, method: Any, rules: Any) -> None:
    ask(
        WIRE.voltage_drop,
        current=current,
        one_way=one_way,
        loop=loop,
        temperature=temperature,
        method=method,
        rules=rules,
    )
    ask(WIRE.resistance, one_way=one_way, loop=loop, piece=current, temperature=temperature)


@given(ANYTHING, ANYTHING, ANYTHING)
def test_device(family: Any, rating: Any, current: Any) -> None:
    ask(orlop.Device, family, rating)
    ask(FUSE.opening_time, current)
    ask(FUSE.let_through, current)
    ask(FUSE.opens_within, current)
    ask(FUSE.rating_at, current)


@settings(max_examples=300)
@given(
    st.sampled_from(sorted(orlop.size_circuit.__text_signature__.replace("*, ", "").strip("()$").split(", "))),
    ANYTHING,
)
def test_circuit(argument: str, value: Any) -> None:
    name = argument.split("=")[0]
    named = {**CIRCUIT, name: value}
    if name == "power":
        named.pop("current")
    if name == "loop":
        named.pop("one_way")
    if name == "tinned" and not isinstance(value, bool | None):
        with pytest.raises(TypeError):
            orlop.size_circuit(**named)
        return
    ask(orlop.size_circuit, **named)


@given(st.text(max_size=200) | st.binary(max_size=200))
def test_boat_file(text: Any) -> None:
    try:
        orlop.Boat.from_text(text)
    except orlop.BoatFileError as error:
        assert error.problems
        assert all(problem.line >= 1 and problem.column >= 1 and problem.what for problem in error.problems)


DUNLIN = orlop.demo_boat("dunlin").text


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(DUNLIN)), st.integers(0, 12), st.text(max_size=6))
def test_a_damaged_boat_file(at: int, length: int, put: str) -> None:
    text = DUNLIN[:at] + put + DUNLIN[at + length :]
    try:
        boat = orlop.Boat.from_text(text)
    except orlop.BoatFileError as error:
        assert error.problems
    else:
        try:
            boat.size()
        except orlop.InternalError:
            raise
        except orlop.OrlopError as error:
            assert str(error)


@pytest.mark.slow
@settings(max_examples=3000, deadline=None)
@given(st.integers(0, len(DUNLIN)), st.integers(0, 40), st.text(max_size=12))
def test_a_boat_file_damaged_three_thousand_times(at: int, length: int, put: str) -> None:
    test_a_damaged_boat_file.hypothesis.inner_test(at, length, put)  # type: ignore[attr-defined]


@given(ANYTHING)
def test_addresses_and_tables(address: Any) -> None:
    design = _design()
    ask(design.explain, address)
    ask(design.table, address)


def _design() -> orlop.Design:
    global _kept
    if _kept is None:
        _kept = orlop.demo_boat("dunlin").size()
    return _kept


_kept: orlop.Design | None = None
