"""The command line, run as people run it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import orlop
from orlop.cli import main

ROOT = Path(__file__).resolve().parents[2]
BAD = sorted(path for path in (ROOT / "tests" / "bad").iterdir() if path.name != "expected.toml")


def run(*arguments: object, stdin: bytes | None = None, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "orlop", *map(str, arguments)],
        input=stdin,
        capture_output=True,
        env={**os.environ, "PYTHONWARNINGS": "error", **environment},
        timeout=120,
    )


def test_new_check_size_papers_explain(tmp_path: Path) -> None:
    boat = tmp_path / "mine.toml"
    made = run("new", boat, "--name", "Mine")
    assert made.returncode == 0, made.stderr
    assert run("new", boat).returncode == 2
    assert orlop.Boat.load(boat).name == "Mine"
    checked = run("check", boat)
    assert checked.returncode in (0, 3), checked.stderr
    assert b"Findings:" in checked.stdout
    sized = run("size", boat)
    assert sized.returncode == 0
    assert b"Heaviest conductors" in sized.stdout
    out = tmp_path / "out"
    written = run("papers", boat, "--out", out, "--date", "2026-11-25")
    assert written.returncode == 0, written.stderr
    assert (out / "report.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert json.loads((out / "boat.json").read_text(encoding="utf-8"))["boat"] == "Mine"
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_the_demo_boat_has_its_papers(tmp_path: Path) -> None:
    done = run("papers", "demo:dunlin", "--out", tmp_path / "dunlin")
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) <= 60
    lines = [line for line in done.stdout.decode().splitlines() if str(tmp_path) not in line]
    assert max(map(len, lines)) <= 110, lines
    names = {p.relative_to(tmp_path / "dunlin").as_posix() for p in (tmp_path / "dunlin").rglob("*") if p.is_file()}
    assert {"report.html", "boat.json", "tables/circuits.csv", "tables/findings.csv"} <= names
    for drawing in ("one-line", "waterfall", "coordination", "windows"):
        assert any(re.fullmatch(rf"{drawing}(-\d+)?\.svg", name) for name in names)


def test_every_packaged_boat_runs() -> None:
    for path in sorted((ROOT / "python" / "orlop" / "boats").glob("*.toml")):
        done = run("size", f"demo:{path.stem}")
        assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("command", ["check", "size", "explain"])
def test_json_is_json(command: str) -> None:
    done = run(command, "demo:dunlin", *(["circuit.F5.conductor"] if command == "explain" else []), "--json")
    assert done.returncode == (3 if command == "check" and json.loads(done.stdout)["counts"]["A"] else 0)
    assert json.loads(done.stdout)


def test_explain_names_sources() -> None:
    done = run("explain", "demo:dunlin", "circuit.F5.conductor")
    assert done.returncode == 0, done.stderr
    assert re.search(rb"\[[A-Z]+ ?[\dA-Z]", done.stdout)


def test_explain_of_an_unknown_address_says_what_there_is() -> None:
    done = run("explain", "demo:dunlin", "circuit.NONE.conductor")
    assert done.returncode == 2
    assert b"circuit" in done.stderr
    assert b"Traceback" not in done.stderr


def test_sources_and_schema() -> None:
    listed = run("sources")
    assert listed.returncode == 0
    assert b"33 CFR 183.425" in listed.stdout
    assert len(json.loads(run("sources", "--json").stdout)["sources"]) > 20
    schema = json.loads(run("schema").stdout)
    assert schema["properties"]["format"]


def test_severity_a_sets_the_exit_status(dunlin: orlop.Design) -> None:
    severe = any(finding.severity == "A" for finding in dunlin.findings)
    expected = 3 if severe else 0
    assert run("check", "demo:dunlin").returncode == expected
    assert run("size", "demo:dunlin", "--strict").returncode == expected
    assert run("size", "demo:dunlin").returncode == 0


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.name)
def test_bad_files(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["papers", str(path), "--out", str(tmp_path / "out")]) == 2
    assert not list(tmp_path.iterdir()), "no partial papers"
    said = capsys.readouterr()
    assert said.out == ""
    assert path.name in said.err
    assert "Traceback" not in said.err
    assert main(["check", str(path), "--json"]) == 2
    error = json.loads(capsys.readouterr().out)["error"]
    assert error["code"] == "boat-file"
    assert error["problems"][0]["line"] >= 1


def test_a_bad_file_as_people_see_it(tmp_path: Path) -> None:
    done = run("papers", ROOT / "tests" / "bad" / "bare_number.toml", "--out", tmp_path / "out")
    assert done.returncode == 2
    assert b"bare_number.toml:5:11" in done.stderr
    assert b"expected a voltage" in done.stderr
    assert not list(tmp_path.iterdir())


def test_the_command_line_needs_no_units_library() -> None:
    code = "import sys; from orlop.cli import main; main(['size', 'demo:dunlin']); assert 'pint' not in sys.modules"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True).returncode == 0


def test_ten_megabytes_of_noise(tmp_path: Path) -> None:
    import random

    noise = tmp_path / "noise.toml"
    noise.write_bytes(random.Random(1).randbytes(10_000_000))
    assert run("check", noise).returncode == 2
    noise.write_text("".join(chr(random.Random(2).randrange(32, 127)) for _ in range(50)) * 100_000)
    assert run("check", noise).returncode == 2


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", "no/such/file.toml"),
        ("check", "."),
        ("check", "demo:none"),
        ("size", "demo:dunlin", "--table", "none"),
        ("papers", "demo:dunlin", "--out", "/dev/null/x"),
        ("papers", "demo:dunlin", "--out", "x", "--date", "yesterday"),
        ("frobnicate",),
        (),
    ],
)
def test_bad_arguments(arguments: tuple[str, ...], tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-m", "orlop", *arguments], capture_output=True, cwd=tmp_path, timeout=120)
    assert done.returncode == 2, done.stderr
    assert done.stderr
    assert b"Traceback" not in done.stderr
    assert not list(tmp_path.iterdir())


def test_standard_input_and_tables(dunlin: orlop.Design) -> None:
    done = run("size", "-", "--table", "circuits", stdin=dunlin.boat.text.encode())
    assert done.returncode == 0
    lines = done.stdout.decode().splitlines()
    assert tuple(lines[0].split(",")) == dunlin.table("circuits").columns
    assert len(lines) == 1 + len(dunlin.table("circuits"))


def test_no_colour_when_nobody_looks() -> None:
    assert b"\033" not in run("check", "demo:dunlin", TERM="xterm").stdout


def test_papers_replace_those_of_before(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("papers", "demo:dunlin", "--out", out).returncode == 0
    before = {p: p.read_bytes() for p in out.rglob("*") if p.is_file()}
    (out / "my own notes.txt").write_text("keep")
    for old in ("one-line-9.svg", "coordination-9.svg"):
        (out / old).write_text("a sheet of an earlier drawing")
    (out / "coordination-mine.svg").write_text("keep")
    assert run("papers", "demo:dunlin", "--out", out).returncode == 0
    assert {p: p.read_bytes() for p in before} == before
    assert (out / "my own notes.txt").read_text() == "keep"
    assert (out / "coordination-mine.svg").read_text() == "keep"
    assert not (out / "one-line-9.svg").exists()
    assert not (out / "coordination-9.svg").exists()


def test_a_closed_pipe_is_no_error() -> None:
    done = subprocess.run(f"{sys.executable} -m orlop sources | head -1", shell=True, capture_output=True)
    assert done.stdout
    assert done.stderr == b""
