"""Chooses the sizes of a feed tree of 200 segments, 12 sizes each: orlop against an integer programme solved by HiGHS.

The integer programme is the one that every textbook would write: a binary for each segment and size, one size for
each segment, one row of volts for each load and scenario, scaled to its limit; sparse, asked for the proven optimum.
Its matrix is built once, outside the time. orlop is timed from the columns to the answer, its table included. Times are
seconds of processor.
"""

from __future__ import annotations

import math
from time import process_time
from typing import Any

import numpy as np
from clock import line, taken
from scipy.optimize import Bounds, LinearConstraint, OptimizeResult, milp
from scipy.sparse import coo_matrix

import orlop

AREAS = np.array([1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95])
# Ohms and kilograms for a metre of one conductor: warm copper, and metal with a little insulation.
OHM_PER_M, KG_PER_M = 0.0195 / AREAS, 0.0093 * AREAS + 0.02
PATIENCE = 300


class Feed:
    """A made-up boat: a main panel, panels on it, loads on those; drop permitted at each load."""

    def __init__(self, segments: int, scenarios: int, seed: int) -> None:
        chance = np.random.default_rng(seed)
        panels = max(2, segments // 12)
        # The first few panels hang on the source, later ones on earlier ones, loads on any.
        self.parent = np.array([-1 if k < 3 else int(chance.integers(0, min(k, panels))) for k in range(segments)])
        self.one_way = chance.uniform(0.5, 8, segments).round(2)
        drawn = chance.uniform(0.5, 6, (segments, scenarios)) * (chance.random((segments, scenarios)) < 0.7)
        drawn[:panels] = 0
        self.through = drawn.round(2) + 0.05
        for k in range(segments - 1, -1, -1):
            if self.parent[k] >= 0:
                self.through[self.parent[k]] += self.through[k]
        self.limited = [k for k in range(segments) if k not in set(self.parent.tolist())]
        # So wide that about the middle of the series serves: percentages of 24 V on a boat of this length.
        middling = np.zeros_like(self.through)
        for k in range(segments):
            own = 2 * self.one_way[k] * OHM_PER_M[6] * self.through[k]
            middling[k] = own + (middling[self.parent[k]] if self.parent[k] >= 0 else 0)
        self.limit = {k: float(chance.uniform(0.8, 1.2) * middling[k].max()) for k in self.limited}

    def columns(self) -> dict[str, Any]:
        """The tree as orlop reads it."""
        columns: dict[str, Any] = {
            "id": [f"s{k}" for k in range(len(self.parent))],
            "parent": [None if p < 0 else f"s{p}" for p in self.parent],
            "one_way_m": self.one_way,
            "max_drop_v": [self.limit.get(k) for k in range(len(self.parent))],
        }
        for c in range(self.through.shape[1]):
            columns[f"c{c}_current_a"] = self.through[:, c]
        return columns

    def programme(self) -> dict[str, Any]:
        """The integer programme."""
        segments, sizes = len(self.parent), len(AREAS)
        each = np.arange(segments * sizes)
        one = coo_matrix((np.ones(len(each)), (each // sizes, each)), shape=(segments, len(each))).tocsr()
        rows, places, volts, row = [], [], [], 0
        for k, c in ((k, c) for k in self.limited for c in range(self.through.shape[1])):
            s = k
            while s >= 0:
                rows.append(np.full(sizes, row))
                places.append(np.arange(s * sizes, (s + 1) * sizes))
                volts.append(2 * self.one_way[s] * OHM_PER_M * self.through[s, c] / self.limit[k])
                s = self.parent[s]
            row += 1
        entries = (np.concatenate(volts), (np.concatenate(rows), np.concatenate(places)))
        way = coo_matrix(entries, shape=(row, len(each))).tocsr()
        return {
            "c": (2 * np.outer(self.one_way, KG_PER_M)).ravel(),
            "integrality": np.ones(len(each)),
            "bounds": Bounds(0, 1),
            "constraints": [LinearConstraint(one, 1, 1), LinearConstraint(way, -np.inf, 1)],
            "options": {"mip_rel_gap": 0.0, "time_limit": PATIENCE},
        }


def compare(what: str, scenarios: int, seed: int) -> None:
    """Times both, prints the ratio, and stops when they differ."""
    feed = Feed(200, scenarios, seed)
    columns, programme = feed.columns(), feed.programme()
    sizes = {"size": [f"{a:g} mm2" for a in AREAS], "resistance_ohm_per_m": OHM_PER_M, "mass_kg_per_m": KG_PER_M}
    found: list[OptimizeResult] = []

    def ours() -> orlop.LeastCopper:
        best = orlop.least_copper(columns, sizes=sizes)
        best.table()
        return best

    best = ours()
    here = taken(ours, clock=process_time)
    # One run: the solver alone takes seconds.
    there = taken(lambda: found.append(milp(**programme)), runs=1, clock=process_time)
    theirs = found[-1]
    mass = best.mass.to("kg").magnitude
    proven = theirs.status == 0
    # HiGHS lets each limit be passed by a millionth of itself.
    if best.gap or (proven and not math.isclose(mass, theirs.fun, rel_tol=1e-6)) or mass > theirs.fun * (1 + 1e-6):
        raise SystemExit(f"{what}: orlop {mass} kg, gap {best.gap}; HiGHS {theirs.fun} kg: {theirs.message}")
    print(f"{what}: {len(feed.parent)} segments, {len(AREAS)} sizes, {len(feed.limited)} loads; {mass:.2f} kg, proven")
    print(line("  orlop.least_copper, columns to table", here))
    print(line("  HiGHS, the same proven" if proven else f"  HiGHS, not proven in {PATIENCE} s", there))
    least = "" if proven else "more than "
    print(f"  ratio of HiGHS to orlop {least}{there.best / here.best:.0f}")


def main() -> None:
    """Prints times and ratios."""
    compare("one scenario", 1, seed=1)
    compare("three scenarios", 3, seed=2)


if __name__ == "__main__":
    main()
