"""The demo boat: read, size, table, papers."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import orlop


def least(work: Callable[[], object], rounds: int = 10) -> float:
    """Least time of a few rounds, in milliseconds."""
    times = []
    for _ in range(rounds):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return 1000 * min(times)


def main() -> None:
    """Prints one line for each stage."""
    boat = orlop.demo_boat("dunlin")
    design = boat.size()
    with tempfile.TemporaryDirectory() as folder:
        stages: dict[str, Callable[[], object]] = {
            "read": lambda: orlop.Boat.from_text(boat.text),
            "size": boat.size,
            "table": lambda: design.table("circuits").to_dicts(),
            "explain": lambda: design.explain("circuit.F5.conductor"),
            "papers": lambda: design.papers(Path(folder) / "out"),
        }
        for name, work in stages.items():
            print(f"boat|{name}|{least(work):.2f} ms")


if __name__ == "__main__":
    main()
