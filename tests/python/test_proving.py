"""Capacity tests from Python: columns in, verdict out. The numbers are proven in Rust."""

from __future__ import annotations

import json
import math
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import orlop

METER: dict[str, Any] = {"gain": "0.5 %", "offset": "50 mA", "cell_meter": "5 mV", "thermometer": "1 K"}
PROCEDURE: dict[str, Any] = {
    "rated": "230 Ah",
    "full": "0.4 %",
    "stop_cell": "2.8 V",
    "temperature_coefficient": "0.25 %",
    "coefficient_within": "0.10 %",
}


def simulate(capacity: float, *, seed: int = 1, gain: float = 0.0, step: float = 30.0) -> dict[str, Any]:
    """A bank of two cells under a load that comes and goes, read by a meter with noise; not the library's model."""
    rng = np.random.default_rng(seed)
    rows = int(1.2 * capacity / 36.0 * 3600.0 / step)
    time = np.arange(rows) * step
    current = np.where(np.sin(time / 900.0) > 0.5, 45.0, 36.0)
    drawn = np.concatenate([[0.0], np.cumsum(0.5 * (current[1:] + current[:-1])) * step / 3600.0])
    cells = {}
    for name, size, resistance in [("cell_a_v", capacity, 0.5e-3), ("cell_b_v", 1.02 * capacity, 0.9e-3)]:
        left = 1.0 - drawn / size
        cells[name] = 3.25 + 0.1 * left - 0.75 * np.exp(-(left + 0.0074) / 0.015) - current * resistance
    end = int(np.argmax(cells["cell_a_v"] <= 2.8)) + 1
    read = current * (1.0 + gain) + 0.1 * rng.standard_normal(rows)
    whole = {
        "time_s": time,
        "current_a": read,
        "voltage_v": cells["cell_a_v"] + cells["cell_b_v"],
        "temperature_degc": np.full(rows, 25.0),
        "indicated_percent": 100.0 * (1.0 - drawn / 230.0),
        **cells,
    }
    return {name: column[:end] for name, column in whole.items()}


def test_a_test_finds_the_capacity_and_the_weak_cells() -> None:
    test = orlop.DischargeLog(simulate(236.0)).capacity_test(**PROCEDURE, **METER)
    assert test.capacity is not None
    low, high = test.bounds()
    assert low is not None and high is not None
    assert low.to("A*h").magnitude < 236.0 < high.to("A*h").magnitude
    assert test.smallest_cell == "cell_a_v"
    assert test.most_resistive_cell == "cell_b_v"
    assert test.against_rated().verdict == "pass"
    assert "gain" in test.budget and "temperature coefficient" in test.budget
    assert test.explain().steps


def test_a_percentage_is_caught() -> None:
    columns = simulate(236.0)
    stop = int(np.argmax(columns["indicated_percent"] <= 20.0)) + 1
    log = orlop.DischargeLog({name: column[:stop] for name, column in columns.items()})
    test = log.capacity_test(rated="230 Ah", full="0.4 %", stop_indicated="20 %", **METER)
    assert test.capacity is None
    assert "repeat" in test.why and "no estimate" in test.sentence
    assert test.monitor_setting is not None
    assert math.isclose(test.monitor_setting.to("A*h").magnitude, 230.0, rel_tol=2e-3)
    assert test.bounds().high is None


def test_any_order_and_any_table() -> None:
    pyarrow = pytest.importorskip("pyarrow")
    columns = simulate(236.0)
    straight = orlop.DischargeLog(columns)
    order = np.random.default_rng(2).permutation(len(columns["time_s"]))
    mixed = orlop.DischargeLog(pyarrow.table({name: column[order] for name, column in columns.items()}))
    assert mixed.charge == straight.charge
    assert any("out of order" in note for note in mixed.notes)


def test_the_same_meter_sees_more() -> None:
    first = orlop.DischargeLog(simulate(236.0, gain=0.004)).capacity_test(**PROCEDURE, **METER)
    later = orlop.DischargeLog(simulate(234.0, gain=0.004, seed=2)).capacity_test(**PROCEDURE, **METER)
    same, apart = first.compare(later)
    assert same.endswith(": significant")
    assert apart.endswith("not yet significant")


