"""Drawings of cells and how they are tied: which cell goes where, and both orders of a pack."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from orlop._draw import COLOURS, INK, axes, wrong
from orlop._orlop import Assignment, Pack

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# A cell as it is drawn: width and height, the gap to the next in a row, and between rows.
_WIDE, _HIGH, _GAP = 1.0, 0.8, 0.4
_MOST_SERIES, _MOST_PARALLEL = 24, 8


def _cell(ax: Axes, x: float, y: float, up: bool, text: str, colour: str) -> None:
    """A cell seen from above: its name in the middle, its poles at the ends."""
    from matplotlib.patches import Rectangle

    ax.add_patch(Rectangle((x, y), _WIDE, _HIGH, facecolor=colour, edgecolor=INK, linewidth=0.8, alpha=0.9))
    middle = x + _WIDE / 2
    top, bottom = ("+", "\u2212") if up else ("\u2212", "+")
    ax.text(middle, y + _HIGH - 0.03, top, ha="center", va="top", fontsize=8, fontweight="bold", color=INK)
    ax.text(middle, y + 0.03, bottom, ha="center", va="bottom", fontsize=8, fontweight="bold", color=INK)
    ax.text(middle, y + _HIGH / 2, text, ha="center", va="center", fontsize=7, color=INK, linespacing=1.0)


def _bar(ax: Axes, xs: tuple[float, float], ys: tuple[float, float], colour: str = INK, width: float = 2.6) -> None:
    ax.plot(xs, ys, color=colour, linewidth=width, solid_capstyle="butt", zorder=3)


_PALE = ("#cfe3f1", "#fbe6c0", "#cdebe0", "#f3dbe8", "#dceffb", "#f6d5c0")


def _string(ax: Axes, y: float, names: list[str], colour: str) -> None:
    """Cells in a row, turned about so that links are short, minus of one to plus of the next; leads at the ends."""
    for at, name in enumerate(names):
        x, up = at * (_WIDE + _GAP), at % 2 == 0
        _cell(ax, x, y, up, name, colour)
        if at + 1 < len(names):
            side, edge = (y, y - 0.08) if up else (y + _HIGH, y + _HIGH + 0.08)
            here = x + _WIDE / 2
            there = here + _WIDE + _GAP
            _bar(ax, (here, there), (edge, edge))
            _bar(ax, (here, here), (side, edge))
            _bar(ax, (there, there), (side, edge))
    right = (len(names) - 1) * (_WIDE + _GAP) + _WIDE
    _bar(ax, (-0.25, 0.3), (y + _HIGH - 0.14,) * 2, COLOURS[5], 1.6)
    _bar(ax, (right - 0.3, right + 0.25), (_last(y, len(names)),) * 2, COLOURS[0], 1.6)


def _last(y: float, count: int) -> float:
    """Height of the minus pole of the last cell of a string."""
    return y + (0.14 if count % 2 else _HIGH - 0.14)


def _groups(ax: Axes, y: float, rows: list[list[str]]) -> float:
    """Groups of cells above each other between their rails, plus left and minus right; returns the lowest edge."""
    bottoms = [y - k * (_HIGH + 0.12) for k in range(len(rows))]
    link = (bottoms[-1] + y + _HIGH) / 2
    for at in range(len(rows[0])):
        x, up = at * (_WIDE + _GAP), at % 2 == 0
        for row, bottom in zip(rows, bottoms, strict=True):
            _cell(ax, x, bottom, up, row[at], _PALE[at % 2])
        for rail, inner, high, colour in (
            (x - 0.1, x + 0.3, up, COLOURS[5]),
            (x + _WIDE + 0.1, x + _WIDE - 0.3, not up, COLOURS[0]),
        ):
            ends = [bottom + (_HIGH - 0.14 if high else 0.14) for bottom in bottoms]
            for end in ends:
                _bar(ax, (rail, inner), (end, end), colour, 1.6)
            _bar(ax, (rail, rail), (min([*ends, link]), max([*ends, link])), colour, 1.6)
        if at + 1 < len(rows[0]):
            _bar(ax, (x + _WIDE + 0.1, x + _WIDE + _GAP - 0.1), (link, link))
    right = (len(rows[0]) - 1) * (_WIDE + _GAP) + _WIDE
    _bar(ax, (-0.35, -0.1), (link, link), COLOURS[5], 1.6)
    _bar(ax, (right + 0.1, right + 0.35), (link, link), COLOURS[0], 1.6)
    return bottoms[-1]


def _sheet(wide: float, high: float, above: float) -> tuple[float, float]:
    """Width and height in inches of a sheet on which a cell is as large as it can be, at most 0.75 inch wide."""
    scale = min(0.75, 13.0 / wide)
    return max(4.5, scale * wide), scale * high + above


def assignment(placed: Assignment, *, ax: Axes | None = None) -> Axes:
    """Which cell goes where: each string or row of groups with serials, polarity and links, and what is left over.

    Cells are seen from above and turned about so that links are short. Series-first, each string is a row;
    parallel-first, the cells above each other are a group.

    Args:
        placed: what ``orlop.assign_cells`` returns.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> cells = {"cell": ["A", "B", "C", "D", "E"], "capacity_ah": [101.0, 99.0, 104.0, 98.0, 95.0]}
        >>> best = orlop.assign_cells(cells, series=2, parallel=2, order="series-first")
        >>> orlop.plot.assignment(best).get_title(loc="left")
        'series-first: 2 strings of 2 cells, 199 Ah'
    """
    if not isinstance(placed, Assignment):
        raise wrong("placed", placed, "an orlop.Assignment")
    series, parallel = placed.series, placed.parallel
    if series > _MOST_SERIES or parallel > _MOST_PARALLEL:
        raise wrong("placed", placed, f"at most {_MOST_SERIES} in series and {_MOST_PARALLEL} in parallel on one sheet")
    held = {row["cell"]: row["capacity_ah"] for row in placed.table("cells").to_dicts()}
    names = {cell: f"{cell}\n{amp_hours:.1f}" for cell, amp_hours in held.items()}
    strings = placed.order == "series-first"
    step = _HIGH + (0.4 if strings else 0.12)
    lowest = -(parallel - 1) * step
    right = series * (_WIDE + _GAP) - _GAP
    ax = axes(ax, *_sheet(right + 2.3, _HIGH + 1.15 - lowest, 0.35))
    if strings:
        for k, string in enumerate(placed.groups):
            _string(ax, -k * step, [names[cell] for cell in string], _PALE[k % len(_PALE)])
            least = min(held[cell] for cell in string)
            ax.text(-0.2, -k * step + _HIGH / 2, f"string {k + 1}\n{least:.1f} Ah", ha="right", va="center", fontsize=8)
        what = f"series-first: {parallel} strings of {series} cells"
    else:
        _groups(ax, 0.0, [[names[group[k]] for group in placed.groups] for k in range(parallel)])
        for at, group in enumerate(placed.groups):
            x = at * (_WIDE + _GAP) + _WIDE / 2
            ax.text(x, lowest - 0.1, f"{sum(held[c] for c in group):.1f} Ah", ha="center", va="top", fontsize=8)
        ax.text(-0.45, (lowest + _HIGH) / 2, "groups", ha="right", va="center", fontsize=8)
        lowest -= 0.3
        what = f"parallel-first: {series} groups of {parallel} cells"
    over = (("spare", placed.spares), ("rejected", placed.rejected))
    told = "; ".join(f"{word}: {', '.join(cells)}" for word, cells in over if cells)
    ax.text(0.0, lowest - 0.22, told, ha="left", va="top", fontsize=8.5, color=INK)
    ax.set_title(f"{what}, {placed.capacity.m_as('A*h'):.4g} Ah", loc="left", fontsize=10)
    ax.set(xlim=(-1.7, right + 0.6), ylim=(lowest - 0.6, _HIGH + 0.25), aspect="equal")
    ax.set_axis_off()
    return ax


def pack_orders(pack: Pack, *, ax: Axes | None = None) -> Axes:
    """The same cells tied both ways, one above the other, so that no notation can mislead: links, managers, losses.

    Args:
        pack: a pack in either order.
        ax: where to draw; a new figure when None.

    Example:
        >>> import orlop, orlop.plot
        >>> pack = orlop.Pack(orlop.Cell("lfp", capacity="230 Ah"), series=4, parallel=2, order="parallel-first")
        >>> [text.get_text().split(":")[0] for text in orlop.plot.pack_orders(pack).texts if ":" in text.get_text()]
        ['parallel-first', 'series-first']
    """
    if not isinstance(pack, Pack):
        raise wrong("pack", pack, "an orlop.Pack")
    series, parallel = pack.series, pack.parallel
    if series > _MOST_SERIES or parallel > _MOST_PARALLEL:
        raise wrong("pack", pack, f"at most {_MOST_SERIES} in series and {_MOST_PARALLEL} in parallel on one sheet")
    pairs, strings = pack.both_orders().to_dicts()
    step = _HIGH + 0.4
    right = series * (_WIDE + _GAP) - _GAP
    top = -(parallel - 1) * (_HIGH + 0.12) - 2.2
    lowest = top - (parallel - 1) * step
    ax = axes(ax, *_sheet(right + 4.1, _HIGH + 1.45 - lowest, 0.1))
    head = _HIGH + 0.25
    side = "cell" if parallel == 1 else f"{parallel} cells side by side"
    first = f"parallel-first: {side} tied first, then {series} such groups in a row"
    ax.text(-0.3, head, _said(first, pairs), ha="left", va="bottom", fontsize=8.5, color=INK)
    below = _groups(ax, 0.0, [[""] * series for _ in range(parallel)])
    _manager(ax, right + 0.3, (below + _HIGH) / 2, "one\nmanager")
    row = "string" if parallel == 1 else "strings side by side"
    second = f"series-first: {series} cells in a row tied first, then {parallel} such {row}"
    ax.text(-0.3, top + head, _said(second, strings), ha="left", va="bottom", fontsize=8.5, color=INK)
    for k in range(parallel):
        y = top - k * step
        _string(ax, y, [""] * series, _PALE[k % len(_PALE)])
        end = _last(y, series)
        _manager(ax, right + 0.25, end, f"manager\n{k + 1}")
        if parallel > 1:
            _bar(ax, (-0.5, -0.25), (y + _HIGH - 0.14,) * 2, COLOURS[5], 1.6)
            _bar(ax, (right + 2.0, right + 2.3), (end,) * 2, COLOURS[0], 1.6)
    if parallel > 1:
        # The strings meet on the boat's bus.
        plus, minus = _HIGH - 0.14, _last(0.0, series)
        _bar(ax, (-0.5, -0.5), (lowest + plus, top + plus), COLOURS[5], 3.0)
        _bar(ax, (right + 2.3, right + 2.3), (lowest + minus, top + minus), COLOURS[0], 3.0)
        ax.text(right + 2.42, (top + lowest) / 2 + minus, "bus", fontsize=8, va="center", color=INK)
    ax.set(xlim=(-0.8, right + 3.3), ylim=(lowest - 0.3, head + 0.9), aspect="equal")
    ax.set_axis_off()
    return ax


def _said(first: str, row: dict[str, Any]) -> str:
    left = row["after_manager_percent"]
    managers = f"{row['managers']} manager{'s' if row['managers'] > 1 else ''}"
    voltages = f"{row['monitored_voltages']} voltages watched" if row["monitored_voltages"] > 1 else "1 voltage watched"
    return f"{first}\n{managers}, {voltages}; one manager opens: {left:.0f} % left"


def _manager(ax: Axes, right: float, y: float, text: str) -> None:
    from matplotlib.patches import Rectangle

    _bar(ax, (right, right + 0.35), (y, y), INK, 1.6)
    ax.add_patch(Rectangle((right + 0.35, y - 0.38), 1.4, 0.76, facecolor="white", edgecolor=INK, linewidth=0.9))
    ax.text(right + 1.05, y, text, ha="center", va="center", fontsize=7, linespacing=1.0)
