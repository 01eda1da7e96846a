"""Least copper from Python: against trying everything, an integer programme (HiGHS by SciPy), and a solved network."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

import orlop

AREAS = (1.5, 2.5, 4, 6, 10, 16, 25, 35)


class Feed:
    """A random feed tree as plain arrays, and everything that the tests compute of it by themselves."""

    def __init__(self, seed: int, runs: int, scenarios: int, sizes: int, least: float = 0.2) -> None:
        chance = np.random.default_rng(seed)
        self.runs, self.scenarios = runs, scenarios
        # Mostly near the source, as on boats: a few feeders with many branches.
        self.parent = [-1] + [int(chance.integers(max(0, k // 3), k)) if k > 2 else 0 for k in range(1, runs)]
        self.one_way = chance.uniform(0.5, 8, runs).round(2)
        loads = (chance.uniform(0.5, 12, (runs, scenarios)) * (chance.random((runs, scenarios)) < 0.8)).round(2)
        self.through = loads + 0.1
        for k in range(runs - 1, 0, -1):
            self.through[self.parent[k]] += self.through[k]
        self.areas = np.array(AREAS[len(AREAS) - sizes :])
        # Not in step with the areas, so that no order among sizes can be taken for granted.
        self.ohm_per_m = 0.0178 / self.areas * chance.uniform(0.97, 1.03, sizes)
        self.kg_per_m = 0.0093 * self.areas + 0.02
        self.cost_per_m = (0.4 + 0.21 * self.areas * chance.uniform(0.8, 1.2, sizes)).round(2)
        leaves = set(range(runs)) - set(self.parent)
        # From nearly all of the largest size to nearly all of a middling one; below zero nothing will do.
        middling = self.drops(np.full(runs, sizes // 2 - 1)).max(axis=1)
        largest = self.drops(np.full(runs, sizes - 1)).max(axis=1)
        self.limit = np.full((runs, scenarios), np.inf)
        for k in leaves:
            self.limit[k] = largest[k] + chance.uniform(least, 1) * (middling[k] - largest[k])

    def path(self, run: int) -> list[int]:
        """The runs from one to the source."""
        path = []
        while run >= 0:
            path.append(run)
            run = self.parent[run]
        return path

    def ohms(self) -> np.ndarray:
        """Both legs of each run in each size."""
        return 2 * np.outer(self.one_way, self.ohm_per_m)

    def prices(self, objective: str) -> np.ndarray:
        """What each run costs in each size."""
        return 2 * np.outer(self.one_way, self.kg_per_m if objective == "mass" else self.cost_per_m)

    def drops(self, chosen: np.ndarray) -> np.ndarray:
        """Volts from the source to the end of each run, by scenario."""
        own = self.ohms()[np.arange(self.runs), chosen][:, None] * self.through
        total = own.copy()
        for k in range(1, self.runs):
            total[k] += total[self.parent[k]]
        return total

    def ask(self, **options: Any) -> orlop.LeastCopper:
        """The same question to orlop."""
        tree: dict[str, Any] = {
            "id": [f"r{k}" for k in range(self.runs)],
            "parent": [None if p < 0 else f"r{p}" for p in self.parent],
            "one_way_m": self.one_way,
        }
        for c in range(self.scenarios):
            tree[f"s{c}_current_a"] = self.through[:, c]
            tree[f"s{c}_max_drop_v"] = [v if math.isfinite(v) else None for v in self.limit[:, c]]
        sizes = {
            "size": [f"{a:g} mm2" for a in self.areas],
            "resistance_ohm_per_m": self.ohm_per_m,
            "mass_kg_per_m": self.kg_per_m,
            "cost_per_m": self.cost_per_m,
        }
        return orlop.least_copper(tree, sizes=sizes, **options)

    def chosen(self, best: orlop.LeastCopper) -> np.ndarray:
        """Places of the sizes taken."""
        names = [f"{a:g} mm2" for a in self.areas]
        return np.array([names.index(best.sizes[f"r{k}"]) for k in range(self.runs)])

    def by_trying(self, objective: str, most: int | None = None, lost: float = 0.0) -> float:
        """The least by trying everything; infinite when nothing will do. `lost` volts of scenario 0 go before it."""
        sizes = len(self.areas)
        every = np.array(list(itertools.product(range(sizes), repeat=self.runs)), dtype=np.int8)
        value = np.zeros(len(every))
        keeps = np.ones(len(every), dtype=bool)
        drops: list[np.ndarray] = []
        for k in range(self.runs):
            value += self.prices(objective)[k][every[:, k]]
            own = self.ohms()[k][every[:, k]][:, None] * self.through[k]
            drops.append(own + drops[self.parent[k]] if k else own)
            before = np.array([lost] + [0.0] * (self.scenarios - 1))
            keeps &= np.all(drops[k] + before <= self.limit[k] * (1 + 1e-9), axis=1)
        if most is not None:
            keeps &= np.array([np.unique(row).size for row in every]) <= most
        return float(value[keeps].min()) if keeps.any() else math.inf

    def by_highs(self, objective: str, spare: float = 0.0, most: int | None = None) -> float:
        """The least by an integer programme: one binary for each run and size. `spare` is left of each limit."""
        sizes = len(self.areas)
        n = self.runs * sizes
        total = n + (sizes if most is not None else 0)
        price = np.concatenate([self.prices(objective).ravel(), np.zeros(total - n)])
        one = lil_matrix((self.runs, total))
        for k in range(self.runs):
            one[k, k * sizes : (k + 1) * sizes] = 1
        limited = [(k, c) for k in range(self.runs) for c in range(self.scenarios) if math.isfinite(self.limit[k, c])]
        way = lil_matrix((len(limited), total))
        for row, (k, c) in enumerate(limited):
            for t in self.path(k):
                way[row, t * sizes : (t + 1) * sizes] = self.ohms()[t] * self.through[t, c] / self.limit[k, c]
        constraints = [LinearConstraint(one.tocsr(), 1, 1), LinearConstraint(way.tocsr(), -np.inf, 1 - spare)]
        if most is not None:
            bought = lil_matrix((self.runs * sizes + 1, total))
            for k in range(self.runs):
                for o in range(sizes):
                    bought[k * sizes + o, k * sizes + o] = 1
                    bought[k * sizes + o, n + o] = -1
            bought[n, n:] = 1
            constraints.append(LinearConstraint(bought.tocsr(), -np.inf, np.append(np.zeros(n), most)))
        found = milp(
            price,
            integrality=np.ones(total),
            bounds=Bounds(0, 1),
            constraints=constraints,
            options={"mip_rel_gap": 0.0, "time_limit": 300},
        )
        if found.status == 2:
            return math.inf
        assert found.status == 0, found.message
        return float(found.fun)


def value(best: orlop.LeastCopper) -> float:
    if best.objective == "mass":
        return best.mass.to("kg").magnitude
    assert best.cost is not None
    return best.cost


def agrees(feed: Feed, best: orlop.LeastCopper, expected: float) -> None:
    """The value is the expected one, and the sizes really keep it and every limit."""
    chosen = feed.chosen(best)
    assert best.gap == 0
    assert math.isclose(value(best), expected, rel_tol=1e-9)
    paid = feed.prices(best.objective)[np.arange(feed.runs), chosen].sum()
    assert math.isclose(value(best), paid, rel_tol=1e-9)
    drops = feed.drops(chosen)
    assert np.all(drops <= feed.limit * (1 + 1e-9))
    for k in range(feed.runs):
        assert math.isclose(best.drop(f"r{k}").to("V").magnitude, drops[k].max(), rel_tol=1e-9)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("objective", ["mass", "cost"])
def test_against_trying_everything(seed: int, objective: str) -> None:
    feed = Feed(seed, runs=3 + seed % 6, scenarios=1 + seed % 3, sizes=4)
    agrees(feed, feed.ask(objective=objective), feed.by_trying(objective))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("most", [1, 2, 3])
def test_few_sizes_against_trying_everything(seed: int, most: int) -> None:
    feed = Feed(100 + seed, runs=3 + seed % 5, scenarios=1 + seed % 2, sizes=5)
    best = feed.ask(at_most_sizes=most)
    agrees(feed, best, feed.by_trying("mass", most))
    assert len(best.different_sizes) <= most


def test_what_trying_everything_cannot_solve_has_no_solution() -> None:
    refused = 0
    for seed in range(30):
        feed = Feed(200 + seed, runs=4, scenarios=2, sizes=3, least=-0.4)
        if math.isinf(feed.by_trying("mass")):
            refused += 1
            with pytest.raises(orlop.NoSolution, match=r"r\d"):
                feed.ask()
        else:
            agrees(feed, feed.ask(), feed.by_trying("mass"))
    assert 0 < refused < 30


@pytest.mark.parametrize(("runs", "scenarios"), [(20, 1), (40, 1), (60, 1), (20, 3), (40, 2), (60, 3)])
def test_against_an_integer_programme(runs: int, scenarios: int) -> None:
    # HiGHS lets each limit be passed by 1e-6 of itself; with twice that held back nothing is passed.
    feed = Feed(runs + scenarios, runs, scenarios, sizes=8)
    best = feed.ask()
    low, high = feed.by_highs("mass"), feed.by_highs("mass", spare=2e-6)
    assert low * (1 - 1e-9) <= value(best) <= high * (1 + 1e-9)
    assert math.isclose(low, high, rel_tol=1e-9)
    agrees(feed, best, low)


@pytest.mark.parametrize("most", [2, 3])
def test_few_sizes_against_an_integer_programme(most: int) -> None:
    feed = Feed(7, runs=25, scenarios=2, sizes=6)
    agrees(feed, feed.ask(objective="cost", at_most_sizes=most), feed.by_highs("cost", most=most))


@pytest.mark.parametrize("most", [None, 2])
def test_shadow_prices_are_differences_of_two_optima(most: int | None) -> None:
    feed = Feed(31, runs=6, scenarios=2, sizes=4)
    before = feed.by_trying("mass", most)
    found = {r["id"]: r["saves_kg"] for r in feed.ask(at_most_sizes=most).shadow_prices("50 mV").to_dicts()}
    limited = [k for k in range(6) if math.isfinite(feed.limit[k, 0])]
    for k in limited:
        feed.limit[k] += 0.05
        saved = before - feed.by_trying("mass", most)
        feed.limit[k] -= 0.05
        assert math.isclose(found.get(f"r{k}", 0.0), saved, rel_tol=1e-9, abs_tol=1e-12)
    assert found


@pytest.mark.parametrize(("scenarios", "most"), [(1, None), (2, None), (1, 2)])
def test_the_certificate_is_what_trying_everything_finds(scenarios: int, most: int | None) -> None:
    feed = Feed(77, runs=5, scenarios=scenarios, sizes=5)
    best = feed.ask(at_most_sizes=most)
    rows = best.frontier(most=8).to_dicts()
    assert len(rows) > 1
    assert math.isclose(rows[0]["least_kg"], value(best), rel_tol=1e-12)
    for row in rows:
        assert math.isclose(feed.by_trying("mass", most, row["spare_v"] * (1 - 1e-7)), row["least_kg"], rel_tol=1e-9)
        assert feed.by_trying("mass", most, row["spare_v"] + 1e-6) > row["least_kg"] * (1 + 1e-9)


TREE: dict[str, Any] = {
    "id": ["feeder", "lamps", "pump"],
    "parent": [None, "feeder", "feeder"],
    "one_way_m": [5.0, 4.0, 2.0],
    "load_a": [None, 4.0, 12.0],
}
SERIES: dict[str, Any] = {"sizes": "metric", "rules": "iso-small-craft", "nominal": "12 V", "max_drop": "3 %"}
LIST: dict[str, Any] = {"size": ["4 mm2", "10 mm2"], "resistance_ohm_per_m": [4.45e-3, 1.78e-3]}


@pytest.mark.parametrize(("sizes", "rules"), [("metric", "iso-small-craft"), ("awg", "us-small-craft")])
def test_a_series_against_its_conductors_one_by_one(sizes: Any, rules: Any) -> None:
    """Drop at the temperature that the current brings about, and by the rule's formula: both within 3 % of 12 V."""
    best = orlop.least_copper(
        TREE, **{**SERIES, "sizes": sizes, "rules": rules}, insulation="90 degC", ambient="40 degC"
    )
    runs = {"feeder": (5.0, 16.0), "lamps": (4.0, 4.0), "pump": (2.0, 12.0)}
    offered: dict[str, list[tuple[float, float, float]]] = {}
    least_area = {"iso-small-craft": 1.0, "us-small-craft": 1.3}[rules]
    for name, (metres, amps) in runs.items():
        offered[name] = []
        for size in orlop.standard_sizes(sizes):
            wire = orlop.Conductor(size, insulation="90 degC")
            try:
                allowed = wire.ampacity(rules=rules, bundled=2, ambient="40 degC").current.to("A").magnitude
            except orlop.OutOfTable:
                continue
            if allowed < amps or wire.area.to("mm**2").magnitude < least_area * (1 - 1e-9):
                continue
            try:
                warm = wire.steady_temperature(current=f"{amps} A", ambient="40 degC", bundled=2).temperature
            except orlop.NoSolution:
                continue
            if warm.to("degC").magnitude > 90:
                continue
            run = {"current": f"{amps} A", "one_way": f"{metres} m"}
            drop = wire.voltage_drop(**run, temperature=warm).to("V").magnitude
            by_rule = wire.voltage_drop(**run, method="rule", rules=rules).to("V").magnitude
            offered[name].append((2 * metres * wire.mass_per_length.to("kg/m").magnitude, drop, by_rule))
    least = min(
        f[0] + a[0] + b[0]
        for f, a, b in itertools.product(offered["feeder"], offered["lamps"], offered["pump"])
        if max(f[1] + max(a[1], b[1]), f[2] + max(a[2], b[2])) <= 0.36
    )
    assert math.isclose(best.mass.to("kg").magnitude, least, rel_tol=1e-9)