@pytest.mark.parametrize(
    ("columns", "words"),
    [
        ({}, "one of time_s"),
        ({"time_s": [0, 1]}, "no column 'current_a'"),
        ({"time_s": [0, 1], "time_h": [0, 1], "current_a": [1, 1]}, "several time columns"),
        ({"time_s": [0], "current_a": [1]}, "1 usable row"),
        ({"time_s": [0, 1], "current_a": [1, 1], "amps": [1, 1]}, "a column 'amps'"),
        ({"time_s": [0, 1, 2], "current_a": [None, None, 1]}, "the first is row 1"),
        ({"time_s": [0, 1], "current_a": [0, 0]}, "a discharge"),
    ],
)
def test_bad_logs_are_named(columns: dict[str, Any], words: str) -> None:
    with pytest.raises(orlop.InputError, match=words):
        orlop.DischargeLog(columns)


def test_a_wrong_sign_is_an_error_when_it_was_stated() -> None:
    columns = simulate(236.0)
    columns["current_a"] = -columns["current_a"]
    assert orlop.DischargeLog(columns).sign.startswith("discharge negative")
    with pytest.raises(orlop.InputError, match="turn the sign"):
        orlop.DischargeLog(columns, sign="discharge-positive")


def test_bad_definitions_are_named() -> None:
    log = orlop.DischargeLog(simulate(236.0))
    with pytest.raises(orlop.InputError, match="at most one of"):
        log.capacity_test(rated="230 Ah", stop_cell="2.8 V", stop_bank="5.6 V")
    with pytest.raises(orlop.InputError, match="temperature_coefficient"):
        log.capacity_test(rated="230 Ah", reference="20 degC")
    with pytest.raises(orlop.InputError, match="gain"):
        log.capacity_test(rated="230 Ah", gain="-1 %")
    assert log.capacity_test(rated="230 Ah", stop_cell="2.8 V").capacity is None


def written(path: Path, columns: dict[str, Any], *, separator: str = ",", decimal: str = ".", end: str = "\n") -> Path:
    """The columns as a file."""
    rows = zip(*columns.values(), strict=True)
    lines = [separator.join(columns)]
    lines += [separator.join(repr(float(value)).replace(".", decimal) for value in row) for row in rows]
    path.write_bytes(end.join([*lines, ""]).encode())
    return path


def test_a_file_says_what_its_columns_say(tmp_path: Path) -> None:
    columns = simulate(236.0)
    straight = orlop.DischargeLog(columns)
    for kind in ({}, {"separator": ";", "decimal": ",", "end": "\r\n"}, {"separator": "\t"}):
        read = orlop.DischargeLog.read(written(tmp_path / "log.csv", columns, **kind))
        assert read.charge == straight.charge
        assert read.course == straight.course
        assert read.cells == ("cell_a_v", "cell_b_v")
        assert read.notes[0].startswith("columns parted by")
        again = pickle.loads(pickle.dumps(read))
        assert again == read and again.notes == read.notes


def test_a_file_is_read_by_names(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("t|I|a|b\n0|36000|3300|3,2\n5|36000|2800|3,1\n")
    columns = {"time": "t [h]", "current": "I [mA]", "cell": ["a [mV]", "b [V]"]}
    read = orlop.DischargeLog.read(path, columns=columns, separator="|", decimal=",", sign="discharge-positive")
    assert read.charge.to("A*h").magnitude == pytest.approx(180.0)
    assert read.course["a"] == [3.3, 2.8]
    with pytest.raises(orlop.InputError, match="one of time, date, current"):
        orlop.DischargeLog.read(path, columns={"amps": "I"})
    with pytest.raises(orlop.InputError, match="separator"):
        orlop.DischargeLog.read(path, separator=";;")
    with pytest.raises(FileNotFoundError):
        orlop.DischargeLog.read(tmp_path / "none.csv")
    with pytest.raises(IsADirectoryError):
        orlop.DischargeLog.read(tmp_path)


def prove(*arguments: object, stdin: bytes | None = None) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "orlop", "prove", *map(str, arguments)]
    return subprocess.run(command, input=stdin, capture_output=True, timeout=120)


