"""What every class of the compiled module keeps: pickles, equality, reprs, frozen, documented."""

from __future__ import annotations

import copy
import html.parser
import inspect
import pickle
from typing import Any

import pytest

import orlop
from orlop import _orlop

CLASSES = [getattr(_orlop, name) for name in _orlop.__all__ if inspect.isclass(getattr(_orlop, name))]


def test_one_of_each_is_complete(one_of_each: list[Any]) -> None:
    assert {type(x) for x in one_of_each} == set(CLASSES)


def test_every_class_is_exported() -> None:
    for kind in CLASSES:
        assert kind.__module__ == "orlop", kind
        assert getattr(orlop, kind.__name__) is kind
        assert kind.__name__ in orlop.__all__


def test_pickles_are_equal(one_of_each: list[Any]) -> None:
    for x in one_of_each:
        for protocol in range(2, pickle.HIGHEST_PROTOCOL + 1):
            again = pickle.loads(pickle.dumps(x, protocol))
            assert type(again) is type(x)
            assert again == x, x
            assert repr(again) == repr(x)
        assert copy.deepcopy(x) == x


def test_a_pickle_of_a_later_form_is_refused(wire: orlop.Conductor) -> None:
    function, (schema, *rest) = wire.__reduce__()
    with pytest.raises(orlop.InputError, match="form"):
        function(schema + 1, *rest)


def test_equality_tells_apart(one_of_each: list[Any]) -> None:
    for i, x in enumerate(one_of_each):
        assert x == x
        assert x != "text"
        for y in one_of_each[i + 1 :]:
            if type(x) is type(y) and repr(x) != repr(y):
                assert x != y, (x, y)


def test_equal_things_have_equal_hashes(one_of_each: list[Any]) -> None:
    for x in one_of_each:
        if type(x).__hash__ is not None:
            assert hash(pickle.loads(pickle.dumps(x))) == hash(x)


def test_reprs_are_one_line(one_of_each: list[Any]) -> None:
    for x in one_of_each:
        text = repr(x)
        assert "\n" not in text
        assert text.startswith(type(x).__name__ + "("), text
        assert len(text) < 200, text


class _Tags(html.parser.HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_notebook_reprs_are_closed_html(one_of_each: list[Any]) -> None:
    for x in one_of_each:
        if hasattr(x, "_repr_html_"):
            tags = _Tags()
            tags.feed(x._repr_html_())
            assert tags.open == [], type(x)


def test_text_of_a_boat_file_is_escaped_in_notebooks() -> None:
    text = orlop.demo_boat("dunlin").text.replace('name = "Dunlin"', 'name = "<script>alert(1)</script>"', 1)
    boat = orlop.Boat.from_text(text)
    assert boat.name.startswith("<script>")
    for x in (boat, boat.size(), boat.size().table("circuits")):
        assert "<script>" not in x._repr_html_()


def test_classes_are_frozen(one_of_each: list[Any]) -> None:
    for x in one_of_each:
        for name in ("area", "rating", "steps", "name", "anything"):
            with pytest.raises((AttributeError, TypeError)):
                setattr(x, name, 1)


def test_confidence_is_one_of_three_words(one_of_each: list[Any]) -> None:
    for x in one_of_each:
        if hasattr(x, "confidence"):
            assert x.confidence in ("published", "common practice", "from memory")


def test_workings_end_in_the_answer(wire: orlop.Conductor) -> None:
    ampacity = wire.ampacity(rules="us-small-craft", bundled=3)
    working = ampacity.explain()
    assert len(working) == len(working.steps)
    # 33 CFR 183.425 Table 5: 120 A, three together x 0.70
    assert working.steps[-1].value == "84 A"
    assert any(step.source and "183.425" in step.source for step in working.steps)
    as_dict = working.to_dict()
    assert as_dict["steps"][0]["what"] == working.steps[0].what
    assert str(working).splitlines()[0] == working.title
