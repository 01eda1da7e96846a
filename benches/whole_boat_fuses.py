"""What the script asks of fuses: when one opens, from which current on it clears, how far two are selective.

The edges of a band are straight lines between points in logarithms of current and time, so that `numpy.interp` reads
them and every crossing is found exactly.
"""

from __future__ import annotations

import numpy as np
from whole_boat_data import CLEAR_WITHIN_S, Floats, Fuse

NEVER, NEED_NOT = 2000.0, 1000.0  # As logarithms of seconds: what does not open upstream decides first.


def slowest(fuse: Fuse, amps: Floats) -> Floats:
    """Longest time in which the standard lets it open; infinite where it need not."""
    with np.errstate(divide="ignore"):
        log = np.log(amps)
    return np.exp(np.interp(log, *fuse.slow, left=np.inf))


def derated(fuse: Fuse, ambient: float) -> float:
    """What it carries for good at an ambient."""
    return fuse.rating * (1 - fuse.derating * max(0.0, ambient - fuse.reference))


def clears_from(fuse: Fuse, withstand: float) -> float:
    """Least current from which on it opens in time and within what the conductor withstands."""
    log_amps, log_time = fuse.slow
    limits = (log_time - np.log(CLEAR_WITHIN_S), log_time + 2 * log_amps - np.log(withstand))
    late = np.maximum(*limits)
    turns = np.flatnonzero((late[:-1] > 0) & (late[1:] <= 0))
    if not len(turns):
        return float(np.exp(log_amps[0]))
    # Both limits are straight between two points: the later crossing of the two.
    a, b = turns[-1], turns[-1] + 1
    part = max(over[a] / (over[a] - over[b]) for over in limits if over[a] > 0)
    return float(np.exp(log_amps[a] + part * (log_amps[b] - log_amps[a])))


def selectivity(upstream: Fuse, downstream: Fuse, load: float, fault: float) -> tuple[float, bool]:
    """Largest current, at most the fault current, up to which only the downstream fuse opens, 0 where at none; and
    whether above it the upstream one really may open first: not, where only the arc of the other is in question.

    The slowest opening downstream, cold, against the fastest upstream, preloaded. Between the points of both edges
    their logarithms are straight lines, and so is the difference of these.
    """
    fast_amps, fast_time = upstream.fast
    left = 1 - (load / np.exp(fast_amps[0])) ** 2
    if left <= 0:
        return 0.0, not upstream.silent
    start, stop = min(downstream.fast[0][0], np.log(fault)), np.log(fault)
    points = np.concatenate([fast_amps, downstream.slow[0]])
    points = np.concatenate([[start], np.sort(points[(points > start) & (points < stop)]), [stop]])

    def late(log_amps: Floats, edge: tuple[Floats, Floats]) -> Floats:
        fast = np.interp(log_amps, fast_amps, fast_time, left=NEVER)
        difference: Floats = np.interp(log_amps, *edge, left=NEED_NOT) - fast - np.log(left)
        return difference

    # An edge begins with a step, so that each stretch is judged just inside its two ends.
    after, before = late(points[:-1] + 1e-8, downstream.slow), late(points[1:] - 1e-8, downstream.slow)
    bad = np.flatnonzero((after > 0) | (before > 0))
    if not len(bad):
        return fault, True
    k = bad[0]
    part = 0.0 if after[k] > 0 else -after[k] / (before[k] - after[k])
    limit = points[k] + part * (points[k + 1] - points[k])
    beyond = np.concatenate([[limit + 1e-6], points[points > limit + 1e-7]])
    beyond = np.concatenate([beyond - 1e-8, beyond + 1e-8])
    melts_first = bool((late(beyond[beyond > limit], downstream.melts) <= 0).all())
    return (0.0 if limit <= start else float(np.exp(limit))), not (upstream.silent or melts_first)
