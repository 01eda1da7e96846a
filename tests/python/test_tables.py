"""Tables: the Arrow stream read by an Arrow library, dicts, NumPy arrays."""

from __future__ import annotations

import math

import numpy as np
import pyarrow as pa
import pytest

import orlop

TABLES = [
    "circuits",
    "loads",
    "findings",
    "judgements",
    "trunks",
    "feeders",
    "copper",
    "nodes",
    "currents",
    "drops",
    "dips",
    "faults",
    "selectivity",
    "single_failures",
    "tests",
    "found",
    "joints",
    "survey",
    "survey_notes",
    "insurer_extract",
    "bonding",
    "bank",
    "cells",
    "thresholds",
    "sources",
]


@pytest.fixture(scope="module", params=TABLES)
def table(request: pytest.FixtureRequest, dunlin: orlop.Design) -> orlop.Table:
    return dunlin.table(request.param)


def test_every_table_of_a_design_is_tested(dunlin: orlop.Design) -> None:
    assert set(dunlin.tables) == set(TABLES)


def test_arrow_reads_the_same_cells(table: orlop.Table) -> None:
    arrow = pa.table(table)
    arrow.validate(full=True)
    assert tuple(arrow.column_names) == table.columns
    assert arrow.num_rows == len(table)
    assert arrow.to_pylist() == table.to_dicts()


def test_units_stand_in_name_and_metadata(table: orlop.Table) -> None:
    schema = pa.table(table).schema
    assert schema.metadata[b"orlop.version"] == orlop.__version__.encode()
    assert schema.metadata[b"orlop.table"] == table.name.encode()
    endings = {"%": "percent", "m2": "m2", "degC": "degc", "mm2": "mm2"}
    for field in schema:
        metadata = field.metadata or {}
        assert metadata[b"orlop.doc"].decode() == table.docs[field.name]
        unit = metadata.get(b"orlop.unit")
        assert (unit is not None) == (field.name in table.units)
        if unit is not None:
            ending = endings.get(unit.decode(), unit.decode().lower())
            assert field.name.endswith("_" + ending), field
            assert b"orlop.kind" in metadata


def test_the_stream_can_be_taken_twice(dunlin: orlop.Design) -> None:
    table = dunlin.table("circuits")
    assert pa.table(table).equals(pa.table(table))
    capsule = table.__arrow_c_stream__()
    del capsule  # a stream nobody read is released


def test_numpy_arrays(table: orlop.Table) -> None:
    arrays = table.to_numpy()
    assert tuple(arrays) == table.columns
    for name, array in arrays.items():
        assert array.shape == (len(table),)
        cells = [row[name] for row in table.to_dicts()]
        if array.dtype == np.float64:
            assert all(
                (cell is None and math.isnan(x)) or cell == x for cell, x in zip(cells, array.tolist(), strict=True)
            )
        else:
            assert array.dtype in (np.dtype(object), np.dtype(np.int64), np.dtype(bool))
            assert array.tolist() == cells


def test_no_nan_ever_stands_for_nothing(table: orlop.Table) -> None:
    for row in table.to_dicts():
        for cell in row.values():
            assert not (isinstance(cell, float) and not math.isfinite(cell))


def test_an_unknown_table_lists_the_names(dunlin: orlop.Design) -> None:
    with pytest.raises(orlop.InputError, match="circuits"):
        dunlin.table("none")


def test_sources_of_a_design_are_the_sources_of_the_house(dunlin: orlop.Design) -> None:
    assert orlop.sources() == dunlin.table("sources")


def test_least_copper_is_never_heavier_than_sharing_out(dunlin: orlop.Design) -> None:
    rows = dunlin.table("copper").to_dicts()
    split, least = (sum(row[name] for row in rows) for name in ("split_kg", "least_kg"))
    assert least < split
    assert all(math.isclose(r["saved_kg"], r["split_kg"] - r["least_kg"], abs_tol=1e-12) for r in rows)
    # More volts permitted never cost metal.
    assert all(r["tenth_of_a_volt_saves_kg"] >= 0 for r in rows if r["tenth_of_a_volt_saves_kg"] is not None)
    assert dunlin.method == "least-copper"
    shared = orlop.demo_boat("dunlin").size(method="split")
    assert shared.method == "split" and shared != dunlin
    assert math.isclose(sum(r["mass_kg"] for r in shared.table("circuits").to_dicts()), split)
    with pytest.raises(orlop.InputError, match="least-copper, split"):
        orlop.demo_boat("dunlin").size(method="guess")
