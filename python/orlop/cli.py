"""The command `orlop`.

Exit status: 0 done, 2 bad input, 3 findings of severity A (only `check` and `survey`, or with --strict), 70 a fault
of orlop itself.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import textwrap
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TextIO

import orlop
from orlop._demo import demo_names
from orlop._orlop import _schema, _starter
from orlop.errors import BoatFileError, InputError, InternalError, OrlopError

DONE, BAD_INPUT, SEVERE, INTERNAL = 0, 2, 3, 70
WIDTH = 100
COLOURS = {"A": "\033[1;31m", "B": "\033[33m", "C": "\033[36m"}
SEVERITY = {"A": "act before use", "B": "act soon", "C": "good practice"}


PROVE_OPTIONS = {
    "rated": "rated capacity: '230 Ah'",
    "full": "how far full may have been off, as a share; without it there is a lower bound only",
    "empty": "how far empty may have been off, as a share",
    "stop-cell": "volts of the first cell that ended the discharge",
    "stop-bank": "volts of the bank that ended the discharge",
    "stop-indicated": "percentage of the monitor that ended the discharge",
    "gain": "limit of the current meter's error in proportion: '0.5 %%'",
    "offset": "limit of its error at zero: '50 mA'",
    "clock": "limit of the clock's error in proportion",
    "thermometer": "limit of the thermometer's error: '1 K'",
    "cell-meter": "limit of the cell meter's error: '5 mV'",
    "temperature-coefficient": "capacity per kelvin: '0.25 %%'",
    "coefficient-within": "limits of that coefficient, to both sides",
    "reference": "temperature that the result is stated at (25 degC)",
    "instrument": "name of the instrument",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit status."""
    options = _parser().parse_args(arguments)
    try:
        status: int = options.run(options)
        sys.stdout.flush()
        return status
    except InternalError as error:
        return _report(error, INTERNAL, options.json)
    except OrlopError as error:
        return _report(error, BAD_INPUT, options.json)
    except BrokenPipeError:
        # Whoever read our output has read enough.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as error:
        name = f"{error.filename}: " if error.filename else ""
        return _report(
            InputError(f"{name}{error.strerror or error}", field=str(error.filename or "")),
            BAD_INPUT,
            options.json,
        )
    except KeyboardInterrupt:
        return 130
    except Exception as error:  # the last line of defence
        traceback.print_exc()
        return _report(
            InternalError(f"internal: {error!r}; please report it with the input that led here"),
            INTERNAL,
            options.json,
        )


