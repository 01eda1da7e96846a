"""Every notebook runs from top to bottom, and shows what it is said to show."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import nbformat
import pytest

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))

sys.path.insert(0, str(ROOT / "tools"))


def test_there_are_notebooks() -> None:
    assert [path.name for path in NOTEBOOKS][:2] == ["01_first_circuit.ipynb", "02_whole_boat.ipynb"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
@pytest.mark.filterwarnings("ignore")
def test_runs_and_shows_the_same(path: Path) -> None:
    from notebooks import run

    kept = nbformat.read(path, as_version=4)
    nbformat.validate(kept)
    fresh = run(path)
    assert len(kept.cells) == len(fresh.cells)
    for old, new in zip(kept.cells, fresh.cells, strict=True):
        if old.cell_type == "code":
            assert _shown(old) == _shown(new), f"run `make notebooks` and look at the difference:\n{old.source}"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_nothing_of_this_machine_is_kept(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"/(home|root|tmp|work|Users)/", text)


def _shown(cell: nbformat.NotebookNode) -> list[object]:
    shown: list[object] = []
    for output in cell.outputs:
        if output.output_type == "stream":
            shown.append(output.text)
        elif output.output_type in ("execute_result", "display_data"):
            shown.append({kind: data for kind, data in output.data.items()})
        else:
            shown.append(output)
    return shown
