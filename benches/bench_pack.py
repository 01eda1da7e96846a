"""An hour of a pack of 10,000 cells at one-second steps, against the two ways one would write it with SciPy.

100 groups of 100 unequal cells in parallel, links on both rails, one RC pair each, 80 A for each cell of 100 Ah.

* The loop: node voltages of the whole pack, one sparse matrix factored once by `splu`, the open-circuit voltages by
  `np.interp`, charges and pairs vectorised; the same one-second steps, each with the voltages at its beginning.
* The solver: `solve_ivp` (BDF) with the sparse Jacobian given; the currents are a constant sparse matrix times the
  voltages, made once and not counted.

Seconds are of processor. All three must agree: voltage of the pack within 0.02 %, currents of the first group
within 0.5 A at the end (the loop is of the first order in the step; the solver and ours are nearer to each other).
With the word `errors` the bench tells instead how far ours and the solver are from short steps of a method of
order four.
"""

from __future__ import annotations

import csv
import os
import sys
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np
from clock import line, taken
from scipy import sparse
from scipy.integrate import solve_ivp
from scipy.sparse.linalg import splu

import orlop

ROOT = Path(__file__).resolve().parents[1]
SERIES, PARALLEL, STEPS = 100, 100, 3600
# The solver's relative tolerance at which its error is that of ours with steps of 1 s (`errors`).
RTOL = 1e-5
LINK, LOAD, START = 1e-7, 80.0 * PARALLEL, 0.9
PAIR_R, PAIR_TAU = 0.3e-3, 30.0
COUNT = SERIES * PARALLEL
K = np.arange(COUNT)
CAPACITY_AH = 100.0 * (1 + 0.03 * np.sin(1.7 * K))
R0 = 0.5e-3 * (1 + 0.2 * np.cos(2.3 * K))


