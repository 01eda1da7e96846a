"""Drawings with matplotlib: time-current bands, protectable windows, where the volts go, banks and their tests, joints.

Needs the extra ``plot``: ``pip install 'orlop[plot]'``. Every function takes an axes object or makes one, and returns
it.

Colours are told apart by people who see red and green alike; nothing is said by colour alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from orlop._draw import COLOURS as _COLOURS
from orlop._draw import GREY as _GREY
from orlop._draw import HATCHES as _HATCHES
from orlop._draw import INK as _INK
from orlop._draw import axes as _axes
from orlop._draw import number as _number
from orlop._draw import wrong as _wrong
from orlop._draw_bank import pack_over_time, shared_current, thresholds
from orlop._draw_cells import assignment, pack_orders
from orlop._draw_joints import joint_heat
from orlop._orlop import (
    CapacityTest,
    Conductor,
    Device,
    DischargeLog,
    Forecast,
    Measured,
    Range,
    Table,
    TestHistory,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from pint.facets.plain import PlainQuantity

    _Value = str | PlainQuantity[Any]

__all__ = [
    "assignment",
    "discharge",
    "drop_waterfall",
    "joint_heat",
    "pack_orders",
    "pack_over_time",
    "protectable_window",
    "shared_current",
    "thresholds",
    "time_current",
    "trend",
    "uncertainty_budget",
]

# The sheet of a time-current chart, s.
_SHORTEST, _LONGEST = 1e-3, 1e4


def _amps(value: Any, field: str) -> float:
    number = _number(value, "ampere", field)
    if number <= 0:
        raise _wrong(field, value, "a current above zero")
    return number


def _bounds(faults: Any) -> list[tuple[str, float]]:
    """What is known of two fault currents."""
    if faults is None:
        return []
    ends = tuple(faults) if isinstance(faults, Range | tuple | list) else (faults, faults)
    if len(ends) != 2:
        raise _wrong("faults", faults, "an orlop.Range, or a pair (low, high)")
    names = ("lower fault current", "upper fault current")
    known = [(name, _amps(end, "faults")) for name, end in zip(names, ends, strict=True) if end is not None]
    if len(known) == 2 and known[0][1] == known[1][1]:
        return [("fault current", known[0][1])]
    return known


def _short(amps: float) -> str:
    return f"{amps / 1000:.3g} kA" if amps >= 1000 else f"{amps:.3g} A"


def time_current(
    devices: Device | Sequence[Device] | Mapping[str, Device],
    *,
    faults: Range | tuple[_Value | None, _Value | None] | _Value | None = None,
    withstand: Conductor | None = None,
    start: _Value = "70 degC",
    ax: Axes | None = None,
) -> Axes:
    """Time-current bands of devices, with the fault currents of their place and what a conductor survives.

    Both axes are logarithmic. Each band lies between the fastest and the slowest opening that the standard permits,
    from cold; where the standard promises nothing, only the edge that is known is drawn.

    Args:
        devices: one device, several, or a mapping of names to devices.
        faults: the fault currents, drawn as two vertical lines.
        withstand: a conductor; its adiabatic limit is drawn up to 5 s, where the formula ends.
        start: its temperature before the fault.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> fuse = orlop.Device("iso8820-3-blade", "10 A")
        >>> ax = orlop.plot.time_current(fuse, faults=("131 A", "900 A"))
        >>> ax.get_xlabel()
        'current, A'
    """
    named = _named(devices)
    lines = _bounds(faults)
    if withstand is not None and not isinstance(withstand, Conductor):
        raise _wrong("withstand", withstand, "an orlop.Conductor")
    ax = _axes(ax, 7.0, 5.6)
    ratings = [_amps(device.rating, "rating") for device in named.values()]
    least = min(ratings) * 0.8
    most = max([max(ratings) * 30, *(amps * 2 for _, amps in lines)])
    for at, (name, device) in enumerate(named.items()):
        _band(ax, device, name, at, most)
    for at, (name, amps) in enumerate(lines):
        style = "-" if at == len(lines) - 1 else "--"
        ax.axvline(amps, color=_INK, linestyle=style, linewidth=1.4, label=f"{name}, {_short(amps)}")
    if withstand is not None:
        _adiabatic(ax, withstand, start, most)
    ax.set(xscale="log", yscale="log", xlim=(least, most), ylim=(_SHORTEST, _LONGEST))
    ax.set(xlabel="current, A", ylabel="time, s")
    ax.grid(True, which="major", color="#cccccc", linewidth=0.7)
    ax.grid(True, which="minor", color="#eeeeee", linewidth=0.4)
    ax.set_axisbelow(True)
    ax.legend(fontsize="small", framealpha=0.95, loc="upper center", bbox_to_anchor=(0.5, -0.12), ncols=2)
    return ax


def _named(devices: Any) -> dict[str, Device]:
    if isinstance(devices, Device):
        devices = [devices]
    if isinstance(devices, Mapping):
        named = {str(name): device for name, device in devices.items()}
    elif isinstance(devices, Iterable) and not isinstance(devices, str):
        named = {}
        for device in devices:
            base = (
                f"{device.family.id} {device.rating.to('ampere').magnitude:g} A" if isinstance(device, Device) else ""
            )
            name, count = base, 2
            while name in named:
                name, count = f"{base} ({count})", count + 1
            named[name] = device
    else:
        raise _wrong("devices", devices, "an orlop.Device, several, or a mapping of names to them")
    if not named or not all(isinstance(device, Device) for device in named.values()):
        raise _wrong("devices", devices, "at least one orlop.Device, and nothing else")
    return named


def _band(ax: Axes, device: Device, name: str, at: int, most: float) -> None:
    import numpy as np

    colour = _COLOURS[at % len(_COLOURS)]
    band = device.band(up_to=f"{most!r} A")
    fast_a, fast_s = band["fastest_a"], band["fastest_s"]
    slow_a, slow_s = band["slowest_a"], band["slowest_s"]
    left, right = _edge(fast_a, fast_s), _edge(slow_a, slow_s)
    if left is not None and right is not None:
        # Between the edges: at each time from the fastest current to the slowest.
        times = np.geomspace(_SHORTEST, _LONGEST, 600)
        near = np.array([_current(*left, t, 0.0) for t in times])
        far = np.array([_current(*right, t, most) for t in times])
        hatch = _HATCHES[(at // len(_COLOURS) + at) % len(_HATCHES)]
        ax.fill_betweenx(
            times, near, np.maximum(near, far), facecolor=colour, alpha=0.28, hatch=hatch, edgecolor=colour, linewidth=0
        )
    label = f"{name} (from memory)" if device.confidence == "from memory" else name
    for edge, style in ((right, "-"), (left, (0, (4, 2)))):
        if edge is not None:
            ax.plot(*edge, color=colour, linewidth=1.6, linestyle=style, label=label)
            label = "_" + label


def _edge(amps: Any, times: Any) -> tuple[Any, Any] | None:
    """An edge from the top of the sheet; a time of zero is its foot."""
    import numpy as np

    if len(amps) == 0:
        return None
    times = np.maximum(times, _SHORTEST * 0.1)
    return np.concatenate([amps[:1], amps]), np.concatenate([[_LONGEST * 10], times])


def _current(amps: Any, times: Any, time: float, beyond: float) -> float:
    """The least current of an edge at which its time is not above a given one."""
    import math

    for k in range(1, len(amps)):
        if times[k] <= time:
            a, b = times[k - 1], times[k]
            if a == b or amps[k] == amps[k - 1]:
                return float(amps[k - 1] if a <= time else amps[k])
            share = (math.log(time) - math.log(a)) / (math.log(b) - math.log(a))
            return float(math.exp(math.log(amps[k - 1]) + share * (math.log(amps[k]) - math.log(amps[k - 1]))))
    return float(beyond or amps[-1])


def _adiabatic(ax: Axes, conductor: Conductor, start: Any, most: float) -> None:
    amps = 1000.0
    bears = amps**2 * _number(conductor.withstand_time(fault=f"{amps} A", start=start).time, "second", "withstand")
    ends = [5.0, max(_SHORTEST, bears / most**2)]
    currents = [(bears / t) ** 0.5 for t in ends]
    label = f"{conductor.size}: survives, from {start}"
    ax.plot(currents, ends, color=_GREY, linewidth=2.2, linestyle="-.", label=label)


# Mark of the bar: where its label stands, above or below the axis, and its sign.
_ABOVE = {
    "design current",
    "rating",
    "carried at its ambient",
    "start to hold",
    "lower fault current",
    "breaking capacity",
}
_SIGNS = {
    "design current": "o",
    "1.25 x design current": "|",
    "carried at its ambient": "d",
    "rating": "D",
    "largest rating allowed": "|",
    "start to hold": "^",
    "held by the device": "v",
    "opens in time": "s",
    "lower fault current": "<",
    "upper fault current": ">",
    "breaking capacity": "|",
}


def protectable_window(window: Table, *, title: str = "", ax: Axes | None = None) -> Axes:
    """The bar of one circuit: everything that bounds its device on one axis of current.

    The window of ratings, the fault currents that must be cleared and the room between are coloured; a mark that stands
    where it must not is a cross, and below is said what it is above.

    Args:
        window: the table that ``orlop.protectable_window`` returns.
        title: what stands above.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> fuse = orlop.Device("iso8820-3-blade", "10 A")
        >>> bar = orlop.protectable_window(fuse, design="7 A", conductor_limit="20 A", voltage="29.2 V",
        ...                                ambient="25 degC", fault=("131 A", "900 A"))
        >>> orlop.plot.protectable_window(bar, title="pump").get_title(loc="left")
        'pump'
    """
    if not isinstance(window, Table) or window.name != "protectable_window":
        raise _wrong("window", window, "the table of orlop.protectable_window")
    rows = window.to_dicts()
    shown = [row for row in rows if row["current_a"] and row["current_a"] > 0]
    where = {row["mark"]: row["current_a"] for row in shown}
    wrong = [line for row in rows for line in _wrong_places(row)]
    ax = _axes(ax, 8.6, 3.9 + 0.2 * len(wrong))
    ax.set(xscale="log", xlim=(min(where.values()) / 1.8, max(where.values()) * 1.8))
    ax.axhline(0, color=_INK, linewidth=1.0, zorder=1)
    _stretch(ax, where, "1.25 x design current", "largest rating allowed", _COLOURS[2], "ratings that fit")
    _stretch(ax, where, "lower fault current", "upper fault current", _COLOURS[0], "fault currents to clear")
    if {"opens in time", "lower fault current"} <= where.keys():
        _stretch(ax, where, "opens in time", "lower fault current", _COLOURS[4], "room to clear")
    _labels(ax, shown)
    # What stands in the wrong place is told below the labels, line by line.
    line = 0.17
    for at, text in enumerate(wrong):
        ax.text(
            0.0, -1.3 - line * at, text, transform=ax.get_yaxis_transform(), fontsize=8, color=_COLOURS[5], va="top"
        )
    ax.set_ylim(-1.35 - line * len(wrong), 1.3)
    ax.yaxis.set_visible(False)
    for side in ("left", "right", "top"):
        ax.spines[side].set_visible(False)
    ax.set_xlabel("current, A")
    if title:
        ax.set_title(title, loc="left")
    if ax.get_legend_handles_labels()[0]:
        ax.legend(fontsize="small", loc="lower right", bbox_to_anchor=(1.0, 1.0), ncols=3, frameon=False)
    return ax


def _wrong_places(row: Mapping[str, Any]) -> list[str]:
    """What is the matter with one mark, in words."""
    if not row["current_a"]:
        return [f"\u2715 {row['mark']}: none stated, counts as zero"]
    if not row["crosses"]:
        return []
    return [f"\u2715 {row['mark']} {_short(row['current_a'])} is above: {what}" for what in row["crosses"].split("; ")]


def _stretch(ax: Axes, where: Mapping[str, float], low: str, high: str, colour: str, label: str) -> None:
    if low in where and high in where and where[low] < where[high]:
        ax.fill_between([where[low], where[high]], -0.06, 0.06, color=colour, alpha=0.75, linewidth=0, label=label)


def _labels(ax: Axes, shown: Sequence[Mapping[str, Any]]) -> None:
    """Marks with their labels, in lanes above and below in which none touches another."""
    import math

    low, high = (math.log10(x) for x in ax.get_xlim())
    lanes: dict[bool, list[float]] = {True: [], False: []}
    for row in shown:
        amps = row["current_a"]
        text = f"{row['mark']}\n{_short(amps)}" + (f" for {row['lasting_s']:.3g} s" if row["lasting_s"] else "")
        colour = _COLOURS[5] if row["crosses"] else _INK
        place = (math.log10(amps) - low) / (high - low)
        half = max(len(line) for line in text.splitlines()) * 0.0045
        middle = min(max(place, half), 1.0 - half)
        above = row["mark"] in _ABOVE
        ends = lanes[above]
        lane = next((k for k, end in enumerate(ends) if end < middle - half), len(ends))
        ends[lane : lane + 1] = [middle + half]
        height = (0.2 + 0.27 * lane) * (1 if above else -1)
        sign = "X" if row["crosses"] else _SIGNS.get(row["mark"], "o")
        ax.plot([amps, amps], [0, height], color=colour, linewidth=0.8, alpha=0.6, zorder=2)
        edge = colour if sign == "|" else "white"
        ax.plot(
            [amps], [0], marker=sign, color=colour, markersize=9, markeredgecolor=edge, markeredgewidth=1.2, zorder=4
        )
        ax.annotate(
            text,
            (10 ** (low + middle * (high - low)), height),
            ha="center",
            va="bottom" if above else "top",
            fontsize=7.5,
            color=colour,
            zorder=5,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6},
        )


def drop_waterfall(
    steps: Sequence[tuple[str, _Value | float]],
    *,
    start: _Value | float | None = None,
    minimum: _Value | float | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Where the volts go on the way from a source to a load, step by step.

    Args:
        steps: label and volts lost, in order from the source: text with a unit, a quantity, or a number in volts.
        start: the voltage at the source; without it the bars start at zero and only the losses are shown.
        minimum: the least voltage at which the load works, drawn as a line.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop.plot
        >>> ax = orlop.plot.drop_waterfall([("fuse", "40 mV"), ("cable", "0.31 V")], start="25.6 V")
        >>> [text.get_text() for text in ax.get_yticklabels()][:2]
        ['at the source', 'fuse']
    """
    losses = [(str(label), _volts(value, str(label))) for label, value in _pairs(steps)]
    ax = _axes(ax, 7.4, 1.3 + 0.36 * (len(losses) + 2))
    begin = 0.0 if start is None else _volts(start, "start")
    bars: list[tuple[str, float, float, str]] = []
    volts = begin
    if start is not None:
        bars.append(("at the source", 0.0, begin, f"{begin:.2f} V"))
    for label, lost in losses:
        step = -lost if start is not None else lost
        bars.append((label, volts, volts + step, f"{lost * 1000:.0f} mV" if abs(lost) < 1 else f"{lost:.2f} V"))
        volts += step
    ends = "at the load" if start is not None else "together"
    bars.append((ends, 0.0, volts, f"{volts:.2f} V" if start is not None else f"{volts * 1000:.0f} mV"))
    # A drop is small beside the voltage: the axis starts just under the least one.
    least = min([volts, *([] if minimum is None else [_volts(minimum, "minimum")])]) if start is not None else 0.0
    most = max(begin, volts, *(max(b[1], b[2]) for b in bars[1:-1])) if losses else max(begin, volts)
    room = max(most - least, 1e-3 * max(abs(most), 1.0))
    floor = least - 0.25 * room if start is not None else min(0.0, *(min(b[1], b[2]) for b in bars))
    for row, (label, a, b, text) in enumerate(bars):
        whole = label in ("at the source", "at the load", "together") and row in (0, len(bars) - 1)
        low, high = (floor, b) if whole and start is not None else (min(a, b), max(a, b))
        colour = _COLOURS[0] if whole else _COLOURS[1]
        ax.barh(row, high - low, left=low, height=0.62, color=colour, edgecolor=_INK, linewidth=0.5)
        ax.text(most + 0.03 * room, row, text, va="center", ha="left", fontsize=8.5, color=_INK)
        if row + 1 < len(bars):
            ax.plot([b, b], [row - 0.31, row + 1.31], color=_GREY, linewidth=0.7, zorder=0)
    if minimum is not None:
        least_volts = _volts(minimum, "minimum")
        ax.axvline(least_volts, color=_COLOURS[5], linestyle="--", linewidth=1.4)
        ax.annotate(
            f"least {least_volts:.2f} V",
            (least_volts, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 4),
            textcoords="offset points",
            ha="center",
            va="bottom",
            fontsize=8,
            color=_COLOURS[5],
        )
    ax.set_yticks(range(len(bars)), [bar[0] for bar in bars])
    ax.set(xlim=(floor, most + 0.2 * room), xlabel="voltage, V" if start is not None else "voltage lost, V")
    ax.invert_yaxis()
    ax.grid(True, axis="x", color="#dddddd", linewidth=0.6)
    ax.set_axisbelow(True)
    for side in ("right", "top"):
        ax.spines[side].set_visible(False)
    return ax


