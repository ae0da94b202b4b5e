"""Rows come with what they need and go again, and nothing else changes."""

import difflib

import pytest

from crosscurrent.page.board import NEW
from crosscurrent.page.edits import EditError, with_value
from crosscurrent.page.rows import topic_of, with_row

LISTS = (("duty",), ("joint",), ("water",), ("vary",), ("coil",), ("heating",), ("conductor", 0, "plating"))


@pytest.mark.parametrize("place", LISTS)
def test_rows_come_and_go(place: tuple[str | int, ...]) -> None:
    one = with_row(NEW, place)
    two = with_row(one, place)
    changed = [line for line in difflib.ndiff(NEW.splitlines(), two.splitlines()) if line[0] == "-"]
    assert not changed
    assert with_value(two, (*place, 1), "") == one
    assert with_value(one, (*place, 0), "") == NEW


def test_rows_take_names_of_the_case() -> None:
    assert 'circuit = "feed"' in with_row(NEW, ("joint",))
    assert 'name = "feed-2"\ncurrent = "100 A"\nout = ["outgoing"]' in with_row(NEW, ("circuit",))
    assert 'name = "outgoing.width"' in with_row(NEW, ("vary",))
    assert 'name = "inrush-2"' in with_row(with_row(NEW, ("duty",)), ("duty",))


def test_a_metal_of_ones_own_and_tables_that_stand_alone() -> None:
    metals = with_row(with_row(NEW, ("material",)), ("material",))
    assert '[material.own-metal]\nconductivity = "33 MS/m"\n\n[material.own-metal-2]' in metals
    less = with_value(with_value(metals, ("material", "own-metal-2"), ""), ("material", "own-metal"), "")
    assert less == NEW
    assert with_row(NEW, ("fault",)).endswith('\n\n[fault]\nduration = "100 ms"\n')
    assert with_value(with_row(NEW, ("cooling",)), ("cooling",), "") == NEW


def test_what_is_no_list() -> None:
    assert topic_of(("measured", "accuracy")).name == "measured.accuracy"
    with pytest.raises(EditError, match="no rows stand at hull"):
        with_row(NEW, ("hull",))
