"""Which of 96 cells goes where, parallel-first in 24 groups of four, against CP-SAT of OR-Tools with 60 seconds.

CP-SAT gets what one would write: a yes or no for each cell and group, four cells to a group, the least group as large
as can be; groups are interchangeable, so the first cells may only stand in the first groups; capacities in whole steps,
as they were tested. It starts from the order of delivery, has two workers, and may stop when it has proved its answer.

Three crates: capacities told to 0.1 Ah, as a meter shows them, to 1 mAh, and with four cells to spare. Ours must never
hold less than CP-SAT's best, or the bench ends. Without OR-Tools only our time is printed.
"""

from __future__ import annotations

import os
import sys
from time import perf_counter, process_time
from typing import Any

import numpy as np
from clock import line, taken

import orlop

SERIES, PARALLEL = 24, 4
BUDGET_S = float(os.environ.get("BUDGET", "60"))


def crate(seed: int, count: int, steps_per_ah: int) -> Any:
    """Capacities of a delivery in whole steps: a scatter of 1.3 percent, and a tail of small ones."""
    made = np.random.default_rng(seed)
    ampere_hours = 236 + 3 * made.standard_normal(count) - made.exponential(1.5, count)
    return np.round(ampere_hours * steps_per_ah).astype(int)


def ours(steps: Any, steps_per_ah: int) -> Any:
    cells = {"cell": [f"C{k}" for k in range(len(steps))], "capacity_ah": steps / steps_per_ah}
    return orlop.assign_cells(cells, series=SERIES, parallel=PARALLEL, order="parallel-first", without=[])


def by_cp_sat(cp_model: Any, steps: Any) -> tuple[int, bool, float, float]:
    """The least group, whether it is proved, seconds by the clock and of processor."""
    model = cp_model.CpModel()
    cells, groups = range(len(steps)), range(SERIES)
    spare = len(steps) - SERIES * PARALLEL
    stands = [[model.new_bool_var(f"{cell} in {group}") for group in groups] for cell in cells]
    for cell in cells:
        if spare:
            model.add_at_most_one(stands[cell])
        else:
            model.add_exactly_one(stands[cell])
            # Which group is called the first does not matter.
            for group in groups:
                if group > cell:
                    model.add(stands[cell][group] == 0)
    least = model.new_int_var(0, int(steps.sum()), "least")
    for group in groups:
        own = [stands[cell][group] for cell in cells]
        model.add(sum(own) == PARALLEL)
        model.add(least <= cp_model.LinearExpr.weighted_sum(own, [int(step) for step in steps]))
    for cell in range(SERIES * PARALLEL):
        for group in groups:
            model.add_hint(stands[cell][group], int(cell % SERIES == group))
    model.maximize(least)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = BUDGET_S
    solver.parameters.num_workers = 2
    start, used = perf_counter(), process_time()
    status = solver.solve(model)
    seconds, used = perf_counter() - start, process_time() - used
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return 0, False, seconds, used
    return round(solver.objective_value), status == cp_model.OPTIMAL, seconds, used


def main() -> None:
    """Prints times and what each way holds."""
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        cp_model = None
        print("OR-Tools is not installed: no comparison with CP-SAT (pip install ortools)")
    count = SERIES * PARALLEL
    for name, cells, scale in (("to 0.1 Ah", count, 10), ("to 1 mAh", count, 1000), ("4 to spare", count + 4, 1000)):
        steps = crate(96, cells, scale)
        placed = ours(steps, scale)
        held = round(placed.capacity.m_as("A*h") * scale)
        bound = placed.bound.m_as("A*h")
        time = taken(lambda steps=steps, scale=scale: ours(steps, scale), 3)
        print(line(f"{cells} cells {name}, ours", time))
        proof = "proved best" if placed.proved else f"no choice exceeds {bound:.4f} Ah"
        print(f"    {held / scale:.3f} Ah, {proof}")
        if cp_model is not None:
            theirs, proved, seconds, used = by_cp_sat(cp_model, steps)
            proof = "proved best" if proved else "not proved"
            ratio = seconds / time.middle
            print(f"{'CP-SAT of OR-Tools':<52}{seconds * 1e3:9.1f} ms   {ratio:.0f} x ours")
            print(f"    {theirs / scale:.3f} Ah, {proof}; {used:.0f} s of processor")
            assert held >= theirs, "CP-SAT holds more"


if __name__ == "__main__":
    sys.exit(main())