PROVE = ["--rated", "230 Ah", "--full", "0.4 %", "--stop-cell", "2.8 V", "--gain", "0.5 %", "--cell-meter", "5 mV"]


def test_the_command_proves_a_bank(tmp_path: Path) -> None:
    path = written(tmp_path / "log.csv", simulate(236.0), separator=";", decimal=",")
    done = prove(path, *PROVE)
    assert done.returncode == 0, done.stderr
    said = done.stdout.decode()
    assert "pass: " in said and "of the rated 230 Ah" in said and "smallest cell: cell_a_v" in said
    assert max(map(len, said.splitlines())) <= 100
    told = json.loads(prove("-", *PROVE, "--json", stdin=path.read_bytes()).stdout)
    test = told["test"]
    assert test["low_ah"] < 236.0 < test["high_ah"]
    assert test["verdict"]["verdict"] == "pass"
    assert test["knees"] == ["cell_a_v", "cell_b_v"]
    assert math.isclose(test["monitor_setting_ah"], 230.0, rel_tol=2e-3)
    plain = prove(path)
    assert plain.returncode == 0 and b"nothing is judged" in plain.stdout


def test_the_command_takes_the_rating_from_the_boat(tmp_path: Path) -> None:
    path = written(tmp_path / "log.csv", simulate(236.0))
    told = json.loads(prove(path, "--boat", "demo:dunlin", "--json").stdout)
    capacity = orlop.demo_boat("dunlin").capacity
    assert capacity is not None
    assert told["test"]["capacity_ah"] is None and "full" in told["test"]["why"]
    assert told["test"]["verdict"]["verdict"] == "undecided"
    limit = 0.8 * capacity.to("A*h").magnitude
    assert told["test"]["verdict"]["limit"] == f"{limit:.0f} Ah"


@pytest.mark.parametrize(
    ("text", "arguments", "words"),
    [
        (b"", [], "no rows"),
        (b"time_s,current_a\n0,1\n", [], "1 usable row"),
        (b"time_s,voltage_v\n0,1\n", [], "no column that is a current"),
        (b"time_s,amps\n0,1\n1,1\n", ["--column", "amps"], "WHAT=NAME"),
        (b"time_s,current_a\n0,1\n3600,1\n", ["--gain", "1 %"], "--rated"),
        (b"time_s,current_a\n0,1\n3600,1\n", ["--rated", "230"], "230 Ah"),
        (b"time_s,current_a\n0,1\n3600,1\n", ["--boat", "none.toml"], "none.toml"),
        (bytes(range(256)) * 1000, [], "zero byte"),
    ],
)
def test_the_command_names_what_is_wrong(text: bytes, arguments: list[str], words: str) -> None:
    done = prove("-", *arguments, stdin=text)
    assert done.returncode == 2, done.stdout
    assert words in done.stderr.decode() and b"Traceback" not in done.stderr
    told = json.loads(prove("-", *arguments, "--json", stdin=text).stdout)
    assert told["error"]["message"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("sound_rows", "words"), [(0, "fields in row"), (300, "without time or current, the first is row 301")]
)
def test_a_gigabyte_of_noise_is_refused_in_little_memory(tmp_path: Path, sound_rows: int, words: str) -> None:
    """Noise from the first row is refused by its layout; noise after sound rows has to be read to its end."""
    rng = np.random.default_rng(1)
    piece = rng.integers(32, 127, size=1 << 20, dtype=np.uint8)
    piece[rng.random(len(piece)) < 0.02] = 10
    with (tmp_path / "noise.csv").open("wb") as file:
        file.write(b"time_s,current_a\n")
        file.write(b"".join(b"%d,30\n" % k for k in range(sound_rows)))
        for _ in range(1024):
            file.write(piece.tobytes())
    code = (
        "import sys, orlop\n"
        "try: orlop.DischargeLog.read(sys.argv[1])\n"
        "except orlop.InputError as error: print(error)\n"
        # What the process itself held at most; resource usage would count the parent's memory before the start.
        "print(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])\n"
    )
    done = subprocess.run([sys.executable, "-c", code, tmp_path / "noise.csv"], capture_output=True, timeout=600)
    said, peak = done.stdout.decode().splitlines()
    assert words in said
    assert int(peak) < 300_000


