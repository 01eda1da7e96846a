"""The table of published checks, made by running them.

    python tools/published.py            prints it as Markdown
    python tools/published.py --write    puts it into README.md between its marks
    python tools/published.py --check    says whether README.md holds the table of today

Each check prints one line `published|file|source|cells|worst|note`; this collects them.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
BEGIN, END = "<!-- published checks: begin -->", "<!-- published checks: end -->"
LINE = re.compile(r"published\|([^|\n]*)\|([^|\n]*)\|([^|\n]*)\|([^|\n]*)(?:\|([^\n]*))?")
TESTS = ["--test", "published*"]

Row = tuple[str, str, int, str, str]


def collect() -> list[Row]:
    """Runs the checks and returns name, source, cells, worst and note of each; a failing check ends the program."""
    command = ["cargo", "test", "--locked", "--workspace", *TESTS, "--", "--nocapture", "--test-threads=1"]
    done = subprocess.run(command, cwd=ROOT, text=True, capture_output=True)
    if done.returncode:
        sys.exit(done.stdout[-4000:] + done.stderr[-4000:])
    rows = {
        name: (name, source.strip(), int(cells), worst.strip(), note.strip())
        for name, source, cells, worst, note in LINE.findall(done.stdout)
    }
    return sorted(rows.values(), key=lambda row: (row[1].lower(), row[0]))


def worst_text(worst: str) -> str:
    """A relative error as a percentage; `2.1e-16` and its like are rounding."""
    try:
        number = float(worst)
    except ValueError:
        return worst
    return "exact" if number < 1e-12 else f"{100 * number:.2g} %"


def table(rows: list[Row]) -> str:
    """The rows as a Markdown table with their sum."""
    lines = ["| check | source | cells | worst error | remark |", "|---|---|---:|---|---|"]
    for name, source, cells, worst, note in rows:
        remark = note.removeprefix("published:").strip()
        lines.append(f"| {name.replace('_', ' ')} | {source} | {cells} | {worst_text(worst)} | {remark} |")
    lines.append(f"| **{len(rows)} checks** | | **{sum(row[2] for row in rows)}** | | |")
    return "\n".join(lines)


def main() -> int:
    """Prints, writes or checks the table."""
    parser = argparse.ArgumentParser(description="The table of published checks, made by running them.")
    parser.add_argument("--write", action="store_true", help="put it into README.md")
    parser.add_argument("--check", action="store_true", help="compare it with README.md")
    options = parser.parse_args()
    made = table(collect())
    before, rest = README.read_text(encoding="utf-8").split(BEGIN)
    old, after = rest.split(END)
    if options.check and old.strip() != made:
        print("README.md does not hold the table of today: make published ARGS=--write")
        return 1
    if options.write:
        README.write_text(f"{before}{BEGIN}\n{made}\n{END}{after}", encoding="utf-8")
    print(made)
    return 0


if __name__ == "__main__":
    sys.exit(main())
