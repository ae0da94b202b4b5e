"""Single entities of a DXF file as strokes."""

import math

import ezdxf
import numpy as np
import pytest

from crosscurrent.geometries.drawings.curves import IDENTITY, Affine
from crosscurrent.geometries.drawings.dxf_curves import draw_entity, flat_place
from crosscurrent.geometries.drawings.sketch import Sketch


def drawn(entity, place=IDENTITY):
    sketch = Sketch()
    draw_entity(entity, "0", place, sketch)
    return sketch


@pytest.fixture
def space():
    return ezdxf.new().modelspace()


def test_an_arc_keeps_its_radius_and_sense(space):
    (stroke,) = drawn(space.add_arc((1, 2), 3, 0, 90)).strokes
    assert np.allclose(stroke.run.points[[0, -1]], [(4, 2), (1, 5)])
    assert 4 * np.arctan(stroke.run.bulges).sum() == pytest.approx(math.pi / 2)
    (mirrored,) = drawn(space.add_arc((1, 2), 3, 0, 90), Affine.of(-1, 0, 0, 0, 1, 0)).strokes
    assert 4 * np.arctan(mirrored.run.bulges).sum() == pytest.approx(-math.pi / 2)


def test_circles_and_closed_polylines_are_closed(space):
    assert drawn(space.add_circle((0, 0), 2)).strokes[0].closed
    (stroke,) = drawn(space.add_lwpolyline([(0, 0), (2, 0), (2, 1)], close=True)).strokes
    assert stroke.closed


def test_bulges_of_a_polyline_are_taken_over(space):
    (stroke,) = drawn(space.add_lwpolyline([(0, 0, 1.0), (2, 0, 0.0)], format="xyb")).strokes
    assert stroke.run.bulges.tolist() == [1.0]


def test_the_place_of_a_block_in_the_plane():
    matrix = ezdxf.math.Matrix44.translate(1, 2, 0)
    place = flat_place(matrix)
    assert place is not None
    assert place.points([(0, 0)]).tolist() == [[1, 2]]
    assert flat_place(ezdxf.math.Matrix44.x_rotate(0.5)) is None
