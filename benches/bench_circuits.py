"""Ten thousand circuits: orlop against what one would write by hand, in a loop and with NumPy.

The hand-written versions do less: the drop formula at a fixed temperature and a table of ampacities, no heat balance,
no device, no judgement, no source. They are here to show what the checks cost, not to be used.
"""

from __future__ import annotations

import bisect
import random
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import orlop

COUNT = 10_000
# 33 CFR 183.425 Table 5 at 105 degC, 18 AWG to 4/0 AWG, and areas by ASTM B258.
AMPACITY = [20, 25, 35, 45, 60, 80, 120, 160, 210, 245, 285, 330, 385, 445]
GAUGES = [18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3]
AREA = [np.pi / 4 * (0.127 * 92 ** ((36 - g) / 39)) ** 2 for g in GAUGES]
RESISTIVITY = 0.0175 * 1.1

random.seed(1)
CURRENTS = [random.uniform(1, 60) for _ in range(COUNT)]
LENGTHS = [random.uniform(1, 8) for _ in range(COUNT)]


def by_orlop() -> list[object]:
    """Every rule of one circuit, with device and judgements."""
    return [_one(current, length) for current, length in zip(CURRENTS, LENGTHS, strict=True)]


def by_orlop_threads() -> list[object]:
    """The same on two threads."""
    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(_one, CURRENTS, LENGTHS, chunksize=500))


def _one(current: float, length: float) -> object:
    return orlop.size_circuit(
        current=f"{current} A",
        one_way=f"{length} m",
        nominal="12 V",
        max_drop="10 %",
        rules="us-small-craft",
        sizes="awg",
        insulation="105 degC",
    )


def by_loop() -> list[object]:
    """What one writes in an afternoon."""
    sizes: list[object] = []
    for current, length in zip(CURRENTS, LENGTHS, strict=True):
        needed = RESISTIVITY * current * 2 * length / 1.2
        sizes.append(GAUGES[max(bisect.bisect_left(AREA, needed), bisect.bisect_left(AMPACITY, current))])
    return sizes


def by_numpy() -> list[object]:
    """The same with arrays."""
    current, length = np.array(CURRENTS), np.array(LENGTHS)
    by_drop = np.searchsorted(AREA, RESISTIVITY * current * 2 * length / 1.2)
    by_heat = np.searchsorted(AMPACITY, current)
    return list(np.array(GAUGES)[np.maximum(by_drop, by_heat)])


def main() -> None:
    """Prints the time of each, and its ratio to the loop."""
    ways: list[Callable[[], list[object]]] = [by_loop, by_numpy, by_orlop, by_orlop_threads]
    base = None
    for way in ways:
        times = []
        for _ in range(3):
            began = time.perf_counter()
            assert len(way()) == COUNT
            times.append(time.perf_counter() - began)
        least = min(times)
        base = base or least
        print(f"circuits|{way.__name__}|{1e6 * least / COUNT:.2f} us each|{least / base:.1f} times the plain loop")


if __name__ == "__main__":
    main()
