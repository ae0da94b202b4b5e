"""Wanted lengths: at corners, away from them, at arcs and beside other metal."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.boundary import Boundary
from crosscurrent.geometries.meshing.facing import find_facing
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.meshing.sizes import SizeLaw, ball_diameters
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import bar, circle
from crosscurrent.geometries.plane.sides import Sides

OPTIONS = MeshOptions()


def law_of(*outlines, skin):
    sides = Sides.of(*outlines)
    boundaries = [Boundary(outline, k, skin) for k, outline in enumerate(outlines)]
    return SizeLaw(boundaries, sides, find_facing(sides).parallel, OPTIONS)


def test_small_at_a_corner_and_growing_with_the_distance():
    law = law_of(bar(10.0, 8.0).outer, skin=0.01)
    at = np.array([0.0, 0.01, 0.02])
    found = law(np.zeros(3, dtype=int), at)
    assert found[0] == pytest.approx(OPTIONS.corner * 0.01)
    assert np.diff(found) == pytest.approx(OPTIONS.slope * 10.0 * 0.01)


def test_no_longer_than_its_share_of_an_arc():
    law = law_of(circle(2.0), skin=1.0)
    assert law(np.arange(4), np.full(4, 0.3)).max() <= OPTIONS.arc * 1.0 + 1e-12


def test_a_piece_pressed_on_at_a_sharp_angle_does_not_shrink_elements_to_nothing():
    """A foot of 27 degrees on a bar: as long as at a corner of its own, not the clearance, which is none there."""
    foot = Outline.of([(-4.0, 1.0), (0.0, 1.0), (0.0, 3.0)])
    outlines = [bar(20.0, 2.0).outer, foot]
    sides = Sides.of(*outlines)
    found = []
    for part, layer in ((0, 1), (1, 0)):  # as a piece of the bar; as a part by itself
        boundaries = [Boundary(outlines[0], 0, 0.5), Boundary(foot, part, 0.5, layer=layer)]
        law = SizeLaw(boundaries, sides, find_facing(sides).parallel, OPTIONS)
        found.append(float(law(np.array([2]), np.array([0.7 - 1e-4]))[0]))  # 2 um from the foot's tip on the bar
    assert found[0] > 0.1
    assert found[1] < 0.01


def test_no_longer_than_the_clearance_of_a_corner_that_comes_near():
    tip = bar(1.0, 1.0).outer.turned(np.pi / 4).moved((0.0, 1.0 + np.sqrt(0.5) + 0.01))
    law = law_of(bar(20.0, 2.0).outer, tip, skin=10.0)
    assert law(np.array([2]), np.array([0.5]))[0] <= 1.2 * 0.0101


def test_the_circle_that_touches_a_parallel_side_is_as_wide_as_the_gap():
    sides = Sides.of(bar(4.0, 1.0).outer)
    place, direction = sides.at(np.array([0]), np.array([0.5]))
    found = ball_diameters(sides, place, direction, both_ways=False)[0]
    assert found[2] == pytest.approx(1.0)
    assert np.isinf(found[0])
