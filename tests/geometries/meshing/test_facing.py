"""Sides that face each other are cut where each other's corners project."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.facing import find_facing
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.geometries.plane.sides import Sides


def facing_of(*outlines):
    return find_facing(Sides.of(*outlines))


def test_a_shorter_side_cuts_the_longer_one():
    low, high = bar(10.0, 1.0).outer, bar(4.0, 1.0).outer.moved((1.0, 1.2))
    facing = facing_of(low, high)
    cuts = [s.begin for s in facing.segments if s.side == 2]  # the upper side of the lower bar, run from the right
    assert cuts == pytest.approx([0.0, 0.2, 0.6])
    shared = [(s, t) for s, t in facing.pairs if {facing.segments[s].side, facing.segments[t].side} == {2, 4}]
    assert len(shared) == 1
    (s, t), group = shared[0], facing.group
    assert group[s] == group[t]
    assert facing.flipped[s] != facing.flipped[t]


def test_far_sides_do_not_face_each_other():
    facing = facing_of(bar(1.0, 1.0).outer, bar(1.0, 1.0).outer.moved((0.0, 5.0)))
    assert all(facing.segments[s].side // 4 == facing.segments[t].side // 4 for s, t in facing.pairs)


def test_a_third_bar_between_hides_the_others():
    bars = [bar(10.0, 0.5).outer.moved((0.0, y)) for y in (0.0, 1.0, 2.0)]
    facing = facing_of(*bars)
    owners = {frozenset((facing.segments[s].side // 4, facing.segments[t].side // 4)) for s, t in facing.pairs}
    assert frozenset((0, 2)) not in owners
    assert {frozenset((0, 1)), frozenset((1, 2))} <= owners


def test_arcs_of_one_centre_face_each_other():
    shape, rod = tube(10.0, 1.5), round_bar(6.6)
    sides = Sides.of(shape.outer, shape.holes[0].reversed(), rod.outer)
    facing = find_facing(sides)
    met = {frozenset((facing.segments[s].side // 4, facing.segments[t].side // 4)) for s, t in facing.pairs}
    assert met == {frozenset((0, 1)), frozenset((1, 2))}
    assert np.asarray(facing.parallel).all()
