"""Runs notebooks in place and keeps what they show, without anything that depends on the machine.

    python tools/notebooks.py notebooks/*.ipynb
"""

from __future__ import annotations

import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient


def run(path: Path) -> nbformat.NotebookNode:
    """Executes a notebook; an error in a cell is raised."""
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(path.parent)}}).execute()
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
    notebook.metadata.pop("widgets", None)
    notebook.metadata["language_info"] = {"name": "python"}
    return notebook


def main() -> int:
    """Runs every notebook named on the command line."""
    for name in sys.argv[1:]:
        path = Path(name)
        nbformat.write(run(path), path)
        print(path)
    return 0


if __name__ == "__main__":
    sys.exit(main())