def test_the_drop_is_that_of_a_solved_network() -> None:
    feed = Feed(5, runs=30, scenarios=1, sizes=8)
    best = feed.ask()
    chosen = feed.chosen(best)
    net = orlop.Network()
    net.source("bank", emf="24 V", resistance="0 ohm")
    for k in range(feed.runs):
        below = sum(feed.through[j, 0] for j in range(feed.runs) if feed.parent[j] == k)
        start = f"n{feed.parent[k]}" if feed.parent[k] >= 0 else "bank"
        net.branch(
            f"b{k}", start, f"n{k}", f"{feed.ohms()[k, chosen[k]]!r} ohm".replace("np.float64(", "").replace(")", "")
        )
        net.load(f"n{k}", current=f"{float(feed.through[k, 0] - below)!r} A")
    point = net.solve()
    for k in range(feed.runs):
        lost = 24 - point.voltage(f"n{k}").to("V").magnitude
        assert math.isclose(lost, best.drop(f"r{k}").to("V").magnitude, rel_tol=1e-9, abs_tol=1e-12)


def test_devices_count_when_they_are_asked_for() -> None:
    plain = orlop.least_copper(TREE, **SERIES)
    fused = orlop.least_copper(TREE, **SERIES, families=["iso8820-3-blade"])
    assert all(r["device"] is None for r in plain.table().to_dicts())
    assert all("blade" in r["device"] for r in fused.table().to_dicts())
    assert fused.mass >= plain.mass
    assert fused.drop("lamps") > 0 * fused.drop("lamps")


