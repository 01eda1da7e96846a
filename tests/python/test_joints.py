"""Which segment or joint of a boat is bad: readings simulated without orlop, and what must not matter."""

from __future__ import annotations

from typing import Any

import joint_simulator as sim
import numpy as np
import pytest

import orlop

Row = dict[str, Any]


def rows(text: str) -> dict[str, Row]:
    table = orlop.Boat.from_text(text).survey().design.table("joints")
    return {row["id"]: row for row in table.to_dicts()}


def bad(found: dict[str, Row]) -> list[str]:
    return [key for key, row in found.items() if row["verdict"] != "pass"]


def address(key: sim.Key) -> str:
    return "circuit." + ".".join(key)


def test_look() -> None:
    rng = np.random.default_rng(1)
    truth = sim.true_resistances(rng)
    truth["PUMP", "negative", "end"] += 4e-3
    over = [s for c in sim.CIRCUITS for s in sim.sections(c[0])]
    text = sim.boat_text() + sim.found(sim.read(truth, over, rng))
    found = rows(text)
    for key, row in found.items():
        print(key, row["verdict"], row["resistance_ohm"], truth[tuple(key.split(".")[1:])])
