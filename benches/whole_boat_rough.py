"""Sizes to begin with: each permitted drop shared out along its path, circuit by circuit from the bank outwards.

Which fuses will do depends on fault currents, and these on the sizes. So the script starts as one does by hand, with
the rule that the least copper on one path has drops in proportion to length x sqrt(current), and the fault current of
the whole bank at every fuse.
"""

from __future__ import annotations

import numpy as np
from whole_boat_choice import Place, first_fit
from whole_boat_data import JOINTS, Boat, Floats, Integers, Tables
from whole_boat_sizes import EQUAL, Demand, Sizes, on_the_way


def rough_sizes(
    boat: Boat, tables: Tables, wanted: Demand, sizes: Sizes, breaks: Floats, limit: Floats
) -> tuple[Integers, Integers]:
    """The size and fuse of each circuit."""
    count, cases = wanted.amps.shape
    depth = np.array([len(path) for path in wanted.paths])
    parent = np.array(wanted.parent)
    weight = sizes.loop * np.sqrt(wanted.design)
    along = on_the_way(wanted, weight[:, None])[:, 0]
    behind: list[list[int]] = [[] for _ in range(count)]
    for leaf in np.flatnonzero(np.isfinite(limit)):
        for at in wanted.paths[leaf]:
            behind[at].append(leaf)

    size, fuse = np.zeros(count, dtype=int), np.zeros(count, dtype=int)
    # What is lost before each circuit, by physics and by formula, and the ohms there; one more row for the bank.
    lost, before = np.zeros((2, count + 1, cases)), np.zeros(count + 1)
    in_fuse = np.array([*(f.resistance[1] for f in tables.fuses), 0.0])
    for level in range(1, depth.max() + 1):
        here = np.flatnonzero(depth == level)
        up = parent[here]
        most = np.empty((2, len(here)))  # Ohms.
        for nth, at in enumerate(here):
            leaves = np.array(behind[at])
            share = weight[at] / (along[leaves] - along[at] + weight[at])
            left = np.maximum((limit[leaves, None] - lost[:, parent[at], None]) * share[:, None], 1e-9)
            on = np.broadcast_to(wanted.amps[leaves] > 0, left.shape)
            most[:, nth] = np.divide(left, wanted.amps[at], where=on, out=np.full(left.shape, np.inf)).min(axis=(1, 2))
        own = sizes.hot[here] + JOINTS[1]
        way = (np.array(boat.runs)[here] * (boat.string_ohm[1] + before[up]))[:, None] + own
        withstand = np.broadcast_to(tables.withstand, own.shape)
        place = Place(wanted.design[here], breaks[here], sizes.limit[here], withstand, way)
        possible = first_fit(boat, tables, list(range(len(tables.fuses))), place)
        ohms = sizes.warm[here] + JOINTS[1] + in_fuse[possible]
        keeps = (
            sizes.fits[here]
            & (possible >= 0)
            & (ohms <= most[0, :, None] * EQUAL)
            & (sizes.rule[here] <= most[1, :, None] * EQUAL)
        )
        each = np.arange(len(here))
        size[here] = keeps.argmax(axis=1)
        fuse[here] = possible[each, size[here]]
        used = np.array([ohms[each, size[here]], sizes.rule[here, size[here]]])
        lost[:, here] = lost[:, up] + wanted.amps[here] * used[:, :, None]
        before[here] = before[up] + (own[each, size[here]] + in_fuse[fuse[here]]) / wanted.sharing[here]
    return size, fuse