CAUSES: dict[str, Any] = {"gain": ("1.2 Ah", "instrument"), "offset": "0.4 Ah", "empty": "0.3 Ah"}


def history(*capacities: float, relation: Any = "same-instrument") -> orlop.TestHistory:
    times = [f"{0.1 + k} years" for k in range(len(capacities))]
    return orlop.TestHistory(times, [orlop.Measured(f"{q} Ah", CAUSES) for q in capacities], relation=relation)


def test_the_same_meter_sees_a_fade_that_independent_ones_do_not() -> None:
    assert history(234.8, 234.1, 233.4).significant
    apart = history(234.8, 234.1, 233.4, relation="independent")
    assert not apart.significant and apart.sentence.endswith("not yet significant")
    # The slope of a straight line through equally sure points, by the textbook.
    slope = np.polyfit([0.1, 1.1, 2.1], [234.8, 233.1, 231.9], 1)[0]
    low, high = history(234.8, 233.1, 231.9).per_year()
    assert low is not None and high is not None
    # A year here is 365.25 days, that of the units registry 365.2425.
    assert 0.5 * (low + high).to("A*h").magnitude == pytest.approx(slope, rel=1e-4)
    health = history(234.8, 233.1, 231.9).health[-1]
    assert health.value.to("percent").magnitude == pytest.approx(100 * 231.9 / 234.8, rel=1e-9)


def test_next_tests_and_forecasts() -> None:
    years = history(234.8, 233.1, 231.9)
    when, limit = years.next_test()
    assert when is not None and when.to("year").magnitude > 0.1
    assert limit.to("A*h").magnitude < 2.9
    assert history(230.0, 231.0, 232.0).next_test()[0] is None
    used: dict[str, Any] = {"charge": "60 %", "temperature": "20 degC", "depth": "60 %", "current": "36 A"}
    seen = years.forecast("184 Ah", models=["schmalstieg-2014", "naumann+wang-2011"], full_cycles_a_year=40, **used)
    assert list(seen.by_model) == ["schmalstieg-2014", "naumann+wang-2011"]
    lows = [r.low.to("year").magnitude for r in seen.by_model.values() if r.low is not None]
    assert seen.band.low is not None
    assert seen.band.low.to("year").magnitude == pytest.approx(min(lows))
    with pytest.raises(orlop.InputError, match="tells nothing of"):
        years.forecast("184 Ah", models="nmc-calendar", full_cycles_a_year=40, **used)


def test_a_plan_foresees_the_test() -> None:
    plan = orlop.TestPlan(load="36 A", temperature="25 degC", **PROCEDURE, **METER)
    test = orlop.DischargeLog(simulate(236.0)).capacity_test(**PROCEDURE, **METER)
    low, high = plan.hours
    assert low is not None and high is not None
    assert low.to("hour").magnitude == pytest.approx(0.8 * 230 / 36) and high.to("hour").magnitude < 7.1
    # Planned at the reference temperature, made at it: the same causes, nearly as large.
    assert plan.expected.uncertainty.to("A*h").magnitude == pytest.approx(
        test.uncertainty.to("A*h").magnitude, rel=0.15
    )
    assert any("2.8 V" in step for step in plan.watch) and plan.advice
    with pytest.raises(orlop.InputError, match="repeats the monitor's setting"):
        orlop.TestPlan(load="36 A", rated="230 Ah", full="1 %", stop_indicated="20 %")
    with pytest.raises(orlop.InputError, match="no definition of full"):
        orlop.TestPlan(load="36 A", rated="230 Ah", stop_cell="2.8 V")
    with pytest.raises(orlop.InputError, match="load"):
        orlop.TestPlan(load="-36 A", **PROCEDURE)