def test_loads_are_summed_and_scenarios_kept_apart() -> None:
    summed = orlop.least_copper(TREE, **SERIES)
    through = {k: v for k, v in TREE.items() if k != "load_a"} | {"current_a": [16.0, 4.0, 12.0]}
    assert orlop.least_copper(through, **SERIES) == summed
    apart = {k: v for k, v in TREE.items() if k != "load_a"}
    apart |= {"day_load_a": [None, 4.0, None], "night_load_a": [None, None, 12.0]}
    either = orlop.least_copper(apart, **SERIES)
    assert either.scenarios == ("day", "night")
    assert either.mass < summed.mass
    assert {r["id"]: r["scenario"] for r in either.table().to_dicts()}["lamps"] == "day"
    assert math.isclose(
        either.drop("feeder", scenario="night").magnitude / either.drop("feeder", scenario="day").magnitude,
        3,
        rel_tol=1e-9,
    )
    tighter = orlop.least_copper(apart | {"night_max_drop_v": [None, None, 0.1]}, **SERIES)
    assert tighter.mass > either.mass


def test_arrow_and_dicts_give_the_same() -> None:
    arrow = pa.table({**TREE, "parent": pa.array(TREE["parent"]), "loop_m": [10.0, 8.0, 4.0]}).drop_columns(
        ["one_way_m"]
    )
    assert orlop.least_copper(arrow, **SERIES) == orlop.least_copper(TREE, **SERIES)
    numbered = {**TREE, "id": [0, 1, 2], "parent": [None, 0, 0]}
    assert list(orlop.least_copper(numbered, **SERIES).sizes.values()) == list(
        orlop.least_copper(TREE, **SERIES).sizes.values()
    )


