"""The script of `benches/` is an independent second way to a whole boat: NumPy, HiGHS and SuperLU against orlop."""

from __future__ import annotations

import itertools
import random
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import orlop

if sys.version_info < (3, 11):
    pytest.skip("the script reads TOML with the standard library of Python 3.11", allow_module_level=True)
sys.path.insert(0, str(Path(__file__).parents[2] / "benches"))

import bench_whole_boat as bench
import whole_boat_copper as copper
import whole_boat_data as data
import whole_boat_fuses as fuses
import whole_boat_network as network
import whole_boat_script as script
from big_boat import big_boat

FAMILIES = ["iso8820-3-blade", "iso8820-3-high-current", "iso8820-5-strip", "ul248-15-class-t", "iec60269-gg"]


@pytest.fixture(scope="module")
def tables() -> data.Tables:
    return data.read_tables(105, FAMILIES)


@pytest.fixture(scope="module")
def answer() -> tuple[data.Boat, script.Answer]:
    boat = data.read_boat(big_boat())
    return boat, script.whole_boat(boat, data.read_tables(boat.insulation, boat.families))


@pytest.mark.parametrize("circuits", [60, 150])
def test_a_boat_gets_the_same_answer(circuits: int) -> None:
    text = big_boat(circuits)
    boat = data.read_boat(text)
    answer = script.whole_boat(boat, data.read_tables(boat.insulation, boat.families))
    told = bench.differences(text, orlop.Boat.from_text(text).size(), answer)
    assert told[0].startswith(f"sizes and fuses: {circuits} of {circuits} the same")


