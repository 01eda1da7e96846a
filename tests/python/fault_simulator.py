"""A boat with one fault in it, made with NumPy alone: an oracle for the search for faults.

Both rails are drawn out: each joint, fuse, conductor and run is a resistance of its own, drawn at random within what
sound ones have; nodal analysis gives volts and amperes. Sizes, lengths, ratings and what the loads draw come from the
boat. Nothing here is shared with the search: copper is 17.2 nohm m at 20 degC, a fuse drops about 0.1 V at its rating.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

import orlop

COPPER = 1.72e-8
PER_KELVIN = 0.00393
SPOTS = ("start-positive", "end-positive", "start-negative", "end-negative")
OPEN = 1e8


@dataclass
class Fault:
    """What is wrong: kind, address, spot, and how large."""

    kind: str
    at: str
    spot: str | None = None
    size: float = 0.0


@dataclass
class Boat:
    """What a simulator needs of a boat: the way to each load that hangs on the bank without a converter between."""

    design: orlop.Design
    bank: str
    emf: tuple[float, float]
    inside: float
    nominal: float
    circuits: dict[str, dict[str, Any]] = field(init=False)
    loads: dict[str, dict[str, Any]] = field(init=False)

    def __post_init__(self) -> None:
        self.circuits = {row["id"]: row for row in self.design.table("circuits").to_dicts()}
        self.loads = {row["id"]: row for row in self.design.table("loads").to_dicts()}

    def way(self, load: str) -> list[str]:
        """Circuits from the bank to a load."""
        way = [self.loads[load]["circuit"]]
        while (start := self.circuits[way[0]]["from"]) != self.bank:
            way.insert(0, next(c for c, row in self.circuits.items() if row["feeds"] == start))
        return way

    def on_the_bank(self) -> list[str]:
        """Loads with a way to the bank, each alone on its circuit."""
        out = []
        for load, row in self.loads.items():
            try:
                self.way(load)
            except (StopIteration, KeyError):
                continue
            if row["nominal_v"] != self.nominal:
                continue
            if row["current_a"] and row["current_a"] < 60 and self.circuits[row["circuit"]]["feeds"] == load:
                out.append(load)
        return out


class Case:
    """One boat on one day with one fault, one load switched on, and a meter."""

    def __init__(self, boat: Boat, load: str, fault: Fault, rng: np.random.Generator) -> None:
        self.boat, self.load, self.fault, self.rng = boat, load, fault, rng
        self.way = boat.way(load)
        self.gain = rng.uniform(-0.005, 0.005)
        self.emf = rng.uniform(*boat.emf)
        self.inside = boat.inside * rng.uniform(0.7, 1.3)
        self.terminal = 0.0
        self.power = boat.loads[load]["current_a"] * boat.nominal * rng.normal(1.0, 0.04)
        kelvin = 1 + PER_KELVIN * (rng.uniform(12, 45) - 20)
        self.parts: dict[str, list[dict[str, float]]] = {}
        for circuit in self.way:
            row = boat.circuits[circuit]
            area, length = row["area_mm2"] * 1e-6, row["one_way_m"]
            self.parts[circuit] = []
            for _ in range(row["runs"]):
                one = {spot: rng.uniform(0.03e-3, 0.18e-3) for spot in SPOTS}
                one |= dict.fromkeys(("positive", "negative"), COPPER * kelvin * length / area)
                rating = row["device_rating_a"]
                one["device"] = rng.uniform(0.06, 0.12) / rating if rating else 0.0
                self.parts[circuit].append(one)
        self._apply()
        self.volts = self._solve()

    def _apply(self) -> None:
        kind, size = self.fault.kind, self.fault.size
        circuit = self.fault.at.removeprefix("circuit.")
        if kind == "bank-low":
            self.emf = size
        elif kind == "terminal":
            self.terminal = size
        elif kind in ("load-heavy", "load-light"):
            self.power *= size
        elif kind in ("load-dead", "reversed"):
            self.power = 0.0
        elif kind == "undersized":
            for run in self.parts[circuit]:
                run["positive"] *= size
                run["negative"] *= size
        elif kind in ("joint", "conductor", "device"):
            assert self.fault.spot is not None
            self.parts[circuit][0][self.fault.spot] += size
        elif kind in ("open", "device-open", "short"):
            assert self.fault.spot is not None
            self.parts[circuit][0][self.fault.spot] += OPEN

    # --- the network ------------------------------------------------------------------------------------------

    def _chain(self, circuit: str, run: int) -> list[tuple[str, str, float]]:
        """Resistances of one run: positive from the source to the load, negative back."""
        part = self.parts[circuit][run]
        start, end = self._ends(circuit)
        a, b, c = (f"{circuit}.{run}.{k}" for k in "abc")
        d, e = (f"{circuit}.{run}.{k}" for k in "de")
        return [
            (f"{start}+", a, part["start-positive"]),
            (a, b, part["device"] + 1e-9),
            (b, c, part["positive"]),
            (c, f"{end}+", part["end-positive"]),
            (f"{end}-", d, part["end-negative"]),
            (d, e, part["negative"]),
            (e, f"{start}-", part["start-negative"]),
        ]

    def _ends(self, circuit: str) -> tuple[str, str]:
        at = self.way.index(circuit)
        return ("bank" if at == 0 else self.way[at - 1]), circuit

    def _solve(self) -> dict[str, float]:
        edges = [edge for c in self.way for run in range(len(self.parts[c])) for edge in self._chain(c, run)]
        names = ["bank-", *sorted({n for a, b, _ in edges for n in (a, b)} - {"bank-"})]
        index = {name: k for k, name in enumerate(names)}
        matrix = np.zeros((len(names), len(names)))

        def conduct(a: int, b: int, g: float) -> None:
            matrix[a, a] += g
            matrix[b, b] += g
            matrix[a, b] -= g
            matrix[b, a] -= g

        for a, b, ohm in edges:
            conduct(index[a], index[b], 1 / ohm)
        source = 1 / (self.inside + self.terminal)
        plus, minus = index[f"{self.way[-1]}+"], index[f"{self.way[-1]}-"]
        right = np.zeros(len(names))
        right[index["bank+"]] = self.emf * source
        matrix[index["bank+"], index["bank+"]] += source

        def volts(load_siemens: float) -> np.ndarray[Any, Any]:
            full = matrix.copy()
            for a, b, sign in ((plus, plus, 1), (minus, minus, 1), (plus, minus, -1), (minus, plus, -1)):
                full[a, b] += sign * load_siemens
            out = np.zeros(len(names))
            out[1:] = np.linalg.solve(full[1:, 1:], right[1:])
            return out

        # A load of constant power as a conductance, found from the top; one that cannot have it stands as a resistor.
        siemens = self.power / self.boat.nominal**2
        now = volts(siemens)
        for _ in range(400):
            across = now[plus] - now[minus]
            if across < 0.45 * self.emf:
                now = volts(self.power / self.boat.nominal**2)
                break
            fresh = self.power / across**2
            if abs(fresh - siemens) < 1e-12 * max(siemens, 1e-9):
                break
            siemens += 0.7 * (fresh - siemens)
            now = volts(siemens)
        self.across = float(now[plus] - now[minus])
        return {name: float(now[k]) for name, k in index.items()}

    def _amps(self, circuit: str, run: int) -> float:
        a, b, ohm = self._chain(circuit, run)[2]
        return (self.volts[a] - self.volts[b]) / ohm

    def heat(self) -> float:
        """Watts in the fault now."""
        return self._amps(self.fault.at.removeprefix("circuit."), 0) ** 2 * self.fault.size

    # --- what people see --------------------------------------------------------------------------------------

    def symptom(self) -> str:
        share = self.across / self.boat.nominal
        dead = self.fault.kind in ("load-dead", "reversed") or share < 0.6
        return f"{'dead' if dead else 'weak'} load.{self.load}"

    def noticed(self) -> bool:
        """Whether anybody would complain."""
        own = self.fault.kind in ("load-dead", "reversed", "load-heavy", "load-light")
        return own or self.across < 0.92 * self.boat.nominal

    def answer(self, ask: str) -> str:
        """What a person reads who does what the search asks for."""
        what, at, *rest = ask.split()
        when = next((w for w in rest if w in ("on", "off", "charging", "isolated")), None)
        spot = next((w for w in rest if w != when), None)
        section, name = at.split(".", 1)
        if what == "look":
            blown = self.fault.kind in ("device-open", "short") and self.fault.at == at
            return f"{ask} = {'open' if blown else 'whole'}"
        if what == "swap":
            better = self.fault.kind in ("device", "device-open") and self.fault.at == at
            return f"{ask} = {'better' if better else 'same'}"
        if what == "direct":
            own = self.fault.kind in ("load-dead", "load-heavy", "load-light", "bank-low")
            return f"{ask} = {'fails' if own else 'works'}"
        if what == "try":
            panel = next(c for c in self.way if self.boat.circuits[c]["feeds"] == self._panel(name))
            fed = self.volts[f"{panel}+"] - self.volts[f"{panel}-"] > 0.8 * self.boat.nominal
            return f"{ask} = {'works' if fed else 'fails'}"
        if what == "voltage":
            return f"{ask} = {self._meter(self._voltage(section, name, when)):.4f} V"
        if what == "drop":
            return f"{ask} = {self._meter(self._drop(section, name, spot)):.5f} V"
        if what == "current":
            return f"{ask} = {self._clamp(section, name, when):.3f} A"
        if what == "rest-difference":
            return f"{ask} = {abs(self.rng.normal(0, 0.015)):.4f} V"
        if what == "rise":
            ohm = self.parts[name][0][str(spot)]
            rise = self.rng.uniform(2.5, 6) * self._amps(name, 0) ** 2 * ohm
            return f"{ask} = {max(rise + self.rng.normal(0, 1.0), 0):.1f} K"
        assert what == "resistance", ask
        ohm = self._dead_ohms(section, name, spot)
        return f"{ask} = open" if ohm > 1e6 else f"{ask} = {max(ohm + self.rng.normal(0, 0.03), 0):.2f} ohm"

    def _panel(self, load: str) -> str:
        return str(self.boat.circuits[self.boat.loads[load]["circuit"]]["from"])

    def _meter(self, volts: float) -> float:
        return volts * (1 + self.gain) + self.rng.normal(0, 1e-3)

    def _voltage(self, section: str, name: str, when: str | None) -> float:
        if when == "isolated":
            return 0.0
        cut = self._cut(section, name)
        if when in ("off", "charging"):
            lift = self._charge() * self._rated() * (self.inside + self.terminal) if when == "charging" else 0.0
            return 0.0 if cut else self.emf + lift
        if section == "bank":
            return self.volts["bank+"]
        node = self.way[-1] if section == "load" else self._circuit_to(name)
        sign = -1 if self.fault.kind == "reversed" and section == "load" else 1
        return sign * (self.volts[f"{node}+"] - self.volts[f"{node}-"])

    def _cut(self, section: str, name: str) -> bool:
        """Whether something open lies between the bank and a place."""
        if self.fault.kind not in ("open", "device-open", "short") or section == "bank":
            return False
        fault = self.way.index(self.fault.at.removeprefix("circuit."))
        if len(self.parts[self.way[fault]]) > 1:
            return False
        here = len(self.way) - 1 if section == "load" else self.way.index(self._circuit_to(name))
        return fault <= here

    def _circuit_to(self, panel: str) -> str:
        return panel if panel in self.way else next(c for c in self.way if self.boat.circuits[c]["feeds"] == panel)

    def _drop(self, section: str, name: str, spot: str | None) -> float:
        if section == "load":
            end = self.volts[f"{self.way[-1]}+"] - self.volts[f"{self.way[-1]}-"]
            return self.volts["bank+"] - (-end if self.fault.kind == "reversed" else end)
        start, end_node = self._ends(name)
        chain = self._chain(name, 0)
        if spot is None:
            first = self.volts[f"{start}+"] - self.volts[f"{start}-"]
            return first - (self.volts[f"{end_node}+"] - self.volts[f"{end_node}-"])
        at = {
            "positive": (chain[0][0], chain[3][1]),
            "negative": (chain[4][0], chain[6][1]),
            "start-positive": chain[0][:2],
            "supply": (chain[0][0], chain[1][1]),
            "device": chain[1][:2],
            "end-positive": chain[3][:2],
            "end-negative": chain[4][:2],
            "start-negative": chain[6][:2],
        }[spot]
        return self.volts[at[0]] - self.volts[at[1]]

    def _clamp(self, section: str, name: str, when: str | None) -> float:
        if section == "bank":
            return float(self.rng.normal(0.0, 0.02))
        if when == "charging":
            return float(self.rng.uniform(0.8, 1.0) * self._charge() * self.boat.circuits[name]["design_current_a"])
        amps = sum(self._amps(name, run) for run in range(len(self.parts[name])))
        return float(amps * self.rng.normal(1, 0.01) + self.rng.normal(0, 0.02))

    def _rated(self) -> float:
        """What all chargers of the boat give at most."""
        chargers = ("ALT", "SOL", "SHORE", "ALTERNATOR")
        return float(sum(self.boat.circuits[c]["design_current_a"] for c in chargers if c in self.boat.circuits))

    def _charge(self) -> float:
        """The share of that which the resistance of the bank lets through at 1.2 times nominal."""
        full = (1.2 * self.boat.nominal - self.emf) / (self.inside + self.terminal)
        return min(1.0, full / self._rated())

    def _dead_ohms(self, section: str, name: str, spot: str | None) -> float:
        if section == "load":
            if self.fault.kind == "load-dead":
                return OPEN
            if self.fault.kind == "short" and self.fault.at == f"circuit.{self.way[-1]}":
                return self.fault.size
            base = self.boat.nominal / self.boat.loads[name]["current_a"]
            return float(base * self.rng.uniform(0.4, 2.0))
        part = self.parts[name][0]
        if spot == "positive":
            return part["start-positive"] + part["device"] + part["positive"] + part["end-positive"]
        return part["start-negative"] + part["negative"] + part["end-negative"]


def random_fault(boat: Boat, load: str, rng: np.random.Generator) -> Fault:
    """A fault on the way to a load, of a size that somebody would notice."""
    way = boat.way(load)
    single = [c for c in way if boat.circuits[c]["runs"] == 1]
    with_device = [c for c in single if boat.circuits[c]["device_rating_a"]]
    amps = boat.loads[load]["current_a"]
    kind = str(
        rng.choice(
            [
                *("joint", "joint", "joint", "device", "device-open", "conductor", "open", "undersized", "terminal"),
                *("bank-low", "load-dead", "load-heavy", "short", "reversed"),
            ]
        )
    )
    lost = boat.nominal / amps * np.exp(rng.uniform(np.log(0.1), np.log(0.6)))
    circuit = str(rng.choice(single))
    if kind == "joint":
        return Fault(kind, f"circuit.{circuit}", str(rng.choice(SPOTS)), float(lost))
    if kind in ("device", "device-open", "short"):
        if not with_device:
            return Fault("load-dead", f"load.{load}")
        place = way[-1] if kind == "short" and way[-1] in with_device else str(rng.choice(with_device))
        size = {"device": float(lost), "device-open": 0.0, "short": float(rng.uniform(0.0, 0.6))}[kind]
        return Fault(kind, f"circuit.{place}", "device", size)
    if kind in ("conductor", "open"):
        return Fault(kind, f"circuit.{circuit}", str(rng.choice(["positive", "negative"])), float(lost))
    if kind == "undersized":
        return Fault(kind, f"circuit.{circuit}", None, float(np.exp(rng.uniform(np.log(2.5), np.log(9)))))
    if kind == "terminal":
        return Fault(kind, f"bank.{boat.bank}", None, float(lost))
    if kind == "bank-low":
        return Fault(kind, f"bank.{boat.bank}", None, float(boat.emf[0] * rng.uniform(0.82, 0.93)))
    if kind == "load-heavy":
        return Fault(kind, f"load.{load}", None, float(rng.uniform(1.5, 2.2)))
    return Fault(kind, f"load.{load}")
