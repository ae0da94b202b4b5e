"""Dimensions of simple sections: each size once, gaps along the shortest way."""

from __future__ import annotations

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.workshop.dimensions import MOST, add_gaps, add_sizes, diameter
from crosscurrent.postprocess.workshop.gaps import joining_gaps
from crosscurrent.postprocess.workshop.sheet import Sheet


def said(*parts: Part) -> list[str]:
    sheet = Sheet("", 1.0)
    add_sizes(sheet, parts)
    add_gaps(sheet, parts, joining_gaps(parts))
    return [label.text for label in sheet.labels]


def test_a_bar_has_a_width_and_a_height() -> None:
    assert said(Part("bar", bar(0.1, 0.006))) == ["100 (3.937 in)", "6 (236.2)"]


def test_a_round_part_has_a_diameter_once() -> None:
    assert said(Part("rod", round_bar(0.01))) == ["dia 10 (393.7)"]


def test_equal_parts_share_a_dimension_and_equal_gaps_too() -> None:
    bars = [Part(f"bar.{k}", bar(0.1, 0.006).placed((0.0, 0.010 * k))) for k in range(3)]
    assert said(*bars) == ["100 (3.937 in)  3x", "6 (236.2)  3x", "gap 4 (157.5)  2x"]


def test_a_gap_in_a_coax_is_that_of_its_radii() -> None:
    found = said(Part("core", round_bar(0.01)), Part("sheath", tube(0.03, 0.002)))
    assert found == ["dia 10 (393.7)", "dia 30 (1.181 in)", "gap 8 (315)"]


def test_of_many_sizes_the_first_are_drawn() -> None:
    parts = [Part(f"b{k}", bar(0.01 + 0.001 * k, 0.002).placed((0.0, 0.004 * k))) for k in range(MOST + 3)]
    widths = [text for text in said(*parts) if not text.startswith("gap") and "2 (78.74)" not in text]
    assert len(widths) == MOST


def test_only_circles_have_a_diameter() -> None:
    assert diameter(round_bar(0.01).outer) == pytest.approx(0.01)
    assert diameter(bar(0.01, 0.01, 0.002).outer) is None
