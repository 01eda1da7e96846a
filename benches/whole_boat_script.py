"""A whole boat with NumPy and SciPy: what one writes in a notebook when there is no library for it.

Eight steps, each functions on plain arrays, put together here: demand, every size of every circuit
(`whole_boat_sizes.py`), fuses (`whole_boat_choice.py`), least copper (`whole_boat_copper.py`), volts, fault currents
(`whole_boat_network.py`), selectivity (`whole_boat_fuses.py`) and single failures. It is meant to be short and fast
enough, as a competent engineer would write it. It checks no input, explains nothing, judges no rule, and reads of boat
files only what the boat of `big_boat.py` needs (`whole_boat_data.py`). Formulas and tables are those of the library's
documentation. Run alone it prints what it finds and how long it took.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from time import process_time

import numpy as np
from big_boat import big_boat
from whole_boat_choice import Choice, Place, choose_fuses, first_fit, offers, places
from whole_boat_copper import least_copper, permitted, planned_drop
from whole_boat_data import JOINTS, WINTER_DEGC, Boat, Floats, Integers, Tables, read_boat, read_tables
from whole_boat_fuses import selectivity
from whole_boat_network import FaultLevels, Network, Point, dark_loads, fault_levels, warm_operating_point
from whole_boat_rough import rough_sizes
from whole_boat_sizes import EQUAL, Demand, Sizes, demand, evaluate_sizes, heat_paths, steady_temperature

BANK = 0  # The first node; the far end of circuit n is node n + 1.
STIFF_OHM = 1e-7  # A bank that is held at its terminals.
MOST_PASSES, MOST_TRIES = 20, 4
Pair = tuple[float, bool]  # Selective up to a current, and whether the standards decide it above that.


@dataclass
class Answer:
    """Everything that the eight steps find."""

    demand: Demand
    sizes: Sizes
    choice: Choice
    points: dict[str, Point]  # By case@corner; volts at the bank, then at the far end of each circuit.
    faults: FaultLevels
    selective: dict[tuple[int, int], Pair]  # By upstream and downstream circuit.
    dark: dict[str, Integers]  # By part: the circuits that are left unfed.
    passes: int
    seconds: dict[str, float]


@dataclass
class Settled:
    """Sizes and fuses that keep every promise on the network, and whether less may have to be asked of them."""

    choice: Choice
    wires: Chosen
    low: list[Point]
    faults: FaultLevels
    prefer: list[str]
    passes: int
    eased: bool


@dataclass
class Chosen:
    """The circuits as sized, one run of each: arrays by circuit."""

    cold: Floats  # Ohms of both legs at 20 degC.
    ohm_per_m: Floats
    inner: Floats  # (circuit, arrangement), see `heat_paths`.
    surface: Floats
    in_fuse: Floats  # Low and high, by circuit.
    sharing: Integers
    runs: Integers

    def ohms(self, temperature: Floats | float) -> Floats:
        """Conductor, joints and fuse in service, of the runs that share the current."""
        total: Floats = self.cold * (234.5 + temperature) / 254.5 + JOINTS[1] + self.in_fuse[1]
        return total / self.sharing

    def least_ohms(self) -> Floats:
        """The same at their least: in the cold, all runs closed."""
        total: Floats = self.cold * (234.5 + WINTER_DEGC) / 254.5 + JOINTS[0] + self.in_fuse[0]
        return total / self.runs


def chosen(boat: Boat, tables: Tables, wanted: Demand, sizes: Sizes, size: Integers, fuse: Integers) -> Chosen:
    """Looks up what the network needs of each size taken; a fuse of -1 is none."""
    ohm_per_m = tables.ohm_per_m[size]
    paths = {count: heat_paths(tables, 2 * count) for count in set(boat.runs)}
    ends = max(len(inner) for inner, _ in paths.values())

    def of(part: int) -> Floats:
        # Where a bundle has fewer arrangements than another, the last one stands twice.
        rows = [paths[n][part][:, at] for n, at in zip(boat.runs, size, strict=True)]
        return np.array([np.pad(row, (0, ends - len(row)), "edge") for row in rows])

    in_fuse = np.array([*(f.resistance for f in tables.fuses), (0.0, 0.0)])[fuse].T
    return Chosen(ohm_per_m * sizes.loop, ohm_per_m, of(0), of(1), in_fuse, wanted.sharing, np.array(boat.runs))


def boat_network(
    boat: Boat, wanted: Demand, ohms: Floats, strings: int, volts: float, string_ohm: float, on: list[str] | None = None
) -> Network:
    """The boat as a network of loops: its strings at the bank, the loads that are on at the far ends."""
    circuit_of = {load: at for at, loads in enumerate(boat.loads) for load in loads}
    on = list(circuit_of) if on is None else on
    return Network(
        nodes=len(boat.circuits) + 1,
        start=np.array(wanted.parent) + 1,
        end=np.arange(len(boat.circuits)) + 1,
        ohms=ohms,
        source=np.full(strings, BANK),
        emf=np.full(strings, volts),
        source_ohms=np.full(strings, string_ohm),
        load=np.array([circuit_of[load] + 1 for load in on]),
        watts=np.array([boat.watts[load] for load in on]),
    )


def operating_points(boat: Boat, wanted: Demand, wires: Chosen, volts: float) -> list[Point]:
    """Volts, currents and temperatures in every case, with the bank's terminals at a voltage."""

    def temperature_of(amps: Floats) -> Floats:
        each = np.abs(amps / wires.sharing)[:, None]
        found = steady_temperature(each, wires.ohm_per_m[:, None], wires.inner, wires.surface, boat.ambient)
        hottest: Floats = np.minimum(found.max(axis=1), boat.insulation)
        return hottest

    ambient = wires.ohms(boat.ambient)
    nets = [boat_network(boat, wanted, ambient, 1, volts, STIFF_OHM, on) for on in wanted.on]
    return [warm_operating_point(net, wires.ohms, temperature_of) for net in nets]


