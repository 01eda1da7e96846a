"""The table of published checks, made by running them.

    python tools/published.py            print it as Markdown
    python tools/published.py --write    put it into README.md between its markers

Each check prints one line `published|file|source|cells|worst|note`; this collects them.
"""

import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
BEGIN, END = "<!-- published checks: begin -->", "<!-- published checks: end -->"
LINE = re.compile(r"published\|([^|\n]*)\|([^|\n]*)\|([^|\n]*)\|([^|\n]*)(?:\|([^\n]*))?")
TESTS = ["--test", "published", "--test", "published_protection"]


def collect():
    """Run the checks; a failing one ends the program."""
    command = ["cargo", "test", "--locked", "-p", "orlop", *TESTS, "--", "--nocapture", "--test-threads=1"]
    run = subprocess.run(command, cwd=ROOT, text=True, capture_output=True, check=False)
    if run.returncode:
        sys.exit(run.stdout[-4000:] + run.stderr[-4000:])
    rows = {}
    for name, source, cells, worst, note in LINE.findall(run.stdout):
        rows[name] = (source.strip(), int(cells), worst.strip(), (note or "").strip())
    return [(name, *rows[name]) for name in sorted(rows, key=lambda n: (rows[n][0].lower(), n))]


def worst_text(worst):
    """`2.1e-16` and its like are rounding: say so in fewer digits."""
    try:
        number = float(worst)
    except ValueError:
        return worst
    return "exact" if number < 1e-12 else f"{100 * number:.2g} %"


def table(rows):
    """The rows as a Markdown table with their sum."""
    lines = ["| check | source | cells | worst error | remark |", "|---|---|---:|---|---|"]
    for name, source, cells, worst, note in rows:
        note = note.removeprefix("published:").strip()
        lines.append(f"| {name.replace(chr(95), chr(32))} | {source} | {cells} | {worst_text(worst)} | {note} |")
    lines.append(f"| **{len(rows)} checks** | | **{sum(r[2] for r in rows)}** | | |")
    return "\n".join(lines)


def main(arguments):
    text = table(collect())
    if "--write" in arguments:
        readme = ROOT / "README.md"
        before, rest = readme.read_text(encoding="utf-8").split(BEGIN)
        after = rest.split(END)[1]
        readme.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(sys.argv[1:])
