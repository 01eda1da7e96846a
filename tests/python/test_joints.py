"""Which segment or joint of a boat is bad: readings simulated without orlop, and what must not matter."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import joint_simulator as sim
import orlop

Row = dict[str, Any]
TREE = [section for circuit in sim.CIRCUITS for section in sim.sections(circuit[0])]
# A joint that needs work: far above 0.2 mohm of a sound lug, or above what a sound fuse loses.
BAD_LUG = (1e-3, 6e-3)
BAD_DEVICE = (8e-3, 20e-3)


def rows(readings: list[sim.Reading], uncertainty: float = 1.96e-3) -> dict[str, Row]:
    text = sim.boat_text() + sim.found(readings, uncertainty)
    table = orlop.Boat.from_text(text).survey().design.table("joints")
    return {row["id"]: row for row in table.to_dicts()}


def told(found: dict[str, Row]) -> list[str]:
    return [key for key, row in found.items() if row["verdict"] != "pass"]


def address(key: sim.Key) -> str:
    return "circuit." + ".".join(key)


def spoil(truth: dict[sim.Key, float], key: sim.Key, rng: np.random.Generator) -> None:
    truth[key] += rng.uniform(*(BAD_DEVICE if key[2] == "device" else BAD_LUG))


@pytest.mark.parametrize("tree", [False, True], ids=["single circuits", "tree"])
def test_a_bad_joint_is_located(tree: bool) -> None:
    """At least 95 of 100, with 1 mV and 0.5 %; the figure is printed."""
    rng = np.random.default_rng(20)
    joints = [key for key in sim.pieces() if key[2] != "conductor"]
    located, alarms, within, count = 0, 0, 0, 400
    for case in range(count):
        truth = sim.true_resistances(rng)
        bad = joints[case % len(joints)]
        spoil(truth, bad, rng)
        over = TREE if tree else sim.sections(bad[0])
        found = rows(sim.read(truth, over, rng))
        row = found[address(bad)]
        others = [key for key in told(found) if key != address(bad)]
        located += row["verdict"] == "fail" and not others
        alarms += len(others)
        excess = truth[bad] - row["expected_ohm"]
        within += row["excess_low_ohm"] <= excess <= row["excess_high_ohm"]
    print(f"{located} of {count} located, {alarms} other pieces named, {within} of {count} within the interval")
    assert located >= 0.95 * count
    assert within >= 0.92 * count


def test_a_bad_feeder_is_told_from_bad_branches() -> None:
    """Each leg read from the bank's terminal to each load, then once across the feeder alone."""
    rng = np.random.default_rng(3)
    right = 0
    for case in range(100):
        truth = sim.true_resistances(rng)
        bad = ("MAIN" if case % 2 else "WIND", "negative", "end")
        truth[bad] += 4e-3
        text = [sim.boat_text()]
        for name, _, _, _, current in sim.CIRCUITS[1:]:
            drop = sum(r for (c, leg, _), r in truth.items() if leg == "negative" and c in ("MAIN", name)) * current
            drop *= 1.0 + 5e-3 * rng.standard_normal()
            drop += 1e-3 * rng.standard_normal()
            text.append(
                f'[found.{name}]\nat = "load.{name}"\nwhat = "drop"\nleg = "negative"\nvalue = "{drop:.6f} V"\n'
                f'uncertainty = "2 mV"\ncurrent = "{current:g} A"\n'
            )
        text.append(sim.found(sim.read(truth, [("MAIN", "negative", ())], rng)))
        table = orlop.Boat.from_text("\n".join(text)).survey().design.table("joints")
        named = {row["circuit"] for row in table.to_dicts() if row["verdict"] != "pass"}
        right += named == {bad[0]}
    print(f"{right} of 100 circuits told")
    assert right >= 95


