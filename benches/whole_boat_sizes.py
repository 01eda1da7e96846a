"""Steps 1 and 2 of the script: who draws what when, and every size of every circuit worked through.

Arrays over (circuit, size), for the formulas are the same for all. It knows one rule set (ISO), metric copper and one
bank.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from whole_boat_data import (
    BUNDLE_ENDS,
    REFERENCE_DEGC,
    Boat,
    Floats,
    Integers,
    Tables,
)

EQUAL = 1 + 1e-9
MELTING_DEGC = 1084.6


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


def on_the_way(wanted: Demand, of_circuit: Floats) -> Floats:
    """Sums along the way from the bank to each circuit, itself included."""
    total = of_circuit.copy()
    for at, up in enumerate(wanted.parent):
        if up >= 0:
            total[at] += total[up]
    return total
