"""Packs against SciPy: the nodes of a grid by `spsolve`, the knee of two cells at unequal distance by `solve_ivp`."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import sparse
from scipy.integrate import solve_ivp
from scipy.sparse.linalg import spsolve

import orlop

DATA = Path(__file__).resolve().parents[2] / "crates/orlop/data"


def grid_by_nodes(r: Any, joint: float, bar: float, leads: tuple[int, int], load: float) -> tuple[Any, Any, float]:
    """Currents of cells, bar by bar those of its pieces, and volts lost at the leads, all cells at the same voltage.

    Nodes are the posts on each bar; cells of equal voltage drive nothing, so the loss is that of the resistances alone.
    """
    groups, side = r.shape
    node = np.arange((groups + 1) * side).reshape(groups + 1, side)
    rows, columns, values = [], [], []

    def tie(a: Any, b: Any, g: Any) -> None:
        for i, k, v in ((a, a, g), (b, b, g), (a, b, -g), (b, a, -g)):
            rows.append(np.ravel(i))
            columns.append(np.ravel(k))
            values.append(np.ravel(v))

    own = r + np.where(np.arange(groups) + 1 < groups, joint, 0.0)[:, None]
    tie(node[:-1], node[1:], 1 / own)
    tie(node[:, :-1], node[:, 1:], np.full((groups + 1, side - 1), 1 / bar))
    entries = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
    matrix = sparse.coo_matrix(entries, (node.size, node.size)).tocsc()
    pushed = np.zeros(node.size)
    pushed[node[0, leads[1] - 1]] += load
    pushed[node[-1, leads[0] - 1]] -= load
    keep = np.arange(node.size) != node[0, leads[1] - 1]
    volts = np.zeros(node.size)
    volts[keep] = spsolve(matrix[keep][:, keep], pushed[keep])
    at = volts.reshape(groups + 1, side)
    return (at[:-1] - at[1:]) / own, (at[:, :-1] - at[:, 1:]) / bar, -float(at[-1, leads[0] - 1])


@pytest.mark.parametrize(("series", "parallel", "takeoff"), [(16, 4, (1, 1)), (4, 7, (2, 6)), (12, 3, (1, 3))])
def test_a_grid_is_the_solution_of_its_nodes(series: int, parallel: int, takeoff: tuple[int, int]) -> None:
    load, joint, bar = 250.0, 0.04e-3, 0.015e-3
    r = 0.5e-3 * (1 + 0.2 * np.sin(1.0 + 2.1 * np.arange(series * parallel))).reshape(series, parallel)
    cells = [
        orlop.Cell("lfp", capacity="100 Ah", resistance_1khz=f"{0.4 * ohms} ohm", resistance_dc=f"{ohms} ohm")
        for ohms in r.ravel()
    ]
    pack = orlop.Pack(
        cells[0], series=series, parallel=parallel, order="parallel-first", link=f"{joint} ohm", parts="0 ohm"
    )
    shared = pack.share(current=f"{load} A", takeoff=takeoff, joined="every-cell", bar=f"{bar} ohm", cells=cells)
    rest = pack.share(current="0 A", takeoff=takeoff, joined="every-cell", bar=f"{bar} ohm", cells=cells)
    for ours, none, factor in ((shared.closing, rest.closing, 0.4), (shared.sustained, rest.sustained, 1.0)):
        cell, pieces, lost = grid_by_nodes(factor * r, joint, bar, takeoff, load)
        table = ours.table("cells").to_numpy()
        assert table["current_a"] == pytest.approx(cell.ravel(), abs=1e-8)
        assert table["heat_w"] == pytest.approx((cell**2 * factor * r).ravel(), rel=1e-9)
        links = ours.table("links").to_dicts()
        bars = [row for row in links if row["what"] == "bar"]
        assert [row["current_a"] for row in bars] == pytest.approx(pieces.ravel(), abs=1e-8)
        assert [row["heat_w"] for row in bars] == pytest.approx((pieces**2 * bar).ravel(), abs=1e-9)
        assert (none.voltage - ours.voltage).m_as("V") == pytest.approx(lost, rel=1e-9)
        # All the heat is what the load lost.
        assert ours.heat.m_as("W") == pytest.approx(lost * load, rel=1e-9)


def test_near_the_knee_the_far_cell_takes_over() -> None:
    """Two equal cells, both leads at the first: it leads on the flat, and the second takes over near the knee."""
    text = (DATA / "cell_ocv_lfp_prismatic_2019.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(row for row in text.splitlines() if not row.startswith("#")))
    soc = np.array([float(row["soc_percent"]) / 100 for row in rows])
    volts = np.array([float(row["v_25"]) for row in rows])
    held, r0, link, load, start = 100.0, 0.6e-3, 0.15e-3, 100.0, 0.95
    tau, r1 = 60.0, 0.3e-3

    def first(y: Any) -> float:
        u = np.interp(y[:2], soc, volts) - y[2:]
        # Around the one mesh: u1 - r0 i1 = u2 - (r0 + both links) i2, and i1 + i2 = load.
        return float((u[0] - u[1] + (r0 + 2 * link) * load) / (2 * r0 + 2 * link))

    def slope(_: float, y: Any) -> Any:
        i = np.array([first(y), load - first(y)])
        return np.concatenate([-i / (3600 * held), (i * r1 - y[2:]) / tau])

    seconds = 6300.0
    at = np.arange(0.0, seconds + 1, 60.0)
    solved = solve_ivp(
        slope, (0, seconds), [start, start, 0.0, 0.0], method="RK45", t_eval=at, rtol=1e-9, atol=1e-11, max_step=5.0
    )
    theirs = np.array([first(y) for y in solved.y.T])

    cell = orlop.Cell("lfp", capacity=f"{held} Ah", resistance_dc=f"{r0} ohm")
    pack = orlop.Pack(cell, series=1, parallel=2, order="parallel-first", link=f"{link} ohm", parts="0 ohm")
    course = pack.over_time(
        [load] * int(seconds),
        step="1 s",
        start=f"{100 * start} %",
        temperature="25 degC",
        takeoff="same-end",
        pairs=(f"{r1} ohm", f"{tau} s"),
        every=60,
        watched=False,
    )
    ours = course.table("branches").to_numpy()["current_a"].reshape(-1, 2)[:, 0]
    assert ours == pytest.approx(theirs, abs=0.01)  # of 50 A; the curve bends within steps of 1 s
    lead = 2 * ours - load
    assert lead[:20].min() > 5  # the near cell leads on the flat
    assert lead[-3:].max() < -5  # and near the knee the far one does
    signs = np.sign(lead[np.abs(lead) > 0.5])
    assert (np.diff(signs) != 0).any() and signs[0] > 0 > signs[-1]


def test_heat_of_links_is_told_one_by_one() -> None:
    cell = orlop.Cell("lfp", capacity="100 Ah", resistance_dc="0.6 mohm")
    pack = orlop.Pack(cell, series=3, parallel=2, order="parallel-first", link="0.05 mohm", parts="0.4 mohm")
    question: dict[str, Any] = {"step": "1 s", "start": "80 %", "temperature": "25 degC", "takeoff": "diagonal"}
    led = pack.over_time([100.0] * 60, **question).table("links").to_dicts()
    assert [row["what"] for row in led] == ["positive rail"] * 3 + ["negative rail"] * 3 + ["series"] * 2 + ["manager"]
    # 50 A in each rail link, all of it between groups and through the manager.
    expected = [50**2 * 0.05e-3] * 6 + [100**2 * 0.05e-3] * 2 + [100**2 * 0.4e-3]
    assert [row["heat_wh"] for row in led] == pytest.approx([watts * 60 / 3600 for watts in expected])
    course = pack.over_time([100.0] * 60, joined="every-cell", bar="0.02 mohm", **question)
    table = course.table("links").to_numpy()
    assert list(table["what"]).count("bar") == 4 and list(table["what"]).count("series") == 4
    assert table["heat_wh"].sum() == pytest.approx(course.link_heat.m_as("W*h"))
    with pytest.raises(orlop.InputError, match="every-cell"):
        pack.over_time([100.0], joined="welded", **question)  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="bar"):
        pack.share(current="1 A", takeoff="middle", bar="-1 mohm")
    strings = orlop.Pack(cell, series=3, parallel=2, order="series-first", link="0.05 mohm")
    with pytest.raises(orlop.InputError, match="joined"):
        strings.over_time([100.0], joined="every-cell", **question)
    with pytest.raises(orlop.InputError, match="6, one for each"):
        pack.share(current="1 A", takeoff="middle", cells=[cell])
