"""Importing orlop is quick and brings nothing heavy with it."""

from __future__ import annotations

import subprocess
import sys


def run(code: str) -> str:
    return subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout.strip()


def test_import_brings_neither_numpy_nor_pint() -> None:
    loaded = run(
        "import sys, orlop; print([m for m in ('numpy', 'pint', 'pyarrow', 'argparse', 'json') if m in sys.modules])"
    )
    assert loaded == "[]"


def test_the_version_is_that_of_the_package() -> None:
    assert run("import orlop, importlib.metadata as m; print(orlop.__version__ == m.version('orlop'))") == "True"