def _report(error: OrlopError, status: int, as_json: bool) -> int:
    if as_json:
        told: dict[str, Any] = {
            "code": error.code,
            "message": str(error),
            "field": error.field,
            "got": error.got,
            "expected": error.expected,
            "hint": error.hint,
        }
        if isinstance(error, BoatFileError):
            told["problems"] = [problem._asdict() for problem in error.problems]
        print(json.dumps({"orlop": orlop.__version__, "error": told}, indent=2, ensure_ascii=False))
    else:
        print(error if isinstance(error, BoatFileError) else f"orlop: {error}", file=sys.stderr)
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="orlop",
        description="Direct-current electrics of a small boat: survey, size, protect, prove.",
        epilog="FILE is a boat file, '-' for standard input, or demo:NAME for a boat that comes with orlop: "
        + ", ".join(demo_names()),
    )
    parser.add_argument("--version", action="version", version=f"orlop {orlop.__version__}, data {orlop.DATA_EDITION}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def command(name: str, run: Callable[[argparse.Namespace], int], text: str) -> argparse.ArgumentParser:
        one = commands.add_parser(name, help=text, description=text)
        one.set_defaults(run=run)
        one.add_argument("--json", action="store_true", help="print JSON for programs")
        return one

    new = command("new", _new, "write a commented boat file for you to fill")
    new.add_argument("file", metavar="FILE")
    new.add_argument("--name", help="name of the boat; the file's name unless given")
    new.add_argument("--force", action="store_true", help="replace a file that is there")

    check = command("check", _check, "read and size a boat, print its findings; exit status 3 if any is of severity A")
    check.add_argument("file", metavar="FILE")

    size = command("size", _size, "size every conductor and device, print a summary")
    size.add_argument("file", metavar="FILE")
    size.add_argument("--table", metavar="NAME", help="print one table as CSV instead: circuits, loads, findings, ...")

    papers = command("papers", _papers, "write the report, the diagram, the tables and the JSON")
    papers.add_argument("file", metavar="FILE")
    papers.add_argument("--out", required=True, metavar="DIR", help="folder for the papers")
    papers.add_argument("--date", metavar="YYYY-MM-DD", help="date printed on the papers; none unless given")

    survey = command(
        "survey", _survey, "report on a boat as it was found; exit status 3 if any finding is of severity A"
    )
    survey.add_argument("file", metavar="FILE")
    part = survey.add_mutually_exclusive_group()
    part.add_argument(
        "--table",
        metavar="NAME",
        help="print one table as CSV instead: survey, found, insurer_extract, resurvey, ...",
    )
    part.add_argument("--extract", action="store_true", help="print only what goes to an insurer")
    survey.add_argument("--since", metavar="EARLIER", help="file of an earlier visit: tell what has changed")
    survey.add_argument("--out", metavar="DIR", help="folder for the report, the extract and their tables")
    survey.add_argument("--date", metavar="YYYY-MM-DD", help="date printed on the papers; none unless given")

    fault = command("fault", _fault, "look for the cause of a fault, and say what to measure next")
    fault.add_argument("file", metavar="FILE")
    fault.add_argument(
        "--symptom",
        action="append",
        default=[],
        metavar="TEXT",
        help="what was noticed, and at what: 'weak load.F1', 'dims load.F3 when load.F5'; words: dead, weak, trips, "
        "hot, intermittent, drains, dims, cuts-off, live, works; may be given several times",
    )
    fault.add_argument(
        "--reading",
        action="append",
        default=[],
        metavar="TEXT",
        help="what was read or tried: 'voltage load.F1 = 21.9 V', 'drop circuit.F1 negative = 0.31 V +- 2 mV', "
        "'look circuit.F1 = whole'; may be given several times",
    )
    fault.add_argument("--table", metavar="NAME", help="print one table as CSV instead: causes or next_measurements")

    for one in (size, papers):
        one.add_argument("--strict", action="store_true", help="exit status 3 on findings of severity A")

    explain = command("explain", _explain, "show how a number was found")
    explain.add_argument("file", metavar="FILE")
    explain.add_argument("address", metavar="ADDRESS", help="such as circuit.F5.conductor")

    prove = command("prove", _prove, "read the log of a discharge and say what capacity it proves")
    prove.add_argument("log", metavar="LOG", help="delimited text with a head, of any length; '-' for standard input")
    prove.add_argument("--boat", metavar="FILE", help="boat file, for the rated capacity of its house bank")
    prove.add_argument("--share", default="80 %", metavar="SHARE", help="share of the rating that must be kept (80 %%)")
    prove.add_argument("--coverage", default="95 %", metavar="SHARE", help="probability of the interval (95 %%)")
    for name, text in PROVE_OPTIONS.items():
        prove.add_argument(f"--{name}", metavar="VALUE", help=text)
    reading = prove.add_argument_group("reading the file")
    reading.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="WHAT=NAME",
        help="a column by name, a unit in brackets may follow: --column 'current=I [mA]'; "
        "WHAT is time, date, current, voltage, temperature, indicated or cell",
    )
    reading.add_argument("--separator", metavar="MARK", help="mark between columns: , ; | or tab")
    reading.add_argument("--decimal", metavar="MARK", help="mark of decimals: . or ,")
    reading.add_argument("--sign", help="detect, discharge-positive or charge-positive")
    reading.add_argument("--mean-since-start", action="store_true", help="currents are means since the row before")

    command("sources", _sources, "list every source that the numbers rest on")
    command("schema", _print_schema, "print the JSON Schema of boat files")
    return parser


# --- the commands ---------------------------------------------------------------------------------------------


def _new(options: argparse.Namespace) -> int:
    path = Path(options.file)
    text = _starter(options.name or path.stem)
    try:
        with path.open("w" if options.force else "x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(
            f"FILE: '{path}' is there already; choose another name, or --force to replace it",
            field="FILE",
            got=str(path),
            expected="a name that is free",
            hint="--force replaces it",
        ) from None
    if options.json:
        _print_json({"file": str(path)})
    else:
        print(f"wrote {path}; fill it in, then: orlop check {path}")
    return DONE


def _check(options: argparse.Namespace) -> int:
    design = _read(options.file).size()
    if options.json:
        _print_json(_overview(design))
    else:
        _print_findings(design, most=None)
    return SEVERE if _severe(design) else DONE


