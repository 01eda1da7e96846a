"""Writes a set of files into a folder, all or none."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from orlop.errors import InputError

# Drawings that come in as many sheets as they take.
_SHEET = re.compile(r"(one-line|waterfall|coordination|windows)(-\d+)?\.svg")


def write_all(folder: Any, files: Iterable[tuple[str, bytes]]) -> tuple[Path, ...]:
    """Writes every file next to the folder first, then moves all of them into place.

    An error while writing leaves the folder as it was.
    """
    target = Path(folder)
    if target.exists() and not target.is_dir():
        raise InputError(
            f"out: got '{target}', which is a file, expected a folder",
            field="out",
            got=str(target),
            expected="a folder",
        )
    names = [name for name, _ in files]
    target.parent.mkdir(parents=True, exist_ok=True)
    staging = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    try:
        for name, content in files:
            path = staging / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        if target.exists():
            for name in names:
                (target / name).parent.mkdir(parents=True, exist_ok=True)
                (staging / name).replace(target / name)
            # Sheets of an earlier, longer drawing would be read as part of this one.
            for old in target.glob("*.svg"):
                if _SHEET.fullmatch(old.name) and old.name not in names:
                    old.unlink()
        else:
            staging.chmod(0o755)
            staging.rename(target)
    finally:
        shutil.rmtree(staging, ignore_errors=True)
    return tuple(target / name for name in names)
