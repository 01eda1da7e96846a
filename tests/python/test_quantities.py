"""Units at the edge: text and registry quantities in, registry quantities out, bare numbers refused."""

from __future__ import annotations

import math

import pint
import pytest

import orlop
from conftest import CIRCUIT

U = pint.application_registry


def test_answers_are_quantities_of_the_application_registry(wire: orlop.Conductor) -> None:
    area = wire.area
    assert isinstance(area, U.Quantity)
    # ASTM B258: 6 AWG is 0.1620 in across, 13.30 mm2.
    assert math.isclose(area.m_as("mm**2"), 13.30, abs_tol=0.005)
    assert (area + U.Quantity(1, "mm**2")).m_as("mm**2") == pytest.approx(14.30, abs=0.005)


def test_a_registry_set_later_is_followed(wire: orlop.Conductor) -> None:
    before = pint.application_registry.get()
    try:
        mine = pint.UnitRegistry()
        pint.set_application_registry(mine)
        assert wire.area._REGISTRY is mine
    finally:
        pint.set_application_registry(before)
    assert wire.area._REGISTRY is before


@pytest.mark.parametrize(
    "length",
    ["20 ft", "20ft", "240 in", "6.096 m", U.Quantity(20, "foot"), U.Quantity(609.6, "cm")],
)
def test_one_length_in_many_forms(wire: orlop.Conductor, length: object) -> None:
    drop = wire.voltage_drop(current="25 A", one_way=length, temperature="20 degC")  # type: ignore[arg-type]
    # 12.192 m of 13.302 mm2 tinned copper at 20 degC, 25 A.
    expected = wire.resistance(piece="1 m").m_as("ohm") * 2 * 6.096 * 25
    assert drop.m_as("V") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("current", [25, 25.0, "25", True, math.nan])
def test_a_bare_number_is_refused_and_the_kind_is_named(wire: orlop.Conductor, current: object) -> None:
    with pytest.raises(orlop.UnitError, match=r"current: expected a current \(A, mA, kA\)") as caught:
        wire.voltage_drop(current=current, one_way="6 m")  # type: ignore[arg-type]
    assert caught.value.field == "current"
    assert caught.value.code == "unit"
    assert "A, mA, kA" in caught.value.expected


@pytest.mark.parametrize("current", ["12 V", U.Quantity(12, "V"), U.Quantity(12, "mV")])
def test_another_kind_is_named(wire: orlop.Conductor, current: object) -> None:
    with pytest.raises(orlop.UnitError, match="a voltage"):
        wire.voltage_drop(current=current, one_way="6 m")  # type: ignore[arg-type]


def test_a_rise_is_no_temperature(wire: orlop.Conductor) -> None:
    # The registry itself would read 20 delta_degC as -253 degC.
    with pytest.raises(orlop.UnitError, match="a temperature rise"):
        wire.steady_temperature(current="80 A", ambient=U.Quantity(20, "delta_degC"))
    state = wire.steady_temperature(current="80 A", ambient=U.Quantity(104, "degF"))
    assert state == wire.steady_temperature(current="80 A", ambient="40 degC") or math.isclose(
        state.temperature.magnitude,
        wire.steady_temperature(current="80 A", ambient="40 degC").temperature.magnitude,
        rel_tol=1e-9,
    )


@pytest.mark.parametrize("current", [U.Quantity(math.nan, "A"), U.Quantity(math.inf, "A"), U.Quantity([1, 2], "A")])
def test_strange_magnitudes_are_refused(wire: orlop.Conductor, current: object) -> None:
    with pytest.raises(orlop.UnitError):
        wire.voltage_drop(current=current, one_way="6 m")  # type: ignore[arg-type]


@pytest.mark.parametrize("lengths", [{}, {"one_way": "6 m", "loop": "12 m"}])
def test_a_length_is_said_exactly_one_way(wire: orlop.Conductor, lengths: dict[str, str]) -> None:
    with pytest.raises(orlop.InputError, match="exactly one of one_way= or loop="):
        wire.voltage_drop(current="25 A", **lengths)  # type: ignore[arg-type]
    with pytest.raises(orlop.InputError, match="exactly one of one_way= or loop="):
        orlop.size_circuit(**{k: v for k, v in CIRCUIT.items() if k != "one_way"}, **lengths)


def test_one_way_and_loop_describe_one_circuit(wire: orlop.Conductor) -> None:
    by_run = wire.voltage_drop(current="25 A", one_way="6 m", temperature="30 degC")
    by_loop = wire.voltage_drop(current="25 A", loop="12 m", temperature="30 degC")
    assert by_run == by_loop
    assert wire.resistance(piece="12 m") == wire.resistance(one_way="6 m")


def test_a_size_may_be_an_area_of_the_registry() -> None:
    assert orlop.Conductor(U.Quantity(16, "mm**2"), insulation="90 degC").size == "16 mm2"
    assert orlop.Conductor(U.Quantity(0.16, "cm**2"), insulation="90 degC").size == "16 mm2"


def test_rules_never_have_a_default(wire: orlop.Conductor) -> None:
    with pytest.raises(TypeError, match="rules"):
        wire.ampacity()  # type: ignore[call-arg]
    with pytest.raises(orlop.InputError, match="us-small-craft, iso-small-craft"):
        wire.ampacity(rules="none")  # type: ignore[arg-type]


def test_table_5_through_the_binding() -> None:
    # 33 CFR 183.425 Table 5: 14 AWG at 105 degC carries 35 A; note 1 engine space x 0.85, note 2 three together x 0.70.
    wire = orlop.Conductor("14 AWG", insulation="105 degC")
    assert wire.ampacity(rules="us-small-craft").current.m_as("A") == 35.0
    corrected = wire.ampacity(rules="us-small-craft", space="engine", bundled=3)
    assert corrected.current.m_as("A") == pytest.approx(35 * 0.85 * 0.70)


def test_constant_power_is_taken_at_the_lowest_voltage() -> None:
    circuit = orlop.size_circuit(**{k: v for k, v in CIRCUIT.items() if k != "current"}, power="108 W")
    # 108 W / (0.9 x 12 V)
    assert circuit.current.m_as("A") == pytest.approx(10.0)
    assert "constant power" in circuit.explain().steps[0].what


def test_a_range_unpacks() -> None:
    low, high = orlop.Device("iso8820-3-blade", "10 A").opening_time("20 A")
    # ISO 8820-3, 200 % of the rating: 0.15 s to 5 s.
    assert low is not None and high is not None
    assert (low.m_as("s"), high.m_as("s")) == (0.15, 5.0)