def _size(options: argparse.Namespace) -> int:
    design = _read(options.file).size()
    if options.table:
        table = design.table(options.table)
        if options.json:
            _print_json({"table": table.name, "units": table.units, "rows": table.to_dicts()})
        else:
            _print_csv(table)
    elif options.json:
        print(design.to_json(), end="")
    else:
        _print_summary(design)
    return SEVERE if options.strict and _severe(design) else DONE


def _papers(options: argparse.Namespace) -> int:
    design = _read(options.file).size()
    written = design.papers(options.out, date=options.date)
    if options.json:
        _print_json({**_overview(design), "papers": [str(path) for path in written]})
    else:
        _print_summary(design)
        print(f"\nPapers in {Path(options.out)}")
        names = [path.relative_to(options.out) for path in written]
        files = ", ".join(str(name) for name in names if len(name.parts) == 1)
        for line in textwrap.wrap(files, WIDTH - 2, break_long_words=False, break_on_hyphens=False):
            print(f"  {line}")
        print(f"  tables{os.sep} ({sum(len(name.parts) > 1 for name in names)} tables as CSV)")
    return SEVERE if options.strict and _severe(design) else DONE


def _survey(options: argparse.Namespace) -> int:
    if options.file == options.since == "-":
        raise InputError(
            "--since: got '-' for both visits, expected standard input for one of them at most; name the other file",
            field="--since",
            got="-",
            expected="standard input for one visit at most",
            hint="name the other file",
        )
    survey = _read(options.file).survey()
    since = survey.compared_with(_read(options.since).survey()) if options.since else None
    severe = any(finding.severity == "A" for finding in survey.findings)
    if options.out:
        written = (since or survey).papers(options.out, date=options.date)
        if options.json:
            _print_json({"papers": [str(path) for path in written]})
        else:
            print(since or survey)
            print(f"Papers in {Path(options.out)}: {', '.join(path.name for path in written)}")
    elif options.table or options.extract:
        table = _survey_table(survey, since, options.table or "insurer_extract")
        if options.json:
            _print_json({"table": table.name, "units": table.units, "rows": table.to_dicts()})
        elif options.table:
            _print_csv(table)
        else:
            _print_extract(table)
    elif options.json:
        _print_json(
            {
                "orlop": orlop.__version__,
                "data_edition": orlop.DATA_EDITION,
                "boat": survey.boat.name,
                "rules": survey.boat.rules,
                "findings": [finding.to_dict() for finding in survey.findings],
                "undecided": [finding.to_dict() for finding in survey.undecided],
                "observations": survey.observations,
                "not_opened": survey.not_opened,
                "not_tested": survey.not_tested,
                "confirmations": survey.confirmations,
                **({"since": since.dates[0], "resurvey": since.table().to_dicts()} if since else {}),
            }
        )
    else:
        if since:
            _print_since(since)
        _print_survey(survey)
    return SEVERE if severe else DONE


def _survey_table(survey: orlop.Survey, since: orlop.Resurvey | None, name: str) -> orlop.Table:
    if name == "insurer_extract" and since:
        return since.insurer_extract()
    if name != "resurvey":
        return survey.table(name)
    if since is None:
        raise InputError(
            "table: got 'resurvey' for one visit, expected two; add --since with the file of the earlier visit",
            field="table",
            got="resurvey",
            expected="two visits",
            hint="--since EARLIER",
        )
    return since.table()


def _fault(options: argparse.Namespace) -> int:
    fault = _read(options.file).find_fault(symptoms=options.symptom, readings=options.reading)
    if options.table:
        table = fault.table(options.table)
        if options.json:
            _print_json({"table": table.name, "units": table.units, "rows": table.to_dicts()})
        else:
            _print_csv(table)
    elif options.json:
        _print_json(
            {
                "orlop": orlop.__version__,
                "boat": fault.boat.name,
                "symptoms": fault.symptoms,
                "readings": fault.readings,
                "switched_on": fault.switched_on,
                "verdict": fault.verdict,
                "decided": fault.decided,
                "explained": fault.explained,
                "missing_bits": fault.missing_bits,
                "causes": fault.table("causes").to_dicts(),
                "next_measurements": fault.table("next_measurements").to_dicts(),
                "cautions": fault.cautions,
            }
        )
    else:
        _print_fault(fault)
    return DONE


def _explain(options: argparse.Namespace) -> int:
    working = _read(options.file).size().explain(options.address)
    if options.json:
        _print_json(working.to_dict())
    else:
        print(working, end="")
    return DONE


