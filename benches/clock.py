"""How the benches take time: several runs, the best and the middle one."""

from __future__ import annotations

import statistics
from collections.abc import Callable
from time import perf_counter
from typing import Any, NamedTuple


class Taken(NamedTuple):
    """Seconds of several runs."""

    best: float
    middle: float


def taken(work: Callable[[], Any], runs: int = 5) -> Taken:
    """Seconds that `work` takes, after one run that does not count."""
    work()
    times = []
    for _ in range(runs):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return Taken(min(times), statistics.median(times))


def line(what: str, time: Taken, each: int = 1) -> str:
    """One line of a report; with `each`, time for one of so many."""
    one = f"{time.middle / each * 1e6:10.1f} us each" if each > 1 else ""
    return f"{what:<52}{time.middle * 1e3:9.1f} ms (best {time.best * 1e3:.1f}){one}"
