"""Fault currents and coordination from Python, and their drawings: types, errors, laws that need no other program."""

from __future__ import annotations

import builtins
import math
from typing import Any

import numpy as np
import pytest

import orlop

FUSE = orlop.Device("iso8820-3-blade", "10 A")
FEEDER = orlop.Device("iec60269-gg", "100 A")
BAR: dict[str, Any] = {
    "design": "7 A",
    "conductor_limit": "20 A",
    "voltage": "29.2 V",
    "ambient": "25 degC",
    "fault": ("131 A", "900 A"),
}


def test_a_band_is_what_the_device_says() -> None:
    band = FUSE.band(up_to="1 kA")
    assert set(band) == {"fastest_a", "fastest_s", "slowest_a", "slowest_s"}
    for edge, end in (("fastest", 0), ("slowest", 1)):
        amps, times = band[f"{edge}_a"], band[f"{edge}_s"]
        assert amps.dtype == times.dtype == np.float64
        assert np.all(np.diff(amps) >= 0) and np.all(np.diff(times) <= 0)
        for a, t in zip(amps, times, strict=True):
            said = tuple(FUSE.opening_time(f"{a!r} A".replace("np.float64(", "").replace(")", "")))[end]
            assert said is None or math.isclose(said.to("second").magnitude, t, rel_tol=1e-6)


def test_holds_for_is_the_other_way_round() -> None:
    held = FUSE.holds_for("0.1 s")
    assert held is not None
    assert FUSE.opening_time(held).low.to("second").magnitude >= 0.1
    with pytest.raises(orlop.InputError):
        FUSE.holds_for("0 s")


@pytest.mark.parametrize("bad", ["0 A", "-1 A", "nan A", "10 V", 10, None])
def test_bad_currents_are_refused(bad: Any) -> None:
    with pytest.raises(orlop.OrlopError):
        orlop.coordinate(FEEDER, FUSE, fault=bad)
    if bad is not None:
        with pytest.raises(orlop.OrlopError):
            FUSE.band(up_to=bad)


def test_coordination_of_two() -> None:
    answer = orlop.coordinate(FEEDER, FUSE, fault="500 A", load="60 A")
    assert answer and answer.selective and answer.selective_up_to.to("ampere").magnitude == 500
    assert "clears before" in answer.why
    assert 0 < answer.preload_factor < 1
    twins = orlop.coordinate(FUSE, FUSE, fault="500 A")
    assert not twins
    half = orlop.coordinate(FEEDER, FUSE, fault="10 kA", share="50 %")
    whole = orlop.coordinate(FEEDER, FUSE, fault="10 kA")
    assert half.selective_up_to >= whole.selective_up_to
    with pytest.raises(orlop.InputError, match=r"orlop\.Device"):
        orlop.coordinate("fuse", FUSE, fault="500 A")  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="share"):
        orlop.coordinate(FEEDER, FUSE, fault="500 A", share="0 %")


def test_selectivity_of_a_path() -> None:
    devices = {"main": (FEEDER, "60 A"), "F5": FUSE}
    table = orlop.selectivity(devices, faults={"F5": ("131 A", "900 A")})
    (row,) = table.to_dicts()
    one = orlop.coordinate(FEEDER, FUSE, fault="900 A", load="60 A")
    assert (row["upstream"], row["downstream"], row["at_high"]) == ("main", "F5", one.selective)
    assert row["why"] == one.why
    unknown = orlop.selectivity(devices, faults={}).to_dicts()[0]
    assert unknown["at_low"] is None and unknown["at_high"] is None
    ranged = orlop.selectivity(devices, faults={"F5": ("131 A", None)}).to_dicts()[0]
    assert ranged["at_low"] is True and ranged["at_high"] is None
    for wrong in ({"F9": "10 A"}, ["F5"], {"F5": ("1 A", "2 A", "3 A")}, {"F5": FUSE.opening_time("20 A")}):
        with pytest.raises(orlop.InputError):
            orlop.selectivity(devices, faults=wrong)  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="dict"):
        orlop.selectivity([FUSE], faults={})  # type: ignore[arg-type]


def test_the_bar_of_a_circuit() -> None:
    rows = orlop.protectable_window(FUSE, **BAR).to_dicts()
    currents = [row["current_a"] for row in rows]
    assert currents == sorted(currents)
    assert not any(row["crosses"] for row in rows)
    wrong = orlop.protectable_window(FUSE, **{**BAR, "fault": ("15 A", "4 kA"), "inrush": [("20 A", "0.1 s")]})
    crossed = {row["mark"]: row["crosses"] for row in wrong.to_dicts() if row["crosses"]}
    assert set(crossed) == {"opens in time", "upper fault current", "start to hold"}
    with pytest.raises(orlop.InputError, match="fault_low"):
        orlop.protectable_window(FUSE, **{**BAR, "fault": ("-1 A", "900 A")})


def test_a_motor_that_cannot_turn() -> None:
    # Twice the rating: the slowest edge of a blade fuse is 5 s.
    ask = lambda **more: orlop.judge_stall(FUSE, stall="20 A", **more)  # noqa: E731
    assert ask(withstand="6 s").verdict == "pass"
    assert ask(withstand="4 s").verdict == "fail"
    unknown = ask(unattended=True)
    assert (unknown.verdict, unknown.severity, unknown.is_finding) == ("undecided", "A", True)
    assert ask(thermal_protection=True).verdict == "pass"