def curve() -> tuple[Any, Any]:
    """State of charge and volts of the default curve at 25 degC."""
    text = (ROOT / "crates/orlop/data/cell_ocv_lfp_prismatic_2019.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(row for row in text.splitlines() if not row.startswith("#")))
    return np.array([float(r["soc_percent"]) / 100 for r in rows]), np.array([float(r["v_25"]) for r in rows])


SOC, VOLTS = curve()


def run() -> tuple[float, Any, Any]:
    """The pack's voltage, the charges and the currents of all cells at the end."""
    cell = orlop.Cell("lfp", capacity="100 Ah", resistance_dc="0.5 mohm")
    pack = orlop.Pack(cell, series=SERIES, parallel=PARALLEL, order="parallel-first", link=f"{LINK} ohm", parts="0 ohm")
    course = pack.over_time(
        np.full(STEPS, LOAD),
        step="1 s",
        start=f"{100 * START} %",
        temperature="25 degC",
        takeoff="diagonal",
        cells={"capacity_ah": CAPACITY_AH, "resistance_mohm": 1e3 * R0},
        pairs=(f"{PAIR_R} ohm", f"{PAIR_TAU} s"),
        every=STEPS,
        watched=False,
    )
    volts = course.table("samples").to_numpy()["voltage_v"][-1]
    charge = course.table("cells").to_numpy()["charge_percent"][-COUNT:] / 100
    amperes = course.table("branches").to_numpy()["current_a"][-COUNT:]
    # Each link between two groups has a resistance, too.
    return volts + LOAD * LINK * (SERIES - 1), charge, amperes


def ours() -> tuple[float, Any]:
    """The pack's voltage and the currents of the first group at the end."""
    volts, _, amperes = run()
    return volts, amperes[:PARALLEL]


def nodal() -> tuple[Any, Any]:
    """Conductances of all nodes of all groups, each against its own negative lead, and where each cell stands."""
    group = np.repeat(np.arange(SERIES), PARALLEL)
    member = np.tile(np.arange(PARALLEL), SERIES)
    positive = 2 * PARALLEL * group + member
    negative = positive + PARALLEL
    inner = np.flatnonzero(member < PARALLEL - 1)
    a = np.concatenate([positive, positive[inner], negative[inner]])
    b = np.concatenate([negative, positive[inner] + 1, negative[inner] + 1])
    g = np.concatenate([1 / R0, np.full(2 * len(inner), 1 / LINK)])
    size = 2 * COUNT
    matrix = sparse.coo_matrix(
        (np.concatenate([g, g, -g, -g]), (np.concatenate([a, b, a, b]), np.concatenate([a, b, b, a]))), (size, size)
    ).tocsr()
    keep = np.ones(size, dtype=bool)
    keep[2 * PARALLEL * np.arange(SERIES) + 2 * PARALLEL - 1] = False  # the negative leads, on the diagonal
    place = np.full(size, -1)
    place[keep] = np.arange(keep.sum())
    return matrix[keep][:, keep].tocsc(), (place[positive], place[negative])


def by_loop() -> tuple[float, Any]:
    """One factor, a step each second."""
    matrix, (positive, negative) = nodal()
    factor = splu(matrix)
    at_lead = positive[::PARALLEL]
    held = negative >= 0
    z, v = np.full(COUNT, START), np.zeros(COUNT)
    decay = np.exp(-1.0 / PAIR_TAU)

    def solve() -> tuple[Any, float]:
        e = np.interp(z, SOC, VOLTS) - v
        pushed = np.zeros(matrix.shape[0])
        pushed[positive] += e / R0
        pushed[negative[held]] -= e[held] / R0[held]
        pushed[at_lead] -= LOAD
        node = factor.solve(pushed)
        across = node[positive] - np.where(held, node[negative], 0.0)
        return (e - across) / R0, node[at_lead].sum()

    for _ in range(STEPS):
        i, _ = solve()
        z -= i / (3600 * CAPACITY_AH)
        v = i * PAIR_R + (v - i * PAIR_R) * decay
    i, volts = solve()
    return float(volts), i[:PARALLEL]


def response() -> tuple[Any, Any]:
    """Currents as a constant sparse matrix times the voltages of the cells, and what the load adds."""
    matrix, (positive, negative) = nodal()
    factor = splu(matrix)
    blocks, loads = [], []
    held = negative >= 0
    for group in range(SERIES):
        own = slice(group * PARALLEL, (group + 1) * PARALLEL)
        pushed = np.zeros((matrix.shape[0], PARALLEL + 1))
        for k, cell in enumerate(range(own.start, own.stop)):
            pushed[positive[cell], k] += 1 / R0[cell]
            if held[cell]:
                pushed[negative[cell], k] -= 1 / R0[cell]
        pushed[positive[own.start], PARALLEL] = -LOAD
        node = factor.solve(pushed)
        across = node[positive[own]] - np.where(held[own][:, None], node[negative[own]], 0.0)
        block = -across / R0[own][:, None]
        block[:, :PARALLEL] += np.diag(1 / R0[own])
        blocks.append(block[:, :PARALLEL])
        loads.append(block[:, PARALLEL])
    return sparse.block_diag(blocks, format="csr"), np.concatenate(loads)


def by_solver(matrix: Any, load: Any, rtol: float, method: str = "BDF") -> tuple[Any, Any]:
    """Charges and currents of all cells after the hour."""
    per_second = 1 / (3600 * CAPACITY_AH)
    slopes = np.append(np.diff(VOLTS) / np.diff(SOC), 0.0)

    def currents(y: Any) -> Any:
        return matrix @ (np.interp(y[:COUNT], SOC, VOLTS) - y[COUNT:]) + load

    def slope(_: float, y: Any) -> Any:
        i = currents(y)
        return np.concatenate([-i * per_second, (i * PAIR_R - y[COUNT:]) / PAIR_TAU])

    def jacobian(_: float, y: Any) -> Any:
        rise = sparse.diags(slopes[np.searchsorted(SOC, y[:COUNT], side="right") - 1])
        by_charge = matrix @ rise
        charge, pair = sparse.diags(per_second), sparse.diags(np.full(COUNT, PAIR_R / PAIR_TAU))
        own = sparse.eye(COUNT) / PAIR_TAU
        return sparse.bmat(
            [[-charge @ by_charge, charge @ matrix], [pair @ by_charge, -pair @ matrix - own]], format="csc"
        )

    start = np.concatenate([np.full(COUNT, START), np.zeros(COUNT)])
    implicit = {"jac": jacobian} if method == "BDF" else {}
    solved = solve_ivp(slope, (0, STEPS), start, method=method, rtol=rtol, atol=1e-2 * rtol, **implicit)
    print(f"    {method}, rtol {rtol:.0e}: {solved.nfev} evaluations, {solved.njev} Jacobians, {solved.nlu} factors")
    return solved.y[:COUNT, -1], currents(solved.y[:, -1])


def finely(matrix: Any, load: Any, step: float) -> tuple[Any, Any]:
    """The same by the classical Runge-Kutta method of order four with short steps: what both are measured against."""
    blocks = np.stack([matrix[k : k + PARALLEL, k : k + PARALLEL].toarray() for k in range(0, COUNT, PARALLEL)])
    per_second = 1 / (3600 * CAPACITY_AH)

    def currents(z: Any, v: Any) -> Any:
        e = np.interp(z, SOC, VOLTS) - v
        return (blocks @ e.reshape(SERIES, PARALLEL, 1)).ravel() + load

    def slope(z: Any, v: Any) -> tuple[Any, Any]:
        i = currents(z, v)
        return -i * per_second, (i * PAIR_R - v) / PAIR_TAU

    z, v = np.full(COUNT, START), np.zeros(COUNT)
    for _ in range(round(STEPS / step)):
        a = slope(z, v)
        b = slope(z + step / 2 * a[0], v + step / 2 * a[1])
        c = slope(z + step / 2 * b[0], v + step / 2 * b[1])
        d = slope(z + step * c[0], v + step * c[1])
        z = z + step / 6 * (a[0] + 2 * b[0] + 2 * c[0] + d[0])
        v = v + step / 6 * (a[1] + 2 * b[1] + 2 * c[1] + d[1])
    return z, currents(z, v)


def errors() -> None:
    """How far ours and the solver at several tolerances are from short steps; minutes."""
    matrix, load = response()
    fine, coarse = finely(matrix, load, 0.25), finely(matrix, load, 0.5)

    def off(what: str, found: tuple[Any, Any]) -> None:
        charge, amperes = (np.abs(a - b) for a, b in zip(found, fine, strict=True))
        print(
            f"{what:<52}{charge.max():.1e} of charge, {amperes.max():.1e} A at most, {amperes.mean():.1e} A on average"
        )

    off("short steps of 0.5 s instead of 0.25 s", coarse)
    off("ours, steps of 1 s", run()[1:])
    for method, rtols in (("RK45", (1e-4, 1e-5, 1e-6)), ("BDF", (1e-4, RTOL, 1e-6))):
        for rtol in rtols:
            start = process_time()
            found = by_solver(matrix, load, rtol, method)
            off(f"solve_ivp, {method}, rtol {rtol:.0e}, {process_time() - start:.1f} s", found)


def main() -> None:
    """Prints times, ratios and how far the answers are apart."""
    volts, amperes = ours()
    mine = taken(ours, 3, process_time)
    print(line("10,000 cells, one hour at 1 s, ours", mine))
    start = process_time()
    their_volts, their_amperes = by_loop()
    loop = process_time() - start
    print(f"{'the loop with splu, factored once':<52}{loop * 1e3:9.1f} ms   {loop / mine.middle:.1f} x ours")
    apart = float(np.abs(amperes - their_amperes).max())
    print(f"    apart: {abs(volts / their_volts - 1):.1e} of the voltage, {apart:.3f} A")
    assert abs(volts / their_volts - 1) < 2e-4 and apart < 0.5
    if os.environ.get("FULL", "1") == "1":
        matrix, load = response()
        start = process_time()
        solver_amperes = by_solver(matrix, load, RTOL)[1][:PARALLEL]
        solver = process_time() - start
        apart = float(np.abs(amperes - solver_amperes).max())
        print(f"{'solve_ivp, BDF, sparse Jacobian':<52}{solver * 1e3:9.1f} ms   {solver / mine.middle:.0f} x ours")
        print(f"    apart: {apart:.4f} A")
        assert apart < 0.2
    for count in (250, 1000, 4000):
        cells = [orlop.Cell("lfp", capacity="100 Ah", resistance_1khz="0.2 mohm", resistance_dc="0.5 mohm")] * count
        row = taken(
            lambda c=cells: orlop.share_current(c, "1 uohm", takeoff="diagonal", current="100 A"), 5, process_time
        )
        print(line(f"row of {count} cells, by both resistances", row, count))


if __name__ == "__main__":
    sys.exit(errors() if "errors" in sys.argv[1:] else main())