def test_scaled_currents_scale_drops_and_leave_resistances() -> None:
    truth = sim.true_resistances(np.random.default_rng(5))
    truth["PUMP", "negative", "start"] += 3e-3
    exact = {"noise": 0.0, "gain": 0.0}
    one = sim.read(truth, TREE, np.random.default_rng(0), **exact)
    less = sim.read(truth, TREE, np.random.default_rng(0), scale=0.8, **exact)
    a, b = rows(one), rows(less, 0.8 * 1.96e-3)
    assert told(a) == told(b) == ["circuit.PUMP.negative.start"]
    for key, row in a.items():
        # The boat expects a cooler conductor at less current: that moves it by a part of its spread only.
        spread = (row["excess_high_ohm"] - row["excess_low_ohm"]) / 4
        assert abs(row["resistance_ohm"] - b[key]["resistance_ohm"]) < spread
        assert b[key]["tested_w"] == pytest.approx(0.64 * row["tested_w"], rel=0.1, abs=1e-2)


def test_order_of_readings_changes_nothing() -> None:
    rng = np.random.default_rng(6)
    truth = sim.true_resistances(rng)
    spoil(truth, ("WIND", "positive", "end"), rng)
    readings = sim.read(truth, TREE, rng)
    a, b = rows(readings), rows([readings[at] for at in rng.permutation(len(readings))])
    for key, row in a.items():
        assert row["verdict"] == b[key]["verdict"]
        assert row["resistance_ohm"] == pytest.approx(b[key]["resistance_ohm"], rel=1e-9, abs=1e-12)


def test_more_noise_widens_every_interval() -> None:
    rng = np.random.default_rng(7)
    truth = sim.true_resistances(rng)
    spoil(truth, ("MAIN", "negative", "start"), rng)
    readings = sim.read(truth, TREE, rng, noise=1e-4, gain=0.0)
    narrow, wide = rows(readings, 1e-3), rows(readings, 3e-3)
    assert told(narrow) == told(wide) == ["circuit.MAIN.negative.start"]
    for key, row in narrow.items():
        more = wide[key]["excess_high_ohm"] - wide[key]["excess_low_ohm"]
        assert more > row["excess_high_ohm"] - row["excess_low_ohm"]


def test_pieces_that_no_reading_tells_apart_are_named_together() -> None:
    rng = np.random.default_rng(8)
    truth = sim.true_resistances(rng)
    truth["PUMP", "negative", "end"] += 8e-3
    readings = sim.read(truth, [("PUMP", "negative", ()), ("PUMP", "positive", ())], rng)
    found = rows(readings)
    together = {"circuit.PUMP.negative.start", "circuit.PUMP.negative.conductor", "circuit.PUMP.negative.end"}
    assert set(told(found)) == together
    assert set(found["circuit.PUMP.negative.end"]["or_else"].split(", ")) == together - {"circuit.PUMP.negative.end"}
    boat = orlop.Boat.from_text(sim.boat_text() + sim.found(readings))
    (judgement,) = boat.find_bad_joints()
    assert judgement.verdict == "undecided" and "no reading tells which" in judgement.what
    assert "each of them alone" in judgement.to_do


def test_a_bad_joint_is_a_finding_with_its_heat() -> None:
    rng = np.random.default_rng(9)
    truth = sim.true_resistances(rng)
    truth["WIND", "negative", "start"] = 3e-3
    boat = orlop.Boat.from_text(sim.boat_text() + sim.found(sim.read(truth, TREE, rng)))
    (judgement,) = boat.find_bad_joints()
    # Joule: 3 mohm at 50 A are 7.5 W.
    assert judgement.value is not None and judgement.value.to("W").magnitude == pytest.approx(7.5, rel=0.05)
    assert (judgement.verdict, judgement.subject, judgement.case) == ("fail", "circuit.WIND", "negative.start")
    assert judgement.severity in ("A", "B") and "rise" in judgement.what
    survey = boat.survey()
    (finding,) = [f for f in survey.findings if f.rule == "section-resistance"]
    assert finding.subject == "circuit.WIND"
    working = str(survey.design.explain("circuit.WIND.joints"))
    assert "negative lug at its beginning" in working and "I^2 R" in working


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        ('what = "drop"\nvalue = "0.1 V"', "current"),
        ('what = "drop"\nvalue = "0.1 V"\ncurrent = "0 A"', "current"),
        ('what = "drop"\nvalue = "-0.1 V"\ncurrent = "9 A"', "zero or above"),
        ('what = "drop"\nvalue = "0.1 V"\ncurrent = "9 A"\nparts = ["middle"]', "middle"),
        ('what = "drop"\nvalue = "0.1 V"\ncurrent = "9 A"\nparts = []', "at least one part"),
        ('what = "drop"\nvalue = "0.1 V"\ncurrent = "9 A"\nleg = "negative"\nparts = ["device"]', "no device"),
        ('what = "current"\nvalue = "9 A"\nleg = "negative"', "no leg"),
        ('what = "current"\nvalue = "9 A"\nresistor = "100 kohm"', "no resistor"),
    ],
)
def test_bad_readings_are_named(entry: str, words: str) -> None:
    with pytest.raises(orlop.OrlopError, match=words):
        orlop.Boat.from_text(f'{sim.boat_text()}\n[found.X]\nat = "circuit.PUMP"\n{entry}\n')


