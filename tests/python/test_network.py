"""Networks from Python: the builder and its errors, and answers against general solvers (SciPy, ngspice)."""

from __future__ import annotations

import math
import shutil
import subprocess
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

import orlop


def two_nodes(power: str = "240 W") -> orlop.Network:
    net = orlop.Network()
    net.source("bank", emf="12 V", resistance="0 ohm")
    net.branch("run", "bank", "load", "0.02 ohm")
    net.load("load", power=power)
    return net


def test_two_nodes_by_algebra() -> None:
    point = two_nodes().solve()
    # V = (E + sqrt(E^2 - 4 R P)) / 2
    assert math.isclose(
        point.voltage("load").to("V").magnitude, (12 + math.sqrt(144 - 4 * 0.02 * 240)) / 2, rel_tol=1e-12
    )
    assert math.isclose((point.delivered - point.losses - point.drawn).to("W").magnitude, 0, abs_tol=1e-9)
    assert math.isclose(point.current("run").magnitude, point.current("load.load").magnitude, rel_tol=1e-12)
    assert point.method == "tree" and not point.dark


def test_more_than_the_network_can_carry() -> None:
    with pytest.raises(orlop.NoSolution, match=r"load load\.load .*1.8 kW"):
        two_nodes("1.9 kW").solve()


def test_what_hangs_on_nothing_is_named() -> None:
    net = two_nodes()
    net.branch("far", "island", "beach", "1 ohm")
    net.load("beach", current="1 A")
    point = net.solve()
    assert set(point.dark) == {"island", "beach"} and point.unfed == ("load.beach",)
    assert point.voltage("beach") is None


def test_both_legs_drawn_and_as_one_loop_agree() -> None:
    wire = orlop.Conductor("16 mm2", insulation="105 degC")
    one, two = orlop.Network(), orlop.Network()
    one.source("bank", emf="24 V", resistance="5 mohm")
    one.branch("run", "bank", "lamp", conductor=wire, loop="12 m", temperature="40 degC")
    one.load("lamp", current="30 A")
    two.source("bank", emf="24 V", resistance="5 mohm")
    two.branch("plus", "bank", "lamp", conductor=wire, leg="6 m", temperature="40 degC")
    two.branch("minus", "lamp-", "return", conductor=wire, leg="6 m", temperature="40 degC")
    two.load("lamp", current="30 A", negative="lamp-")
    across = two.solve().across("load.lamp")
    assert math.isclose(one.solve().voltage("lamp").magnitude, across.magnitude, rel_tol=1e-12)


def test_a_conductor_is_hot_in_the_low_corner() -> None:
    wire = orlop.Conductor("16 mm2", insulation="105 degC")
    net = orlop.Network()
    net.source("bank", emf="24 V", resistance="5 mohm")
    net.branch("run", "bank", "lamp", conductor=wire, loop="12 m")
    net.load("lamp", current="30 A")
    low, high = (net.solve(corner).across("run").to("V").magnitude for corner in ("low", "high"))
    assert math.isclose(low / high, (234.5 + 105) / (234.5 + 20), rel_tol=1e-9)


def test_faults_of_two_strings() -> None:
    net = orlop.Network()
    for s in ("a", "b"):
        net.source(s, emf=("25.6 V", "26.8 V"), resistance=("2.52 mohm", "5.53 mohm"), may_open=True)
        net.branch(f"fuse {s}", s, "bus", ("0.01 mohm", "0.02 mohm"))
    total = net.fault("bus")
    assert math.isclose(total.high.to("A").magnitude, 2 * 26.8 / 2.53e-3, rel_tol=1e-9)
    # The other string open.
    assert math.isclose(total.low.to("A").magnitude, 25.6 / 5.55e-3, rel_tol=1e-9)
    # Back-feed: the other string through this fuse, its own resistance left out at the upper bound.
    assert net.fault_through("fuse a").high.to("A").magnitude >= 26.8 / 2.53e-3 * (1 - 1e-9)
    nodes, branches = net.fault_levels()
    assert [r["node"] for r in nodes.to_dicts()] == ["a", "bus", "b"]
    assert len(branches) == 2
    assert "26.8 V" in str(net.explain_fault("bus"))
    fuse = orlop.Device("iec60269-gg", "160 A")
    assert net.selectivity({"fuse a": fuse}).name


