"""Errors: two bases each, the same fields everywhere, whole through a pickle."""

from __future__ import annotations

import pickle
from typing import Any

import pytest

import orlop
from orlop import errors

CASES: list[tuple[type[BaseException], type[BaseException], Any]] = [
    (orlop.UnitError, ValueError, lambda: orlop.Device("iso8820-3-blade", "10 V")),
    (orlop.InputError, ValueError, lambda: orlop.Device("iso8820-3-blade", "12 A")),
    (
        orlop.OutOfTable,
        LookupError,
        lambda: orlop.Conductor("6 AWG", insulation="105 degC", material="aluminium").ampacity(rules="us-small-craft"),
    ),
    (
        orlop.NoSolution,
        ArithmeticError,
        lambda: orlop.size_circuit(
            current="300 A",
            one_way="60 m",
            nominal="12 V",
            max_drop="3 %",
            rules="us-small-craft",
            sizes="awg",
        ),
    ),
    (
        orlop.BoatFileError,
        ValueError,
        lambda: orlop.Boat.from_text("format = 1\n[boat]\nnominal = 12\n", "b.toml"),
    ),
]


@pytest.mark.parametrize(("kind", "other_base", "ask"), CASES, ids=lambda x: getattr(x, "__name__", ""))
def test_class_fields_and_pickle(kind: type[orlop.OrlopError], other_base: type[BaseException], ask: Any) -> None:
    with pytest.raises(kind) as caught:
        ask()
    error = caught.value
    assert type(error) is kind
    assert isinstance(error, orlop.OrlopError)
    assert isinstance(error, other_base)
    assert str(error)
    assert error.code == kind._default_code
    for field in ("code", "field", "got", "expected", "hint"):
        assert isinstance(getattr(error, field), str), field
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is kind
    assert str(again) == str(error)
    assert again.__dict__ == error.__dict__


def test_every_class_can_be_raised_from_python() -> None:
    for name in errors.__all__:
        kind = getattr(errors, name)
        if isinstance(kind, type) and issubclass(kind, errors.OrlopError):
            error = kind("what", field="f", got="g", expected="e", hint="h")
            again = pickle.loads(pickle.dumps(error))
            assert (again.field, again.got, again.expected, again.hint, str(again)) == (
                "f",
                "g",
                "e",
                "h",
                "what",
            )
            assert error.code == kind._default_code


def test_a_boat_file_error_mirrors_its_first_problem() -> None:
    with pytest.raises(orlop.BoatFileError) as caught:
        orlop.Boat.from_text("format = 1\n[boat]\nnominal = 12\n", "b.toml")
    error = caught.value
    assert 1 < len(error.problems) <= 50
    first = error.problems[0]
    assert isinstance(first, orlop.Problem)
    assert (error.path, error.line, error.column, error.what) == first[:4]
    assert error.path == "b.toml"
    assert any(problem.line == 3 and "nominal" in problem.what for problem in error.problems)


def test_many_problems_are_cut_at_fifty() -> None:
    text = "format = 1\n" + "".join(f"[load.L{n}]\nwrong{n} = 1\n" for n in range(200))
    with pytest.raises(orlop.BoatFileError) as caught:
        orlop.Boat.from_text(text)
    assert len(caught.value.problems) == 50


def test_a_missing_file_is_an_ordinary_error() -> None:
    with pytest.raises(FileNotFoundError):
        orlop.Boat.load("no/such/boat.toml")


def test_an_unknown_demo_boat_lists_the_names() -> None:
    with pytest.raises(orlop.InputError, match="dunlin"):
        orlop.demo_boat("mauretania")


def test_a_panic_becomes_an_internal_error() -> None:
    assert issubclass(orlop.InternalError, RuntimeError)
    assert orlop.InternalError("x").code == "internal"