def test_a_step_of_a_resistance_is_found_and_a_steady_growth_is_none() -> None:
    rng = np.random.default_rng(5)
    times = [f"{m} months" for m in range(24)]
    jump = 5.0 + 0.005 * np.arange(24) + 0.3 * (np.arange(24) >= 9) + 0.02 * rng.standard_normal(24)
    found = orlop.ChangePoint(times, [f"{r} mohm" for r in jump], resolution="0.01 mohm")
    assert found.significant and found.sentence.endswith("significant")
    # A month here is a twelfth of 365.2425 days, that of the units registry of 365.25.
    assert found.after.to("month").magnitude == pytest.approx(8, rel=1e-4)
    assert found.before.to("month").magnitude == pytest.approx(9, rel=1e-4)
    low, high = found.bounds
    assert low is not None and high is not None
    assert low.to("mohm").magnitude < 0.3 < high.to("mohm").magnitude
    assert found.drift_a_year.to("mohm").magnitude == pytest.approx(0.06, abs=0.05)
    steady = orlop.ChangePoint(times, [f"{12 + 1.5 * m + r} mV" for m, r in enumerate(jump)], resolution="1 mV")
    assert not steady.significant and "no step" in steady.sentence
    assert 5.0 <= steady.chance.to("percent").magnitude <= 100.0
    with pytest.raises(orlop.InputError, match="six readings"):
        orlop.ChangePoint(times[:5], ["1 mV"] * 5, resolution="1 mV")
    with pytest.raises(orlop.InputError, match="times that rise"):
        orlop.ChangePoint(times[::-1], ["1 mV"] * 24, resolution="1 mV")
    with pytest.raises(orlop.UnitError, match="readings"):
        orlop.ChangePoint(times, ["1 mohm"] * 24, resolution="1 mV")
    with pytest.raises(orlop.InputError, match="difference"):
        orlop.ChangePoint(times, ["20 degC"] * 24, resolution="1 degC")


def test_change_points_and_drifts_are_those_of_least_squares_in_scipy() -> None:
    stats = pytest.importorskip("scipy.stats")
    rng = np.random.default_rng(8)
    for seed in range(5):
        n, at = 15, 4 + 2 * seed
        day = np.cumsum(rng.uniform(20, 40, n))
        y = np.round(40 + 0.01 * day + 1.5 * (np.arange(n) >= at) + 0.3 * rng.standard_normal(n), 3)
        found = orlop.ChangePoint([f"{d!r} d" for d in day.tolist()], [f"{v} mV" for v in y], resolution="0.001 mV")

        def fit(columns: list[Any], y: Any = y) -> tuple[Any, Any, float]:
            x = np.column_stack(columns)
            solution, residual, *_ = np.linalg.lstsq(x, y, rcond=None)
            return solution, np.linalg.inv(x.T @ x), float(residual[0])

        def stepped(k: int, day: Any = day, fit: Any = fit) -> tuple[Any, Any, float]:
            return fit([np.ones(len(day)), day, np.arange(len(day)) >= k])  # type: ignore[no-any-return]

        best = int(np.argmin([stepped(k)[2] for k in range(2, n - 1)])) + 2
        solution, inverse, residual = stepped(best)
        assert found.before.to("day").magnitude == pytest.approx(day[best])
        assert found.step.to("mV").magnitude == pytest.approx(solution[2], rel=1e-6)
        half = stats.t.ppf(0.975, n - 3) * math.sqrt(residual / (n - 3) * inverse[2, 2])
        low, high = found.bounds
        assert low is not None and high is not None
        assert 0.5 * (high - low).to("mV").magnitude == pytest.approx(half, rel=1e-6)
        without = fit([np.ones(n), day])[2]
        chance = (n - 3) * stats.f.sf((without - residual) / residual * (n - 3), 1, n - 3)
        assert found.chance.to("").magnitude == pytest.approx(min(chance, 1.0), rel=1e-6)
    days, jumps = np.array([6.0, 13.0, 9.0, 20.0]), np.array([4.7, 10.2, 7.0, 15.8])
    drift = orlop.MonitorDrift("460 Ah", [f"{d} d" for d in days], [f"{j} %" for j in jumps])
    hours, lost = days * 24, jumps / 100 * 460
    slope = hours @ lost / (hours @ hours)
    half = stats.t.ppf(0.975, 3) * math.sqrt(((lost - slope * hours) ** 2).sum() / 3 / (hours @ hours))
    low, high = drift.bounds
    assert low is not None and high is not None
    assert low.to("A").magnitude == pytest.approx(slope - half) and high.to("A").magnitude == pytest.approx(
        slope + half
    )