def _pairs(steps: Any) -> list[tuple[Any, Any]]:
    expected = "a list of pairs (label, volts)"
    if isinstance(steps, str) or not isinstance(steps, Iterable):
        raise _wrong("steps", steps, expected)
    pairs = list(steps)
    for pair in pairs:
        if isinstance(pair, str) or not isinstance(pair, Sequence) or len(pair) != 2:
            raise _wrong("steps", pair, expected)
    if not pairs:
        raise _wrong("steps", pairs, "at least one pair (label, volts)")
    return [(pair[0], pair[1]) for pair in pairs]


def _volts(value: Any, field: str) -> float:
    if isinstance(value, int | float) and not isinstance(value, bool):
        number = float(value)
        if number != number or number in (float("inf"), float("-inf")):
            raise _wrong(field, value, "a finite number of volts")
        return number
    return _number(value, "volt", field)


# How far a cell stands below its plateau at its knee, V: the rule of the capacity test.
_KNEE = 0.1


def discharge(test: CapacityTest | DischargeLog, *, stop: _Value | None = None, ax: Axes | None = None) -> Axes:
    """The volts of each cell over the charge drawn, with the knees in their order; without cells, the bank's volts.

    Args:
        test: a capacity test, or the log of a discharge.
        stop: the end voltage, drawn as a line.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> columns = {"time_h": [0, 2, 4, 5], "current_a": [36] * 4, "cell_1_v": [3.3, 3.26, 3.22, 2.79]}
        >>> log = orlop.DischargeLog(columns)
        >>> orlop.plot.discharge(log, stop="2.8 V").get_xlabel()
        'charge drawn, Ah'
    """
    if not isinstance(test, CapacityTest | DischargeLog):
        raise _wrong("test", test, "an orlop.CapacityTest or an orlop.DischargeLog")
    log = test.log if isinstance(test, CapacityTest) else test
    course = log.course
    names = log.cells or ("voltage_v",)
    if not log.cells and not any(v is not None for v in course["voltage_v"]):
        raise _wrong("test", test, "a log with volts of cells or of the bank")
    ax = _axes(ax, 7.6, 4.6)
    drawn = course["drawn_ah"]
    knees = test.knees if isinstance(test, CapacityTest) else ()
    weak = test.most_resistive_cell if isinstance(test, CapacityTest) else None
    for at, name in enumerate(names):
        points = [(q, v) for q, v in zip(drawn, course[name], strict=True) if q is not None and v is not None]
        if not points:
            continue
        label = "bank" if name == "voltage_v" else name.removesuffix("_v").replace("_", " ")
        label = re.sub(r"\s*[(\[]m?V[)\]]$", "", label)
        place = knees.index(name) if name in knees else None
        notes = ["smallest"] if place == 0 else []
        notes += ["most resistive"] if name == weak else []
        label += f" ({', '.join(notes)})" if notes else ""
        colour, style = _COLOURS[at % len(_COLOURS)], ("-", (0, (5, 2)), (0, (1, 1.2)))[at // len(_COLOURS) % 3]
        ax.plot(*zip(*points, strict=True), color=colour, linestyle=style, linewidth=2.2 if notes else 1.3, label=label)
        knee = _knee(points) if name != "voltage_v" else None
        if knee is not None and place is not None:
            ax.plot(*knee, marker="o", markersize=6, color=colour, markeredgecolor=_INK, zorder=5)
            # The first two are told apart; of many, the others crowd together.
            told = f"{place + 1}" if place < 2 or len(names) < 5 else ""
            ax.annotate(
                told,
                knee,
                xytext=(-13 if place == 0 else 7, 2),
                textcoords="offset points",
                fontsize=9,
                color=_INK,
                zorder=6,
            )
    if stop is not None:
        volts = _number(stop, "volt", "stop")
        ax.axhline(volts, color=_COLOURS[5], linestyle="--", linewidth=1.2)
        ax.annotate(
            f"end {volts:g} V",
            (0.0, volts),
            xycoords=("axes fraction", "data"),
            xytext=(4, 3),
            textcoords="offset points",
            fontsize=8.5,
            color=_COLOURS[5],
        )
    ax.set(xlabel="charge drawn, Ah", ylabel="voltage, V")
    if isinstance(test, CapacityTest):
        ax.set_title(test.sentence.split(": ")[0], loc="left", fontsize=10)
    _quiet(ax)
    ax.legend(
        fontsize="small", frameon=False, ncols=2 if len(names) > 5 else 1, loc="lower left", bbox_to_anchor=(0, 0.08)
    )
    return ax


def _knee(points: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """The point at which a cell has left its plateau, the middle half of what was drawn."""
    import statistics

    whole = points[-1][0]
    plateau = [v for q, v in points if 0.25 * whole <= q <= 0.75 * whole]
    if not plateau:
        return None
    level = statistics.median(plateau) - _KNEE
    late = [(q, v) for q, v in points if q > 0.5 * whole and v < level]
    return late[0] if late else None


def _quiet(ax: Axes) -> None:
    ax.grid(True, color="#dddddd", linewidth=0.6)
    ax.set_axisbelow(True)
    for side in ("right", "top"):
        ax.spines[side].set_visible(False)


def uncertainty_budget(result: CapacityTest | Measured, *, ax: Axes | None = None) -> Axes:
    """What each cause of error does to a result, the largest first, and all together.

    Args:
        result: a capacity test or a measured value.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> ax = orlop.plot.uncertainty_budget(orlop.Measured("230 Ah", {"gain": "1.2 Ah", "offset": "0.3 Ah"}))
        >>> [label.get_text() for label in ax.get_yticklabels()]
        ['gain', 'offset', 'together']
    """
    if not isinstance(result, CapacityTest | Measured):
        raise _wrong("result", result, "an orlop.CapacityTest or an orlop.Measured")
    whole = result.uncertainty
    unit = "A*h" if isinstance(result, CapacityTest) else whole.units
    parts = {name: float(effect.to(unit).magnitude) for name, effect in result.budget.items()}
    # What only rounding left is no cause of error.
    least = 1e-9 * max(parts.values(), default=0.0)
    shown = sorted(((name, size) for name, size in parts.items() if size > least), key=lambda part: (-part[1], part[0]))
    bars = [*shown, ("together", float(whole.to(unit).magnitude))]
    ax = _axes(ax, 7.0, 1.3 + 0.36 * len(bars))
    most = max(size for _, size in bars) or 1.0
    for row, (name, size) in enumerate(bars):
        colour = _COLOURS[0] if name == "together" and row == len(bars) - 1 else _COLOURS[1]
        ax.barh(row, size, height=0.62, color=colour, edgecolor=_INK, linewidth=0.5)
        percent = 100 * (size / bars[-1][1]) ** 2 if bars[-1][1] else 0.0
        share = f"{percent:.0f} %" if percent >= 0.5 else "under 1 %"
        text = f"{size:.2g}" + (f", {share} of the variance" if row < len(bars) - 1 else "")
        ax.text(size + 0.015 * most, row, text, va="center", fontsize=8.5, color=_INK)
    ax.set_yticks(range(len(bars)), [name for name, _ in bars])
    symbol = "Ah" if unit == "A*h" else f"{whole.units:~P}".replace("A·h", "Ah")
    ax.set(xlim=(0, 1.45 * most), xlabel=f"standard uncertainty, {symbol}")
    ax.invert_yaxis()
    _quiet(ax)
    ax.grid(False, axis="y")
    return ax


def trend(
    history: TestHistory,
    *,
    end: _Value | None = None,
    until: float | None = None,
    forecast: Forecast | None = None,
    ax: Axes | None = None,
) -> Axes:
    """Tests over the years with their intervals, the line through them with its band, and the verdict.

    Args:
        history: the tests.
        end: the capacity that ends the life, drawn as a line.
        until: years up to which the line is drawn; half as long again as the tests without it.
        forecast: when the end is reached, drawn as a bar at its height.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> test = orlop.Measured("230 Ah", {"offset": "0.5 Ah"})
        >>> history = orlop.TestHistory(["0.1 years", "1.1 years"], [test, test])
        >>> orlop.plot.trend(history).get_ylabel()
        'capacity, Ah'
    """
    if not isinstance(history, TestHistory):
        raise _wrong("history", history, "an orlop.TestHistory")
    if forecast is not None and not isinstance(forecast, Forecast):
        raise _wrong("forecast", forecast, "an orlop.Forecast")
    tests = history.tests
    last = tests["time_years"][-1]
    beyond = 1.5 * last if until is None else float(until)
    if not 0 < beyond < 1000:
        raise _wrong("until", until, "years above zero, below 1,000")
    ax = _axes(ax, 7.6, 4.4)
    years = [beyond * k / 200 for k in range(201)]
    line = history.line(years)
    ax.fill_between(
        years, line["low_ah"], line["high_ah"], color=_COLOURS[0], alpha=0.18, linewidth=0, label="95 % of the line"
    )
    known = sum(y <= last for y in years)
    ax.plot(years[:known], line["capacity_ah"][:known], color=_COLOURS[0], linewidth=1.8)
    ax.plot(years[known - 1 :], line["capacity_ah"][known - 1 :], color=_COLOURS[0], linewidth=1.4, linestyle="--")
    below = [v - low for v, low in zip(tests["capacity_ah"], tests["low_ah"], strict=True)]
    ax.errorbar(
        tests["time_years"], tests["capacity_ah"], yerr=below, fmt="o", color=_INK, capsize=4, label="tests, 95 % each"
    )
    if end is not None:
        ah = _number(end, "ampere_hour", "end")
        ax.axhline(ah, color=_COLOURS[5], linestyle="--", linewidth=1.2)
        ax.annotate(
            f"end {ah:g} Ah",
            (0.0, ah),
            xycoords=("axes fraction", "data"),
            xytext=(4, 3),
            textcoords="offset points",
            fontsize=8.5,
            color=_COLOURS[5],
        )
        if forecast is not None:
            _forecast_bar(ax, forecast, ah, beyond)
    ax.set(xlabel="years since new", ylabel="capacity, Ah", xlim=(0, beyond))
    ax.set_title(history.sentence, loc="left", fontsize=10)
    _quiet(ax)
    ax.legend(fontsize="small", frameon=False, loc="upper right")
    return ax


def _forecast_bar(ax: Axes, forecast: Forecast, ah: float, beyond: float) -> None:
    low, high = forecast.band
    if low is None:
        return
    begin = min(_number(low, "year", "forecast"), beyond)
    finish = beyond if high is None else min(_number(high, "year", "forecast"), beyond)
    label = "reached, by tests and ageing models"
    if begin >= beyond:
        ax.plot([beyond], [ah], marker=">", color=_COLOURS[1], markersize=9, clip_on=False, label=f"{label}: later")
        return
    ax.plot([begin, finish], [ah, ah], color=_COLOURS[1], linewidth=7, alpha=0.8, solid_capstyle="butt", label=label)
