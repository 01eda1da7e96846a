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
    return [
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
        orlop.share_current([cell], orlop.Link("0 mohm"), takeoff="same-end", current="0 A"),
        shared.closing,
        shared.sustained,
        log,
        orlop.DischargeLog({"time_s": [0, 3600], "current_a": [1, 1]}),
        log.capacity_test(rated="175 Ah", full="0.4 %", stop_cell="2.8 V", temperature_coefficient="0.25 %"),
        log.capacity_test(rated="230 Ah", full="0.4 %", stop_indicated="20 %"),
        found,
        *found.findings[:2],
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