def _prove(options: argparse.Namespace) -> int:
    log = orlop.DischargeLog.read(
        options.log,
        columns=_columns(options.column),
        separator=options.separator,
        decimal=options.decimal,
        sign=options.sign,
        mean_since_start=options.mean_since_start,
    )
    given = {name.replace("-", "_"): getattr(options, name.replace("-", "_")) for name in PROVE_OPTIONS}
    if options.boat is not None and given["rated"] is None:
        given["rated"] = _read(options.boat).capacity
    if given["rated"] is None:
        if options.boat is not None or any(value is not None for value in given.values()):
            raise InputError(
                "rated: got none, expected the rated capacity of the bank; try --rated '230 Ah', "
                "or a boat file that states it",
                field="rated",
                got="none",
                expected="the rated capacity of the bank",
                hint="--rated '230 Ah'",
            )
        return _tell_log(log, None, options)
    return _tell_log(log, log.capacity_test(**given), options)


def _columns(pairs: Sequence[str]) -> dict[str, str | Sequence[str]]:
    """Columns by what they hold, from WHAT=NAME."""
    named: dict[str, list[str]] = {}
    for pair in pairs:
        what, mark, name = pair.partition("=")
        if not mark:
            raise InputError(
                f"column: got '{pair}', expected WHAT=NAME, such as 'current=I [mA]'",
                field="column",
                got=pair,
                expected="WHAT=NAME",
            )
        named.setdefault(what.strip(), []).append(name)
    return {what: names if len(names) > 1 else names[0] for what, names in named.items()}


def _tell_log(log: orlop.DischargeLog, test: orlop.CapacityTest | None, options: argparse.Namespace) -> int:
    def number(quantity: Any, unit: str) -> float | None:
        return None if quantity is None else float(quantity.to(unit).magnitude)

    told: dict[str, Any] = {
        "orlop": orlop.__version__,
        "log": {
            "charge_ah": number(log.charge, "A*h"),
            "energy_wh": number(log.energy, "W*h"),
            "duration_h": number(log.duration, "h"),
            "mean_current_a": number(log.mean_current, "A"),
            "mean_temperature_degc": number(log.mean_temperature, "degC"),
            "sign": log.sign,
            "cells": log.cells,
            "notes": log.notes,
        },
    }
    verdict = None
    if test is not None:
        bounds = test.bounds(options.coverage)
        verdict = test.against_rated(options.share, coverage=options.coverage)
        told["test"] = {
            "capacity_ah": number(test.capacity, "A*h"),
            "low_ah": number(bounds.low, "A*h"),
            "high_ah": number(bounds.high, "A*h"),
            "coverage": options.coverage,
            "standard_uncertainty_ah": number(test.uncertainty, "A*h"),
            "budget_ah": {name: number(effect, "A*h") for name, effect in test.budget.items()},
            "why": test.why,
            "knees": test.knees,
            "smallest_cell": test.smallest_cell,
            "most_resistive_cell": test.most_resistive_cell,
            "monitor_setting_ah": number(test.monitor_setting, "A*h"),
            "flags": test.flags,
            "verdict": verdict.to_dict(),
        }
    if options.json:
        _print_json(told)
        return DONE
    shown = told["log"]
    line = f"{shown['charge_ah']:.1f} Ah in {shown['duration_h']:.2f} h, {shown['mean_current_a']:.1f} A in the mean"
    line += "" if shown["energy_wh"] is None else f", {shown['energy_wh']:.0f} Wh"
    line += "" if shown["mean_temperature_degc"] is None else f", {shown['mean_temperature_degc']:.1f} degC"
    print(line)
    print(f"  {shown['sign']}")
    if test is None or verdict is None:
        print("No rated capacity was given (--rated or --boat), so nothing is judged.")
    else:
        _print_wrapped(f"{verdict.verdict}: {verdict.what}", "")
        parts = {name: ah for name, ah in told["test"]["budget_ah"].items() if ah}
        for name, effect in sorted(parts.items(), key=lambda part: -part[1]):
            print(f"  {name:<26}{effect:>8.2f} Ah")
        for what, cell in [("smallest", test.smallest_cell), ("most resistive", test.most_resistive_cell)]:
            if cell is not None:
                print(f"  {what} cell: {cell}")
    for remark in dict.fromkeys([*(test.flags if test else ()), *log.notes]):
        _print_wrapped(f"- {remark}", "  ")
    return DONE


def _print_wrapped(text: str, indent: str) -> None:
    for line in textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  "):
        print(line)