def fault_currents(boat: Boat, wanted: Demand, wires: Chosen) -> FaultLevels:
    """Both bounds at nodes and through circuits: all strings, new and cold, against one string, aged and hot.

    Of a fault where several runs end the lower bound is that of one run, which carries its share.
    """
    highest = max(boat.highest, boat.open_circuit)
    most = boat_network(boat, wanted, wires.least_ohms(), boat.strings, highest, boat.string_ohm[0])
    hot = wires.ohms(boat.insulation)
    least = [boat_network(boat, wanted, hot, n, boat.lowest, boat.string_ohm[1]) for n in range(1, boat.strings + 1)]
    levels = fault_levels(least, most)
    source = boat.lowest / levels.node_low[most.start]
    one_run = boat.lowest / (source * wires.runs + hot * wires.sharing)
    levels.through_low = np.where(wires.runs > 1, one_run, levels.through_low)
    return levels


def fault_at_bank(boat: Boat) -> float:
    """The most that the bank drives into a fault at its terminals: all strings, new, at the highest voltage."""
    return max(boat.highest, boat.open_circuit) * boat.strings / boat.string_ohm[0]


def pairs(tables: Tables, wanted: Demand, choice: Choice, faults: FaultLevels) -> dict[tuple[int, int], Pair]:
    """Each fuse against each one before it, at the upper fault current behind the one nearer to the fault."""
    return {
        (up, down): selectivity(
            tables.fuses[choice.fuse[up]],
            tables.fuses[choice.fuse[down]],
            wanted.design[up],
            faults.through_high[down],
        )
        for down, path in enumerate(wanted.paths)
        for up in path[:-1]
    }


def prefer_selective(
    boat: Boat,
    tables: Tables,
    wanted: Demand,
    place: Place,
    choice: Choice,
    faults: FaultLevels,
    prefer: list[str],
) -> list[str]:
    """Another family first, where the fuse chosen would let one before it open and one of that family would not.

    Each circuit is given one such chance: one that has a family of its own already is left alone.
    """
    found = pairs(tables, wanted, choice, faults)
    out = list(prefer)
    for down, path in enumerate(wanted.paths):
        fault = faults.through_high[down]
        if out[down] or all(found[up, down][0] >= fault or not found[up, down][1] for up in path[:-1]):
            continue
        for family in boat.families:
            among = [n for n, fuse in enumerate(tables.fuses) if fuse.family == family]
            (other,) = first_fit(boat, tables, among, place.part(np.array([down])))[:, 0]
            if other < 0 or family == tables.fuses[choice.fuse[down]].family:
                continue
            befores = [(tables.fuses[choice.fuse[up]], wanted.design[up]) for up in path[:-1]]
            again = [selectivity(fuse, tables.fuses[other], load, fault) for fuse, load in befores]
            if all(limit >= fault or not decided for limit, decided in again):
                out[down] = family
                break
    return out


def single_failures(boat: Boat, wanted: Demand, wires: Chosen) -> dict[str, Integers]:
    """Each string, panel and circuit out by itself, and the bank: which circuits with loads go dark."""
    net = boat_network(boat, wanted, wires.ohms(boat.ambient), boat.strings, boat.lowest, boat.string_ohm[1])
    net.load = np.flatnonzero([bool(loads) for loads in boat.loads]) + 1
    circuits = len(boat.circuits)
    strings = circuits + np.arange(boat.strings)
    parts = {f"string {n}": strings[n : n + 1] for n in range(boat.strings)} | {f"bank.{boat.bank}": strings}
    for at, panel in enumerate(boat.panel):
        if panel:
            parts[f"panel.{panel}"] = np.flatnonzero((net.start == at + 1) | (net.end == at + 1))
    for at, name in enumerate(boat.circuits):
        # Where each run carries the whole current alone, one may be out.
        parts[f"circuit.{name}"] = np.array([] if boat.runs[at] > 1 and boat.alone[at] else [at], dtype=int)
    return dict(zip(parts, dark_loads(net, list(parts.values())), strict=True))


