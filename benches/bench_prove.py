"""A log of ten million rows: columns in memory, and a file to its verdict, against what dataframes take to read it.

* Columns in memory: `orlop.DischargeLog` of four NumPy columns, against the time that polars needs to read them from
  the file.
* File to verdict: `orlop.DischargeLog.read`, which never holds the log, against a lazy polars scan that forms the same
  sums (charge and energy by trapezoids, extremes of volts and degrees), and against pandas, which reads the file and
  forms the sums with NumPy. The sums must agree to a millionth.
* Peak memory: a process of its own that reads the file.

polars and pandas are no part of orlop; where one is missing its lines are left out.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from clock import Taken, line, taken

import orlop

ROWS = int(os.environ.get("ROWS", 10_000_000))
RUNS = 3


def write(path: Path) -> dict[str, Any]:
    """Writes the log and returns its columns as they stand in the file."""
    rng = np.random.default_rng(1)
    time = np.arange(ROWS) * 0.002
    current = np.round(36.0 + 9.0 * (np.sin(time / 900.0) > 0.5) + 0.1 * rng.standard_normal(ROWS), 3)
    left = 1.0 - time / time[-1]
    volts = np.round(26.0 + 0.8 * left - 3.0 * np.exp(-left / 0.015) - 4e-3 * current, 4)
    degrees = np.round(20.0 + 5.0 * (1.0 - left), 2)
    with path.open("w", encoding="ascii", newline="\n") as file:
        file.write("time_s,current_a,voltage_v,temperature_degc\n")
        for begin in range(0, ROWS, 500_000):
            part = slice(begin, begin + 500_000)
            rows = zip(
                time[part].tolist(), current[part].tolist(), volts[part].tolist(), degrees[part].tolist(), strict=True
            )
            file.write("".join(f"{t:.3f},{i:.3f},{v:.4f},{d:.2f}\n" for t, i, v, d in rows))
    return {"time_s": np.round(time, 3), "current_a": current, "voltage_v": volts, "temperature_degc": degrees}


def sums(log: orlop.DischargeLog) -> tuple[float, float]:
    """Charge in Ah and energy in Wh."""
    assert log.energy is not None
    return log.charge.to("A*h").magnitude, log.energy.to("W*h").magnitude


def with_polars(path: Path) -> tuple[Callable[[], Any], Callable[[], tuple[float, float]]]:
    """Reading alone, and a lazy scan with the sums."""
    import polars as pl

    t, i, v = (pl.col(name) for name in ("time_s", "current_a", "voltage_v"))
    power = i * v
    step = t - t.shift(1)
    wanted = [
        ((i + i.shift(1)) * 0.5 * step).sum().alias("charge"),
        ((power + power.shift(1)) * 0.5 * step).sum().alias("energy"),
        v.min().alias("lowest"),
        pl.col("temperature_degc").min().alias("coldest"),
        pl.col("temperature_degc").max().alias("warmest"),
    ]

    def scan() -> tuple[float, float]:
        row = pl.scan_csv(path).select(wanted).collect()
        return row["charge"][0] / 3600.0, row["energy"][0] / 3600.0

    return lambda: pl.read_csv(path), scan


def with_pandas(path: Path) -> Callable[[], tuple[float, float]]:
    """Reading, then the sums."""
    import pandas as pd

    def work() -> tuple[float, float]:
        frame = pd.read_csv(path)
        t, i, v = (frame[name].to_numpy() for name in ("time_s", "current_a", "voltage_v"))
        frame["temperature_degc"].agg(["min", "max"])
        return float(np.trapezoid(i, t) / 3600.0), float(np.trapezoid(i * v, t) / 3600.0)

    return work


def peak_megabytes(path: Path) -> float:
    """Peak memory of a process that reads the file and evaluates it; Linux tells it of the process alone."""
    code = (
        "import sys, orlop\n"
        "log = orlop.DischargeLog.read(sys.argv[1])\n"
        "log.capacity_test(rated='230 Ah', full='0.4 %', stop_bank='23 V', gain='0.5 %').sentence\n"
        "status = open('/proc/self/status').read()\n"
        "print(status.split('VmHWM:')[1].split()[0])\n"
    )
    done = subprocess.run([sys.executable, "-c", code, path], capture_output=True, check=True)
    return int(done.stdout) / 1024.0


def ratio(what: str, ours: Taken, theirs: Taken) -> None:
    """One line of a ratio of the best runs."""
    print(f"{what:<52}{ours.best / theirs.best:9.2f} x")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        columns = write(path)
        print(f"{ROWS:,} rows, {path.stat().st_size / 1e6:.0f} MB")
        expected = sums(orlop.DischargeLog(columns))
        assert np.allclose(sums(orlop.DischargeLog.read(path)), expected, rtol=1e-9)
        memory = taken(lambda: orlop.DischargeLog(columns), RUNS)
        verdict = {"rated": "230 Ah", "full": "0.4 %", "stop_bank": "23 V", "gain": "0.5 %"}
        file = taken(lambda: orlop.DischargeLog.read(path).capacity_test(**verdict), RUNS)
        print(line("columns in memory", memory))
        print(line("file to verdict", file))
        print(f"{'peak memory of a process that does it':<52}{peak_megabytes(path):9.0f} MB")
        try:
            read, scan = with_polars(path)
        except ImportError:
            print("polars is not there; its lines are left out")
        else:
            assert np.allclose(scan(), expected, rtol=1e-6), (scan(), expected)
            reading, scanning = taken(read, RUNS), taken(scan, RUNS)
            print(line("polars reads the file", reading))
            print(line("polars scans it with the same sums", scanning))
            ratio("columns in memory / polars reads", memory, reading)
            ratio("file to verdict / polars scans", file, scanning)
        try:
            work = with_pandas(path)
        except ImportError:
            print("pandas is not there; its lines are left out")
        else:
            assert np.allclose(work(), expected, rtol=1e-6)
            theirs = taken(work, RUNS)
            print(line("pandas reads it and forms the sums", theirs))
            ratio("file to verdict / pandas", file, theirs)


if __name__ == "__main__":
    main()