def _sources(options: argparse.Namespace) -> int:
    rows = orlop.sources().to_dicts()
    if options.json:
        _print_json({"sources": rows})
        return DONE
    for row in rows:
        edition = f":{row['edition']}" if row["edition"] else ""
        place = f", {row['place']}" if row["place"] else ""
        print(f"{row['document']}{edition}{place}")
        print(f"    {row['title']}")
        print(f"    {row['confidence']}; {row['reading']} [{row['id']}]")
    return DONE


def _print_schema(options: argparse.Namespace) -> int:
    print(_schema())
    return DONE


# --- what they share ------------------------------------------------------------------------------------------


def _read(name: str) -> orlop.Boat:
    if name.startswith("demo:"):
        return orlop.demo_boat(name.removeprefix("demo:"))
    if name == "-":
        return orlop.Boat.from_text(sys.stdin.buffer.read(), "standard input")
    return orlop.Boat.load(name)


def _severe(design: orlop.Design) -> bool:
    return any(finding.severity == "A" for finding in design.findings)


def _counts(design: orlop.Design) -> dict[str, int]:
    return {severity: sum(f.severity == severity for f in design.findings) for severity in SEVERITY}


def _overview(design: orlop.Design) -> dict[str, Any]:
    return {
        "orlop": orlop.__version__,
        "data_edition": orlop.DATA_EDITION,
        "boat": design.boat.name,
        "rules": design.boat.rules,
        "counts": _counts(design),
        "findings": [finding.to_dict() for finding in design.findings],
    }


def _print_json(value: Any) -> None:
    print(json.dumps(value, indent=2, ensure_ascii=False))


def _print_csv(table: orlop.Table) -> None:
    import csv

    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(table.columns)
    for row in table.to_dicts():
        writer.writerow("" if cell is None else cell for cell in row.values())


def _colour(stream: TextIO) -> bool:
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _mark(severity: str) -> str:
    return f"{COLOURS[severity]}{severity}\033[0m" if _colour(sys.stdout) else severity


def _print_summary(design: orlop.Design) -> None:
    boat = design.boat
    circuits = design.table("circuits").to_dicts()
    mass = sum(row["mass_kg"] or 0.0 for row in circuits)
    chosen = sum(row["conductor_origin"] == "chosen" for row in circuits)
    missing = sum(row["device"] in (None, "") for row in circuits)
    print(boat)
    print(f"  {len(circuits)} circuits, {chosen} conductors chosen and {len(circuits) - chosen} given,", end=" ")
    print(f"{mass:.0f} kg of cable, {missing} without a device")
    print("\nHeaviest conductors")
    for row in sorted(circuits, key=lambda row: -(row["area_mm2"] or 0.0))[:5]:
        print(
            f"  {row['id']:<6} {row['conductor'] or '':<9} {row['design_current_a'] or 0.0:>6.1f} A"
            f"  {row['one_way_m'] or 0.0:>6.2f} m one way  {row['governed_by'] or '':<11} {row['name'] or ''}"[:WIDTH]
        )
    print()
    _print_findings(design, most=12)


def _print_survey(survey: orlop.Survey) -> None:
    print(survey.boat)
    counts = {s: sum(finding.severity == s for finding in survey.findings) for s in SEVERITY}
    print("Findings: " + ", ".join(f"{count} {s} ({SEVERITY[s]})" for s, count in counts.items()))
    for finding in (*survey.findings, *survey.undecided):
        readings = f" [{', '.join(finding.readings)}]" if finding.readings else ""
        head = f"{finding.place}{readings}, {finding.evidence}"
        undecided = ", cannot be decided" if finding.verdict == "undecided" else ""
        print(f"\n  {_mark(finding.severity)} {finding.number:>2}  {head}{undecided}"[: WIDTH + 9])
        for label, text in (
            ("found", finding.deficiency),
            ("risk", finding.risk),
            ("correction", finding.correction),
            ("standard", finding.standard),
        ):
            lines = textwrap.wrap(text, WIDTH - 20)
            for at, line in enumerate(lines):
                print(f"        {label if at == 0 else '':<10}  {line}")
    for title, notes in (
        ("Observations", survey.observations),
        ("Not opened", survey.not_opened),
        ("Not tested", survey.not_tested),
        ("In order", survey.confirmations),
    ):
        if notes:
            print(f"\n{title}")
        for note in notes:
            print(textwrap.fill(note, WIDTH - 4, initial_indent="  - ", subsequent_indent="    "))


