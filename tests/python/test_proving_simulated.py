"""Whether intervals hold the truth as often as they say, and bad joints are found: an independent simulator asks."""

from __future__ import annotations

import numpy as np
import pytest

import orlop
from prove_simulator import METER, PARTS, PROCEDURE, discharge, run_with_bad_joint


def coverage(count: int, seed: int) -> float:
    """Percent of 95 % intervals that hold the truth."""
    rng = np.random.default_rng(seed)
    inside = 0
    for _ in range(count):
        columns, truth = discharge(rng)
        low, high = orlop.DischargeLog(columns).capacity_test(**PROCEDURE, **METER).bounds()
        assert low is not None and high is not None
        inside += low.to("A*h").magnitude <= truth <= high.to("A*h").magnitude
    return 100.0 * inside / count


def test_few_intervals_hold_the_truth() -> None:
    # Of 300 intervals that hold it with 95 %, 285 +- 3.8 do (binomial); three deviations to both sides.
    assert 91.2 <= coverage(300, 1) <= 98.8


@pytest.mark.slow
def test_the_interval_holds_the_truth_as_often_as_it_says() -> None:
    seen = coverage(10_000, 2)
    print(f"{seen:.2f} % of 10,000 intervals hold the truth")
    assert 94.0 <= seen <= 96.0


def test_the_bad_joint_is_located() -> None:
    rng = np.random.default_rng(3)
    count, right = 400, 0
    for _ in range(count):
        readings, bad = run_with_bad_joint(rng)
        worst = orlop.find_bad_part(PARTS, readings, noise="1 mV", gain="0.5 %")[0]
        right += worst.subject == bad and worst.verdict == "fail"
    print(f"{right} of {count} bad joints located")
    assert right >= 0.95 * count, right