# --- drawings ---------------------------------------------------------------------------------------------------


def inside(ax: Any) -> None:
    """No text overlaps another one of the same axes, and none leaves the figure."""
    figure = ax.get_figure()
    figure.canvas.draw()
    boxes = [(t.get_text(), t.get_window_extent()) for t in ax.texts if t.get_text()]
    for at, (text, box) in enumerate(boxes):
        for other, there in boxes[at + 1 :]:
            assert not box.overlaps(there), (text, other)
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, text


def test_time_current_draws_both_edges_and_both_faults() -> None:
    wire = orlop.Conductor("2.5 mm2", insulation="70 degC")
    ax = orlop.plot.time_current({"main": FEEDER, "F5": FUSE}, faults=("131 A", "900 A"), withstand=wire)
    labels = ax.get_legend_handles_labels()[1]
    assert any("131 A" in label for label in labels) and any("2.5 mm2" in label for label in labels)
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("current, A", "time, s")
    assert ax.get_xscale() == ax.get_yscale() == "log"
    vertical = sorted(
        line.get_xdata()[0]
        for line in ax.lines
        if len(line.get_xdata()) == 2 and line.get_xdata()[0] == line.get_xdata()[1]
    )
    assert vertical == [131, 900]
    # The conductor's line is k2 A2 at both ends.
    limit = next(line for line in ax.lines if "2.5 mm2" in str(line.get_label()))
    through = [i**2 * t for i, t in zip(limit.get_xdata(), limit.get_ydata(), strict=True)]
    assert math.isclose(through[0], through[1], rel_tol=1e-9)
    assert math.isclose(through[0], (115 * 2.5) ** 2, rel_tol=0.01)
    again = orlop.plot.time_current(FUSE, ax=ax)
    assert again is ax
    # Every family can be drawn.
    for family in orlop.families():
        orlop.plot.time_current(orlop.Device(family.id, family.ratings[0]), faults="500 A")


@pytest.mark.parametrize(
    ("device", "changes"),
    [
        (FUSE, {}),
        (FUSE, {"inrush": ("20 A", "0.1 s")}),
        (FUSE, {"fault": ("15 A", "4 kA"), "inrush": [("20 A", "0.1 s"), ("60 A", "5 ms")]}),
        (FUSE, {"fault": None}),
        (
            orlop.Device("iso8820-5-strip", "100 A"),
            {"design": "60 A", "conductor_limit": "110 A", "fault": ("1.2 kA", "10.6 kA")},
        ),
        (FEEDER, {"design": "90 A", "conductor_limit": "80 A", "ambient": "60 degC", "fault": ("200 A", "20 kA")}),
    ],
)
def test_labels_of_the_bar_do_not_touch(device: orlop.Device, changes: dict[str, Any]) -> None:
    ax = orlop.plot.protectable_window(orlop.protectable_window(device, **{**BAR, **changes}), title="a circuit")
    inside(ax)
    assert ax.get_xlabel() == "current, A"


def test_waterfall_ends_at_the_load() -> None:
    steps = [("string 1", "0.18 V"), ("cable", "0.42 V"), ("joint", 0.012)]
    ax = orlop.plot.drop_waterfall(steps, start="25.6 V", minimum="21.6 V")
    inside(ax)
    assert ax.texts[-2].get_text() == "24.99 V"
    lost = orlop.plot.drop_waterfall(steps)
    assert [t.get_text() for t in lost.texts] == ["180 mV", "420 mV", "12 mV", "612 mV"]


@pytest.mark.parametrize(
    "draw",
    [
        lambda: orlop.plot.time_current([]),
        lambda: orlop.plot.time_current("fuse"),
        lambda: orlop.plot.time_current([FUSE, "fuse"]),
        lambda: orlop.plot.time_current(FUSE, faults=("1 A", "2 A", "3 A")),
        lambda: orlop.plot.time_current(FUSE, faults="0 A"),
        lambda: orlop.plot.time_current(FUSE, faults="nan A"),
        lambda: orlop.plot.time_current(FUSE, withstand="2.5 mm2"),
        lambda: orlop.plot.time_current(FUSE, ax="axes"),
        lambda: orlop.plot.protectable_window(orlop.sources()),
        lambda: orlop.plot.drop_waterfall([]),
        lambda: orlop.plot.drop_waterfall("cable"),
        lambda: orlop.plot.drop_waterfall([("cable",)]),
        lambda: orlop.plot.drop_waterfall([("cable", "3 A")]),
        lambda: orlop.plot.drop_waterfall([("cable", math.nan)]),
    ],
)
def test_bad_drawings_are_refused(draw: Any) -> None:
    with pytest.raises(orlop.InputError):
        draw()


def test_without_matplotlib_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def missing(name: str, *rest: Any) -> Any:
        if name.startswith("matplotlib"):
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(orlop.OrlopError, match=r"orlop\[plot\]"):
        orlop.plot.drop_waterfall([("cable", 0.1)])


def test_docstrings_of_the_drawings() -> None:
    import doctest

    assert doctest.testmod(orlop.plot, optionflags=doctest.NORMALIZE_WHITESPACE).failed == 0
