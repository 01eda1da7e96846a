"""Assignment of cells: the binding, and two general solvers as oracles."""

from __future__ import annotations

import itertools
import time
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

import orlop


def crate(capacities: Any) -> dict[str, Any]:
    return {"cell": [f"C{i}" for i in range(len(capacities))], "capacity_ah": [float(c) for c in capacities]}


def test_tables_and_answers() -> None:
    cells = crate([239.1, 238.9, 236.1, 235.9, 238.2, 238.5, 229.4, 233.3, 232.8])
    cells["self_discharge_mv"] = [0.4, 0.5, 0.1, 0.7, 0.7, 0.5, 6.8, 0.2, 0.8]
    best = orlop.assign_cells(cells, series=4, parallel=2, order="parallel-first", spares=1)
    assert best.rejected == ("C6",)
    assert best.spares == ()
    assert best.proved
    assert best.capacity == best.bound
    rows = best.table("cells").to_dicts()
    assert [row["use"] for row in rows].count("in use") == 8
    assert rows[6]["flags"] == "self-discharge (reject)"
    groups = best.table("groups").to_dicts()
    assert min(row["capacity_ah"] for row in groups) == pytest.approx(best.capacity.to("A*h").magnitude)
    assert [row["measure"] for row in best.table("flags").to_dicts()] == ["self-discharge"]
    assert best.against_random(trials=500) == best.against_random(trials=500)
    assert best.against_random(trials=500, seed=2) != best.against_random(trials=500)
    (row,) = best.under_error(error="0 %", trials=20).to_dicts()
    assert row["stays_best_percent"] == 100.0
    everyone = orlop.assign_cells(cells, series=4, parallel=2, order="parallel-first", without=[])
    assert everyone.rejected == ()


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"table": {"cell": ["A"], "capacity_ah": [1.0]}}, "at least 4"),
        ({"table": {"cell": [], "capacity_ah": []}}, "at least one cell"),
        ({"table": {"cell": ["A"] * 4, "capacity_ah": [1.0] * 4}}, "twice"),
        ({"table": crate([1.0, 2.0, -3.0, 4.0])}, "capacity of C2"),
        ({"table": {"cell": list("ABCD"), "capacity_ah": [1.0, None, 3.0, 4.0]}}, "capacity of B"),
        ({"table": {"cell": list("ABCD")}}, "capacity_ah"),
        ({"table": crate([1.0] * 4) | {"colour": ["red"] * 4}}, "colour"),
        ({"table": "cells.csv"}, "table"),
        ({"series": 0}, "series"),
        ({"parallel": 0}, "parallel"),
        ({"order": "sideways"}, "one of parallel-first, series-first"),
        ({"spares": 3}, "spares"),
        ({"without": ["X"]}, "'X'"),
        ({"without": 3}, "without"),
    ],
)
def test_bad_input_is_named(change: dict[str, Any], match: str) -> None:
    good: dict[str, Any] = {"table": crate([1.0] * 4), "series": 2, "parallel": 2, "order": "series-first"}
    with pytest.raises(orlop.InputError, match=match):
        orlop.assign_cells(**(good | change))


def test_trials_and_errors_are_checked() -> None:
    best = orlop.assign_cells(crate([1.0] * 4), series=2, parallel=2, order="series-first")
    with pytest.raises(orlop.InputError, match="trials"):
        best.against_random(trials=0)
    with pytest.raises(orlop.UnitError):
        best.under_error(error=0.01)  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="one of cells"):
        best.table("walls")  # type: ignore[arg-type]


def largest_smallest(tenths: Any, groups: int, size: int) -> float:
    """The largest smallest group by an integer programme (HiGHS through scipy): yes or no for each cell and group."""
    n = len(tenths)
    variables = n * groups + 1
    cost = np.zeros(variables)
    cost[-1] = -1.0
    rows, low, high = [], [], []
    for cell in range(n):
        row = np.zeros(variables)
        row[cell * groups : (cell + 1) * groups] = 1.0
        rows.append(row)
        low.append(0.0)
        high.append(1.0)
    for group in range(groups):
        count, total = np.zeros(variables), np.zeros(variables)
        count[group:-1:groups] = 1.0
        total[group:-1:groups] = tenths
        total[-1] = -1.0
        rows += [count, total]
        low += [float(size), 0.0]
        high += [float(size), np.inf]
    integrality = np.ones(variables)
    integrality[-1] = 0.0
    upper = np.ones(variables)
    upper[-1] = float(sum(tenths))
    answer = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), np.array(low), np.array(high)),
        bounds=Bounds(0.0, upper),
        integrality=integrality,
        options={"mip_rel_gap": 0.0},
    )
    assert answer.success, answer.message
    return float(-answer.fun)


@pytest.mark.parametrize(("groups", "size"), [(2, 3), (3, 3), (2, 5), (4, 2)])
def test_an_integer_programme_finds_nothing_better(groups: int, size: int) -> None:
    random = np.random.default_rng(groups * 10 + size)
    for _, spare in itertools.product(range(4), (0, 2)):
        tenths = random.integers(2250, 2400, groups * size + spare)
        best = orlop.assign_cells(crate(tenths / 10), series=groups, parallel=size, order="parallel-first")
        assert best.proved
        want = largest_smallest(tenths, groups, size)
        assert best.capacity.to("A*h").magnitude == pytest.approx(want / 10, abs=1e-6)


@pytest.mark.slow
@pytest.mark.parametrize(("groups", "size", "digits"), [(32, 3, 1), (24, 4, 1), (16, 6, 1), (32, 3, 2), (24, 4, 2)])
def test_constraint_programming_finds_nothing_better_in_a_minute(groups: int, size: int, digits: int) -> None:
    """96 cells against CP-SAT of a general constraint solver, as long as it takes and at most 60 s."""
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    random = np.random.default_rng(groups)
    units = np.round(random.normal(236.0, 3.0, groups * size) * 10**digits).astype(int)
    start = time.perf_counter()
    best = orlop.assign_cells(crate(units / 10**digits), series=groups, parallel=size, order="parallel-first")
    ours = time.perf_counter() - start
    model = cp_model.CpModel()
    placed = [[model.new_bool_var(f"{c} in {g}") for g in range(groups)] for c in range(len(units))]
    least = model.new_int_var(0, int(units.sum()), "least")
    for row in placed:
        model.add_exactly_one(row)
    for g in range(groups):
        model.add(sum(row[g] for row in placed) == size)
        model.add(sum(int(u) * row[g] for u, row in zip(units, placed, strict=True)) >= least)
    model.maximize(least)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 60.0
    solver.parameters.num_workers = 2
    start = time.perf_counter()
    solver.solve(model)
    theirs = time.perf_counter() - start
    got = round(best.capacity.to("A*h").magnitude * 10**digits)
    print(f"{groups} x {size}, {digits} digits: {got} in {ours:.3f} s;", end=" ")
    print(f"solver {solver.objective_value:.0f} in {theirs:.1f} s")
    assert got >= solver.objective_value