def whole_boat(boat: Boat, tables: Tables) -> Answer:
    """All eight steps, each with its time.

    Sizing cannot know the fault current through each fuse nor the drop with each load at the voltage that it really
    gets. So the network is asked, and sizing done again: with more to break where a fuse must, with fewer volts to lose
    where too many were lost, with another family of fuses where one lets a fuse before it open.
    """
    seconds: dict[str, float] = {}
    with timed(seconds, "demand"):
        wanted = demand(boat)
    with timed(seconds, "every size"):
        sizes = evaluate_sizes(boat, tables, wanted)
        asked = permitted(boat, tables)
    with timed(seconds, "rough sizes"):
        rough = rough_sizes(boat, tables, wanted, sizes, np.full(len(boat.circuits), fault_at_bank(boat)), asked)
    with timed(seconds, "fault currents"):
        breaks = fault_currents(boat, wanted, chosen(boat, tables, wanted, sizes, *rough)).through_high

    def settle(breaks: Floats, prefer: list[str]) -> Settled:
        limit, tries = asked.copy(), np.zeros(len(boat.circuits), dtype=int)
        passes, again = 0, True
        while again and passes < MOST_PASSES:
            passes += 1
            with timed(seconds, "fuses"):
                offered = offers(boat, tables, wanted, sizes, breaks, prefer)
            with timed(seconds, "least copper"):
                choice = least_copper(boat, tables, wanted, sizes, offered, limit)
            with timed(seconds, "fuses"):
                # The first that fit behind the sizes that were taken.
                place = places(boat, tables, wanted, sizes, breaks, choice)
                choice.fuse = choose_fuses(boat, tables, place, prefer)[:, 0]
            with timed(seconds, "operating points"):
                wires = chosen(boat, tables, wanted, sizes, choice.size, choice.fuse)
                low = operating_points(boat, wanted, wires, boat.lowest)
                drops = np.array([point.volts[BANK] - point.volts[1:] for point in low]).T
                found = np.where(wanted.amps > 0, drops, 0).max(axis=1)
            with timed(seconds, "fault currents"):
                faults = fault_currents(boat, wanted, wires)
            more = faults.through_high > breaks * EQUAL
            breaks = np.where(more, faults.through_high, breaks)
            planned = planned_drop(tables, wanted, sizes, choice)
            late = (found > asked * EQUAL) & (planned <= limit * EQUAL) & (tries < MOST_TRIES)
            less = np.maximum(np.minimum(planned, limit) - 1.01 * (found - asked), 0.1 * asked)
            limit, tries = np.where(late, less, limit), tries + late
            again = bool(more.any() or late.any())
            if not again:
                with timed(seconds, "selectivity"):
                    preferred = prefer_selective(boat, tables, wanted, place, choice, faults, prefer)
                prefer, again = preferred, preferred != prefer
        eased = bool((limit < asked).any() or (faults.through_high != breaks).any())
        return Settled(choice, wires, low, faults, prefer, passes, eased)

    # Once from the rough sizes, then from what the sizes so found really ask.
    settled = settle(breaks, [""] * len(boat.circuits))
    passes = settled.passes
    if settled.eased:
        second = settle(settled.faults.through_high, settled.prefer)
        passes += second.passes
        if second.choice.kilograms <= settled.choice.kilograms * EQUAL:
            settled = second
    choice, wires, low, faults = settled.choice, settled.wires, settled.low, settled.faults
    with timed(seconds, "operating points"):
        high = operating_points(boat, wanted, wires, boat.highest)
    with timed(seconds, "selectivity"):
        selective = pairs(tables, wanted, choice, faults)
    with timed(seconds, "single failures"):
        dark = single_failures(boat, wanted, wires)
    corners = zip(("low", "high"), (low, high), strict=True)
    points = {f"{case}@{corner}": point for corner, of in corners for case, point in zip(wanted.cases, of, strict=True)}
    return Answer(wanted, sizes, choice, points, faults, selective, dark, passes, seconds)


@contextmanager
def timed(seconds: dict[str, float], stage: str) -> Iterator[None]:
    """Adds up the seconds of processor that a stage took."""
    start = process_time()
    yield
    seconds[stage] = seconds.get(stage, 0.0) + process_time() - start


def main() -> None:
    """Runs it on the boat of 150 circuits and prints some of what it finds."""
    boat = read_boat(big_boat())
    tables = read_tables(boat.insulation, boat.families)
    answer = whole_boat(boat, tables)
    for at in range(0, len(boat.circuits), 10):
        size, fuse = tables.mm2[answer.choice.size[at]], tables.fuses[answer.choice.fuse[at]]
        lowest = min(point.volts[at + 1] for point in answer.points.values())
        print(
            f"{boat.circuits[at]:<6}{answer.demand.design[at]:8.2f} A {size:7.2f} mm2  {fuse.family} {fuse.rating:g} A"
            f"{lowest:8.2f} V {answer.faults.node_low[at + 1]:7.0f} to {answer.faults.node_high[at + 1]:.0f} A"
        )
    print(f"{answer.choice.kilograms:.2f} kg in {answer.passes} passes, {len(answer.selective)} pairs of fuses")
    for stage, seconds in answer.seconds.items():
        print(f"{stage:<20}{1e3 * seconds:9.1f} ms")


if __name__ == "__main__":
    main()
