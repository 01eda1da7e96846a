"""Imports orlop, and numpy, in a fresh interpreter: the whole process, several runs, turn by turn."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from time import perf_counter

RUNS = 15
ANSWER = "import orlop; orlop.Conductor('6 AWG', insulation='105 degC').area"
CODES = {
    "nothing": "pass",
    "import orlop": "import orlop",
    "import numpy": "import numpy",
    "import orlop and one answer (brings pint)": ANSWER,
}
# Compiled Python files are kept, as in any ordinary installation.
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def process(code: str) -> float:
    """Seconds of one whole process."""
    start = perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, env=ENVIRONMENT)
    return perf_counter() - start


def main() -> None:
    """Prints the middle of each, and the ratios, with and without the interpreter's own start."""
    for code in CODES.values():
        process(code)
    times: dict[str, list[float]] = {name: [] for name in CODES}
    for _ in range(RUNS):
        for name, code in CODES.items():
            times[name].append(process(code))
    middle = {name: statistics.median(runs) for name, runs in times.items()}
    print(f"whole process, middle of {RUNS} runs")
    for name, seconds in middle.items():
        print(f"  {name:<50}{seconds * 1e3:9.1f} ms (best {min(times[name]) * 1e3:.1f})")
    bare, ours, theirs = middle["nothing"], middle["import orlop"], middle["import numpy"]
    alone = (ours - bare) / (theirs - bare)
    print(f"  ratio of orlop to numpy: whole process {ours / theirs:.2f}, import alone {alone:.2f}")


if __name__ == "__main__":
    main()
