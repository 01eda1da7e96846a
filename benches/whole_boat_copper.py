"""Step 4 of the script: the least copper, as an integer programme for HiGHS."""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix
from whole_boat_choice import Choice, Offer
from whole_boat_data import JOINTS, Boat, Floats, Integers, Tables
from whole_boat_sizes import Demand, Sizes, on_the_way


def permitted(boat: Boat, tables: Tables) -> Floats:
    """Volts that may be lost to the most critical load of each circuit; infinite where there is none."""
    percent = {True: tables.rules["drop_limit_critical"], False: tables.rules["drop_limit_general"]}
    limits = [[percent[boat.critical[load]] for load in loads] or [np.inf] for loads in boat.loads]
    return np.array([min(each) for each in limits]) / 100 * boat.nominal


def least_copper(
    boat: Boat, tables: Tables, wanted: Demand, sizes: Sizes, offered: list[Offer], limit: Floats
) -> Choice:
    """The lightest sizes that keep every drop in every scenario and clear every fault: an integer programme, exact.

    `limit` is the volts that may be lost from the bank to the far end of each circuit with loads. One variable says
    that a circuit takes one offer. What is lost up to each panel is a variable of its own in each scenario (volts by
    physics, volts by the rule's formula) and once more for the loop resistance. Written out along each path instead,
    the same programme has more entries and takes half as long again.
    """
    at, size, fuse = (np.array(column) for column in list(zip(*offered, strict=True))[:3])
    reach = np.array([row[3] for row in offered])
    in_fuse = np.array([f.resistance[1] for f in tables.fuses])[fuse]
    of_circuit = [np.flatnonzero(at == circuit) for circuit in range(len(wanted.parent))]
    physical = sizes.warm[at, size] + JOINTS[1] + in_fuse
    rule = sizes.rule[at, size]
    way = (sizes.hot[at, size] + JOINTS[1] + in_fuse) / wanted.sharing[at]

    # What a choice uses up on the way to its far end: volts in each case, by physics and by formula, then ohms.
    uses = [amps[at] * each for amps in wanted.amps.T for each in (physical, rule)] + [way]
    feeders = [circuit for circuit, panel in enumerate(boat.panel) if panel]
    binary = len(offered)
    place = {feeder: binary + nth * len(uses) for nth, feeder in enumerate(feeders)}
    columns: list[Integers] = []
    values: list[Floats] = []
    bounds: list[tuple[float, float]] = []

    def row(low: float, high: float, variables: Integers, factors: Floats, single: list[tuple[int, float]]) -> None:
        columns.append(np.append(variables, [one[0] for one in single]).astype(int))
        values.append(np.append(factors, [one[1] for one in single]))
        bounds.append((low, high))

    for circuit, up in enumerate(wanted.parent):
        own = of_circuit[circuit]
        row(1, 1, own, np.ones(len(own)), [])
        for nth, use in enumerate(uses):
            before = [(place[up] + nth, 1.0)] if up >= 0 else []
            if circuit in place:
                row(0, 0, own, use[own], [*before, (place[circuit] + nth, -1.0)])
            elif use is not way and use[own[0]] > 0:
                row(-np.inf, limit[circuit], own, use[own], before)
            if use is way:
                row(-np.inf, 0, own, -reach[own], before)

    total = binary + len(feeders) * len(uses)
    rows = np.repeat(np.arange(len(columns)), [len(c) for c in columns])
    matrix = coo_matrix((np.concatenate(values), (rows, np.concatenate(columns))), shape=(len(columns), total))
    free = total - binary
    solved = milp(
        np.append(sizes.kilograms[at, size], np.zeros(free)),
        constraints=LinearConstraint(matrix.tocsc(), *np.array(bounds).T),
        integrality=np.append(np.ones(binary), np.zeros(free)),
        bounds=Bounds(0, np.append(np.ones(binary), np.full(free, np.inf))),
        options={"mip_rel_gap": 0},
    )
    if not solved.success:
        raise SystemExit(f"the script finds no sizes: {solved.message}")
    taken = np.flatnonzero(solved.x[:binary] > 0.5)
    taken = taken[np.argsort(at[taken])]
    return Choice(size[taken], fuse[taken], float(solved.fun))


def planned_drop(tables: Tables, wanted: Demand, sizes: Sizes, choice: Choice) -> Floats:
    """The largest drop from the bank to the far end of each circuit in use, physical or by formula."""
    each = np.arange(len(choice.size))
    in_fuse = np.array([f.resistance[1] for f in tables.fuses])[choice.fuse]
    ohms = sizes.warm[each, choice.size] + JOINTS[1] + in_fuse
    drops = np.maximum(
        on_the_way(wanted, wanted.amps * ohms[:, None]),
        on_the_way(wanted, wanted.amps * sizes.rule[each, choice.size][:, None]),
    )
    return np.where(wanted.amps > 0, drops, 0).max(axis=1)