def test_a_given_size_stays_and_is_flagged_when_it_is_too_small() -> None:
    given = orlop.least_copper({**TREE, "size": ["35 mm2", None, None]}, **SERIES)
    assert given.sizes["feeder"] == "35 mm2" and not given.flags
    assert given.mass >= orlop.least_copper(TREE, **SERIES).mass
    hot = {"id": ["run"], "one_way_m": [1.0], "current_a": [60.0], "size": ["1.5 mm2"]}
    (flag,) = orlop.least_copper(hot, **{**SERIES, "max_drop": "50 %"}).flags
    assert "heat" in flag and "1.5 mm2" in flag


def test_only_what_has_a_price_is_for_sale() -> None:
    prices = {"4 mm2": 1.0, "16 mm2": 3.0, "25 mm2": 4.0}
    best = orlop.least_copper(TREE, **SERIES, prices=prices, objective="cost")
    assert set(best.different_sizes) <= set(prices)
    lengths = {"feeder": 10.0, "lamps": 8.0, "pump": 4.0}
    assert best.cost == pytest.approx(sum(prices[size] * lengths[run] for run, size in best.sizes.items()))
    assert set(orlop.least_copper(TREE, **SERIES, prices=prices).different_sizes) <= set(prices)
    listed = orlop.least_copper(
        {**TREE, "max_drop_v": [None, 0.36, 0.36]},
        sizes={"size": ["16 mm2", "25 mm2"], "resistance_ohm_per_m": [1.1e-3, 7e-4], "cost_per_m": [None, 4.0]},
    )
    assert listed.cost is None and set(listed.different_sizes) == {"16 mm2"}


