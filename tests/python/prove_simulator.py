"""A bank, a meter and a run of cable, simulated with NumPy alone: what is told of their errors is limits, nothing else.

The meter drifts in gain and offset while it logs, rounds to its display, has a clock that goes wrong, stops for a while
now and then, and its thermometer stands off. The bank was not quite full.
"""

from __future__ import annotations

from typing import Any

import numpy as np

END = 2.80
RESISTANCE = 0.6e-3
RATED = 230.0
# What the tester knows: limits of error, to both sides.
LIMITS: dict[str, float] = {
    "gain": 0.005,
    "offset": 0.05,
    "clock": 0.0005,
    "thermometer": 1.0,
    "cell": 0.005,
    "full": 0.004,
    "coefficient": 0.001,
}
METER: dict[str, Any] = {
    "gain": "0.5 %",
    "offset": "50 mA",
    "clock": "0.05 %",
    "thermometer": "1 K",
    "cell_meter": "5 mV",
}
PROCEDURE: dict[str, Any] = {
    "rated": f"{RATED} Ah",
    "full": "0.4 %",
    "stop_cell": f"{END} V",
    "temperature_coefficient": "0.25 %",
    "coefficient_within": "0.10 %",
}


def rest(left: Any) -> Any:
    """Open-circuit volts of a cell by the share left: flat, then a knee."""
    return 3.25 + 0.1 * left - 0.75 * np.exp(-left / 0.015)


def discharge(rng: np.random.Generator, *, step: float = 60.0, gaps: bool = True) -> tuple[dict[str, Any], float]:
    """The columns of one log, and the true capacity at 25 degC down to the end volts under 36 A."""
    within = {name: limit * rng.uniform(-1.0, 1.0) for name, limit in LIMITS.items()}
    truth = rng.uniform(220.0, 250.0)
    temperature = rng.uniform(14.0, 22.0)
    held = truth * (1.0 + (0.0025 + within["coefficient"]) * (temperature - 25.0))
    full = 1.0 + within["full"]
    fine = 10.0
    time = np.arange(0.0, 1.2 * held / 36.0 * 3600.0, fine)
    # A load that comes and goes: a telegraph signal, steady at the end so that the end is one thing.
    flips = np.cumsum(rng.exponential(1200.0, size=400))
    current = np.where(np.searchsorted(flips, time) % 3 == 1, 45.0, 36.0)
    drawn = np.concatenate([[0.0], np.cumsum(current[:-1]) * fine / 3600.0])
    late = (held * full - drawn) / held < 0.06
    current = np.where(late, 36.0, current)
    drawn = np.concatenate([[0.0], np.cumsum(current[:-1]) * fine / 3600.0])
    at_end = -0.015 * np.log((3.25 - END - 36.0 * RESISTANCE) / 0.75)
    volts = rest((held * full - drawn) / held + at_end) - current * RESISTANCE + within["cell"]
    stop = int(np.argmax(volts <= END))
    keep = np.zeros(stop + 1, dtype=bool)
    keep[:: int(step / fine)] = True
    keep[stop] = True
    if gaps and rng.random() < 0.3:
        begin = rng.uniform(0.1, 0.6) * time[stop]
        keep &= ~((time[: stop + 1] > begin) & (time[: stop + 1] < begin + rng.uniform(300.0, 900.0)))
    time, current, volts = time[: stop + 1][keep], current[: stop + 1][keep], volts[: stop + 1][keep]
    # The limits are those of the mean of a log; about it the meter drifts from one end to the other.
    way = time / time[-1] - 0.5
    gain = within["gain"] + LIMITS["gain"] * rng.uniform(-1.0, 1.0) * way
    offset = within["offset"] + LIMITS["offset"] * rng.uniform(-1.0, 1.0) * way
    read = current * (1.0 + gain) + offset + 0.2 * rng.standard_normal(len(time))
    columns = {
        "time_s": time * (1.0 + within["clock"]),
        "current_a": np.round(read, 1),
        "cell_1_v": volts,
        "temperature_degc": np.full(len(time), temperature + within["thermometer"]),
    }
    return columns, float(truth)


PARTS: dict[str, list[Any]] = {
    "part": ["out 1", "stud", "out 2", "fuse", "out 3", "back 1", "bus", "back 2"],
    "expected_mohm": [2.0, 0.1, 3.0, 0.8, 1.5, 3.5, 0.1, 3.0],
    "within_percent": [5, None, 5, None, 5, 5, None, 5],
    "sound_mohm": [None, 0.4, None, 1.2, None, None, 0.4, None],
    "design_a": [60.0] * 8,
}
JOINTS = ("stud", "fuse", "bus")
PROBES = (
    ("out 1",),
    ("out 1", "stud"),
    ("stud", "out 2"),
    ("out 2", "fuse"),
    ("fuse", "out 3"),
    ("out 3",),
    ("back 1", "bus"),
    ("bus", "back 2"),
    ("back 2",),
)


def run_with_bad_joint(rng: np.random.Generator) -> tuple[list[tuple[str, str, tuple[str, ...]]], str]:
    """Readings along a run with one bad joint, and its name: 1 mV of noise, 0.5 % of gain, a misread current."""
    bad = str(rng.choice(JOINTS))
    true = {}
    for name, expected, within in zip(PARTS["part"], PARTS["expected_mohm"], PARTS["within_percent"], strict=True):
        spread = (within or 0.0) / 100.0
        true[name] = expected * (1.0 + spread * rng.standard_normal()) if within else expected * rng.uniform(0.5, 2.0)
    sound = dict(zip(PARTS["part"], PARTS["sound_mohm"], strict=True))
    true[bad] = sound[bad] + rng.uniform(0.6, 4.0)
    gain = 1.0 + 0.005 * rng.standard_normal()
    readings = []
    for probes in PROBES:
        current = 60.0 * (1.0 + 0.003 * rng.standard_normal())
        drop = sum(true[name] for name in probes) * 1e-3 * current * gain + 1e-3 * rng.standard_normal()
        readings.append((f"{drop:.4f} V", "60 A", probes))
    return readings, bad
