"""A whole boat with NumPy and SciPy: what one writes in a notebook when there is no library for it.

Eight steps, each a function on plain arrays, put together here: demand, every size of every circuit, fuses, least
copper (`whole_boat_sizes.py`), volts, fault currents (`whole_boat_network.py`), selectivity (`whole_boat_fuses.py`) and
single failures. It is meant to be short and fast enough, as a competent engineer would write it. It checks no input,
explains nothing, judges no rule, and reads of boat files only what the boat of `big_boat.py` needs
(`whole_boat_data.py`). Formulas and tables are those of the library's documentation. Run alone it prints what it finds
and how long it took.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from time import perf_counter

import numpy as np
from big_boat import big_boat
from whole_boat_data import LUG_OHM, LUGS, Boat, Floats, Integers, Tables, read_boat, read_tables
from whole_boat_fuses import selective_up_to
from whole_boat_network import (
    FaultLevels,
    Network,
    dark_loads,
    fault_levels,
    warm_operating_point,
)
from whole_boat_sizes import (
    Choice,
    Demand,
    Sizes,
    demand,
    evaluate_sizes,
    fault_at_bank,
    heat_paths,
    least_copper,
    offers,
    steady_temperature,
)

BANK = 0  # The first node; the far end of circuit n is node n + 1.


@dataclass
class Answer:
    """Everything that the eight steps find."""

    demand: Demand
    sizes: Sizes
    choice: Choice
    volts: dict[tuple[str, str], Floats]  # By case and corner: at the bank, then at the far end of each circuit.
    temperature: dict[tuple[str, str], Floats]
    faults: FaultLevels
    selective: dict[tuple[int, int], float]  # By upstream and downstream circuit.
    dark: list[Integers]  # By circuit, then string.
    seconds: dict[str, float] = field(default_factory=dict)


@contextmanager
def timed(seconds: dict[str, float], stage: str) -> Iterator[None]:
    """Keeps how long a stage took."""
    start = perf_counter()
    yield
    seconds[stage] = perf_counter() - start


@dataclass
class Chosen:
    """The circuits as sized: arrays by circuit."""

    cold: Floats  # Ohms of one run at 20 degC, both legs.
    ohm_per_m: Floats
    inner: Floats  # (circuit, arrangement), see `heat_paths`.
    surface: Floats
    in_fuse: Floats  # (low, high) by circuit.
    runs: Integers


def chosen(boat: Boat, tables: Tables, sizes: Sizes, choice: Choice) -> Chosen:
    """Looks up what the network needs of each size taken."""
    ohm_per_m = tables.ohm_per_m[choice.size]
    paths = {count: heat_paths(tables, 2 * count) for count in set(boat.runs)}
    ends = max(len(inner) for inner, _ in paths.values())

    def of(part: int) -> Floats:
        # Where a bundle has fewer arrangements than another, the last one stands twice.
        rows = [paths[n][part][:, size] for n, size in zip(boat.runs, choice.size, strict=True)]
        return np.array([np.pad(row, (0, ends - len(row)), "edge") for row in rows])

    return Chosen(
        cold=ohm_per_m * sizes.loop,
        ohm_per_m=ohm_per_m,
        inner=of(0),
        surface=of(1),
        in_fuse=np.array([tables.fuses[f].resistance for f in choice.fuse]).T,
        runs=np.array(boat.runs),
    )


def boat_network(boat: Boat, wanted: Demand, wires: Chosen, corner: int, strings: int) -> Network:
    """The boat as a network of loops at 20 degC, from the low corner (0) or the high one (1), without loads."""
    high = corner == 1
    volts = max(boat.highest, boat.open_circuit) if high else boat.lowest
    return Network(
        nodes=len(boat.circuits) + 1,
        start=np.array(wanted.parent) + 1,
        end=np.arange(len(boat.circuits)) + 1,
        ohms=branch_ohms(boat, wires, corner, np.full(len(wires.cold), 20.0)),
        source=np.full(strings, BANK),
        emf=np.full(strings, volts),
        source_ohms=np.full(strings, boat.string_ohm[0 if high else 1]),
        load=np.array([], dtype=int),
        watts=np.array([]),
    )


def branch_ohms(boat: Boat, wires: Chosen, corner: int, temperature: Floats) -> Floats:
    """Conductor, joints and fuse of each circuit, all runs together."""
    worst = 0 if corner == 1 else 1
    wire = wires.cold * (234.5 + temperature) / 254.5
    return (wire + LUGS * LUG_OHM[worst] + wires.in_fuse[worst]) / wires.runs


def operating_points(
    boat: Boat, wanted: Demand, wires: Chosen
) -> tuple[dict[tuple[str, str], Floats], dict[tuple[str, str], Floats]]:
    """Volts and conductor temperatures in every case and corner."""
    circuit_of = {load: at for at, loads in enumerate(boat.loads) for load in loads}
    volts, temperatures = {}, {}

    def temperature_of(amps: Floats) -> Floats:
        each = np.abs(amps / wires.runs)[:, None]
        found = steady_temperature(each, wires.ohm_per_m[:, None], wires.inner, wires.surface, boat.ambient)
        hottest: Floats = found.max(axis=1)
        return hottest

    for corner, name in enumerate(("low", "high")):
        net = boat_network(boat, wanted, wires, corner, boat.strings)
        for case, on in zip(wanted.cases, wanted.on, strict=True):
            net.load = np.array([circuit_of[load] + 1 for load in on])
            net.watts = np.array([boat.watts[load] for load in on])
            point = warm_operating_point(net, partial(branch_ohms, boat, wires, corner), temperature_of)
            volts[case, name], temperatures[case, name] = point.volts, point.temperature
    return volts, temperatures


def fault_currents(boat: Boat, wanted: Demand, wires: Chosen) -> FaultLevels:
    """Both bounds at nodes and through circuits: all strings, new and cold, against one string, aged and hot."""
    hot = np.full(len(wires.cold), boat.insulation)
    low = []
    for strings in range(1, boat.strings + 1):
        net = boat_network(boat, wanted, wires, 0, strings)
        net.ohms = branch_ohms(boat, wires, 0, hot)
        low.append(net)
    return fault_levels(low, boat_network(boat, wanted, wires, 1, boat.strings))


def selectivity(tables: Tables, wanted: Demand, choice: Choice, faults: FaultLevels) -> dict[tuple[int, int], float]:
    """Each fuse against each one before it, at the upper fault current behind the one nearer to the fault."""
    out = {}
    for down, path in enumerate(wanted.paths):
        for up in path[:-1]:
            load, fault = wanted.design[up], faults.through_high[down]
            fuses = tables.fuses[choice.fuse[up]], tables.fuses[choice.fuse[down]]
            out[up, down] = selective_up_to(*fuses, load, fault)
    return out


def single_failures(boat: Boat, wanted: Demand, wires: Chosen) -> list[Integers]:
    """Circuits, then strings: which circuits with loads go dark when that one is out."""
    net = boat_network(boat, wanted, wires, 0, boat.strings)
    net.load = np.array([at + 1 for at, loads in enumerate(boat.loads) if loads])
    return dark_loads(net)


def whole_boat(boat: Boat, tables: Tables) -> Answer:
    """All eight steps, each with its time."""
    seconds: dict[str, float] = {}
    with timed(seconds, "demand"):
        wanted = demand(boat)
    with timed(seconds, "every size"):
        sizes = evaluate_sizes(boat, tables, wanted)
    with timed(seconds, "fuses"):
        offered = offers(boat, tables, wanted, sizes, np.full(len(boat.circuits), fault_at_bank(boat)))
    with timed(seconds, "least copper"):
        choice = least_copper(boat, tables, wanted, sizes, offered)
    with timed(seconds, "operating points"):
        wires = chosen(boat, tables, sizes, choice)
        volts, temperature = operating_points(boat, wanted, wires)
    with timed(seconds, "fault currents"):
        faults = fault_currents(boat, wanted, wires)
    with timed(seconds, "selectivity"):
        selective = selectivity(tables, wanted, choice, faults)
    with timed(seconds, "single failures"):
        dark = single_failures(boat, wanted, wires)
    return Answer(wanted, sizes, choice, volts, temperature, faults, selective, dark, seconds)


def main() -> None:
    """Runs it on the boat of 150 circuits and prints some of what it finds."""
    boat = read_boat(big_boat())
    tables = read_tables(boat.insulation, boat.families)
    answer = whole_boat(boat, tables)
    for at in range(0, len(boat.circuits), 10):
        size, fuse = tables.mm2[answer.choice.size[at]], tables.fuses[answer.choice.fuse[at]]
        lowest = min(volts[at + 1] for volts in answer.volts.values())
        print(
            f"{boat.circuits[at]:<6}{answer.demand.design[at]:8.2f} A {size:7.2f} mm2  {fuse.family} {fuse.rating:g} A"
            f"{lowest:8.2f} V {answer.faults.node_low[at + 1]:7.0f} to {answer.faults.node_high[at + 1]:.0f} A"
        )
    print(f"{answer.choice.kilograms:.2f} kg, {len(answer.selective)} pairs of fuses")
    for stage, seconds in answer.seconds.items():
        print(f"{stage:<20}{1e3 * seconds:9.1f} ms")


if __name__ == "__main__":
    main()
