"""Read by the type checker, not run: the public types say what people expect."""

from __future__ import annotations

from pathlib import Path

from pint.facets.plain import PlainQuantity
from typing_extensions import assert_type

import orlop

wire = orlop.Conductor("6 AWG", insulation="105 degC")
assert_type(wire, orlop.Conductor)
assert_type(wire.area, PlainQuantity[float])
assert_type(wire.ampacity(rules="us-small-craft").current, PlainQuantity[float])
assert_type(wire.steady_temperature(current="80 A", ambient="40 degC").band, orlop.Range)
assert_type(wire.resistance(one_way=wire.outside_diameter), PlainQuantity[float])

circuit = orlop.size_circuit(
    current="25 A", one_way="6 m", nominal="12 V", max_drop="3 %", rules="us-small-craft", sizes="awg"
)
assert_type(circuit.device, orlop.Device | None)
assert_type(circuit.findings, tuple[orlop.Judgement, ...])

best = orlop.least_copper({"id": ["run"]}, sizes="metric", rules="iso-small-craft", max_drop="0.3 V")
assert_type(best, orlop.LeastCopper)
assert_type(best.sizes, dict[str, str])
assert_type(best.mass, PlainQuantity[float])
assert_type(best.cost, float | None)
assert_type(best.shadow_prices("0.1 V"), orlop.Table)

design = orlop.Boat.load(Path("boat.toml")).size()
assert_type(design.table("circuits"), orlop.Table)
assert_type(design.papers("out"), tuple[Path, ...])

wire.ampacity(rules="us")  # type: ignore[arg-type]
wire.voltage_drop(current=25, one_way="6 m")  # type: ignore[arg-type]
wire.size = "4 AWG"  # type: ignore[misc]
