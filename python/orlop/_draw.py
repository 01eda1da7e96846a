"""What all drawings share: colours, axes, and reading values with units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from orlop.errors import InputError, OrlopError

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Okabe and Ito's palette for colour-blind readers, the order chosen so that neighbours differ most in lightness too.
COLOURS = ("#0072B2", "#E69F00", "#009E73", "#CC79A7", "#56B4E9", "#D55E00")
INK = "#222222"
GREY = "#777777"
HATCHES = tuple(3 * stroke for stroke in ("", "/", ".", "\\", "x", "-"))


def axes(ax: Axes | None, width: float, height: float) -> Axes:
    try:
        from matplotlib.figure import Figure
    except ImportError as error:
        message = "drawing needs matplotlib, which is not installed; try: pip install 'orlop[plot]'"
        raise OrlopError(message, code="missing-extra", hint="pip install 'orlop[plot]'") from error
    if ax is not None:
        if not hasattr(ax, "get_figure"):
            raise InputError(
                f"ax: got {ax!r}, expected a matplotlib Axes, or None for a new one",
                field="ax",
                got=repr(ax),
                expected="a matplotlib Axes, or None for a new one",
            )
        return ax
    # Not through pyplot: nothing is kept alive, no window opens, and any thread may draw.
    figure = Figure(figsize=(width, height), layout="constrained")
    made: Axes = figure.add_subplot()
    return made


def wrong(field: str, got: object, expected: str) -> InputError:
    text = repr(got)
    return InputError(f"{field}: got {text}, expected {expected}", field=field, got=text, expected=expected)


def number(value: Any, unit: str, field: str) -> float:
    """The number of a pint quantity, or of text with a unit."""
    import pint

    if isinstance(value, str):
        try:
            value = pint.application_registry.get().Quantity(value)  # type: ignore[no-untyped-call]
        except Exception as error:
            raise wrong(field, value, f"a value in {unit}") from error
    try:
        read = float(value.to(unit).magnitude)
    except Exception as error:
        raise wrong(field, value, f"a value in {unit}") from error
    if read != read or read in (float("inf"), float("-inf")):
        raise wrong(field, value, "a finite value")
    return read
