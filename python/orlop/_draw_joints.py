"""Segments and joints by their heat at full load."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from orlop._draw import GREY, INK, axes, wrong
from orlop._orlop import Table

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# From this on, in watts: a tint that gets darker, told apart in grey and by people who see few colours.
_SCALE = [
    (0.0, "#fffde0", "below 0.5 W"),
    (0.5, "#fed98e", "0.5 W to 5 W"),
    (5.0, "#e0701a", "5 W to 50 W"),
    (50.0, "#7a2504", "50 W and more"),
]
# Where each part stands along its leg, and how wide it is.
_PLACES = {"start": (0.0, 0.5), "device": (1.0, 0.8), "switch": (2.0, 0.8), "conductor": (3.7, 2.2), "end": (5.4, 0.5)}


def joint_heat(joints: Table, *, ax: Axes | None = None) -> Axes:
    """Each leg of each circuit as a line of its parts, tinted by their heat at full load; numbers where it counts.

    Args:
        joints: The table ``joints`` of a design or a survey whose boat file holds drops.
        ax: Axes to draw on; a new figure without it.

    Example:
        >>> import orlop, orlop.plot
        >>> design = orlop.demo_boat("dunlin_as_found").survey().design
        >>> ax = orlop.plot.joint_heat(design.table("joints"))
        >>> [text.get_text() for text in ax.texts]
        ['53.8 W']
    """
    if not isinstance(joints, Table) or joints.name != "joints":
        raise wrong("joints", joints, "the table 'joints' of a design")
    rows = joints.to_dicts()
    if not rows:
        raise wrong("joints", "a table without rows", "a boat file with drops over circuits or their parts")
    legs = list(dict.fromkeys((row["circuit"], row["leg"]) for row in rows))
    ax = axes(ax, 8.0, 1.4 + 0.42 * len(legs))
    for at, _ in enumerate(legs):
        ax.plot([-0.4, 5.8], [at, at], color=GREY, linewidth=0.8, zorder=1)
    for row in rows:
        _piece(ax, row, legs.index((row["circuit"], row["leg"])))
    ax.set_yticks(range(len(legs)), [f"{circuit} {'+' if leg == 'positive' else '-'}" for circuit, leg in legs])
    ax.set_ylim(len(legs) - 0.4, -0.8)
    used = [part for part in _PLACES if any(row["part"] == part for row in rows)]
    ax.set_xticks([_PLACES[part][0] for part in used], ["lug" if part in ("start", "end") else part for part in used])
    ax.set_xlim(-0.6, 6.0)
    ax.set_title("Heat at full load; of a conductor that beyond a sound one", fontsize=9)
    _legend(ax)
    return ax


def _piece(ax: Axes, row: dict[str, Any], y: int) -> None:
    x, wide = _PLACES[row["part"]]
    watts = row["full_w"]
    bad, doubt = row["verdict"] == "fail", row["verdict"] not in ("fail", "pass")
    colour = [tint for from_, tint, _ in _SCALE if watts >= from_][-1]
    ax.barh(
        y,
        wide,
        left=x - wide / 2,
        height=0.3,
        color=colour,
        edgecolor=INK,
        linewidth=2.0 if bad else 0.6,
        linestyle="--" if doubt else "-",
        zorder=2,
    )
    if bad or doubt or watts >= _SCALE[1][0]:
        text = f"{watts:.3g} W" + (" ?" if doubt else "")
        ax.text(x, y - 0.2, text, ha="center", va="bottom", fontsize=7, fontweight="bold" if bad else "normal")


def _legend(ax: Axes) -> None:
    from matplotlib.patches import Patch

    tints = [Patch(facecolor=tint, edgecolor=INK, linewidth=0.6, label=label) for _, tint, label in _SCALE]
    bad = Patch(facecolor="none", edgecolor=INK, linewidth=2.0, label="bad")
    doubt = Patch(facecolor="none", edgecolor=INK, linestyle="--", label="cannot be told (?)")
    ax.legend(handles=[*tints, bad, doubt], loc="upper left", bbox_to_anchor=(1.01, 1.0), fontsize=7, frameon=False)
