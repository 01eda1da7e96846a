"""Packs of unequal cells over time, by a general solver of differential equations, stored for `published_pack.rs`.

    python tools/pack_curves.py > tests/published/pack_over_time.toml

At each instant the currents come from nodal analysis: a dense matrix of conductances of all nodes of the two rails. The
charges and pair voltages are integrated by `scipy.integrate.solve_ivp` (Radau). The open-circuit curve is
`lfp-prismatic-52ah` at 25 degC, straight between its points; each current is constant for ten minutes.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import scipy
from scipy.integrate import solve_ivp

ROOT = Path(__file__).resolve().parents[1]
CAPACITY_AH = 40.0
PIECE_S, SAMPLE_S = 600, 60
PACKS: list[dict[str, Any]] = [
    {
        "name": "two groups of four, both leads at the first cells",
        "order": "parallel-first",
        "series": 2,
        "parallel": 4,
        "take": (1, 1),
        "rail": 0.05e-3,
        "series_link": 0.04e-3,
        "manager": 0.3e-3,
        "start": 0.66,
        "pairs": 1,
        "currents": [80.0, 160.0, 0.0, -120.0, 240.0, 0.0, 120.0, 60.0],
    },
    {
        "name": "three strings of four on a bus, leads on the diagonal",
        "order": "series-first",
        "series": 4,
        "parallel": 3,
        "take": (1, 3),
        "rail": 0.2e-3,
        "series_link": 0.05e-3,
        "manager": 0.4e-3,
        "start": 0.82,
        "pairs": 2,
        "currents": [60.0, 180.0, 0.0, -90.0, 120.0, 150.0, 0.0, 90.0],
    },
]


def curve() -> tuple[Any, Any]:
    """State of charge and volts of the table at 25 degC."""
    text = (ROOT / "crates/orlop/data/cell_ocv_lfp_prismatic_2019.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    soc = np.array([float(row["soc_percent"]) / 100 for row in rows])
    return soc, np.array([float(row["v_25"]) for row in rows])


class Pack:
    """Cells in branches, branches between two rails, perhaps several such ladders in a row."""

    def __init__(self, spec: dict[str, Any]) -> None:
        groups_first = spec["order"] == "parallel-first"
        self.ladders, self.each = (spec["series"], 1) if groups_first else (1, spec["series"])
        self.width = spec["parallel"]
        self.count = spec["series"] * spec["parallel"]
        k = np.arange(self.count)
        self.capacity = np.round(CAPACITY_AH * (1 + 0.06 * np.sin(1.7 * k)), 3)
        self.r0 = np.round(1e-3 * (1 + 0.25 * np.cos(2.3 * k)), 7)
        pairs = [(0.5e-3, 60e3), (0.4e-3, 900e3)][: spec["pairs"]]
        self.pairs = [(np.round(r * (1 + 0.2 * np.sin(k + 1)), 7), np.full(self.count, c)) for r, c in pairs]
        way = spec["series_link"] * (spec["series"] - 1) + spec["manager"]
        self.in_branch, self.before = (0.0, way) if groups_first else (way, 0.0)
        self.take = (spec["take"][0] - 1, spec["take"][1] - 1)
        self.rail = spec["rail"]
        self.soc, self.volts = curve()
        self.inverses = [np.linalg.inv(self.nodal(ladder)) for ladder in range(self.ladders)]

    def branch(self, values: Any) -> Any:
        """Sums over the cells of each branch."""
        return values.reshape(-1, self.each).sum(axis=1)

    def nodal(self, ladder: int) -> Any:
        """Conductances of the nodes of both rails; the negative take-off is the reference."""
        w = self.width
        g = np.zeros((2 * w, 2 * w))

        def add(a: int, b: int, conductance: float) -> None:
            g[a, a] += conductance
            g[b, b] += conductance
            g[a, b] -= conductance
            g[b, a] -= conductance

        r = (self.branch(self.r0) + self.in_branch)[ladder * w : (ladder + 1) * w]
        for k in range(w):
            add(k, w + k, 1 / r[k])
        for k in range(w - 1):
            add(k, k + 1, 1 / self.rail)
            add(w + k, w + k + 1, 1 / self.rail)
        reference = w + self.take[1]
        g[reference, :] = 0.0
        g[reference, reference] = 1.0
        return g

    def solve(self, state: Any, load: float) -> tuple[Any, float]:
        """Currents of all branches and the voltage between the terminals."""
        w = self.width
        z, *v = state.reshape(1 + len(self.pairs), self.count)
        e = self.branch(np.interp(z, self.soc, self.volts) - sum(v))
        r = self.branch(self.r0) + self.in_branch
        currents = np.empty(len(e))
        total = -self.before * load
        for ladder, inverse in enumerate(self.inverses):
            part = slice(ladder * w, (ladder + 1) * w)
            pushed = np.concatenate([e[part] / r[part], -e[part] / r[part]])
            pushed[self.take[0]] -= load
            pushed[w + self.take[1]] = 0.0
            node = inverse @ pushed
            currents[part] = (e[part] - (node[:w] - node[w:])) / r[part]
            total += node[self.take[0]]
        return currents, total

    def slope(self, state: Any, load: float) -> Any:
        """Time derivatives."""
        currents = np.repeat(self.solve(state, load)[0], self.each)
        v = state.reshape(1 + len(self.pairs), self.count)[1:]
        parts = [-currents / (3600 * self.capacity)]
        parts += [(currents - own / r) / c for own, (r, c) in zip(v, self.pairs, strict=True)]
        return np.concatenate(parts)


def run(spec: dict[str, Any]) -> tuple[Pack, list[Any], list[float]]:
    """Branch currents and voltage every minute."""
    pack = Pack(spec)
    state = np.concatenate([np.full(pack.count, spec["start"]), np.zeros(pack.count * len(pack.pairs))])
    currents, volts = [], []
    for load in spec["currents"]:
        for _ in range(PIECE_S // SAMPLE_S):
            solved = solve_ivp(
                lambda _, y, load=load: pack.slope(y, load),
                (0, SAMPLE_S),
                state,
                method="Radau",
                rtol=1e-10,
                atol=1e-11,
            )
            state = solved.y[:, -1]
            i, u = pack.solve(state, load)
            currents.append(i)
            volts.append(u)
    return pack, currents, volts


def numbers(values: Any, digits: int) -> str:
    """A list of numbers."""
    return "[" + ", ".join(f"{float(x):.{digits}f}" for x in values) + "]"


def plain(values: Any) -> str:
    """A list of numbers as they are."""
    return "[" + ", ".join(f"{float(x):g}" for x in values) + "]"


def main() -> None:
    """Prints the file."""
    print('id = "pack-over-time"\nroom = "pack"')
    print('source = "a general solver of differential equations on nodal equations"')
    print(f'edition = "{scipy.__version__}"\nplace = "made by tools/pack_curves.py"\nconfidence = "computed"')
    print('note = "packs of unequal cells, both orders, with pairs, links and managers; the same open-circuit curve"')
    print(f"sample_s = {SAMPLE_S}\npiece_s = {PIECE_S}")
    for spec in PACKS:
        pack, currents, volts = run(spec)
        print(f'\n[[pack]]\nname = "{spec["name"]}"\norder = "{spec["order"]}"')
        for key in ("series", "parallel", "rail", "series_link", "manager", "start"):
            print(f"{key} = {spec[key]}")
        print(f"take = {list(spec['take'])}")
        print(f"capacity_ah = {numbers(pack.capacity, 3)}\nr0 = {numbers(pack.r0, 7)}")
        print(f"pair_r = [{', '.join(numbers(r, 7) for r, _ in pack.pairs)}]")
        print(f"pair_c = [{', '.join(plain(c) for _, c in pack.pairs)}]")
        print(f"currents_a = {numbers(spec['currents'], 1)}")
        print(f"voltage_v = {numbers(volts, 9)}")
        print("branch_a = [")
        for row in currents:
            print(f"  {numbers(row, 6)},")
        print("]")


if __name__ == "__main__":
    main()
