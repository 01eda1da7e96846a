"""Examples in docstrings and in the README do what they say."""

from __future__ import annotations

import doctest
import inspect
import re
from pathlib import Path
from types import ModuleType

import pytest

import orlop
from orlop import _demo, _orlop, errors, plot, proving

ROOT = Path(__file__).resolve().parents[2]
FLAGS = doctest.NORMALIZE_WHITESPACE


def examples(name: str, text: str) -> int:
    """Runs the examples of a text and returns how many there are."""
    test = doctest.DocTestParser().get_doctest(text, {}, name, None, 0)
    said: list[str] = []
    result = doctest.DocTestRunner(optionflags=FLAGS).run(test, out=said.append)
    assert result.failed == 0, "".join(said)
    return len(test.examples)


PUBLIC = [(name, getattr(orlop, name)) for name in orlop.__all__ if callable(getattr(orlop, name))]


@pytest.mark.parametrize(("name", "thing"), PUBLIC)
def test_every_public_name_is_documented(name: str, thing: object) -> None:
    text = inspect.getdoc(thing)
    assert text, name
    assert text[0].isupper() or text.startswith("orlop"), text
    if name not in {*errors.__all__}:
        assert ">>>" in text, f"{name} has no example"
    examples(name, text)


@pytest.mark.parametrize("kind", [k for _, k in inspect.getmembers(_orlop, inspect.isclass)])
def test_every_member_is_documented(kind: type) -> None:
    for name, member in vars(kind).items():
        if not name.startswith("_"):
            text = inspect.getdoc(member)
            assert text, f"{kind.__name__}.{name}"
            examples(f"{kind.__name__}.{name}", text)


@pytest.mark.parametrize("module", [orlop, errors, proving, _demo])
def test_examples_of_modules(module: ModuleType) -> None:
    if module.__doc__:
        examples(module.__name__, module.__doc__)


@pytest.mark.parametrize("name", plot.__all__)
def test_every_drawing_is_documented(name: str) -> None:
    text = inspect.getdoc(getattr(plot, name))
    assert text and ">>>" in text, name
    examples(name, text)


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_python_in_pages(page: str, capsys: pytest.CaptureFixture[str]) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")
    blocks = re.findall(r"^```python\n(.*?)^```\n(?:\n```text\n(.*?)^```)?", text, re.MULTILINE | re.DOTALL)
    assert blocks or page != "README.md"
    for at, (code, printed) in enumerate(blocks):
        exec(compile(code, f"{page}:{at}", "exec"), {})
        shown = capsys.readouterr().out
        if printed:
            assert shown == printed


def test_the_first_page_ends_in_a_physical_number() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert re.search(r"^```text\n[\d.]+ V\n```", text, re.MULTILINE)
