"""Drawings of a bank: what is on them, that no text lies on another, and what is refused."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

import orlop
import orlop.plot
from test_bank import SHEET

if TYPE_CHECKING:
    from matplotlib.axes import Axes


@pytest.fixture(scope="module")
def cell() -> orlop.Cell:
    return orlop.Cell("lfp", capacity="230 Ah", resistance_1khz="0.18 mohm", resistance_dc="0.55 mohm")


def crate(count: int) -> dict[str, Any]:
    return {"cell": [f"D{k:02}" for k in range(count)], "capacity_ah": [230.0 + 7 * k % 11 for k in range(count)]}


def texts_apart(ax: Axes) -> None:
    """No two texts of the axes lie on each other, and none leaves the sheet."""
    figure = ax.get_figure()
    assert isinstance(figure, Figure)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    ticks = [*ax.get_xticklabels(), *ax.get_yticklabels(), ax.xaxis.label] if ax.axison else []
    shown = [text for text in [*ax.texts, *ticks] if text.get_text().strip()]
    boxes = [(t.get_text(), t.get_window_extent(renderer).shrunk(0.9, 0.9)) for t in shown if t.get_visible()]
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        assert not a.overlaps(b), (one, other)
    # Ticks beyond the axes are never drawn.
    for text, box in boxes[: len([text for text in ax.texts if text.get_text().strip()])]:
        assert box.x0 >= 0 and box.x1 <= figure.bbox.x1 and box.y0 >= 0 and box.y1 <= figure.bbox.y1, text


@pytest.mark.parametrize("takeoff", ["same-end", "diagonal", "middle"])
@pytest.mark.parametrize("count", [2, 5, 40])
def test_shares(cell: orlop.Cell, takeoff: Any, count: int) -> None:
    shared = orlop.share_current([cell] * count, "0.02 mohm", takeoff=takeoff, current="200 A")
    ax = orlop.plot.shared_current(shared)
    assert len(ax.patches) == 2 * count
    assert sum(bar.get_height() for bar in ax.patches[count:]) == pytest.approx(200)
    texts_apart(ax)
    assert len(orlop.plot.shared_current(shared.closing).patches) == count


def test_idle_cells_have_no_shares(cell: orlop.Cell) -> None:
    idle = orlop.share_current([cell] * 2, "0.08 mohm", takeoff="middle", current="0 A")
    assert {text.get_text() for text in orlop.plot.shared_current(idle).texts} == {"0"}


@pytest.mark.parametrize("order", ["series-first", "parallel-first"])
@pytest.mark.parametrize(("series", "parallel"), [(8, 2), (4, 3), (1, 4), (3, 1)])
def test_assignments(order: Any, series: int, parallel: int) -> None:
    placed = orlop.assign_cells(crate(series * parallel + 2), series=series, parallel=parallel, order=order)
    ax = orlop.plot.assignment(placed)
    drawn = [text.get_text().split("\n")[0] for text in ax.texts if text.get_text().startswith("D")]
    assert sorted(drawn) == sorted(itertools.chain(*placed.groups))
    assert [text.get_text() for text in ax.texts].count("+") == series * parallel
    assert placed.order in ax.get_title(loc="left")
    assert any(text.get_text().startswith("spare: ") for text in ax.texts)
    texts_apart(ax)


def test_thresholds() -> None:
    ax = orlop.plot.thresholds(orlop.threshold_ladder(SHEET))
    assert len(ax.get_yticklabels()) == 6 and "\u2715" not in ax.get_xlabel()
    texts_apart(ax)
    wrong = orlop.threshold_ladder(SHEET | {"setting_v": [2.5, 2.8, 24.8, 28.8, 3.55, 3.65]})
    ax = orlop.plot.thresholds(wrong)
    assert "\u2715 shore" in ax.get_xlabel()
    assert [line.get_marker() for line in ax.lines].count("X") == 2
    texts_apart(ax)


@pytest.mark.parametrize(("series", "parallel"), [(8, 2), (4, 4), (16, 1), (1, 1)])
def test_both_orders(cell: orlop.Cell, series: int, parallel: int) -> None:
    pack = orlop.Pack(cell, series=series, parallel=parallel, order="series-first")
    ax = orlop.plot.pack_orders(pack)
    words = [text.get_text() for text in ax.texts]
    assert words.count("+") == words.count("\u2212") == 2 * series * parallel
    assert sum(word.startswith("manager") for word in words) == parallel
    assert any(word.startswith("parallel-first") for word in words)
    texts_apart(ax)


def test_sharing_over_time(cell: orlop.Cell) -> None:
    pack = orlop.Pack(cell, series=2, parallel=3, order="parallel-first", link="0.08 mohm")
    course = pack.over_time(
        [300.0] * 400, step="20 s", start="100 %", temperature="25 degC", takeoff="same-end", every=5
    )
    ax = orlop.plot.pack_over_time(course)
    assert "group 1 of 2" in ax.get_title(loc="left")
    assert {"cell 1", "cell 2", "cell 3"} <= set(ax.get_legend_handles_labels()[1])
    texts_apart(ax)
    first = orlop.plot.pack_over_time(course, group=2)
    assert "group 2 of 2" in first.get_title(loc="left")
    strings = orlop.Pack(cell, series=2, parallel=2, order="series-first", link="0.06 mohm", parts="0.6 mohm")
    emptied = strings.over_time(
        [200.0] * 4000, step="10 s", start="100 %", temperature="25 degC", takeoff="middle", every=50
    )
    labels = orlop.plot.pack_over_time(emptied).get_legend_handles_labels()[1]
    assert labels[:2] == ["string 1", "string 2"] and any("opens" in label for label in labels)


def test_wrong_things_are_refused(cell: orlop.Cell) -> None:
    plot: Any = orlop.plot
    for draw in (plot.shared_current, plot.assignment, plot.thresholds, plot.pack_orders, plot.pack_over_time):
        for wrong in (None, 1, "text", cell):
            with pytest.raises(orlop.InputError):
                draw(wrong)
    with pytest.raises(orlop.InputError, match="at most 24"):
        plot.pack_orders(orlop.Pack(cell, series=100, parallel=1, order="series-first"))
    with pytest.raises(orlop.InputError, match="at most 24"):
        plot.assignment(orlop.assign_cells(crate(30), series=30, parallel=1, order="series-first"))
    pack = orlop.Pack(cell, series=1, parallel=2, order="parallel-first", link="0.1 mohm")
    course = pack.over_time([10.0], step="1 s", start="50 %", temperature="25 degC", takeoff="middle")
    for group in (0, 2, True, "1"):
        with pytest.raises(orlop.InputError, match="group"):
            plot.pack_over_time(course, group=group)


def test_axes_are_taken_and_given_back(cell: orlop.Cell) -> None:
    pack = orlop.Pack(cell, series=2, parallel=2, order="parallel-first")
    mine = Figure().add_subplot()
    assert orlop.plot.pack_orders(pack, ax=mine) is mine