@pytest.mark.parametrize(
    "wrong",
    [
        lambda n: n.source("s", emf=24, resistance="5 mohm"),
        lambda n: n.source("s", emf="24 V", resistance="-5 mohm"),
        lambda n: n.source("s", emf="0 V", resistance="5 mohm"),
        lambda n: n.source("s", emf=(None, None), resistance="5 mohm"),
        lambda n: n.branch("b", "bank", "bank", "1 ohm"),
        lambda n: n.branch("b", "bank", "bus", "0 ohm"),
        lambda n: n.branch("b", "bank", "bus", "-1 ohm"),
        lambda n: n.branch("b", "bank", "bus", "nan ohm"),
        lambda n: n.branch("b", "bank", "bus", "1 V"),
        lambda n: n.branch("b", "bank", "bus"),
        lambda n: n.branch("run", "bank", "bus", "1 ohm"),
        lambda n: n.branch("b", "bank", "", "1 ohm"),
        lambda n: n.branch("b", "bank", "bus", conductor="6 AWG", loop="2 m"),
        lambda n: n.branch("b", "bank", "bus", conductor=orlop.Conductor("6 AWG", insulation="105 degC")),
        lambda n: n.branch("b", "bank", "bus", conductor=orlop.Conductor("6 AWG", insulation="105 degC"), loop="-2 m"),
        lambda n: n.load("bus"),
        lambda n: n.load("bus", power="5 W", current="1 A"),
        lambda n: n.load("bus", power="-5 W"),
        lambda n: n.load("bus", resistance="0 ohm"),
        lambda n: n.converter("c", "bus", voltage="12 V", limit="30 A", input="bank"),
        lambda n: n.converter("c", "bus", voltage="12 V", limit="30 A", input="bank", efficiency="120 %"),
        lambda n: n.solve("middle"),
        lambda n: n.solve().voltage("nowhere"),
        lambda n: n.solve().current("nothing"),
        lambda n: n.solve().table("wires"),
        lambda n: n.fault("nowhere"),
        lambda n: n.fault_through("nothing"),
        lambda n: orlop.Network.from_tables(sources={}, branches={}),
        lambda n: orlop.Network.from_tables(sources=5, branches={}),
        lambda n: tables(resistance_ohm=[0.1, 0.2]),
        lambda n: tables(resistance_ohm=[math.nan]),
        lambda n: tables(resistance_ohm="0.1"),
        lambda n: tables(resistance_ohm=["a"]),
        lambda n: tables(colour=["red"]),
    ],
)
def test_bad_input_is_a_named_error(wrong: Any) -> None:
    with pytest.raises(orlop.OrlopError) as caught:
        wrong(two_nodes())
    assert str(caught.value) and not isinstance(caught.value, orlop.InternalError)


def test_two_ideal_sources_tied() -> None:
    net = two_nodes()
    net.source("other", emf="13 V", resistance="0 ohm", node="bank")
    with pytest.raises(orlop.OrlopError, match="other"):
        net.solve()


def tables(**changed: Any) -> orlop.Network:
    branches = {"from": ["n0"], "to": ["n1"], "resistance_ohm": [0.1], **changed}
    sources = {"node": ["n0"], "emf_v": [12.8], "resistance_ohm": [0.001]}
    return orlop.Network.from_tables(sources=sources, branches=branches)


def mesh(nodes: int, chords: int, seed: int, watts: bool) -> dict[str, Any]:
    """A random tree with chords behind one source: numbers of nodes, conductances, loads."""
    rng = np.random.default_rng(seed)
    a = np.array([rng.integers(0, k) for k in range(1, nodes)] + list(rng.integers(0, nodes, chords)))
    b = np.array([*range(1, nodes), *rng.integers(0, nodes, chords)])
    keep = a != b
    a, b = a[keep], b[keep]
    ohm = rng.uniform(1e-3, 5e-3, len(a))
    size = 2000 / nodes if watts else 100 / nodes
    load = rng.uniform(0, size, nodes) * (0.2 if watts else 1)
    load[0] = 0
    return {"a": a, "b": b, "ohm": ohm, "load": load, "emf": 26.4, "behind": 5e-3, "watts": watts}


def ours(m: dict[str, Any]) -> orlop.Network:
    kind = "power_w" if m["watts"] else "current_a"
    return orlop.Network.from_tables(
        sources={"node": ["0"], "emf_v": [m["emf"]], "resistance_ohm": [m["behind"]]},
        branches=pa.table({"from": m["a"], "to": m["b"], "resistance_ohm": m["ohm"]}),
        loads={"node": list(range(len(m["load"]))), kind: m["load"]},
    )


