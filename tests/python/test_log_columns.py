"""Logs in memory by every door: what the array is made of must not matter, nor must it be copied object by object."""

from __future__ import annotations

import array
import datetime
import tracemalloc
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import orlop

ROWS = 5000


def plain() -> dict[str, list[float]]:
    """Whole numbers, which single precision and integers hold as well."""
    return {
        "time_s": [float(k) for k in range(ROWS)],
        "current_a": [30.0 + k % 7 for k in range(ROWS)],
        "voltage_v": [26.0 - k // 1000 for k in range(ROWS)],
        "cell_1_v": [4.0 - k // 2500 for k in range(ROWS)],
    }


def strided(column: list[float]) -> Any:
    wide = np.full((len(column), 3), np.nan)
    wide[:, 1] = column
    return wide[:, 1]


def unaligned(column: list[float]) -> Any:
    raw = np.zeros(8 * len(column) + 1, dtype=np.uint8)
    view = raw[1:].view(np.float64)
    view[:] = column
    return view


def with_package(name: str, make: Callable[[Any], Callable[[list[float]], Any]]) -> Callable[[list[float]], Any]:
    def column(values: list[float]) -> Any:
        return make(pytest.importorskip(name))(values)

    return column


DOORS: dict[str, Callable[[list[float]], Any]] = {
    "tuple": tuple,
    "doubles": np.array,
    "single precision": lambda c: np.array(c, dtype=np.float32),
    "64-bit integers": lambda c: np.array(c, dtype=np.int64),
    "16-bit integers": lambda c: np.array(c, dtype=np.int16),
    "unsigned integers": lambda c: np.array(c, dtype=np.uint32),
    "the other byte order": lambda c: np.array(c).astype(">f8"),
    "a column of a matrix": strided,
    "read backwards": lambda c: np.array(c[::-1])[::-1],
    "out of line": unaligned,
    "objects": lambda c: np.array(c, dtype=object),
    "read-only": lambda c: np.frombuffer(np.array(c).tobytes()),
    "array of doubles": lambda c: array.array("d", c),
    "array of floats": lambda c: array.array("f", c),
    "array of integers": lambda c: array.array("q", [int(x) for x in c]),
    "memoryview": lambda c: memoryview(array.array("d", c)),
    "arrow array": with_package("pyarrow", lambda pa: pa.array),
    "arrow floats": with_package("pyarrow", lambda pa: lambda c: pa.array(c, pa.float32())),
    "arrow pieces": with_package("pyarrow", lambda pa: lambda c: pa.chunked_array([c[:100], c[100:]])),
    "a slice of arrow": with_package("pyarrow", lambda pa: lambda c: pa.array([9.0, *c]).slice(1)),
    "pandas series": with_package("pandas", lambda pd: pd.Series),
    "polars series": with_package("polars", lambda pl: pl.Series),
}


@pytest.mark.parametrize("door", DOORS)
def test_any_array_says_the_same(door: str) -> None:
    columns = plain()
    made = {name: DOORS[door](column) for name, column in columns.items()}
    assert orlop.DischargeLog(made) == orlop.DischargeLog(columns)


@pytest.mark.parametrize("package", ["pyarrow", "pandas", "polars"])
def test_any_table_says_the_same(package: str) -> None:
    module = pytest.importorskip(package)
    columns = plain()
    table = module.table(columns) if package == "pyarrow" else module.DataFrame(columns)
    assert orlop.DischargeLog(table) == orlop.DischargeLog(columns)
    if package == "pyarrow":
        parts = module.concat_tables([table.slice(0, 1000), table.slice(1000)])
        assert parts.column(0).num_chunks == 2
        assert orlop.DischargeLog(parts) == orlop.DischargeLog(columns)


def test_nothing_stands_for_missing_in_every_array() -> None:
    pyarrow = pytest.importorskip("pyarrow")
    columns: dict[str, Any] = {
        "time_s": [0, 1, 2, 3],
        "current_a": [5.0, None, 7.0, 8.0],
        "voltage_v": [13, 12, None, 11],
    }
    straight = orlop.DischargeLog(columns)
    assert any("row 2" in note for note in straight.notes) and any("row 3" in note for note in straight.notes)
    nan = {name: np.array(column, dtype=float) for name, column in columns.items()}
    masked = {name: np.ma.masked_invalid(column) for name, column in nan.items()}
    # Behind a mask stands any number.
    masked["current_a"] = np.ma.array([5.0, 1e6, 7.0, 8.0], mask=[False, True, False, False])
    for other in (nan, masked, pyarrow.table(columns), {name: pyarrow.array(c) for name, c in columns.items()}):
        assert orlop.DischargeLog(other) == straight


def test_arrays_are_not_taken_apart() -> None:
    rows = 1_000_000
    columns = {
        "time_s": np.arange(rows) * 0.5,
        "current_a": np.full(rows, 30.0),
        "voltage_v": np.linspace(13.4, 12.0, rows),
    }
    before = {name: column.copy() for name, column in columns.items()}
    tracemalloc.start()
    log = orlop.DischargeLog(columns)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    # One Python number for each of three million would take 72 MB.
    assert peak < 1_000_000
    assert all(np.array_equal(columns[name], before[name]) for name in columns)
    charge = log.charge
    for column in columns.values():
        column[:] = 0.0
    assert log.charge == charge


def moments() -> list[datetime.datetime]:
    start = datetime.datetime(2026, 5, 4, 23, 59, 0)
    return [start + datetime.timedelta(seconds=10 * k) for k in range(50)]


def test_dates_are_times() -> None:
    pyarrow = pytest.importorskip("pyarrow")
    current = [30.0] * 50
    straight = orlop.DischargeLog({"time_s": [10.0 * k for k in range(50)], "current_a": current})
    stamps = np.array(moments(), dtype="datetime64[ns]")
    zone = datetime.timezone(datetime.timedelta(hours=2))
    made: list[Any] = [
        [m.isoformat() for m in moments()],
        [m.strftime("%d.%m.%Y %H:%M:%S") for m in moments()],
        [m.strftime("%H:%M:%S") for m in moments()],
        stamps,
        stamps.astype("datetime64[s]"),
        pyarrow.array(moments()),
        pyarrow.array([m.replace(tzinfo=zone) for m in moments()]),
    ]
    for times in made:
        assert orlop.DischargeLog({"time": times, "current_a": current}) == straight
        assert orlop.DischargeLog(pyarrow.table({"time": times, "current_a": current})) == straight
    # An epoch in whole milliseconds.
    epoch = (stamps.astype("datetime64[ms]")).astype(np.int64)
    assert orlop.DischargeLog({"time_ms": epoch, "current_a": current}).charge == straight.charge
    stamps[3] = np.datetime64("NaT")
    assert any("row 4" in note for note in orlop.DischargeLog({"time": stamps, "current_a": current}).notes)


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({"time_s": np.array([0, 1j]), "current_a": [1, 1]}, "time_s"),
        ({"time_s": np.zeros((2, 2)), "current_a": [1, 1]}, "time_s"),
        ({"time_s": np.array(["0", "x"]), "current_a": [1, 1]}, "text"),
        ({"time_s": np.array(["2026-01-01"] * 2, dtype="datetime64[s]"), "current_a": [1, 1]}, "dates"),
        ({"time": [0, 1], "current_a": [1, 1]}, "dates or times of day"),
        ({"time": ["7:00", "05/04/2026"], "current_a": [1, 1]}, "'05/04/2026' in row 2"),
        ({"time": ["7:00", "7:01"], "time_s": [0, 1], "current_a": [1, 1]}, "several time columns"),
        ({"time_s": "0123", "current_a": [1, 1]}, "list or array"),
        ({"time_s": np.arange(3), "current_a": np.ones(2)}, "2 rows in current_a, 3 in time_s"),
        ({"time_s": np.array([]), "current_a": np.array([])}, "usable row"),
    ],
)
def test_arrays_that_are_no_columns_are_named(columns: dict[str, Any], words: str) -> None:
    with pytest.raises(orlop.InputError, match=words):
        orlop.DischargeLog(columns)


def test_a_question_keeps_its_own_numbers() -> None:
    """What a lasting answer was asked with does not change when the array does."""
    load = np.array([1.0, 4.0])
    tree = {"id": ["a", "b"], "parent": [None, "a"], "one_way_m": np.array([5.0, 4.0]), "night_load_a": load}
    asked: dict[str, Any] = {"sizes": "metric", "rules": "iso-small-craft", "max_drop": "0.5 V"}
    answer = orlop.least_copper(tree, **asked)
    twin = orlop.least_copper(tree, **asked)
    load[:] = 99.0
    assert answer == twin
