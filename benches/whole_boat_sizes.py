"""The first half of the script: currents, every size of every circuit, fuses, least copper as an integer programme.

Arrays over (circuit, size) wherever the formula is the same for all, a loop where each turn is different, HiGHS for the
choice. It knows one rule set (ISO), metric copper, fuses and one bank.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix
from whole_boat_data import (
    BUNDLE_ENDS,
    CLEAR_WITHIN_S,
    JOINTS,
    LOAD_FACTOR,
    REFERENCE_DEGC,
    Boat,
    Floats,
    Integers,
    Tables,
)
from whole_boat_fuses import clears_from, derated, slowest

EQUAL = 1 + 1e-9
MELTING_DEGC = 1084.6
Offer = tuple[int, int, int, float]  # Circuit, size, fuse, and the ohms before it up to which it clears.


@dataclass
class Demand:
    """Who hangs on whom, and what flows."""

    parent: list[int]
    paths: list[list[int]]  # Of each circuit: from the bank to itself.
    cases: list[str]
    on: list[list[str]]  # By case: the loads.
    sharing: Integers  # Runs that share the current.
    amps: Floats  # (circuit, case) of one run, each load at the lowest voltage of the bank.
    design: Floats  # Current.


@dataclass
class Sizes:
    """Every size in every circuit: arrays (circuit, size)."""

    loop: Floats
    fits: NDArray[np.bool_]  # By heat and smallest area.
    limit: Floats
    warm: Floats
    hot: Floats
    rule: Floats
    kilograms: Floats


@dataclass
class Choice:
    """The sizes and fuses taken."""

    size: Integers
    fuse: Integers
    kilograms: float


# --- 1. demand ------------------------------------------------------------------------------------------------------


def demand(boat: Boat) -> Demand:
    """Sums the currents of all loads that are on, scenario by scenario, up the tree."""
    feeder = {panel: at for at, panel in enumerate(boat.panel) if panel}
    parent = [feeder.get(start, -1) for start in boat.start]
    paths = []
    for at in range(len(parent)):
        path = [at]
        while parent[path[-1]] >= 0:
            path.append(parent[path[-1]])
        paths.append(path[::-1])
    circuit_of = {load: at for at, loads in enumerate(boat.loads) for load in loads}
    cases = dict(boat.scenarios)
    named = {load for on in cases.values() for load in on}
    for loads in boat.loads:  # What no scenario shows counts by itself.
        missing = [load for load in loads if load not in named]
        if missing:
            cases["+".join(sorted(missing)) + " alone"] = missing
    amps = np.zeros((len(parent), len(cases)))
    for case, on in enumerate(cases.values()):
        for load in on:
            amps[paths[circuit_of[load]], case] += boat.watts[load] / boat.lowest
    sharing = np.where(boat.alone, 1, boat.runs)
    amps /= sharing[:, None]
    return Demand(parent, paths, list(cases), list(cases.values()), sharing, amps, amps.max(axis=1))


# --- 2. every size in every circuit ---------------------------------------------------------------------------------


def heat_paths(tables: Tables, bundled: int) -> tuple[Floats, Floats]:
    """Thermal resistance inside the surface, and heat per surface rise^1.25, for each arrangement and size."""
    if bundled <= 3:
        names = {1: ["single"], 2: ["two flat touching", "two vertical touching"]}.get(
            bundled, ["three flat touching", "three in trefoil", "three vertical touching"]
        )
        ends = [(name, 1.0, 1, 0.0) for name in names]
    else:
        ends = [
            (name, (bundled / fill) ** 0.5, bundled, bundled * rho / (4 * np.pi)) for fill, rho, name in BUNDLE_ENDS
        ]
    inner, surface = [], []
    for name, wider, share, inside in ends:
        z, e, g = tables.air[name]
        diameter = wider * tables.diameter
        inner.append(tables.insulation_ohm + inside)
        surface.append(np.pi * diameter * (z / diameter**g + e) / share)
    return np.array(inner), np.array(surface)


def steady_temperature(amps: Floats, ohm_per_m: Floats, inner: Floats, surface: Floats, ambient: float) -> Floats:
    """Temperature of the metal, by Newton from the melting point downwards; infinite where it does not settle.

    The excess of warming over cooling is convex in the temperature, so that Newton from above never overshoots.
    """
    per_kelvin = amps**2 * ohm_per_m / 254.5
    temperature = np.full(np.broadcast(per_kelvin, inner).shape, MELTING_DEGC)
    settles = None
    for _ in range(60):
        watts = np.maximum(per_kelvin * (234.5 + temperature), 1e-30)
        rise = (watts / surface) ** 0.8
        excess = temperature - ambient - watts * inner - rise
        if settles is None:
            settles = excess >= 0
        slope = 1 - per_kelvin * inner - 0.8 * rise * per_kelvin / watts
        step = np.where(settles, excess / slope, 0)
        temperature -= step
        if np.abs(step).max() < 1e-9:
            break
    return np.where(settles, temperature, np.inf)


def hottest(tables: Tables, amps: Floats, bundled: Integers, ambient: float) -> Floats:
    """The hottest arrangement of each circuit in each size."""
    out = np.empty((len(amps), len(tables.mm2)))
    for count in np.unique(bundled):
        here = bundled == count
        inner, surface = heat_paths(tables, int(count))
        found = steady_temperature(amps[here, None, None], tables.ohm_per_m, inner, surface, ambient)
        out[here] = found.max(axis=1)
    return out


def evaluate_sizes(boat: Boat, tables: Tables, wanted: Demand) -> Sizes:
    """Ampacity, temperature, resistance and mass of every size in every circuit at its design current."""
    bundled = 2 * np.array(boat.runs)
    loop = 2 * np.array(boat.one_way)
    place = min(1.0, ((boat.insulation - boat.ambient) / (boat.insulation - REFERENCE_DEGC)) ** 0.5)
    factor = np.array([next(f for least, f in reversed(tables.bundle) if least <= count) for count in bundled])
    ampacity = tables.ampacity * place * factor[:, None]
    temperature = hottest(tables, wanted.design, bundled, boat.ambient)
    fits = (
        (wanted.design[:, None] <= ampacity * EQUAL)
        & (temperature <= boat.insulation * EQUAL)
        & (tables.mm2 >= tables.rules["minimum_area_alone"])
    )
    at = np.minimum(temperature, boat.insulation)
    runs = np.array(boat.runs)
    return Sizes(
        loop=loop,
        fits=fits,
        limit=ampacity * tables.rules["device_limit_outright"] / 100,
        warm=tables.ohm_per_m * (234.5 + at) / 254.5 * loop[:, None],
        hot=tables.ohm_per_m * (234.5 + boat.insulation) / 254.5 * loop[:, None],
        rule=tables.rules["drop_formula"] * loop[:, None] / tables.mm2,
        kilograms=tables.kg_per_m * (loop * runs)[:, None],
    )


# --- 3. fuses -------------------------------------------------------------------------------------------------------


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


# --- 4. least copper ------------------------------------------------------------------------------------------------


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


def places(boat: Boat, tables: Tables, wanted: Demand, sizes: Sizes, breaks: Floats, choice: Choice) -> Place:
    """What the circuits ask of their fuses, with the sizes and fuses that were taken."""
    each = np.arange(len(choice.size))
    in_fuse = np.array([f.resistance[1] for f in tables.fuses])[choice.fuse]
    own = sizes.hot[each, choice.size] + JOINTS[1]
    before = on_the_way(wanted, (own + in_fuse) / wanted.sharing) - (own + in_fuse) / wanted.sharing
    way = np.array(boat.runs) * (boat.string_ohm[1] + before) + own
    rating, withstand = sizes.limit[each, choice.size], tables.withstand[choice.size]
    return Place(wanted.design, breaks, rating[:, None], withstand[:, None], way[:, None])


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


def on_the_way(wanted: Demand, of_circuit: Floats) -> Floats:
    """Sums along the way from the bank to each circuit, itself included."""
    total = of_circuit.copy()
    for at, up in enumerate(wanted.parent):
        if up >= 0:
            total[at] += total[up]
    return total
