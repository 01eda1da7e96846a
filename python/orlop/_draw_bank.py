"""Drawings of a bank at work: shares of current, thresholds on one axis, sharing over time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from orlop._draw import COLOURS, GREY, HATCHES, INK, axes, wrong
from orlop._orlop import Course, SharedCurrent, Sharing, ThresholdLadder

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def shared_current(shared: SharedCurrent | Sharing, *, ax: Axes | None = None) -> Axes:
    """Bars of the current in each of the cells side by side, with the mean, and where the leads leave.

    Args:
        shared: what ``orlop.share_current`` or ``orlop.best_takeoff`` returns, or one side of it.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")
        >>> shared = orlop.share_current([cell] * 4, "0.08 mohm", takeoff="same-end", current="200 A")
        >>> orlop.plot.shared_current(shared).get_ylabel()
        'current, A'
    """
    if isinstance(shared, SharedCurrent):
        sides = [("at closing, by 1 kHz resistance", shared.closing), ("lasting, by 10 s resistance", shared.sustained)]
    elif isinstance(shared, Sharing):
        sides = [("current", shared)]
    else:
        raise wrong("shared", shared, "an orlop.SharedCurrent, or one of its sides")
    count = len(sides[0][1].currents)
    ax = axes(ax, min(11.0, max(5.4, 1.6 + 0.9 * count * len(sides) ** 0.5)), 4.2)
    width = 0.8 / len(sides)
    tallest = 0.0
    for side, (name, sharing) in enumerate(sides):
        amps = [current.m_as("A") for current in sharing.currents]
        tallest = max([tallest, *(abs(i) for i in amps)])
        at = [k + 1 + (side - (len(sides) - 1) / 2) * width for k in range(count)]
        bars = ax.bar(at, amps, width * 0.92, color=COLOURS[side], hatch=HATCHES[side], edgecolor=INK, linewidth=0.5)
        bars.set_label(name)
        if count <= 16:
            for x, i, share in zip(at, amps, sharing.shares, strict=True):
                text = f"{i:.0f}" if share is None else f"{share.m_as('percent'):.0f} %"
                ax.annotate(
                    text,
                    (x, max(i, 0.0)),
                    xytext=(0, 2),
                    textcoords="offset points",
                    ha="center",
                    fontsize=8,
                    bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.3},
                )
    first = sides[0][1]
    mean = first.load.m_as("A") / count
    ax.axhline(mean, color=GREY, linestyle="--", linewidth=1.2, label=f"mean, {mean:.3g} A")
    positive, negative = first.takeoff
    leads = {positive: "+", negative: "\u2212"} if positive != negative else {positive: "+ \u2212"}
    labels = [f"{k}\n{leads[k]}" if k in leads else f"{k}" for k in range(1, count + 1)]
    step = 1 if count <= 16 else -(-count // 16)
    shown = [k for k in range(count) if k % step == 0 or k + 1 in leads]
    ax.set_xticks([k + 1 for k in shown], [labels[k] for k in shown])
    ax.set(
        xlabel="cell, as they stand; + and \u2212 where the leads leave",
        ylabel="current, A",
        ylim=(None, tallest * 1.14 if tallest else 1.0),
    )
    ax.grid(True, axis="y", color="#dddddd", linewidth=0.6)
    ax.set_axisbelow(True)
    for edge in ("right", "top"):
        ax.spines[edge].set_visible(False)
    ax.legend(fontsize="small", frameon=False, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=len(sides) + 1)
    return ax


_HIGH_ROLES = ("charge-target", "high-alarm", "charge-stop", "high-cut-off", "high-limit")


def thresholds(ladder: ThresholdLadder, *, ax: Axes | None = None) -> Axes:
    """All thresholds of a bank on one axis of volts per cell: the setting, and where a cell can be when it acts.

    What stands in the wrong order, or overlaps with the next, has a cross and is told below.

    Args:
        ladder: what ``orlop.threshold_ladder`` returns.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> sheet = {"threshold": ["manager", "shore"], "role": ["high-cut-off", "charge-target"],
        ...          "setting_v": [3.6, 28.4], "cells": [1, 8]}
        >>> ladder = orlop.threshold_ladder(sheet)
        >>> [label.get_text().split(",")[0] for label in orlop.plot.thresholds(ladder).get_yticklabels()]
        ['shore', 'manager']
    """
    import textwrap

    if not isinstance(ladder, ThresholdLadder):
        raise wrong("ladder", ladder, "an orlop.ThresholdLadder")
    rows = ladder.table().to_dicts()
    order = [judgement for judgement in ladder.findings if judgement.rule == "threshold-order"]
    told = [line for j in order for line in textwrap.wrap(f"\u2715 {j.what}", 90, subsequent_indent="    ")]
    ax = axes(ax, 8.6, 1.3 + 0.36 * len(rows) + 0.2 * len(told))
    subjects = " ".join(j.subject + "." for j in order)
    for at, row in enumerate(rows):
        high = row["role"] in _HIGH_ROLES
        colour = COLOURS[1] if high else COLOURS[0]
        bad = f".{row['threshold']}." in subjects
        low, top, setting = row["low_v"], row["high_v"], row["per_cell_v"]
        ax.barh(
            at,
            max(top - low, 1e-9),
            left=low,
            height=0.56,
            color=colour,
            alpha=0.45,
            hatch="//" if high else "",
            edgecolor=colour,
            linewidth=0.8,
        )
        limit = row["role"].endswith("-limit")
        if limit:
            ax.axvline(setting, color=INK, linewidth=1.4)
        ax.plot(
            [setting],
            [at],
            marker="X" if bad else "|" if limit else "o",
            color=COLOURS[5] if bad else INK,
            markersize=8,
        )
        text = f"{setting:.3f} V" + (f" ({row['setting_v']:.4g} V)" if row["cells"] > 1 else "")
        ax.annotate(
            text,
            (max(top, setting), at),
            xytext=(7, 0),
            textcoords="offset points",
            va="center",
            ha="left",
            fontsize=8,
            bbox={
                "facecolor": "white",
                "edgecolor": "none",
                "pad": 0.4,
            },
            zorder=5,
        )
    ax.set_yticks(range(len(rows)), [f"{row['threshold']}, {row['role']}" for row in rows])
    ends = [row[end] for row in rows for end in ("low_v", "high_v")]
    room = max(max(ends) - min(ends), 0.05)
    ax.set(xlim=(min(ends) - 0.06 * room, max(ends) + 0.26 * room), ylim=(-0.7, len(rows) - 0.3))
    ax.set_xlabel("volts per cell" + "".join(f"\n{line}" for line in told), ha="left", x=0.0, fontsize=8.5)
    ax.grid(True, axis="x", color="#dddddd", linewidth=0.6)
    ax.set_axisbelow(True)
    for edge in ("right", "top"):
        ax.spines[edge].set_visible(False)
    return ax


def pack_over_time(course: Course, *, group: int | None = None, ax: Axes | None = None) -> Axes:
    """How cells side by side share their current over time, up to the knee: who takes over, and when managers open.

    Args:
        course: what ``Pack.over_time`` returns.
        group: which group of cells, counted from 1; that whose currents lie furthest apart when None.
            Series-first there is only the one row of strings.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> cell = orlop.Cell("lfp", capacity="230 Ah", resistance_dc="0.55 mohm")
        >>> pack = orlop.Pack(cell, series=1, parallel=3, order="parallel-first", link="0.08 mohm")
        >>> course = pack.over_time([300.0] * 60, step="60 s", start="100 %", temperature="25 degC", takeoff="same-end")
        >>> orlop.plot.pack_over_time(course).get_xlabel()
        'time, min'
    """
    import numpy as np

    if not isinstance(course, Course):
        raise wrong("course", course, "an orlop.Course")
    pack = course.pack
    side = pack.parallel
    columns = course.table("branches").to_numpy()
    times = columns["time_s"]
    branches = int(columns["branch"].max()) if len(times) else 0
    amps = columns["current_a"].reshape(-1, max(branches, 1)) if branches else np.zeros((0, 1))
    times = times.reshape(-1, max(branches, 1))[:, 0] if branches else np.zeros(0)
    groups = branches // side if side else 0
    if group is not None and (not isinstance(group, int) or isinstance(group, bool) or not 1 <= group <= groups):
        raise wrong("group", group, f"None, or a group from 1 to {groups}")
    if group is None:
        spread = [
            np.ptp(amps[:, k * side : (k + 1) * side], axis=1).max() if len(times) else 0.0 for k in range(groups)
        ]
        group = int(np.argmax(np.round(spread, 9))) + 1
    own = amps[:, (group - 1) * side : group * side]
    unit, over = ("h", 3600.0) if len(times) and times[-1] > 3 * 3600 else ("min", 60.0)
    ax = axes(ax, 8.2, 4.4)
    name = "string" if pack.order == "series-first" else "cell"
    styles = ("-", (0, (6, 2)), (0, (2, 1.5)), "-.")
    for k in range(side):
        style = styles[(k // len(COLOURS) + k) % len(styles)]
        ax.plot(
            times / over,
            own[:, k],
            color=COLOURS[k % len(COLOURS)],
            linestyle=style,
            linewidth=1.6,
            label=f"{name} {k + 1}",
        )
    ax.axhline(0.0, color=INK, linewidth=0.9)
    _carries_most(ax, times / over, own, [f"{k + 1}" for k in range(side)])
    for opened, manager, _, why in course.opened:
        at = opened.m_as("s") / over
        label = f"manager {manager} opens ({why}), {at:.3g} {unit}"
        ax.axvline(at, color=INK, linestyle="--", linewidth=1.2, label=label)
    where = f"group {group} of {groups}" if groups > 1 else "all in one row" if name == "cell" else "all strings"
    ax.set_title(f"{where}; discharge is above zero; strip: the {name} that carries most", loc="left", fontsize=10)
    ax.set(xlabel=f"time, {unit}", ylabel="current, A")
    ax.margins(x=0.01, y=0.15)
    ax.grid(True, color="#dddddd", linewidth=0.6)
    ax.set_axisbelow(True)
    for edge in ("right", "top"):
        ax.spines[edge].set_visible(False)
    ax.legend(fontsize="small", frameon=False, loc="upper center", bbox_to_anchor=(0.5, -0.13), ncols=5)
    return ax


def _carries_most(ax: Axes, times: Any, own: Any, names: list[str]) -> None:
    """A strip along the top that says who carries most at each time."""
    if len(names) < 2 or len(times) < 2:
        return
    margin = 1e-3 * float(abs(own).max())
    ahead, since, whole = int(own[0].argmax()), float(times[0]), float(times[-1] - times[0])
    spans = []
    for at in range(1, len(times)):
        now = int(own[at].argmax())
        if now != ahead and own[at, now] - own[at, ahead] >= margin:
            spans.append((since, float(times[at]), ahead))
            ahead, since = now, float(times[at])
    spans.append((since, float(times[-1]), ahead))
    if len(spans) > 40:
        return
    level = ax.get_xaxis_transform()
    for start, end, who in spans:
        colour = COLOURS[who % len(COLOURS)]
        ax.fill_between([start, end], 0.945, 0.995, color=colour, alpha=0.35, linewidth=0, transform=level)
        if end - start > 0.02 * whole:
            middle = (start + end) / 2
            ax.text(middle, 0.97, names[who], transform=level, fontsize=8, ha="center", va="center", color=INK)