def test_readings_that_contradict_decide_nothing() -> None:
    rng = np.random.default_rng(10)
    readings = sim.read(sim.true_resistances(rng), TREE, rng)
    name, leg, parts, drop, current = readings[3]
    readings.append((name, leg, parts, drop + 0.5, current))
    boat = orlop.Boat.from_text(sim.boat_text() + sim.found(readings))
    undecided = boat.find_bad_joints()
    assert all(j.verdict == "undecided" for j in undecided)
    assert {"reading R3", f"reading R{len(readings) - 1}"} <= {j.case for j in undecided}


def test_a_current_that_the_meter_cannot_resolve_decides_nothing() -> None:
    rng = np.random.default_rng(11)
    truth = sim.true_resistances(rng)
    readings = sim.read(truth, sim.sections("WIND"), rng, scale=0.01, noise=1e-1)
    boat = orlop.Boat.from_text(sim.boat_text() + sim.found(readings, 2e-3))
    (judgement,) = boat.find_bad_joints()
    assert judgement.verdict == "undecided" and "higher current" in judgement.to_do


def test_insulation_from_three_voltages() -> None:
    """Kirchhoff at the hull: 50 kohm from positive, 1 Mohm from negative, read with 100 kohm and 10 Mohm across."""
    up, down, across = 1 / 50e3, 1 / 1e6, 1 / 100e3 + 1 / 10e6
    volts = [12.6 * g / (up + down + across) for g in (down, up)]
    entry = (
        f'[found.L]\nat = "bank.BANK"\nwhat = "insulation"\nvalue = "12.6 V"\nuncertainty = "2 mV"\n'
        f'positive_to_hull = "{volts[0]:.4f} V"\nnegative_to_hull = "{volts[1]:.4f} V"\nresistor = "100 kohm"\n'
    )
    survey = orlop.Boat.from_text(f"{sim.boat_text()}\n{entry}").survey()
    (finding,) = [f for f in survey.findings if f.rule == "hull-leakage"]
    assert "positive to hull 50 kohm" in finding.deficiency and "1 Mohm" in finding.deficiency
    verdict = orlop.judge_insulation(
        system="12.6 V",
        positive_to_hull=f"{volts[0]:.4f} V",
        negative_to_hull=f"{volts[1]:.4f} V",
        resistor="100 kohm",
        noise="1 mV",
    )
    assert verdict.verdict == "fail" and verdict.value is not None
    assert verdict.value.to("kohm").magnitude == pytest.approx(50, rel=0.01)
    with pytest.raises(orlop.OrlopError, match="positive_to_hull"):
        orlop.judge_insulation(
            system="12 V", positive_to_hull="-1 V", negative_to_hull="1 V", resistor="1 kohm", noise="1 mV"
        )
    with pytest.raises(orlop.OrlopError, match="resistor"):
        orlop.Boat.from_text(f"{sim.boat_text()}\n{entry.replace('resistor', '# resistor')}")
