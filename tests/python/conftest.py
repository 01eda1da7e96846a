"""What several tests need: the demo boat, one answer of every class."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

import orlop

# Tests are never timed: a busy machine is no fault.
settings.register_profile("orlop", deadline=None)
settings.load_profile("orlop")

ROOT = Path(__file__).resolve().parents[2]
CIRCUIT: dict[str, Any] = {
    "current": "25 A",
    "one_way": "6 m",
    "nominal": "12 V",
    "max_drop": "3 %",
    "rules": "us-small-craft",
    "sizes": "awg",
    "insulation": "105 degC",
}


@pytest.fixture(scope="session")
def wire() -> orlop.Conductor:
    return orlop.Conductor("6 AWG", insulation="105 degC")


@pytest.fixture(scope="session")
def dunlin() -> orlop.Design:
    return orlop.demo_boat("dunlin").size()


@pytest.fixture(scope="session")
def one_of_each(wire: orlop.Conductor, dunlin: orlop.Design) -> list[Any]:
    """An instance of every public class of the compiled module."""
    ampacity = wire.ampacity(rules="us-small-craft", bundled=3, ambient="50 degC")
    fuse = orlop.Device("iso8820-3-blade", "10 A")
    working = ampacity.explain()
    circuit = orlop.size_circuit(**CIRCUIT)
    cell = orlop.Cell(
        "lfp", capacity="230 Ah", size="54 x 174 x 207 mm", mass="4.15 kg", resistance_1khz=("0.17 mohm", "0.19 mohm")
    )
    crate = {"cell": ["A", "B", "C", "D", "E"], "capacity_ah": [101.1, 99.3, 104.7, 98.0, 95.0]}
    crate_of_more = crate | {"resistance_dc_mohm": [0.53, 0.5, None, 0.51, 0.5], "mass_kg": [4.1, 4.2, 4.1, 4.2, 4.3]}
    found = orlop.demo_boat("dunlin_as_found").survey()
    net = orlop.Network()
    net.source("a", emf=("24 V", "28.8 V"), resistance=("2.5 mohm", "5.5 mohm"), may_open=True)
    net.source("b", emf="26 V", resistance="3 mohm", node="a2", may_open=True)
    net.branch("m1", "a", "bus", "1.2 mohm")
    net.branch("m2", "a2", "bus", conductor=wire, loop="2 m")
    net.diode("d", "bus", "aux", forward="0.4 V", slope="10 mohm")
    net.converter("c", "n12", voltage="12 V", limit="30 A", input="bus", efficiency="90 %", minimum="20 V")
    net.load("bus", power="400 W")
    net.load("bus", current="5 A", motor="40 A")
    net.load("n12", resistance="2 ohm", capacitor=("1 mF", "20 mohm"))
    pair = orlop.Pack(
        cell, series=8, parallel=2, order="parallel-first", link=("0.05 mohm", "0.08 mohm"), parts="1 mohm"
    )
    strings = orlop.Pack(cell, series=8, parallel=2, order="series-first")
    shared = orlop.share_current([cell] * 3, orlop.Link("0.08 mohm"), takeoff=(1, 2), current="100 A", charge="40 %")
    run: dict[str, Any] = {"step": "10 s", "start": "50 %", "temperature": "20 degC"}
    unequal = {"capacity_ah": [230.0] * 15 + [200.0], "resistance_mohm": [0.5] * 15 + [0.6]}
    thresholds = {
        "threshold": ["manager low", "alarm", "shore", "manager high"],
        "role": ["low-cut-off", "low-alarm", "charge-target", "high-cut-off"],
        "setting_v": [2.8, 25.0, 28.4, 3.6],
        "cells": [1, 8, 8, 1],
        "tolerance_mv": [5, 50.5, 80, None],
        "cable_mohm": [None, 4.0, 10.0, None],
        "current_a": [None, 100.0, 50.0, None],
    }
    two_banks = {
        "choice": ["lithium", "lead"],
        "first_cost": [4000, 900],
        "renewal_cost": [2500, 900],
        "usable_kwh": [9.4, 2.4],
        "cycles": [4000, 500],
        "calendar_years": [15, 5],
    }
    heaped = {"mass_kg": [100.5], "y_m": [0.3]}
    log = orlop.DischargeLog(
        {
            "time_h": [0, 2, 4, 5],
            "current_a": [36, 36, 36, 36],
            "temperature_degc": [18.0, None, 20.0, 21.0],
            "indicated_percent": [100, 68.7, 37.4, 21.7],
            "cell_1_v": [3.3, 3.26, 3.22, 2.79],
            "cell_2_v": [3.3, 3.25, 3.21, None],
        }
    )
    causes: dict[str, Any] = {"gain": ("1.2 Ah", "instrument"), "offset": "0.4 Ah", "empty": ("0.3 Ah", "own")}
    tested = [orlop.Measured(f"{ah} Ah", causes) for ah in (234.8, 233.1, 231.9)]
    years = orlop.TestHistory(["0.1 years", "1.1 years", "2.1 years"], tested, [3.0, 45.0, 80.0])
    used: dict[str, Any] = {"charge": "60 %", "temperature": "20 degC", "depth": "60 %", "current": "36 A"}
    return [
        tested[0],
        dunlin.find_fault(
            symptoms=["weak load.F1"], readings=["voltage load.F1 = 21.9 V +- 0.1 V"], odds={"joint": 2.0}
        ),
        log.capacity_test(rated="175 Ah", full="0.4 %", stop_cell="2.8 V", gain="0.5 %", instrument="shunt").measured,
        orlop.pulse_resistance(first=("13.20 V", "0 A"), second=("12.85 V", "100 A"), volt_noise="5 mV"),
        years,
        years.forecast("184 Ah", models=("naumann", "naumann+wang-2011"), full_cycles_a_year=40, **used),
        years.forecast("184 Ah", models="naumann", full_cycles_a_year="40", coverage="90 %", **used),
        orlop.Pack(
            orlop.Cell("lfp", capacity="230 Ah", resistance_dc="0.55 mohm"), series=1, parallel=1, order="series-first"
        ).over_time([50.0] * 20, takeoff="middle", **run),
        pair.over_time(
            [200.0] * 30, takeoff=(1, 2), cells=unequal, pairs=[("0.2 mohm", "60 s")], every=7, watched=False, **run
        ),
        pair,
        strings,
        orlop.Link("0.06 mohm"),
        orlop.Link(("0.05 mohm", "0.08 mohm")),
        pair.resistance("10s", charge="50 %", temperature="20 degC"),
        strings.fault_current(warmest="40 degC", coldest="0 degC", least_charge="20 %"),
        strings.equalising(difference="0.5 V", charge="50 %", temperature="20 degC"),
        pair.after("cell-short", warmest="40 degC", coldest="0 degC", least_charge="20 %"),
        strings.without_one_manager(),
        shared,
        pair.share(current="100 A", takeoff="diagonal", joined="every-cell", bar="0.02 mohm", cells=[cell] * 16),
        pair.share(current="100 A", takeoff=(1, 2), charge="30 %").closing,
        orlop.share_current([cell], orlop.Link("0 mohm"), takeoff="same-end", current="0 A"),
        orlop.threshold_ladder(thresholds),
        orlop.size_bank(energy_a_day="4.48 kWh", autonomy="2 days", nominal="25.6 V", depth="80 %"),
        orlop.size_bank_by_duty(
            {"current_a": [80, 6], "minutes": [3, 300]}, chemistry="lead-agm", random=("20 A", "1 min")
        ),
        orlop.bench_charge(
            cell,
            cells={"charge_percent": [40.0, 45.5], "capacity_ah": [230.0, 229.5]},
            voltage="3.6 V",
            limit="30 A",
            leads="10 mohm",
            tail="3 A",
            temperature="20 degC",
        ),
        orlop.balance(cell, drift="1 %", voltage="3.45 V", current="0.1 A", share_of_time="4 %", imbalance="2 Ah"),
        orlop.judge_manager(
            continuous="185 A", strings=2, rated="150 A", peak=("400 A", "1 s"), rated_peak=("450 A", "3 s")
        ),
        orlop.pre_charge(voltage="25.6 V", capacitance="12 mF", resistor="15 ohm", standing="100 ohm", survives="50 J"),
        orlop.pre_charge(voltage="25.6 V", capacitance="12 mF", peak="1.7 A", standing="60 W", limit="2 s"),
        orlop.contactor_coil(hold="5 W", closed="24 h", bank="25.6 V", pull_in=("40 W", "100 ms"), closings=20),
        orlop.switch_temperature(
            resistance="0.5 mohm",
            growth_per_kelvin=0.006,
            rise=("30 K", "10 W"),
            current="100 A",
            ambient="40 degC",
            limit="100 degC",
        ),
        orlop.cell_link(length="105 mm", bar=("20 mm", "2 mm"), current="150 A", ambient="20 degC"),
        orlop.cell_link(length="105 mm", cable=wire, joints=("10 uohm", "20 uohm"), current="50 A", ambient="20 degC"),
        orlop.fixture(
            preload="3 kN",
            gives=("1 kN", "4 mm"),
            cells=8,
            face=("174 mm", "207 mm"),
            growth="0.5 mm",
            permitted=("30 kPa", "140 kPa"),
        ),
        orlop.fit_box(
            cell, count=16, inside="500 x 400 x 270 mm", stances=["upright", "on-side"], layers=2, terminals="40 mm"
        ),
        orlop.box_heat(loss="30 W", surface="1.2 m2", cell=cell, count=16, transfer_w_m2k="7.5"),
        orlop.restraint(mass="75 kg", up="2 kN", sideways="800 N", sideways_g=0.7),
        orlop.heel_and_trim(
            heaped, heaped | {"y_m": [1.0]}, displacement="6 t", gm="0.9 m", gm_lengthways="12 m", waterline="10 m"
        ),
        orlop.ventilation(cells=12, capacity="200 Ah", charging="valve-boost", charger="40 A", temperature="25 degC"),
        orlop.compare_life_cost(two_banks, demand_a_year="480 kWh", horizon="12 years"),
        orlop.count_cycles({"charge_percent": [90.0, 60.0, 75.0, 40.0, 95.0]}),
        cell.capacity_at(current="40 A"),
        cell.capacity_at(current="40 A", ratings=[("230 Ah", "5 h"), ("225 Ah", "1 h")]),
        cell.heat(current="100 A", charge="50 %", temperature="25 degC"),
        shared.closing,
        shared.sustained,
        log,
        orlop.DischargeLog({"time_s": [0, 3600], "current_a": [1, 1]}),
        log.capacity_test(rated="175 Ah", full="0.4 %", stop_cell="2.8 V", temperature_coefficient="0.25 %"),
        log.capacity_test(rated="230 Ah", full="0.4 %", stop_indicated="20 %"),
        orlop.TestPlan(load="36 A", rated="230 Ah", full="0.4 %", stop_cell="2.8 V", temperature="15 degC"),
        orlop.ChangePoint(
            [f"{m} months" for m in range(8)],
            [f"{r} mohm" if r else None for r in (5.03, 5.04, 5.02, None, 5.06, 5.05, 5.38, 5.41)],
            resolution="0.01 mohm",
        ),
        orlop.ChangePoint([f"{d} d" for d in range(6)], ["12 mV", "9 mV"] * 3, resolution="1 mV", false_alarm="1 %"),
        orlop.MonitorDrift("460 Ah", ["7 d", "14 d", "10 d"], ["5.4 %", "11.1 %", "7.7 %"]),
        found,
        *found.findings[:2],
        orlop.demo_boat("dunlin_second_visit").survey().compared_with(found),
        net,
        orlop.Network(),
        net.solve(),
        net.solve("high"),
        orlop.least_copper(
            {
                "id": ["a", "b"],
                "parent": [None, "a"],
                "one_way_m": [5, 4],
                "night_load_a": [1, 4],
                "size": ["10 mm2", None],
            },
            sizes="metric",
            rules="iso-small-craft",
            max_drop="0.5 V",
            prices={"2.5 mm2": 1.0, "4 mm2": 1.5, "10 mm2": 3.0},
            at_most_sizes=2,
        ),
        orlop.least_copper(
            {"id": ["a"], "one_way_m": [4.0], "current_a": [6.0]},
            sizes="metric",
            rules="iso-small-craft",
            nominal="12 V",
            max_drop="3 %",
        ).buy({"size": ["4 mm2", "6 mm2"], "length_m": [25, 25], "cost": [30.0, 41.0]}),
        orlop.least_copper(
            {"id": [1], "one_way_m": [5.0], "current_a": [10.0], "max_drop_v": [0.5]},
            sizes={"size": ["4 mm2", "10 mm2"], "resistance_ohm_per_m": [4.45e-3, 1.78e-3], "cost_per_m": [1.5, None]},
        ),
        wire,
        ampacity,
        wire.steady_temperature(current="80 A", ambient="40 degC", bundled=2),
        wire.withstand_time(fault="4 kA", start="60 degC"),
        fuse,
        orlop.coordinate(fuse, fuse, fault="500 A", load="5 A"),
        orlop.coordinate(orlop.Device("iec60269-gg", "100 A"), fuse, fault="500 A"),
        orlop.judge_stall(fuse, stall="20 A"),
        orlop.Device("ul489-breaker", "20 A", declared_voltage="48 V", declared_breaking="5 kA"),
        fuse.family,
        fuse.opening_time("20 A"),
        fuse.opening_time("10 A"),
        working,
        working.steps[0],
        circuit,
        circuit.judgements[0],
        cell,
        orlop.Cell("lead-agm", capacity="100 Ah", resistance_1khz_max="1 mohm"),
        cell.open_circuit(charge="50 %", temperature="25 degC", curve="lfp-26650-3ah"),
        cell.charge_from_rest(voltage="3.3 V", temperature="20 degC"),
        cell.resistance("10s", charge="50 %", temperature="5 degC"),
        cell.fault_current(warmest="40 degC", coldest="0 degC", least_charge="20 %"),
        cell.life(
            model="naumann",
            charge="60 %",
            temperature="20 degC",
            depth="80 %",
            current="46 A",
            full_cycles_a_year=41.5,
            cycles_model="wang-2011",
        ),
        orlop.assign_cells(crate, series=2, parallel=2, order="parallel-first"),
        orlop.assign_cells(crate_of_more, series=2, parallel=2, order="series-first", without=["A"]),
        orlop.sources(),
        dunlin.boat,
        dunlin,
        *(dunlin.table(name) for name in dunlin.tables),
    ]
