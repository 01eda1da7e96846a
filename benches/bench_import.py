"""How long does `import orlop` take, against `import numpy`?"""

from __future__ import annotations

import subprocess
import sys
import time

ROUNDS = 15


def whole_process(code: str) -> float:
    """Least wall time of a whole process, in seconds."""
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        times.append(time.perf_counter() - began)
    return min(times)


def main() -> None:
    """Prints one line for each module."""
    empty = whole_process("")
    for module in ("orlop", "numpy", "pint"):
        print(f"import|{module}|{1000 * (whole_process(f'import {module}') - empty):.1f} ms over an empty interpreter")


if __name__ == "__main__":
    main()
