"""Sections: their boxes, and that every section is checked."""

import math

import pytest

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar, round_bar


def test_a_section_has_the_box_of_all_its_parts():
    section = Section((Part("left", round_bar(2.0)), Part("right", round_bar(2.0).placed((4.0, 0.0)))))
    assert section.bounds == pytest.approx(bar(6.0, 2.0).placed((2.0, 0.0)).outer.bounds)
    assert section.size == pytest.approx(math.hypot(6.0, 2.0))


def test_an_empty_section_and_one_that_overlaps_are_refused():
    with pytest.raises(GeometryError, match="at least one conductor"):
        Section(())
    with pytest.raises(GeometryError, match="overlap"):
        Section((Part("one", bar(1.0, 1.0)), Part("two", bar(1.0, 1.0).placed((0.5, 0.0)))))
