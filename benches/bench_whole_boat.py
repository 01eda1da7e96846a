"""A whole boat of 150 circuits: sized, and solved as one network; by orlop, and by a script of NumPy and SciPy.

Both get the text of the boat file and give sizes, fuses, volts and temperatures in every case, fault currents, selectivity
and single failures. The script (`whole_boat_script.py`) is what one writes in a notebook; its tables are typed in before the
clock starts. It does less: it judges no rule, does not size by the second method to tell what is saved, keeps no source
and has no table that others can read. Both answers are compared before any time is taken.
"""

from __future__ import annotations

import os

# Matrices of 150 rows gain nothing from a second thread, and lose much on a busy machine: to the script's advantage.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import statistics  # noqa: E402

import numpy as np  # noqa: E402
from big_boat import big_boat  # noqa: E402
from clock import line, taken  # noqa: E402
from whole_boat_data import read_boat, read_tables  # noqa: E402
from whole_boat_script import Answer, whole_boat  # noqa: E402

import orlop  # noqa: E402

TABLES = ("circuits", "loads", "nodes", "currents", "drops", "faults", "selectivity", "single_failures")
RUNS = 5


def by_orlop(text: str) -> orlop.Design:
    """The whole answer, with its tables."""
    design = orlop.Boat.from_text(text).size()
    for name in TABLES:
        design.table(name)
    return design
