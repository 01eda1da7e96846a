"""Runs notebooks from top to bottom and keeps what they show, without traces of the machine or the clock.

python tools/notebooks.py notebooks/*.ipynb            runs each, keeps its output
python tools/notebooks.py --clear notebooks/*.ipynb    takes the output out again, for a commit

When a cell fails, the cell and its traceback are printed, the other notebooks run, and the status is 1.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError
from traitlets.config import Config

# Without it the kernel warns that other users of this machine could listen.
SEALED = Config({"KernelManager": {"transport_encryption": "auto"}})

SECONDS = 300
"""Longest time for one cell."""


def clean(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """The notebook without times, widgets and the version of the interpreter."""
    notebook.metadata = nbformat.from_dict(
        {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        }
    )
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
    return notebook


def cleared(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """The notebook without any output."""
    for cell in notebook.cells:
        if cell.cell_type == "code":
            cell.outputs = []
            cell.execution_count = None
    return clean(notebook)


def run(path: Path) -> nbformat.NotebookNode:
    """The notebook at `path`, run from top to bottom by this interpreter; the file is left alone.

    A failing cell raises `CellExecutionError`, whose text holds the cell and the traceback.
    """
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=SECONDS,
        kernel_name="python3",
        record_timing=False,
        config=SEALED,
        resources={"metadata": {"path": str(path.parent)}},
    )
    return clean(client.execute())


def main(arguments: list[str] | None = None) -> int:
    """Runs or clears every notebook that is named."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("notebooks", nargs="+", type=Path)
    parser.add_argument("--clear", action="store_true", help="only take the output out")
    options = parser.parse_args(arguments)
    failed = 0
    for path in options.notebooks:
        try:
            done = cleared(nbformat.read(path, as_version=4)) if options.clear else run(path)
        except CellExecutionError as error:
            failed = 1
            print(f"{path}: failed\n{error}", file=sys.stderr)
            continue
        nbformat.write(done, path)
        print(f"{path}: {'cleared' if options.clear else 'run'}")
    return failed


if __name__ == "__main__":
    sys.exit(main())
