"""The table of near sides, slots and webs, and the words of distances."""

import numpy as np
import pytest

from crosscurrent.geometries.plane.contacts import Look, across, length, place_text
from crosscurrent.geometries.plane.part import NARROWEST, Part
from crosscurrent.geometries.plane.shapes import Shape, bar, circle, outline, tube

GAP = 2e-7


def test_only_near_sides_are_paired_and_neighbours_left_out():
    look = Look.at([Part("one", bar(0.1, 0.01)), Part("two", bar(0.1, 0.01).placed((0.0, 0.01 + GAP)))])
    facing = [(i, j) for i, j, d in zip(look.pairs.i, look.pairs.j, look.pairs.distance, strict=True) if d < 1.01 * GAP]
    assert (2, 4) in facing
    owners = look.owner[np.stack((look.pairs.i, look.pairs.j))]
    assert (owners[0] != owners[1]).all()
    assert look.pairs.distance.min() == pytest.approx(GAP, rel=1e-9)


def test_slots_are_told_from_webs():
    wide, slot = 1.0, 1e-6
    points = [(-wide, 0), (wide, 0), (wide, 1), (slot / 2, 1), (slot / 2, 0.5), (-slot / 2, 0.5), (-slot / 2, 1)]
    look = Look.at([Part("slotted", outline([*points, (-wide, 1)]))])
    width, is_slot = across(look, look.pairs)
    facing = width < 1.01 * slot
    assert facing.any()
    assert is_slot[facing].all()
    foil = Look.at([Part("foil", bar(1.0, 1e-6))])
    width, is_slot = across(foil, foil.pairs)
    assert width.min() == pytest.approx(1e-6, rel=1e-9)
    assert not is_slot.any()


def test_holes_and_pieces_have_names():
    look = Look.at([Part("tube", tube(4.0, 1.0), pieces=(bar(1.0, 1.0).placed((2.5, 0.0)),))])
    assert [look.name(k) for k in range(3)] == [
        'conductor "tube"', 'hole 1 of conductor "tube"', 'conductor "tube, piece 1"'
    ]  # fmt: skip
    assert look.culprits(0, 1) == (("tube", 0), ("tube", 1))


def test_the_least_gap_goes_by_the_smaller_part():
    look = Look.at([Part("big", bar(1.0, 1.0)), Part("small", Shape(circle(0.1)).placed((2.0, 0.0)))])
    assert look.least(0, 1) == pytest.approx(NARROWEST * look.spans[1])
    assert look.least(0, 0) == pytest.approx(NARROWEST * look.spans[0])


def test_words():
    assert (length(1.5e-3), length(2.5e-5), length(0.0)) == ("1.5 mm", "25 um", "0 mm")
    assert place_text(np.array([1e-3, -0.0])) == "(1 mm, 0 mm)"