def test_a_monitor_drifts_by_its_offset() -> None:
    days = np.array([6.0, 13.0, 9.0, 20.0])
    # 0.15 A too much of 460 Ah, to a tenth of a percent.
    jumps = np.round(100 * 0.15 * 24 * days / 460, 1)
    drift = orlop.MonitorDrift("460 Ah", [f"{d} d" for d in days], [f"{j} %" for j in jumps])
    low, high = drift.bounds
    assert low is not None and high is not None
    assert low.to("A").magnitude < 0.15 < high.to("A").magnitude and drift.significant and len(drift) == 4
    # By NumPy's linear least squares through zero.
    slope = np.linalg.lstsq((days * 24)[:, None], jumps / 100 * 460, rcond=None)[0][0]
    assert drift.offset.to("A").magnitude == pytest.approx(slope)
    assert drift.time_to_error("10 %").to("day").magnitude == pytest.approx(46 / slope / 24)
    assert drift.error_after("1 d").to("percent").magnitude == pytest.approx(100 * slope * 24 / 460)
    assert drift.judge_sync().verdict == "fail"
    assert orlop.MonitorDrift("460 Ah", ["7 d", "9 d"], ["0.1 %", "-0.2 %"]).judge_sync().verdict == "pass"
    with pytest.raises(orlop.InputError, match="two returns"):
        orlop.MonitorDrift("460 Ah", ["7 d"], ["1 %"])
    with pytest.raises(orlop.InputError, match="one jump for each"):
        orlop.MonitorDrift("460 Ah", ["7 d", "8 d"], ["1 %"])


def test_long_times_are_said_in_years() -> None:
    years = history(234.8, 233.1, 231.9)
    seen = years.reaches("184 Ah")
    assert str(seen).endswith("years") and "h" not in str(seen).replace("years", "")
    assert str(orlop.Device("iso8820-3-blade", "10 A").opening_time("20 A")) == "0.15 s to 5 s"


def test_insulation_is_judged_at_its_voltage() -> None:
    verdict = orlop.judge_insulation_test(reading="0.6 Mohm", nominal="24 V", tested_at="250 V")
    assert verdict.verdict == "pass" and verdict.clause and "60364-6" in verdict.clause
    assert orlop.judge_insulation_test(reading="20 Mohm", nominal="24 V", tested_at="9 V").verdict == "undecided"
    assert orlop.judge_insulation_test(reading="0.6 Mohm", nominal="230 V", tested_at="500 V").verdict == "fail"


def test_a_capacity_test_stands_in_a_history() -> None:
    tests = [
        orlop.DischargeLog(simulate(q, seed=k)).capacity_test(**PROCEDURE, **METER)
        for k, q in enumerate((236.0, 235.0, 234.0))
    ]
    years = orlop.TestHistory(["0.1 years", "1 years", "2 years"], tests, [2.0, 40.0, 80.0])
    assert years.tests["full_cycles"] == [2.0, 40.0, 80.0]
    assert tests[0].measured is not None and tests[0].measured.value == tests[0].capacity
    bound = orlop.DischargeLog(simulate(236.0)).capacity_test(rated="230 Ah", stop_cell="2.8 V")
    with pytest.raises(orlop.InputError, match="lower bound only"):
        orlop.TestHistory(["0.1 years", "1 years"], [bound, bound])


