"""Drops as a meter reads them on a small boat with one bad joint: nothing of orlop is used to make them.

Resistances of conductors are 20 degC values of IEC 60228 class 5, plain copper, at the temperature of the day;
true lengths differ from those of the boat file by some per cent, lugs and fuses are sound at random.
"""

from __future__ import annotations

import numpy as np

# mohm per metre at 20 degC: IEC 60228:2004 table 3.
CLASS_5 = {2.5: 7.98, 6.0: 3.30, 16.0: 1.21, 35.0: 0.554}
# Feeder and branches: id, where it starts, mm2, metres one way, amperes in the test.
CIRCUITS = [
    ("MAIN", "BANK", 35.0, 2.0, 60.0),
    ("PUMP", "PANEL", 6.0, 5.0, 20.0),
    ("LAMPS", "PANEL", 2.5, 6.0, 10.0),
    ("WIND", "PANEL", 16.0, 8.0, 50.0),
    ("RADIO", "PANEL", 6.0, 3.0, 15.0),
]
RATINGS = {"MAIN": 100, "PUMP": 25, "LAMPS": 15, "WIND": 60, "RADIO": 20}
POSITIVE = ("start", "device", "conductor", "end")
NEGATIVE = ("start", "conductor", "end")
# Lugs, and 0.05 V to 0.1 V at its rating over a fuse.
LUG = (0.02e-3, 0.2e-3)

HEAD = """\
format = 1

[boat]
name = "Simulated"
state = "as-found"
nominal = "12 V"
rules = "iso-small-craft"
sizes = "metric"
insulation = "90 degC"
tinned = false
families = ["iec60269-gg"]

[space.cabin]
ambient = "30 degC"

[bank.BANK]
place = "HERE"
nominal = "12 V"
capacity = "200 Ah"
lowest = "11.8 V"
highest = "14.4 V"
string_resistance = { low = "3 mohm", high = "8 mohm" }

[place.HERE]
at = "0, 0, 0 m"
space = "cabin"

[panel.PANEL]
place = "HERE"
rating = "150 A"
"""

Key = tuple[str, str, str]
Reading = tuple[str, str, tuple[str, ...], float, float]


def boat_text() -> str:
    """The boat file without its readings."""
    out = [HEAD]
    for name, source, area, length, current in CIRCUITS:
        feeds = 'panel = "PANEL"' if name == "MAIN" else f'loads = ["{name}"]'
        out.append(
            f'[circuit.{name}]\nfrom = "{source}"\n{feeds}\n'
            f'one_way = "{length} m"\nspaces = ["cabin"]\nsize = "{area:g} mm2"\n'
            f'device = "{RATINGS[name]} A"\ndevice_distance = "10 cm"\n'
        )
        if name != "MAIN":
            out.append(f'[load.{name}]\nplace = "HERE"\nrun = "{current:g} A"\n')
    return "\n".join(out)


def pieces(circuits: list[str] | None = None) -> list[Key]:
    """Every piece: circuit, leg, part."""
    names = circuits or [c[0] for c in CIRCUITS]
    legs = (("positive", POSITIVE), ("negative", NEGATIVE))
    return [(name, leg, part) for name in names for leg, parts in legs for part in parts]


def true_resistances(rng: np.random.Generator) -> dict[Key, float]:
    """A sound boat on some day."""
    day = rng.uniform(12.0, 30.0)
    out: dict[Key, float] = {}
    for name, _, area, length, _ in CIRCUITS:
        long = length * (1.0 + 0.04 * rng.standard_normal())
        for key in pieces([name]):
            if key[2] == "conductor":
                out[key] = 1e-3 * CLASS_5[area] * long * (1.0 + 0.00393 * (day - 20.0))
            elif key[2] == "device":
                out[key] = rng.uniform(0.02, 0.09) / RATINGS[name]
            else:
                out[key] = rng.uniform(*LUG)
    return out


def sections(name: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Probes at every terminal of a circuit, and once over each leg as a check."""
    alone = [(name, leg, (part,)) for _, leg, part in pieces([name])]
    return [*alone, (name, "positive", ()), (name, "negative", ())]


def read(
    truth: dict[Key, float],
    over: list[tuple[str, str, tuple[str, ...]]],
    rng: np.random.Generator,
    *,
    noise: float = 1e-3,
    gain: float = 5e-3,
    scale: float = 1.0,
) -> list[Reading]:
    """What a meter with this noise and error in proportion shows."""
    currents = {c[0]: c[4] for c in CIRCUITS}
    out = []
    for name, leg, parts in over:
        resistance = sum(r for (c, of, p), r in truth.items() if (c, of) == (name, leg) and (not parts or p in parts))
        drop = resistance * currents[name] * scale
        shown = drop * (1.0 + gain * rng.standard_normal()) + noise * scale * rng.standard_normal()
        out.append((name, leg, parts, max(shown, 0.0), currents[name] * scale))
    return out


def found(readings: list[Reading], uncertainty: float = 1.96e-3) -> str:
    """Readings as sections of a boat file."""
    out = []
    for at, (name, leg, parts, drop, current) in enumerate(readings):
        words = ", ".join(f'"{p}"' for p in parts)
        between = f"parts = [{words}]\n" if parts else ""
        out.append(
            f'[found.R{at}]\nat = "circuit.{name}"\nwhat = "drop"\nleg = "{leg}"\n{between}value = "{drop:.6f} V"\n'
            f'uncertainty = "{uncertainty:.6f} V"\ncurrent = "{current:g} A"\n'
        )
    return "\n".join(out)
