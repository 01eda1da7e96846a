"""Solves large networks by orlop, by SciPy and by a general circuit simulator, and checks that they agree.

SciPy's side is what a careful engineer writes: the conductance matrix assembled once with NumPy, Newton on the same
equations from the same start, SuperLU with the ordering that suits symmetric patterns, the diagonal changed in place.
It stops when the last step was below a thousandth of a millionth of the source. orlop is timed twice: the solution of a
network that is already built, as SciPy's Newton is; and everything from columns of numbers to a column of volts. Times
are seconds of processor, and ratios those of the best runs: other work on the machine disturbs these least.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any, NamedTuple

import numpy as np
from clock import Taken, children, line
from clock import taken as timed
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import SuperLU, splu

import orlop

EMF, BEHIND, SHARE = 24.0, 1e-3, 0.05
RUNS = 15
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def taken(work: Callable[[], Any], runs: int = RUNS) -> Taken:
    """Seconds of processor that `work` takes."""
    return timed(work, runs, process_time)


class Net(NamedTuple):
    """A network as columns: branches, and a load of constant power at each node; the source stands at node 0."""

    a: Ints
    b: Ints
    ohm: Floats
    watts: Floats

    @property
    def nodes(self) -> int:
        """How many there are."""
        return len(self.watts)


def tree(nodes: int, chords: int = 0, seed: int = 1) -> Net:
    """Each node hangs on one of the thousand before it, or fewer; chords join any two; 5 % is lost on the worst way."""
    chance = np.random.default_rng(seed)
    b = np.arange(1, nodes)
    a = b - 1 - (chance.random(nodes - 1) * np.minimum(b, 1000)).astype(np.int64)
    ohm = chance.uniform(1, 10, nodes - 1)
    watts = chance.uniform(0.5, 2, nodes)
    behind = watts.copy()
    for k in range(nodes - 1, 0, -1):
        behind[a[k - 1]] += behind[k]
    lost = np.zeros(nodes)
    for k in range(1, nodes):
        lost[k] = lost[a[k - 1]] + ohm[k - 1] * behind[k] / EMF
    ohm *= SHARE * EMF / lost.max()
    watts *= np.minimum(1.0, SHARE * EMF**2 / BEHIND / watts.sum())
    ends = chance.integers(0, nodes, (chords, 2))
    ends = ends[ends[:, 0] != ends[:, 1]]
    more = chance.choice(ohm, len(ends))
    return Net(np.append(a, ends[:, 0]), np.append(b, ends[:, 1]), np.append(ohm, more), watts)


def grid(side: int, seed: int = 1) -> Net:
    """A square of nodes, each joined to its neighbours; the source at one corner."""
    chance = np.random.default_rng(seed)
    at = np.arange(side * side).reshape(side, side)
    a = np.concatenate([at[:, :-1].ravel(), at[:-1].ravel()])
    b = np.concatenate([at[:, 1:].ravel(), at[1:].ravel()])
    return Net(a, b, chance.uniform(1e-4, 3e-4, len(a)), chance.uniform(0.5, 2, side * side))


def by_orlop(net: Net) -> orlop.Network:
    """The network as one builds it from columns."""
    return orlop.Network.from_tables(
        sources={"node": [0], "emf_v": [EMF], "resistance_ohm": [BEHIND]},
        branches={"from": net.a, "to": net.b, "resistance_ohm": net.ohm},
        loads={"node": np.arange(net.nodes), "power_w": net.watts},
    )


def volts_of(net: Net, point: orlop.OperatingPoint) -> Floats:
    """Volts in the order of the nodes' numbers; node 0 comes first, the others as branches name them."""
    columns = point.table("nodes").to_numpy()
    volts = np.empty(net.nodes)
    volts[columns["node"][1:].astype(np.int64)] = columns["voltage_v"][1:]
    return volts


class Newton:
    """The same by SciPy: assembled once, solved as often as asked."""

    def __init__(self, net: Net) -> None:
        n, g = net.nodes, 1 / net.ohm
        every = np.arange(n)
        rows = np.concatenate([net.a, net.b, net.a, net.b, [0], every])
        columns = np.concatenate([net.a, net.b, net.b, net.a, [0], every])
        values = np.concatenate([g, g, -g, -g, [1 / BEHIND], np.zeros(n)])
        self.fixed: csc_matrix = coo_matrix((values, (rows, columns)), shape=(n, n)).tocsc()
        self.fixed.sort_indices()
        inside = np.repeat(every, np.diff(self.fixed.indptr))
        self.diagonal = np.flatnonzero(self.fixed.indices == inside)
        self.drive = np.zeros(n)
        self.drive[0] = EMF / BEHIND
        self.watts = net.watts
        self.steps = 0

    @staticmethod
    def factor(matrix: csc_matrix) -> SuperLU:
        """Symmetric pattern, dominant diagonal: no pivoting needed."""
        return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})

    def solve(self) -> Floats:
        """Volts of every node."""
        volts = np.full(len(self.watts), EMF)
        jacobian = self.fixed.copy()
        for self.steps in range(1, 50):
            amps = self.watts / volts
            jacobian.data[self.diagonal] = self.fixed.data[self.diagonal] - amps / volts
            step = self.factor(jacobian).solve(self.drive - amps - self.fixed @ volts)
            volts += step
            if np.max(np.abs(step)) < 1e-9 * EMF:
                return volts
        raise RuntimeError("no convergence")

    def fault_levels(self, block: int = 16) -> Floats:
        """Amperes into a bolted fault at each node: the diagonal of the inverse, by the quickest block of columns."""
        n = len(self.watts)
        factor = self.factor(self.fixed)
        ohms = np.empty(n)
        for start in range(0, n, block):
            some = np.arange(start, min(start + block, n))
            unit = np.zeros((n, len(some)))
            unit[some, some - start] = 1
            ohms[some] = factor.solve(unit)[some, some - start]
        return EMF / ohms