def test_workings_name_the_tightest_path_and_the_method() -> None:
    text = str(orlop.least_copper(TREE, **SERIES).explain())
    assert "from the source to lamps" in text and "Nemhauser" in text


def changed(**columns: Any) -> dict[str, Any]:
    return {name: column for name, column in {**TREE, **columns}.items() if column is not ...}


@pytest.mark.parametrize(
    ("tree", "options", "words"),
    [
        ({}, {}, "current_a"),
        (3, {}, "dict of columns"),
        (changed(id=...), {}, "column 'id'"),
        (changed(id=["a", "a", "b"], parent=...), {}, "twice"),
        (changed(id=["feeder", "", "pump"]), {}, "empty name"),
        (changed(parent=[None, "feeder", "keel"]), {}, "'keel'"),
        (changed(parent=["pump", "feeder", "feeder"]), {}, "ring"),
        (changed(one_way_m=[5.0, -4.0, 2.0]), {}, "lamps: one_way"),
        (changed(one_way_m=[5.0, math.inf, 2.0]), {}, "lamps: one_way"),
        (changed(one_way_m=[5.0, None, 2.0]), {}, "row 2"),
        (changed(one_way_m=[5.0, 4.0]), {}, "one length"),
        (changed(one_way_m=["5 m", "4 m", "2 m"]), {}, "numbers"),
        (changed(one_way_m=...), {}, "one_way_m and loop_m"),
        (changed(loop_m=[1.0, 1.0, 1.0]), {}, "one_way_m and loop_m"),
        (changed(load_a=[None, -4.0, 2.0]), {}, "lamps: current in all"),
        (changed(load_a=[None, math.inf, 2.0]), {}, "current in all"),
        (changed(load_a=[0.0, 0.0, 2.0]), {}, "lamps: current"),
        (changed(current_a=[1.0, 1.0, 1.0]), {}, "both current_a and load_a"),
        (changed(load_a=..., current_a=[1.0, None, 1.0]), {}, "row 2"),
        (changed(load_amps=[1.0, 1.0, 1.0]), {}, "load_amps"),
        (changed(night_max_drop_v=[1.0, 1.0, 1.0]), {}, "night_max_drop_v"),
        (changed(max_drop_v=[None, 0.0, 0.3]), {}, "lamps: permitted drop"),
        (changed(max_drop_v=[None, -0.1, 0.3]), {}, "lamps: permitted drop"),
        (changed(size=[None, "lots", None]), {}, "lamps: size"),
        (changed(size=[None, "7 mm2", None]), {}, "7 mm2"),
        (TREE, {"max_drop": None}, "permitted drop for one run"),
        (TREE, {"max_drop": "0 V"}, "max_drop"),
        (TREE, {"max_drop": "-3 %"}, "max_drop"),
        (TREE, {"max_drop": 0.36}, "bare number"),
        (TREE, {"nominal": None}, "nominal"),
        (TREE, {"nominal": "-12 V"}, "nominal"),
        (TREE, {"rules": None}, "there is no default"),
        (TREE, {"rules": None, "max_drop": "critical"}, "rule set"),
        (TREE, {"rules": "lloyds"}, "us-small-craft"),
        (TREE, {"sizes": "imperial"}, "awg, sae, metric"),
        (TREE, {"sizes": 4}, "sizes"),
        (TREE, {"at_most_sizes": 0}, "at_most_sizes"),
        (TREE, {"at_most_sizes": 1.5}, "at_most_sizes"),
        (TREE, {"objective": "beauty"}, "mass, cost"),
        (TREE, {"objective": "cost"}, "prices"),
        (TREE, {"objective": "cost", "prices": {}}, "empty dict"),
        (TREE, {"prices": {"4 mm2": -1.0}}, "price of 4 mm2"),
        (TREE, {"prices": {"4 mm2": math.nan}}, "price of 4 mm2"),
        (TREE, {"prices": {"4 mm2": "cheap"}}, "money"),
        (TREE, {"prices": 4}, "dict"),
        (TREE, {"families": ["no-such"]}, "no-such"),
        (TREE, {"bundled": 0}, "bundled"),
        (TREE, {"sizes": LIST}, "taken as it is"),
        (TREE, {"sizes": {**LIST, "size": ["4 mm2", "4 mm2"]}, "rules": None}, "twice"),
        (TREE, {"sizes": {**LIST, "resistance_ohm_per_m": [0.0, 1.0]}, "rules": None}, "resistance of 4 mm2"),
        (TREE, {"sizes": {**LIST, "resistance_ohm_per_m": [None, 1.0]}, "rules": None}, "row 1"),
        (TREE, {"sizes": {**LIST, "ohm": [1, 2]}, "rules": None}, "'ohm'"),
        (TREE, {"sizes": {**LIST, "ampacity_a": [-1.0, 2.0]}, "rules": None}, "ampacity of 4 mm2"),
        (TREE, {"sizes": {"size": [], "resistance_ohm_per_m": []}, "rules": None}, "one size or more"),
    ],
)
def test_bad_input_is_refused_by_name(tree: Any, options: dict[str, Any], words: str) -> None:
    with pytest.raises(orlop.OrlopError) as caught:
        orlop.least_copper(tree, **{**SERIES, **options})
    assert isinstance(caught.value, ValueError | LookupError), caught.value
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"max_drop": "10 mV"}, "lamps: the drop in all"),
        ({"sizes": {**LIST, "ampacity_a": [5.0, 6.0]}, "rules": None}, "feeder: no size on the list may carry 16 A"),
        ({"material": "aluminium", "rules": "us-small-craft"}, "aluminium"),
        ({"prices": {"1 mm2": 1.0}}, "lamps: the drop in all"),
        ({"prices": {"1 mm2": 1.0}, "minimum_size": "25 mm2"}, "feeder: no size .* has a price"),
    ],
)
def test_what_cannot_be_met_is_named(options: dict[str, Any], words: str) -> None:
    with pytest.raises(orlop.NoSolution, match=words):
        orlop.least_copper(TREE, **{**SERIES, **options})


