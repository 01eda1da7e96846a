"""Is it what it should be, and does it stay so: tests of a bank and of its joints, followed over years.

| question | where |
|---|---|
| what does this log of a discharge show | `DischargeLog`, `DischargeLog.read` |
| what capacity is that, how sure, or is it a lower bound only | `DischargeLog.capacity_test`, `CapacityTest` |
| how long will a test take, how sure will it be, what to watch | `TestPlan` |
| a value with its causes of error, and what two of them have in common | `Measured` |
| how healthy is the bank, how fast does it fade, when to test again | `TestHistory`, `Forecast` |
| did a resistance or an imbalance jump | `ChangePoint` |
| how far does the monitor drift, is it brought to full often enough | `MonitorDrift` |
| what is the resistance of a battery or cell, from rest and a load or from two loads | `pulse_resistance` |
| how bad is a joint; which part of a run is | `judge_joint`, `find_bad_part` |
| how well is the system insulated from the hull, at its own voltage | `judge_leakage`, `judge_insulation` |
| how well is a dead circuit insulated, by a tester | `judge_insulation_test` |
| what does the boat draw at rest | `judge_drain` |

All of them are names of `orlop` itself, too.

Example:
    >>> import orlop.proving
    >>> orlop.proving.pulse_resistance(first=("13.20 V", "0 A"), second=("12.85 V", "100 A"), volt_noise="5 mV")
    Measured(3.5 mohm +- 139 uohm (95 %))
"""

from __future__ import annotations

from orlop._orlop import (
    CapacityTest,
    ChangePoint,
    DischargeLog,
    Forecast,
    Measured,
    MonitorDrift,
    TestHistory,
    TestPlan,
    find_bad_part,
    judge_drain,
    judge_insulation,
    judge_insulation_test,
    judge_joint,
    judge_leakage,
    pulse_resistance,
)

__all__ = [
    "CapacityTest",
    "ChangePoint",
    "DischargeLog",
    "Forecast",
    "Measured",
    "MonitorDrift",
    "TestHistory",
    "TestPlan",
    "find_bad_part",
    "judge_drain",
    "judge_insulation",
    "judge_insulation_test",
    "judge_joint",
    "judge_leakage",
    "pulse_resistance",
]