def by_newton(m: dict[str, Any]) -> np.ndarray:
    """The same by SciPy: Newton on the sparse conductance matrix."""
    n = len(m["load"])
    g = 1 / m["ohm"]
    rows = np.concatenate([m["a"], m["b"], m["a"], m["b"], [0]])
    columns = np.concatenate([m["a"], m["b"], m["b"], m["a"], [0]])
    fixed = coo_matrix((np.concatenate([g, g, -g, -g, [1 / m["behind"]]]), (rows, columns)), shape=(n, n)).tocsc()
    drive = np.zeros(n)
    drive[0] = m["emf"] / m["behind"]
    volts = np.full(n, m["emf"])
    for _ in range(50):
        amps = m["load"] / volts if m["watts"] else m["load"]
        slope = -m["load"] / volts**2 if m["watts"] else np.zeros(n)
        jacobian = fixed + coo_matrix((slope, (np.arange(n), np.arange(n))), shape=(n, n)).tocsc()
        step = splu(jacobian.tocsc()).solve(drive - amps - fixed @ volts)
        volts = volts + step
        if np.max(np.abs(step)) < 1e-12:
            return volts
    raise AssertionError("no convergence")


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("watts", [False, True])
def test_against_scipy(seed: int, watts: bool) -> None:
    m = mesh(300, 5 * seed, seed, watts)
    point = ours(m).solve()
    found = {r["node"]: r["voltage_v"] for r in point.table("nodes").to_dicts()}
    expected = by_newton(m)
    worst = max(abs(found[str(k)] - v) for k, v in enumerate(expected))
    assert worst < 1e-9, worst
    assert point.method == ("tree" if seed == 0 else "mesh")


@pytest.mark.parametrize("watts", [False, True])
def test_against_a_circuit_simulator(tmp_path: Path, watts: bool) -> None:
    if shutil.which("ngspice") is None:
        pytest.skip("ngspice is not installed (Debian: apt install ngspice)")
    m = mesh(60, 9, 11, watts)
    lines = ["network", f"Vs e 0 {m['emf']}", f"Rs e n0 {m['behind']}"]
    lines += [
        f"R{k} n{a} n{b} {r!r}" for k, (a, b, r) in enumerate(zip(m["a"], m["b"], m["ohm"].tolist(), strict=True))
    ]
    for k, load in enumerate(m["load"].tolist()):
        if load > 0:
            lines.append(f"B{k} n{k} 0 I={load!r}/v(n{k})" if watts else f"I{k} n{k} 0 {load!r}")
    wanted = "\n".join(f"print v(n{k})" for k in range(60))
    lines += [
        ".options reltol=1e-10 vntol=1e-12 abstol=1e-12",
        ".control",
        "set numdgt=15",
        "op",
        wanted,
        ".endc",
        ".end",
    ]
    file = tmp_path / "net.cir"
    file.write_text("\n".join(lines) + "\n")
    run = subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, check=False)
    theirs = {}
    for line in run.stdout.splitlines():
        if line.startswith("v(n") and "=" in line:
            name, value = line.split("=")
            theirs[name.strip()[3:-1]] = float(value.split()[0])
    point = ours(m).solve()
    assert len(theirs) == 60, run.stdout[-500:]
    worst = max(abs(point.voltage(name).to("V").magnitude - volts) for name, volts in theirs.items())
    assert worst < 1e-7, worst


def test_arrow_and_dicts_give_the_same() -> None:
    m = mesh(40, 4, 3, True)
    dicts = orlop.Network.from_tables(
        sources={"node": ["0"], "emf_v": [m["emf"]], "resistance_ohm": [m["behind"]]},
        branches={"from": [str(a) for a in m["a"]], "to": [str(b) for b in m["b"]], "resistance_ohm": m["ohm"]},
        loads=pa.table({"node": [str(k) for k in range(40)], "power_w": m["load"]}),
    )
    assert dicts == ours(m)
    again = orlop.Network.from_tables(
        sources={"node": ["0"], "emf_v": [26.4], "resistance_ohm": [0.005]},
        branches=pa.table({"from": ["0"], "to": ["1"], "resistance_ohm": [0.1]}),
        loads={"node": ["1", "1"], "current_a": [2.0, None], "resistance_ohm": [None, 5.0]},
    )
    assert math.isclose(again.solve().current("load.1").to("A").magnitude, 2)
