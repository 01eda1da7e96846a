"""What can go wrong, as classes that can be caught at the grain you need.

Every error says what was asked, what was wrong in the units it was written in, what is accepted and what to try.

Example:
    >>> import orlop
    >>> try:
    ...     orlop.Device("iso8820-3-blade", "10")
    ... except orlop.UnitError as error:
    ...     print(error.field, "|", error.got)
    rating | 10
"""

from __future__ import annotations

from typing import Any, NamedTuple

__all__ = [
    "BoatFileError",
    "InputError",
    "InternalError",
    "NoSolution",
    "OrlopError",
    "OutOfTable",
    "Problem",
    "UnitError",
]


class OrlopError(Exception):
    """Base of all errors of orlop.

    Attributes:
        code: stable short name of the kind of error.
        field: the argument or field that was wrong, or "".
        got: what was given, as it was written.
        expected: what is accepted.
        hint: what to try, or "".
    """

    code: str
    field: str
    got: str
    expected: str
    hint: str

    _default_code = "error"

    def __init__(
        self,
        message: str = "",
        *,
        code: str = "",
        field: str = "",
        got: str = "",
        expected: str = "",
        hint: str = "",
    ) -> None:
        super().__init__(message)
        self.code = code or self._default_code
        self.field = field
        self.got = got
        self.expected = expected
        self.hint = hint

    def __reduce__(self) -> tuple[Any, ...]:
        return _rebuild, (type(self), str(self), dict(self.__dict__))


class UnitError(OrlopError, ValueError):
    """A physical value that cannot be read: no unit, an unknown one, or one of another kind."""

    _default_code = "unit"


class InputError(OrlopError, ValueError):
    """A value that can be read but not used."""

    _default_code = "input"


class OutOfTable(OrlopError, LookupError):  # noqa: N818 - the name is a contract
    """A question beyond the table that would answer it. Nothing is ever extrapolated."""

    _default_code = "out-of-table"


class NoSolution(OrlopError, ArithmeticError):  # noqa: N818 - the name is a contract
    """No choice keeps all limits; the hint lists remedies."""

    _default_code = "no-solution"


class InternalError(OrlopError, RuntimeError):
    """A fault in orlop itself. Please report it with the input that led here."""

    _default_code = "internal"


class Problem(NamedTuple):
    """One thing that is wrong in a boat file, with the place where it stands."""

    path: str
    """The file."""
    line: int
    """Line, from 1."""
    column: int
    """Column, from 1."""
    what: str
    """What is wrong."""
    expected: str
    """What is accepted."""
    hint: str
    """What to try, or ""."""


class BoatFileError(OrlopError, ValueError):
    """A boat file that cannot be used. All problems are collected (at most 50); the first stands on the error itself.

    Attributes:
        problems: every problem found, in the order of the file.
        path, line, column, what: those of the first problem.
    """

    problems: tuple[Problem, ...]
    path: str
    line: int
    column: int
    what: str

    _default_code = "boat-file"

    def __init__(self, message: str = "", *, problems: tuple[Problem, ...] = (), **fields: str) -> None:
        super().__init__(message, **fields)
        self.problems = tuple(Problem(*problem) for problem in problems)
        first = self.problems[0] if self.problems else Problem("", 0, 0, message, "", "")
        self.path, self.line, self.column, self.what = first.path, first.line, first.column, first.what
        self.expected = self.expected or first.expected
        self.hint = self.hint or first.hint


def _rebuild(kind: type[OrlopError], message: str, fields: dict[str, Any]) -> OrlopError:
    """Rebuilds a pickled error."""
    error = kind.__new__(kind, message)
    error.args = (message,)
    error.__dict__.update(fields)
    return error