def meshed(seed: int, nodes: int) -> network.Network:
    """A tree with some chords, one source, loads of constant power."""
    chance = np.random.default_rng(seed)
    tree = np.array([[chance.integers(max(0, n - 9), n), n] for n in range(1, nodes)])
    chords = (
        np.array([sorted(chance.choice(nodes, 2, replace=False)) for _ in range(nodes // 10)])
        .reshape(-1, 2)
        .astype(int)
    )
    start, end = np.concatenate([tree, chords]).T
    return network.Network(
        nodes=nodes,
        start=start,
        end=end,
        ohms=chance.uniform(1e-3, 2e-2, len(start)),
        source=np.array([0]),
        emf=np.array([25.6]),
        source_ohms=np.array([5e-3]),
        load=np.arange(1, nodes),
        watts=chance.uniform(0, 150 / nodes, nodes - 1),
    )


def ours(net: network.Network) -> orlop.Network:
    """The same network for the library."""
    names = [f"n{n}" for n in range(net.nodes)]
    return orlop.Network.from_tables(
        sources={"node": [names[n] for n in net.source], "emf_v": net.emf, "resistance_ohm": net.source_ohms},
        branches={
            "id": [f"b{n}" for n in range(len(net.ohms))],
            "from": [names[n] for n in net.start],
            "to": [names[n] for n in net.end],
            "resistance_ohm": net.ohms,
        },
        loads={"node": [names[n] for n in net.load], "power_w": net.watts},
    )


@pytest.mark.parametrize(("seed", "nodes"), [(1, 5), (2, 30), (3, 160)])
def test_networks_have_the_same_volts_and_fault_currents(seed: int, nodes: int) -> None:
    net = meshed(seed, nodes)
    theirs = ours(net)
    point = theirs.solve()
    volts = network.operating_point(net)
    found = [point.voltage(f"n{n}") for n in range(nodes)]
    np.testing.assert_allclose(volts, [v.magnitude for v in found if v is not None], atol=1e-7)
    at_node, through = theirs.fault_levels()
    levels = network.fault_levels([net], net)
    rows: list[dict[str, Any]] = sorted(at_node.to_dicts(), key=lambda r: int(r["node"][1:]))
    np.testing.assert_allclose(levels.node_low, [r["low_a"] for r in rows], rtol=1e-6)
    np.testing.assert_allclose(levels.node_high, [r["high_a"] for r in rows], rtol=1e-6)
    np.testing.assert_allclose(levels.through_low, [r["low_a"] for r in through.to_dicts()], rtol=1e-6)
    np.testing.assert_allclose(levels.through_high, [r["high_a"] for r in through.to_dicts()], rtol=1e-6)


def test_fault_currents_of_the_boat_over_all_states_of_its_strings(answer: tuple[data.Boat, script.Answer]) -> None:
    boat, found = answer
    tables = data.read_tables(boat.insulation, boat.families)
    choice = found.choice
    wires = script.chosen(boat, tables, found.demand, found.sizes, choice.size, choice.fuse)
    low, high = wires.ohms(boat.insulation), wires.least_ohms()
    net = orlop.Network()
    for n in range(boat.strings):
        emf = (f"{boat.lowest} V", f"{boat.highest} V")
        ohms = (f"{boat.string_ohm[0]} ohm", f"{boat.string_ohm[1]} ohm")
        net.source(f"string {n}", emf=emf, resistance=ohms, node="n0", may_open=True)
    for n, up in enumerate(found.demand.parent):
        net.branch(f"b{n}", f"n{up + 1}", f"n{n + 1}", (f"{high[n]} ohm", f"{low[n]} ohm"))
    at_node, through = net.fault_levels()
    rows = sorted(at_node.to_dicts(), key=lambda r: int(r["node"][1:]))
    np.testing.assert_allclose(found.faults.node_low, [r["low_a"] for r in rows], rtol=1e-6)
    np.testing.assert_allclose(found.faults.node_high, [r["high_a"] for r in rows], rtol=1e-6)
    # The library's network knows a circuit of several runs as one branch, the script asks one run.
    one = wires.runs == 1
    alone = np.array([r["low_a"] for r in through.to_dicts()])
    np.testing.assert_allclose(found.faults.through_low[one], alone[one], rtol=1e-6)
    np.testing.assert_allclose(found.faults.through_high, [r["high_a"] for r in through.to_dicts()], rtol=1e-6)


def test_the_boat_as_solved_keeps_its_promises(answer: tuple[data.Boat, script.Answer]) -> None:
    """By the library's network, at the temperatures that the script found."""
    boat, found = answer
    tables = data.read_tables(boat.insulation, boat.families)
    wires = script.chosen(boat, tables, found.demand, found.sizes, found.choice.size, found.choice.fuse)
    limit = copper.permitted(boat, tables)
    for case, on in zip(found.demand.cases, found.demand.on, strict=True):
        point = found.points[f"{case}@low"]
        ohms = wires.ohms(point.temperature)
        net = script.boat_network(boat, found.demand, ohms, 1, boat.lowest, 1e-7, on)
        theirs = ours(net).solve()
        for n, volts in enumerate(point.volts):
            assert theirs.voltage(f"n{n}").to("V").magnitude == pytest.approx(volts, abs=1e-5)
        fed = net.load
        assert np.all(boat.lowest - point.volts[fed] <= limit[fed - 1] * (1 + 1e-6))


def test_a_warm_network_closes_on_itself() -> None:
    net = meshed(4, 40)
    cold = net.ohms
    rise = 3.0 / 5**2

    def ohms_at(temperature: data.Floats) -> data.Floats:
        warm: data.Floats = cold * (234.5 + temperature) / 254.5
        return warm

    def temperature_of(amps: data.Floats) -> data.Floats:
        return 35 + rise * amps**2

    point = network.warm_operating_point(net, ohms_at, temperature_of)
    volts, amps, temperature = point.volts, point.amps, point.temperature
    # Ohm's law and the balance at every node, at the temperatures found.
    np.testing.assert_allclose((volts[net.start] - volts[net.end]) / ohms_at(temperature), amps, rtol=1e-4, atol=1e-6)
    balance = np.bincount(net.end, amps, 40) - np.bincount(net.start, amps, 40)
    np.testing.assert_allclose(balance[1:], net.watts / volts[1:], rtol=1e-3, atol=1e-6)


def test_pairs_of_fuses_are_selective_up_to_the_same_current(tables: data.Tables) -> None:
    chance = random.Random(5)
    pairs = chance.sample(list(itertools.permutations(tables.fuses, 2)), 150)
    for up, down in pairs:
        load, fault = chance.choice([0, 0.5 * up.rating]), chance.choice([200.0, 900.0, 4000.0])
        theirs = orlop.coordinate(
            orlop.Device(up.family, f"{up.rating} A"),
            orlop.Device(down.family, f"{down.rating} A"),
            fault=f"{fault} A",
            load=f"{load} A",
        )
        limit = theirs.selective_up_to
        wanted = 0.0 if limit is None else limit.to("A").magnitude
        found, decided = fuses.selectivity(up, down, load, fault)
        name = f"{up.family} {up.rating} over {down.family} {down.rating}"
        assert found == pytest.approx(wanted, rel=1e-6), name
        assert decided == theirs.decided, name


def test_what_goes_dark() -> None:
    # Two strings at node 0; 0-1-2 and 0-3 with a load at each end.
    net = network.Network(
        nodes=4,
        start=np.array([0, 1, 0]),
        end=np.array([1, 2, 3]),
        ohms=np.ones(3),
        source=np.array([0, 0]),
        emf=np.ones(2),
        source_ohms=np.ones(2),
        load=np.array([2, 3]),
        watts=np.ones(2),
    )
    parts = [np.array(part) for part in ([0], [1], [2], [3], [3, 4], [0, 2])]
    assert [list(dark) for dark in network.dark_loads(net, parts)] == [[0], [0], [1], [], [0, 1], [0, 1]]