def test_readings_are_judged() -> None:
    hot = orlop.judge_joint(
        across="0.176 V",
        current="62 A",
        design="200 A",
        length="20 mm",
        cable=orlop.Conductor("35 mm2", insulation="90 degC"),
        subject="J4",
    )
    assert hot.subject == "J4" and hot.severity == "A" and "times an equal length of its cable" in hot.what
    sound = orlop.judge_leakage(
        system="25.6 V",
        positive_to_hull="1 mV",
        negative_to_hull="1 mV",
        with_resistor="1 mV",
        resistor="100 kohm",
        noise="1 mV",
    )
    assert sound.verdict == "pass"
    assert orlop.judge_drain(current="70 mA", uncertainty="2 mA", meant="60 mA").verdict == "pass"
    assert orlop.judge_drain(current="110 mA", uncertainty="2 mA", meant="60 mA").verdict == "undecided"


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: orlop.pulse_resistance(first=("13 V", "0 A"), second=("13.1 V", "9 A")), "volts that fall"),
        (lambda: orlop.pulse_resistance(first="13 V", second=("13.1 V", "9 A")), "volts and amperes"),  # type: ignore[arg-type]
        (lambda: orlop.judge_joint(across="0 V", current="9 A", design="9 A", length="2 cm"), "above zero"),
        (lambda: orlop.find_bad_part({"part": ["a"]}, [], noise="1 mV"), "expected_mohm"),
        (
            lambda: orlop.find_bad_part(
                {"part": ["a"], "expected_mohm": [1], "design_a": [1]}, [("1 mV", "1 A", ["a"])], noise="1 mV"
            ),
            "neither",
        ),
        (
            lambda: orlop.find_bad_part(
                {"part": ["a"], "expected_mohm": [1], "sound_mohm": [2], "design_a": [1]},
                [("1 mV", "1 A", ["b"])],
                noise="1 mV",
            ),
            "a part 'b'",
        ),
        (lambda: orlop.Measured("1 Ah", {"gain": "1 V"}), "gain"),
        (lambda: orlop.Measured("1 Ah", {"gain": ("1 Ah", "nobody")}), "own, instrument or procedure"),  # type: ignore[dict-item]
        (lambda: orlop.Measured("1 Ah", {"gain": "-1 Ah"}), "zero or more"),
        (lambda: orlop.Measured("1 Ah", {}).compare(orlop.Measured("1 V", {}), relation="independent"), "a charge"),
        (lambda: orlop.TestHistory(["1 years"], [orlop.Measured("1 Ah", {})]), "two capacity tests"),
        (lambda: orlop.TestHistory(["1 years"], []), "as many"),
        (lambda: history(230.0, 229.0).line([1.0], coverage="0 %"), "coverage"),
    ],
)
def test_bad_readings_are_named(ask: Any, words: str) -> None:
    with pytest.raises(orlop.OrlopError, match=words):
        ask()


def test_drawings_say_what_they_show() -> None:
    pytest.importorskip("matplotlib")
    import orlop.plot

    test = orlop.DischargeLog(simulate(236.0)).capacity_test(**PROCEDURE, **METER)
    ax = orlop.plot.discharge(test, stop="2.8 V")
    legend = [text.get_text() for text in ax.get_legend().get_texts()]  # type: ignore[union-attr]
    assert legend == ["cell a (smallest)", "cell b (most resistive)"]
    assert [text.get_text() for text in ax.texts] == ["1", "2", "end 2.8 V"]
    bars = orlop.plot.uncertainty_budget(test)
    assert bars.get_yticklabels()[0].get_text() == "gain"
    years = history(234.8, 233.1, 231.9)
    drawn = orlop.plot.trend(years, end="184 Ah", until=40)
    assert drawn.get_title(loc="left") == years.sentence
    with pytest.raises(orlop.InputError, match="TestHistory"):
        orlop.plot.trend(test)  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="volts"):
        orlop.plot.discharge(orlop.DischargeLog({"time_h": [0, 1], "current_a": [1, 1]}))


def test_what_follows_a_bank_shows_its_working(one_of_each: list[object]) -> None:
    kinds = (orlop.TestPlan, orlop.TestHistory, orlop.Forecast, orlop.ChangePoint, orlop.MonitorDrift)
    for kind in kinds:
        answer = next(a for a in one_of_each if isinstance(a, kind))
        steps = answer.explain().steps
        assert len(steps) >= 3 and all(step.what and step.value for step in steps), kind
    months = [f"{m} months" for m in range(8)]
    jump = orlop.ChangePoint(
        months, [f"{r} mohm" for r in (5.03, 5.04, 5.02, 5.06, 5.05, 5.38, 5.41, 5.39)], resolution="0.01 mohm"
    )
    # The steps are in the unit of the readings.
    assert [step.value for step in jump.explain().steps if step.symbol == "c"] == ["330 uohm"]
