"""Collects the lines `published|file|source|cells|worst|note` that the tests against outside sources print.

    python tools/published.py            prints the table
    python tools/published.py --write    puts it between the marks in README.md
    python tools/published.py --check    says whether README.md holds the table of today
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
BEGIN, END = "<!-- published: made by `make published ARGS=--write` -->", "<!-- /published -->"


def lines() -> list[list[str]]:
    """Runs the tests and returns the fields of each line, ordered by file."""
    command = ["cargo", "test", "--locked", "--quiet", "--workspace", "--test", "published*", "--", "--nocapture"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    if done.returncode != 0:
        sys.stderr.write(done.stdout + done.stderr)
        raise SystemExit(done.returncode)
    # Tests run side by side, so a line may begin behind the mark of another test.
    found = {line[line.index("published|") :] for line in done.stdout.splitlines() if "published|" in line}
    return sorted(line.split("|")[1:] for line in found)


def table(rows: list[list[str]]) -> str:
    """The lines as a Markdown table."""
    out = ["| checked against | cells | worst difference | note |", "|---|---:|---:|---|"]
    total = 0
    for row in rows:
        _, source, cells, worst, note = (row + [""] * 5)[:5]
        total += int(cells)
        out.append(f"| {source} | {cells} | {worst} | {note} |")
    out.append(f"| **{len(rows)} sources** | **{total}** | | |")
    return "\n".join(out)


def main() -> int:
    """Prints, writes or checks the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--check", action="store_true")
    options = parser.parse_args()
    made = table(lines())
    text = README.read_text(encoding="utf-8")
    if not (options.write or options.check):
        print(made)
        return 0
    before, rest = text.split(BEGIN)
    old, after = rest.split(END)
    if options.check:
        if old.strip() == made:
            return 0
        print("README.md does not hold the table of today: make published ARGS=--write")
        return 1
    README.write_text(f"{before}{BEGIN}\n\n{made}\n\n{END}{after}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
