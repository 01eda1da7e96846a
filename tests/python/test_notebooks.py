"""Every notebook runs from top to bottom, and the tool that runs them says so when one does not."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import nbformat
import pytest

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))


@pytest.fixture(scope="module")
def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("notebooks", ROOT / "tools" / "notebooks.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def written(path: Path, *cells: str) -> Path:
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    nbformat.write(notebook, path)
    return path


def test_there_are_notebooks() -> None:
    assert [path.name for path in NOTEBOOKS][:2] == ["01_first_circuit.ipynb", "02_whole_boat.ipynb"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_is_kept_without_output(path: Path) -> None:
    code = [cell for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]
    assert not [cell.id for cell in code if cell.outputs or cell.execution_count], "tools/notebooks.py --clear"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_it_runs_and_shows_nothing_of_this_machine(path: Path, tool: ModuleType) -> None:
    notebook = tool.run(path)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert all(cell.execution_count for cell in code)
    outputs = [output for cell in code for output in cell.outputs]
    assert outputs
    assert not [output for output in outputs if output.get("name") == "stderr"]
    text = nbformat.writes(notebook)
    assert str(ROOT) not in text
    assert str(Path.home() / "") not in text
    assert "execution" not in {key for cell in code for key in cell.metadata}


def test_a_second_run_gives_the_same_file_and_clearing_empties_it(tool: ModuleType, tmp_path: Path) -> None:
    path = written(tmp_path / "small.ipynb", "import orlop", "orlop.Device('iso8820-3-blade', '10 A')")
    assert tool.main([str(path)]) == 0
    first = path.read_bytes()
    assert b"iso8820-3-blade 10 A" in first
    assert tool.main([str(path)]) == 0
    assert path.read_bytes() == first
    assert tool.main(["--clear", str(path)]) == 0
    cells = nbformat.read(path, as_version=4).cells
    assert [(cell.outputs, cell.execution_count) for cell in cells] == [([], None), ([], None)]


def test_a_failing_cell_is_shown_and_the_file_is_left_alone(
    tool: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path / "broken.ipynb", "one = 1", "one / 0")
    before = path.read_bytes()
    assert tool.main([str(path)]) == 1
    said = capsys.readouterr().err
    assert "broken.ipynb: failed" in said
    assert "one / 0" in said
    assert "ZeroDivisionError" in said
    assert path.read_bytes() == before
