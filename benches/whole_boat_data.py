"""The public tables and the boat file as plain arrays, as one would type them in before starting on the numbers.

Read are the data files of `crates/orlop/data` (standards' tables with their sources) and the text of a boat file. No
result of orlop enters. Of boat files only that is read which the boat of `big_boat.py` uses: one bank with its strings,
panels, loads of constant power, circuits with a stated length, scenarios, one space. Needs Python 3.11 for its TOML.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import tomllib
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.intp]
DATA = Path(__file__).parent.parent / "crates" / "orlop" / "data"

# Not in the tables: common practice for single-core cable and the model of a bundle, as the documentation states them.
BUNCHED, LAY, COPPER_KG_M3, PVC_KG_M3 = 1.16, 1.02, 8890.0, 1400.0
BUNDLE_ENDS = ((0.55, 2.5, "single"), (0.80, 6.0, "single on a wall"))  # fill, K m/W inside, surface
REFERENCE_DEGC, LOAD_FACTOR, CLEAR_WITHIN_S, ARCING_S = 30.0, 1.25, 5.0, 0.01
JOINTS = (4 * 0.02e-3, 4 * 0.2e-3)  # Four lugs of a circuit, low and high.
WINTER_DEGC = 0.0


@dataclass
class Fuse:
    """One fuse; both edges of its band as logarithms of amperes and seconds, straight lines between the points."""

    family: str
    rating: float
    volts: float
    breaking: float
    reference: float
    derating: float
    resistance: tuple[float, float]
    silent: bool  # Nothing is said of how soon it may open.
    fast: tuple[Floats, Floats]
    slow: tuple[Floats, Floats]
    melts: tuple[Floats, Floats]  # As slow, without the arc.


@dataclass
class Tables:
    """What a rule set and the standards say of each size, and the fuses to choose from in order of preference."""

    mm2: Floats
    ohm_per_m: Floats
    kg_per_m: Floats
    diameter: Floats
    insulation_ohm: Floats  # Thermal, K m/W.
    ampacity: Floats
    withstand: Floats
    air: dict[str, tuple[float, float, float]]
    bundle: list[tuple[int, float]]
    rules: dict[str, float]
    fuses: list[Fuse]


@dataclass
class Boat:
    """A boat file, its quantities as numbers in SI units."""

    nominal: float
    lowest: float
    highest: float
    open_circuit: float
    strings: int
    string_ohm: tuple[float, float]
    insulation: float
    ambient: float
    families: list[str]
    bank: str
    circuits: list[str] = field(default_factory=list)
    start: list[str] = field(default_factory=list)
    panel: list[str | None] = field(default_factory=list)
    loads: list[list[str]] = field(default_factory=list)
    one_way: list[float] = field(default_factory=list)
    runs: list[int] = field(default_factory=list)
    alone: list[bool] = field(default_factory=list)
    watts: dict[str, float] = field(default_factory=dict)
    critical: dict[str, bool] = field(default_factory=dict)
    scenarios: dict[str, list[str]] = field(default_factory=dict)


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one data file; its head lines begin with a hash."""
    lines = (DATA / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def read_tables(insulation: float, families: list[str]) -> Tables:
    """Tables for metric tinned class 5 copper under the ISO rule set, with the fuses of some families."""
    sizes = [row for row in rows("iec60228_2004_copper_resistance") if float(row["mm2"]) >= 0.75]
    mm2 = np.array([float(row["mm2"]) for row in sizes])
    walls = [row for row in rows("cable_walls_typical") if row["series"] == "metric"]
    wall = 1e-3 * np.array([next(float(w["wall_mm"]) for w in walls if area <= float(w["up_to_mm2"])) for area in mm2])
    strand = BUNCHED * np.sqrt(4e-6 * mm2 / np.pi)
    diameter = strand + 2 * wall
    listed = {float(row["mm2"]): float(row[f"c{insulation:.0f}"]) for row in rows("iso13297_2020_table_a1")}
    rho = next(
        float(r["resistivity"]) for r in rows("iec60287_2_1_2023_insulation") if insulation <= float(r["up_to_c"])
    )
    final = next(float(r["final_c"]) for r in rows("iec60364_5_54_adiabatic") if insulation <= float(r["up_to_c"]))
    k = 226 * np.sqrt(np.log((234.5 + final) / (234.5 + insulation)))
    plastic = PVC_KG_M3 * np.pi / 4 * (diameter**2 - strand**2)
    return Tables(
        mm2=mm2,
        ohm_per_m=1e-3 * np.array([float(row["class5_tinned"]) for row in sizes]),
        kg_per_m=1e-6 * mm2 * LAY * COPPER_KG_M3 + plastic,
        diameter=diameter,
        insulation_ohm=rho / (2 * np.pi) * np.log(diameter / strand),
        ampacity=np.array([listed.get(area, np.nan) for area in mm2]),
        withstand=(k * mm2) ** 2,
        air={
            row["arrangement"]: (float(row["z"]), float(row["e"]), float(row["g"]))
            for row in rows("iec60287_2_1_2023_air_constants")
        },
        bundle=[(int(row["n_min"]), float(row["factor"])) for row in rows("iso13297_2020_bundle")],
        rules={row["key"]: float(row["value"]) for row in rows("rules_iso_small_craft")},
        fuses=[fuse for family in families for fuse in read_family(family)],
    )


def read_family(family: str) -> list[Fuse]:
    """All fuses of one family, small to large."""
    row = next(row for row in rows("protection_families") if row["id"] == family)
    points = [r for r in rows("protection_time_current") if family in r["family"].split()]
    gates = {float(r["rating_a"]): r for r in rows("iec60269_gg_gates")}
    clearing = [(float(r["size_a"]), float(r["clearing_i2t_a2s"])) for r in rows("ul248-15_class_t_clearing")]
    blade = [(float(r["rating_a"]), 1e-3 * float(r["cold_mohm"])) for r in rows("iso8820_blade_resistance")]
    fuses = []
    for rating in map(float, row["ratings_a"].split()):
        fast: list[tuple[float, float]] = []
        slow: list[tuple[float, float]] = []
        for point in points:
            if not float(point["rating_from_a"]) <= rating <= float(point["rating_to_a"]):
                continue
            amps = rating * float(point["multiple"])
            if point["fastest_s"] == "hold":  # Above what it carries for good the standard says nothing: at once.
                fast.append((amps * (1 + 1e-9), 1e-12))
            elif point["fastest_s"]:
                fast.append((amps, float(point["fastest_s"])))
            if point["slowest_s"]:
                slow.append((amps, float(point["slowest_s"])))
        if family == "iec60269-gg":
            g = {key: float(value) for key, value in gates[rating].items() if key != "confidence"}
            fast += [(g["imin_10s_a"], 10), (g["imin_0p1s_a"], 0.1), ((g["i2t_min_a2s"] / ARCING_S) ** 0.5, ARCING_S)]
            slow += [(g["imax_5s_a"], 5), (g["imax_0p1s_a"], 0.1), ((g["i2t_max_a2s"] / ARCING_S) ** 0.5, ARCING_S)]
        if family == "ul248-15-class-t":
            slow.append(((next(i2t for size, i2t in clearing if rating <= size) / ARCING_S) ** 0.5, ARCING_S))
        cold = 0.0
        if row["hot_resistance_ratio"] and rating <= blade[-1][0]:
            known, ohms = np.log(np.array(blade)).T
            cold = float(np.exp(np.interp(np.log(rating), known, ohms)))
        fuses.append(
            Fuse(
                family=family,
                rating=rating,
                volts=float(row["voltage_v"] or 0),
                breaking=float(row["breaking_a"] or 0),
                reference=float(row["reference_ambient_c"]),
                derating=float(row["derating_percent_per_k"]) / 100,
                resistance=(cold, cold * float(row["hot_resistance_ratio"] or 1)),
                silent=all(seconds < 1e-9 for _, seconds in fast),
                fast=edge(fast, 1e-15),
                slow=edge(slow, ARCING_S),
                melts=edge(slow, 1e-15),
            )
        )
    return fuses


def edge(points: list[tuple[float, float]], floor: float) -> tuple[Floats, Floats]:
    """An edge in logarithms, with its tail: I2t stays beyond the last point until the time comes down to a floor."""
    points = sorted(points)
    amps, seconds = points[-1]
    if seconds > floor:
        points.append((amps * (seconds / floor) ** 0.5, floor))
    log = np.log(np.array(points))
    return log[:, 0], log[:, 1]


def number(text: str) -> float:
    """A quantity as a number in SI units; temperatures stay in degrees Celsius."""
    value, unit = text.split()
    return float(value) * {"V": 1.0, "W": 1.0, "m": 1.0, "degC": 1.0, "mohm": 1e-3}[unit]


def read_boat(text: str) -> Boat:
    """A boat file as numbers."""
    file = tomllib.loads(text)
    head = file["boat"]
    ((bank_id, bank),) = file["bank"].items()
    (space,) = file["space"].values()
    boat = Boat(
        nominal=number(head["nominal"]),
        lowest=number(bank["lowest"]),
        highest=number(bank["highest"]),
        open_circuit=number(bank["open_circuit"]),
        strings=bank["strings"],
        string_ohm=(number(bank["string_resistance"]["low"]), number(bank["string_resistance"]["high"])),
        insulation=number(head["insulation"]),
        ambient=number(space["ambient"]),
        families=head["families"],
        bank=bank_id,
    )
    for name, circuit in file["circuit"].items():
        boat.circuits.append(name)
        boat.start.append(circuit["from"])
        boat.panel.append(circuit.get("panel"))
        boat.loads.append(circuit.get("loads", []))
        boat.one_way.append(number(circuit["one_way"]))
        boat.runs.append(circuit.get("runs", 1))
        boat.alone.append(circuit.get("alone", False))
    for name, load in file["load"].items():
        boat.watts[name] = number(load["run"])
        boat.critical[name] = load.get("drop_class") == "critical"
    boat.scenarios = {name: scenario["run"] for name, scenario in file["scenario"].items()}
    return boat