@pytest.mark.parametrize("more", ["0 V", "-0.1 V", "1 A", 0.1])
def test_shadow_prices_want_volts_above_zero(more: Any) -> None:
    with pytest.raises(ValueError, match="more"):
        orlop.least_copper(TREE, **SERIES).shadow_prices(more)


def test_what_is_not_there_is_named() -> None:
    best = orlop.least_copper(TREE, **SERIES)
    with pytest.raises(orlop.InputError, match="feeder, lamps, pump"):
        best.drop("keel")
    with pytest.raises(orlop.InputError, match="one of all"):
        best.drop("lamps", scenario="night")
    with pytest.raises(orlop.InputError, match="one of all"):
        best.frontier(scenario="night")
    with pytest.raises(orlop.InputError, match="most"):
        best.frontier(most=0)


def test_drums_are_cut_into_legs_and_cost_no_less_than_the_bound() -> None:
    best = orlop.least_copper(TREE, **SERIES)
    sale: dict[str, list[Any]] = {"size": [], "length_m": [], "cost": []}
    for size in orlop.standard_sizes("metric"):
        for length in (10.0, 25.0, 100.0):
            area = float(size.split()[0])
            sale["size"].append(size)
            sale["length_m"].append(length)
            sale["cost"].append(length * (0.3 * area + 0.4) + 5.0)
    bought = best.buy(sale)
    rows = bought.table().to_dicts()
    assert math.isclose(sum(row["cost"] for row in rows), bought.cost)
    assert bought.bound <= bought.cost
    assert sum(row["cuts"].count(" ") for row in rows) >= 6
    assert all(row["used_m"] <= row["length_m"] and row["left_m"] >= 0 for row in rows)
    assert set(bought.sizes) == set(TREE["id"])
    with pytest.raises(orlop.NoSolution, match="long"):
        best.buy(
            {
                "size": list(orlop.standard_sizes("metric")),
                "length_m": [1.0] * len(orlop.standard_sizes("metric")),
                "cost": [1.0] * len(orlop.standard_sizes("metric")),
            }
        )
    with pytest.raises(orlop.InputError, match="drums"):
        best.buy({"size": ["4 mm2"], "length_m": [10.0]})
