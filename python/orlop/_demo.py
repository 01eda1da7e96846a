"""The boats that come with the package."""

from __future__ import annotations

from pathlib import Path

from orlop._orlop import Boat
from orlop.errors import InputError

_FOLDER = Path(__file__).parent / "boats"


def demo_names() -> tuple[str, ...]:
    """Names of the packaged boats, in order."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


def demo_boat(name: str) -> Boat:
    """One of the boats that come with orlop.

    Example:
        >>> import orlop
        >>> orlop.demo_boat("dunlin").rules
        'iso-small-craft'
    """
    names = demo_names()
    if name not in names:
        listed = ", ".join(names)
        raise InputError(
            f"name: got {str(name)[:60]!r}, expected one of {listed}",
            field="name",
            got=str(name),
            expected=f"one of {listed}",
        )
    return Boat.load(_FOLDER / f"{name}.toml")
