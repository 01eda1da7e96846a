"""How the benches take time: several runs, the best and the middle one."""

from __future__ import annotations

import resource
import statistics
from collections.abc import Callable
from time import perf_counter
from typing import Any, NamedTuple


class Taken(NamedTuple):
    """Seconds of several runs."""

    best: float
    middle: float


def children() -> float:
    """Seconds of processor that processes started from here have taken."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def taken(work: Callable[[], Any], runs: int = 5, clock: Callable[[], float] = perf_counter) -> Taken:
    """Seconds that `work` takes, after one run that does not count.

    With `clock=process_time` seconds of processor, all threads together: where other work fills the machine, short and
    long runs are otherwise not stretched alike.
    """
    work()
    times = []
    for _ in range(runs):
        start = clock()
        work()
        times.append(clock() - start)
    return Taken(min(times), statistics.median(times))


def line(what: str, time: Taken, each: int = 1) -> str:
    """One line of a report; with `each`, time for one of so many."""
    one = f"{time.middle / each * 1e6:10.1f} us each" if each > 1 else ""
    return f"{what:<52}{time.middle * 1e3:9.1f} ms (best {time.best * 1e3:.1f}){one}"