def _print_since(since: orlop.Resurvey) -> None:
    print(f"Since the visit of {since.dates[0]}, on {since.dates[1]}")
    for title, lines in (
        ("New since then", since.new),
        ("Still open", since.open),
        ("Could not be decided this time", since.undecided),
        ("Not looked at this time, counted as open", since.not_checked),
        ("Put right", since.resolved),
        ("In order on both visits", since.in_order),
    ):
        if lines:
            print(f"\n{title}")
        for line in lines:
            print(textwrap.fill(line, WIDTH - 4, initial_indent="  - ", subsequent_indent="    "))
    print()


def _print_extract(table: orlop.Table) -> None:
    titles = {
        "vessel": "Vessel",
        "inspection": "Inspection",
        "bank": "Bank",
        "protection": "Protection",
        "open": "Open findings of severity A and B",
        "closed": "Put right",
        "in-order": "Looked at and in order",
    }
    last = None
    for row in table.to_dicts():
        if row["part"] != last:
            last = row["part"]
            print(f"{titles[last]}")
        mark = f"{_mark(row['severity'])} " if row["severity"] else ""
        days = f" [reported {row['reported']}" if row["reported"] else ""
        days += f", in order {row['closed']}]" if row["closed"] else "]" if days else ""
        lines = [f"{mark}{row['item']}: {row['text']}{days}"]
        if last == "open":
            lines += [f"  {label}: {row[label]}" for label in ("risk", "correction", "standard")]
        for at, line in enumerate(lines):
            lead = "  - " if at == 0 else "    "
            print(textwrap.fill(line, WIDTH - 4, initial_indent=lead, subsequent_indent="    "))


def _print_fault(fault: orlop.Diagnosis) -> None:
    _print_wrapped(fault.verdict, "")
    print("\nCauses")
    rows = fault.table("causes").to_dicts()
    for row in [row for row in rows if row["probability_percent"] >= 1] or rows[:3]:
        size = "" if row["value"] is None else f"; {row['magnitude']} {_between(row)}"
        heat = "" if row["heat_now_w"] is None else f"; {row['heat_now_w']:.2g} W in it now"
        full = "" if row["heat_full_w"] is None else f", {row['heat_full_w']:.2g} W at full load"
        chance = row["probability_percent"]
        shown = "> 99 %" if chance > 99.5 else f"{chance:.0f} %"
        _print_wrapped(f"{shown:>6}  {row['what']}{size}{heat}{full}", "  ")
    print(f"  what puts the first right: {rows[0]['remedy']}")
    steps: dict[int, list[dict[str, Any]]] = {}
    for row in fault.table("next_measurements").to_dicts():
        steps.setdefault(row["number"], []).append(row)
    if steps:
        print(f"\nNext, with {fault.switched_on} on where it says switched on")
    for number, outcomes in steps.items():
        first = outcomes[0]
        told = f"{first['bits']:.2f} bits in about {first['minutes']:g} min"
        _print_wrapped(f"{number}. {first['how']} ({told})", "  ")
        for row in outcomes:
            _print_wrapped(f"{row['outcome']}: {row['means']} ({row['then_percent']:.0f} %)", "       ")
        print(f"       answer with --reading '{first['measurement']} = ...'")
    print("\nCautions")
    for caution in fault.cautions:
        _print_wrapped(f"- {caution}", "  ")


def _between(row: dict[str, Any]) -> str:
    unit = f" {row['unit']}" if row["unit"] else ""
    return f"{row['value']:.3g}{unit} ({row['low']:.3g} to {row['high']:.3g})"


def _print_findings(design: orlop.Design, most: int | None) -> None:
    counts = _counts(design)
    counted = ", ".join(f"{count} {s} ({SEVERITY[s]})" for s, count in counts.items())
    passed = sum(judgement.verdict == "pass" for judgement in design.judgements)
    print(f"Findings: {counted}; {passed} checks passed")
    shown = design.findings if most is None else design.findings[:most]
    for finding in shown:
        told = f"{finding.subject}: {finding.what}"
        lines = textwrap.wrap(told, WIDTH - 4, max_lines=None if most is None else 2, placeholder=" ...")
        print(f"  {_mark(finding.severity)} {lines[0]}")
        for line in lines[1:]:
            print(f"    {line}")
        if most is None and finding.to_do:
            for line in textwrap.wrap(f"do: {finding.to_do}", WIDTH - 6):
                print(f"      {line}")
    if len(shown) < len(design.findings):
        print(f"  and {len(design.findings) - len(shown)} more: orlop check {design.boat.path}")
