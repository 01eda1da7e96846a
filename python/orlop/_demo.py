"""The boats that come with the package."""

from __future__ import annotations

from orlop._orlop import Boat
from orlop.errors import InputError


def demo_names() -> tuple[str, ...]:
    """Names of the packaged boats, in order."""
    from pathlib import Path  # here, so that `import orlop` stays quick

    return tuple(sorted(path.stem for path in (Path(__file__).parent / "boats").glob("*.toml")))


def demo_boat(name: str) -> Boat:
    """One of the boats that come with orlop.

    Example:
        >>> import orlop
        >>> orlop.demo_boat("dunlin").rules
        'iso-small-craft'
    """
    from pathlib import Path

    names = demo_names()
    if name not in names:
        listed = ", ".join(names)
        raise InputError(
            f"name: got {str(name)[:60]!r}, expected one of {listed}",
            field="name",
            got=str(name)[:60],
            expected=f"one of {listed}",
        )
    return Boat.load(Path(__file__).parent / "boats" / f"{name}.toml")
