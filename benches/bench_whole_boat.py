"""A whole boat of 150 circuits: sized, and solved as one network; by orlop, and by a script of NumPy and SciPy.

Both get the text of the boat file and give sizes, fuses, volts and temperatures in every case, fault currents,
selectivity and single failures. The script (`whole_boat_script.py`) is what one writes in a notebook; its tables are
typed in before the clock starts. It does less: it judges no rule, does not size by the second method to tell what is
saved, keeps no source and has no table that others can read. Both answers are compared before any time is taken.
"""

from __future__ import annotations

import os

# Matrices of 150 rows gain nothing from a second thread, and lose much on a busy machine: to the script's advantage.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import statistics
from collections.abc import Callable
from time import process_time

import numpy as np
from big_boat import big_boat
from clock import Taken, line, taken
from whole_boat_data import read_boat, read_tables
from whole_boat_script import Answer, whole_boat

import orlop

TABLES = ("circuits", "loads", "nodes", "currents", "drops", "faults", "selectivity", "single_failures")
RUNS = 5


def by_orlop(text: str) -> orlop.Design:
    """The whole answer, with its tables."""
    design = orlop.Boat.from_text(text).size()
    for name in TABLES:
        design.table(name)
    return design


def placed(design: orlop.Design) -> dict[str, tuple[orlop.Device, str]]:
    """Each device with its load, by the branch in which it stands."""
    rows = design.table("circuits").to_dicts()
    names = ((row["id"], *row["device"].split(" ", 1), row["design_current_a"]) for row in rows)
    return {f"circuit.{name}": (orlop.Device(family, rating), f"{amps} A") for name, family, rating, amps in names}


def differences(text: str, design: orlop.Design, answer: Answer) -> list[str]:
    """How far the two answers lie apart, in words; ends the bench where they are not the same answer."""
    boat = read_boat(text)
    tables = read_tables(boat.insulation, boat.families)
    rows = {name: design.table(name).to_dicts() for name in TABLES}
    choice = answer.choice
    fuses = [tables.fuses[n] for n in choice.fuse]
    sizes = [f"{tables.mm2[n]:g} mm2" for n in choice.size]
    same = [
        (row["conductor"], row["device"]) == (size, f"{fuse.family} {fuse.rating:g} A")
        for row, size, fuse in zip(rows["circuits"], sizes, fuses, strict=True)
    ]
    mass = sum(row["mass_kg"] for row in rows["circuits"])
    told = [f"sizes and fuses: {sum(same)} of {len(same)} the same; {choice.kilograms:.2f} kg and {mass:.2f} kg"]
    if not all(same):
        others = [name for name, equal in zip(boat.circuits, same, strict=True) if not equal]
        raise SystemExit(f"{told[0]}; not the same are {', '.join(others)}")

    nodes = [f"bank.{boat.bank}"]
    nodes += [f"panel.{p}" if p else f"circuit.{c}" for c, p in zip(boat.circuits, boat.panel, strict=True)]
    place = {node: n for n, node in enumerate(nodes)}
    number = {circuit: n for n, circuit in enumerate(boat.circuits)}

    def worst(what: str, pairs: list[tuple[float, float]], most: float, unit: str, relative: bool = False) -> None:
        ours, theirs = np.array(pairs, dtype=float).T
        apart = np.abs(ours - theirs) / (np.abs(ours) if relative else 1.0)
        told.append(f"{what}: {len(pairs)} numbers, at most {apart.max():.1e}{unit} apart")
        if not apart.max() <= most:
            raise SystemExit(told[-1])

    points = answer.points
    worst("volts", [(r["voltage_v"], points[r["case"]].volts[place[r["node"]]]) for r in rows["nodes"]], 1e-3, " V")
    temperatures = [(r, points[r["case"]].temperature[number[r["circuit"]]]) for r in rows["currents"]]
    worst("temperatures", [(r["temperature_degc"], t) for r, t in temperatures], 0.01, " K")
    faults = []
    for row in rows["faults"]:
        if row["what"] == "node":
            n = place[row["subject"]]
            faults += [(row["low_a"], answer.faults.node_low[n]), (row["high_a"], answer.faults.node_high[n])]
        else:
            n = number[row["subject"].removeprefix("circuit.")]
            faults += [(row["low_a"], answer.faults.through_low[n]), (row["high_a"], answer.faults.through_high[n])]
    worst("fault currents", faults, 1e-2, " of it", relative=True)
    selective = []
    for row in rows["selectivity"]:
        pair = tuple(number[row[end].removeprefix("circuit.")] for end in ("upstream", "downstream"))
        selective.append((row["up_to_a"] or 0.0, answer.selective[pair][0]))
    if len(selective) != len(answer.selective):
        raise SystemExit(f"selectivity: {len(selective)} pairs and {len(answer.selective)}")
    worst("selective up to", [(a, b) for a, b in selective if a or b], 1e-2, " of it", relative=True)
    dark = {row["part"]: row["dark"] for row in rows["single_failures"] if row["kind"] != "one string"}
    for part, gone in answer.dark.items():
        if not part.startswith("string") and dark[part] != len(gone):
            raise SystemExit(f"{part} out: {dark[part]} and {len(gone)} loads go dark")
    told.append(f"single failures: {len(dark)} parts, the same loads go dark")
    return told


def main() -> None:
    """Compares the answers, then prints the times of both and their ratio."""
    text = big_boat()
    tables = read_tables(105, read_boat(text).families)

    def by_script() -> Answer:
        return whole_boat(read_boat(text), tables)

    answer = by_script()
    print("150 circuits, both answers")
    for each in differences(text, by_orlop(text), answer):
        print(f"  {each}")

    def spent(work: Callable[[], object]) -> Taken:
        return taken(work, RUNS, process_time)

    boat = orlop.Boat.from_text(text)
    design = boat.size()
    print("orlop, processor time")
    print(line("  read the file: Boat.from_text", spent(lambda: orlop.Boat.from_text(text))))
    print(line("  size and solve: Boat.size", spent(boat.size)))
    network, devices = design.network(), placed(design)
    print(line("    of that, asked again: fault currents, once", spent(network.fault_levels)))
    print(line("    of that, asked again: selectivity, once", spent(lambda: network.selectivity(devices))))
    print(line(f"  {len(TABLES)} tables", spent(lambda: [design.table(name) for name in TABLES])))
    ours = spent(lambda: by_orlop(text))
    print(line("  all", ours))

    stages: dict[str, list[float]] = {}

    def kept() -> None:
        for stage, seconds in by_script().seconds.items():
            stages.setdefault(stage, []).append(seconds)

    theirs = spent(kept)
    print(f"NumPy and SciPy, processor time, {answer.passes} times through sizes and network")
    for stage, seconds in stages.items():
        print(f"  {stage:<50}{1e3 * statistics.median(seconds):9.1f} ms (best {1e3 * min(seconds):.1f})")
    print(line("  all", theirs))
    print(f"  ratio {theirs.middle / ours.middle:.1f} (of the best {theirs.best / ours.best:.1f})")


if __name__ == "__main__":
    main()