def by_the_simulator(net: Net, folder: Path) -> tuple[Taken, Floats]:
    """A general circuit simulator as a whole process: netlist in, volts of every node out."""
    lines = ["network", f"Vs e 0 {EMF}", f"Rs e n0 {BEHIND}"]
    lines += [f"R{k} n{a} n{b} {r!r}" for k, (a, b, r) in enumerate(zip(net.a, net.b, net.ohm.tolist(), strict=True))]
    lines += [f"B{k} n{k} 0 I={w!r}/v(n{k})" for k, w in enumerate(net.watts.tolist())]
    lines += [f".nodeset all={EMF}", ".options reltol=1e-9 vntol=1e-9 abstol=1e-9", ".control", "set numdgt=12"]
    lines += ["op", "print all", ".endc", ".end"]
    file = folder / "net.cir"
    file.write_text("\n".join(lines) + "\n")
    said = ""

    def whole() -> None:
        nonlocal said
        said = subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, check=False).stdout

    time = timed(whole, runs=1, clock=children)
    volts = np.full(net.nodes, np.nan)
    for name, value in re.findall(r"^n(\d+) = (\S+)", said, re.MULTILINE):
        volts[int(name)] = float(value)
    return time, volts


def compare(what: str, net: Net) -> Taken:
    """Times both, prints the ratio, and stops when they differ. Returns the time from columns to volts."""
    built, newton = by_orlop(net), Newton(net)
    point, theirs = built.solve(), newton.solve()
    worst = np.max(np.abs(volts_of(net, point) - theirs))
    if not worst < 1e-7:
        raise SystemExit(f"{what}: answers differ by {worst} V")
    print(f"{what}: {net.nodes} nodes, {len(net.a)} branches, a load of constant power at each node")
    ours = taken(built.solve)
    whole = taken(lambda: volts_of(net, by_orlop(net).solve()))
    scipy, assembled = taken(newton.solve), taken(lambda: Newton(net).solve())
    print(line(f"  orlop: Network.solve ({point.iterations} steps)", ours))
    print(line(f"  SciPy: Newton with splu ({newton.steps} steps)", scipy))
    print(line("  orlop, columns to volts", whole))
    print(line("  SciPy, columns to volts", assembled))
    print(f"  answers differ by at most {worst:.1e} V")
    print(
        f"  ratio of SciPy to orlop: solving {scipy.best / ours.best:.1f}, "
        f"columns to volts {assembled.best / whole.best:.1f}"
    )
    return whole


def faults(net: Net) -> None:
    """Fault currents of all nodes: least and most, and through all branches, against one of them by SciPy."""
    built, newton = by_orlop(net), Newton(net)
    nodes, _ = built.fault_levels()
    columns = nodes.to_numpy()
    ours = np.empty(net.nodes)
    ours[columns["node"].astype(np.int64)] = columns["high_a"]
    theirs = newton.fault_levels()
    worst = np.max(np.abs(ours / theirs - 1))
    if not worst < 1e-9:
        raise SystemExit(f"fault levels differ by a share of {worst}")
    here, there = taken(built.fault_levels, runs=3), taken(newton.fault_levels, runs=1)
    print(f"fault levels of all {net.nodes} nodes")
    print(line("  orlop: both sides, at nodes and through branches", here))
    print(line("  SciPy: one side, at nodes, blocks of 16 columns", there))
    print(f"  answers differ by a share of at most {worst:.1e}; ratio of SciPy to orlop {there.best / here.best:.1f}")


def main() -> None:
    """Prints times and ratios for each question."""
    meshed = tree(10_000, chords=100)
    whole = compare("tree with 1 % chords", meshed)
    if shutil.which("ngspice") is None:
        print("  no circuit simulator here (Debian: apt install ngspice)")
    else:
        with tempfile.TemporaryDirectory() as folder:
            simulator, volts = by_the_simulator(meshed, Path(folder))
        worst = np.max(np.abs(volts - Newton(meshed).solve()))
        if not worst < 1e-5:
            raise SystemExit(f"the simulator differs by {worst} V")
        print(line("  ngspice as a whole process", simulator))
        print(
            f"  answers differ by at most {worst:.1e} V; ratio to orlop, columns to volts "
            f"{simulator.best / whole.best:.1f}"
        )
    compare("grid of 100 x 100", grid(100))
    print("trees: linear in the number of nodes")
    for nodes in (1_000, 10_000, 100_000, 1_000_000):
        net = tree(nodes)
        built = by_orlop(net)
        runs = RUNS if nodes < 100_000 else 5
        print(line(f"  {nodes} nodes: Network.solve", taken(built.solve, runs), nodes))
    faults(meshed)


if __name__ == "__main__":
    main()
