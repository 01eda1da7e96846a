"""Step 3 of the script: which fuse each circuit may have in each size."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from whole_boat_data import CLEAR_WITHIN_S, JOINTS, LOAD_FACTOR, Boat, Floats, Integers, Tables
from whole_boat_fuses import clears_from, derated, slowest
from whole_boat_sizes import EQUAL, Demand, Sizes, on_the_way

Offer = tuple[int, int, int, float]  # Circuit, size, fuse, and the ohms before it up to which it clears.


@dataclass
class Choice:
    """The sizes and fuses taken."""

    size: Integers
    fuse: Integers
    kilograms: float


@dataclass
class Place:
    """What circuits ask of a fuse: two arrays by circuit, then three by circuit and size."""

    design: Floats  # Current.
    breaks: Floats  # Highest fault current.
    rating: Floats  # Highest that the conductor allows.
    withstand: Floats
    way: Floats  # Most ohms of a fault at the far end.

    def part(self, here: Integers | NDArray[np.bool_]) -> Place:
        """Some of the circuits."""
        return Place(self.design[here], self.breaks[here], self.rating[here], self.withstand[here], self.way[here])


def first_fit(boat: Boat, tables: Tables, order: list[int], place: Place) -> Integers:
    """The first fuse of a list that fits, by circuit and size; -1 where none does."""
    chosen = np.full(place.way.shape, -1)
    lowest = LOAD_FACTOR * place.design[:, None]
    for number in order:
        fuse = tables.fuses[number]
        if fuse.volts * EQUAL < boat.highest or fuse.breaking * EQUAL < place.breaks.min():
            continue
        free = (
            (chosen < 0)
            & (derated(fuse, boat.ambient) * EQUAL >= lowest)
            & (fuse.rating <= place.rating * EQUAL)
            & (fuse.breaking * EQUAL >= place.breaks)[:, None]
        )
        if free.any():
            amps = boat.lowest / (place.way + fuse.resistance[1])
            time = slowest(fuse, amps)
            clears = (time <= CLEAR_WITHIN_S * EQUAL) & (amps**2 * time <= place.withstand * EQUAL)
            chosen[free & clears] = number
    return chosen


def choose_fuses(boat: Boat, tables: Tables, place: Place, prefer: list[str]) -> Integers:
    """The first fuse that fits, family by family; each circuit may prefer a family of its own to those of the boat."""
    chosen = np.empty(place.way.shape, dtype=int)
    for family in sorted(set(prefer)):
        here = np.array([own == family for own in prefer])
        order = sorted(range(len(tables.fuses)), key=lambda n, family=family: tables.fuses[n].family != family)
        chosen[here] = first_fit(boat, tables, order, place.part(here))
    return chosen


def offers(boat: Boat, tables: Tables, wanted: Demand, sizes: Sizes, breaks: Floats, prefer: list[str]) -> list[Offer]:
    """What each circuit may have: a size, a fuse, and the most hot ohms before it with which that fuse clears.

    A fuse depends on the fault current at the far end and so on the sizes before it: offered are those behind the least
    and behind the most resistance. Of a fault where several runs end each run carries its share.
    """
    source = boat.string_ohm[1]  # One string alone, aged.
    runs = np.array(boat.runs)
    own = sizes.hot + JOINTS[1]
    chosen = []
    for end in (np.min, np.max):
        before = np.zeros(len(runs))
        for at, up in enumerate(wanted.parent):  # Parents stand before their children in the file.
            if up >= 0:
                before[at] = before[up] + end(own[up, sizes.fits[up]]) / wanted.sharing[up]
        way = (runs * (source + before))[:, None] + own
        withstand = np.broadcast_to(tables.withstand, own.shape)
        place = Place(wanted.design, breaks, sizes.limit, withstand, way)
        chosen.append(choose_fuses(boat, tables, place, prefer))
    offered: list[Offer] = []
    clears: dict[tuple[int, int], float] = {}
    for at, size in zip(*np.nonzero(sizes.fits), strict=True):
        for number in {int(chosen[0][at, size]), int(chosen[1][at, size])} - {-1}:
            fuse = tables.fuses[number]
            if (number, size) not in clears:
                clears[number, size] = clears_from(fuse, tables.withstand[size])
            most = boat.lowest / clears[number, size] - own[at, size] - fuse.resistance[1]
            offered.append((at, size, number, most / runs[at] - source))
    return offered


def places(boat: Boat, tables: Tables, wanted: Demand, sizes: Sizes, breaks: Floats, choice: Choice) -> Place:
    """What the circuits ask of their fuses, with the sizes and fuses that were taken."""
    each = np.arange(len(choice.size))
    in_fuse = np.array([f.resistance[1] for f in tables.fuses])[choice.fuse]
    own = sizes.hot[each, choice.size] + JOINTS[1]
    before = on_the_way(wanted, (own + in_fuse) / wanted.sharing) - (own + in_fuse) / wanted.sharing
    way = np.array(boat.runs) * (boat.string_ohm[1] + before) + own
    rating, withstand = sizes.limit[each, choice.size], tables.withstand[choice.size]
    return Place(wanted.design, breaks, rating[:, None], withstand[:, None], way[:, None])
