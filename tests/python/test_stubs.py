"""What the stub promises is what comes back: every property and every method without arguments is asked.

`stubtest` (in `make lint`) compares names and arguments; it cannot see a wrong return type.
"""

from __future__ import annotations

import inspect
import types
import typing
from pathlib import Path
from typing import Any

import pytest
from pint.facets.plain import PlainQuantity

import orlop
from orlop import _orlop

STUB = Path(orlop.__file__).with_name("_orlop.pyi")


@pytest.fixture(scope="module")
def stub() -> dict[str, Any]:
    names: dict[str, Any] = {"__name__": "stub"}
    exec(compile(STUB.read_text(encoding="utf-8"), str(STUB), "exec", dont_inherit=True, flags=_annotations()), names)
    return names


def _annotations() -> int:
    import __future__

    return __future__.annotations.compiler_flag


def fits(value: Any, hint: Any) -> bool:
    """Whether a value is what a type hint says."""
    origin, arguments = typing.get_origin(hint), typing.get_args(hint)
    if hint is Any or hint is object:
        return True
    if origin in (typing.Union, types.UnionType):
        return any(fits(value, one) for one in arguments)
    if origin is typing.Literal:
        return value in arguments
    if origin is PlainQuantity:
        return isinstance(value, PlainQuantity) and type(value.magnitude) is float
    if origin is tuple:
        if arguments[-1] is Ellipsis:
            return type(value) is tuple and all(fits(one, arguments[0]) for one in value)
        return type(value) is tuple and all(fits(one, a) for one, a in zip(value, arguments, strict=True))
    if origin is list:
        return type(value) is list and all(fits(one, arguments[0]) for one in value)
    if origin is dict:
        key, cell = arguments
        return type(value) is dict and all(fits(k, key) and fits(v, cell) for k, v in value.items())
    if isinstance(hint, type) and hint.__module__ == "stub":
        return type(value) is getattr(_orlop, hint.__name__)
    if origin is not None:
        # numpy's array alias is a statement of its own from Python 3.12 on.
        origin = typing.get_origin(getattr(origin, "__value__", None)) or origin
        return isinstance(value, origin)
    return isinstance(value, hint) and (hint is not int or type(value) is int)


def test_the_checker_itself_can_fail() -> None:
    assert fits(1.0, float) and not fits("1", float)
    assert fits(("a", "b"), tuple[str, ...]) and not fits(("a", 1), tuple[str, ...])
    assert not fits("x", typing.Literal["a"])
    assert not fits(True, int)


def test_everything_asked_is_what_the_stub_says(stub: dict[str, Any], one_of_each: list[Any]) -> None:
    asked = set()
    for x in one_of_each:
        for name, member in vars(stub[type(x).__name__]).items():
            if isinstance(member, property):
                value, hints = getattr(x, name), typing.get_type_hints(member.fget, stub)
            elif inspect.isfunction(member) and list(inspect.signature(member).parameters) == ["self"]:
                value, hints = getattr(x, name)(), typing.get_type_hints(member, stub)
            else:
                continue
            asked.add((type(x).__name__, name))
            assert fits(value, hints["return"]), f"{type(x).__name__}.{name}: {value!r} is no {hints['return']}"
    assert len(asked) > 140


def test_functions(stub: dict[str, Any], dunlin: orlop.Design, wire: orlop.Conductor, tmp_path: Path) -> None:
    fuse = orlop.Device("iso8820-3-blade", "10 A")
    answers = {
        "families": orlop.families(),
        "sources": orlop.sources(),
        "standard_sizes": orlop.standard_sizes("awg"),
        "Conductor.resistance": wire.resistance(piece="1 m"),
        "Conductor.voltage_drop": wire.voltage_drop(current="1 A", loop="1 m"),
        "Conductor.steady_current": wire.steady_current(reaches="60 degC", ambient="30 degC"),
        "Device.opening_time": fuse.opening_time("20 A"),
        "Device.let_through": fuse.let_through("20 A"),
        "Device.opens_within": fuse.opens_within("1 s"),
        "Device.rating_at": fuse.rating_at("50 degC"),
        "Device.explain": fuse.explain("20 A"),
        "Design.table": dunlin.table("loads"),
        "Design.explain": dunlin.explain("circuit.F5.drop"),
        "Design.papers": dunlin.papers(tmp_path / "out"),
        "Design.to_json": dunlin.to_json(),
    }
    for name, value in answers.items():
        kind, _, method = name.rpartition(".")
        function = getattr(stub[kind], method) if kind else stub[name]
        hint = typing.get_type_hints(function, stub)["return"]
        assert fits(value, hint), f"{name}: {value!r} is no {hint}"
