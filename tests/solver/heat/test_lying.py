"""How rings lie in the air where their axis lies."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.heat.convection import AirStream, Face, film
from crosscurrent.solver.heat.lying import lying

ROUND = Face(0.0, 0.0188, 0.0188, True)


def mean(lies, surface=90.0, air=20.0):
    return np.mean([film(face, stream, surface, air)[0] for face, stream in lies])


def test_a_slender_round_turn_lies_between_level_and_upright():
    lies = lying(ROUND, 1.0, Part("turn", round_bar(0.006).placed((0.1, 0.0))), AirStream())
    level = film(ROUND, AirStream(), 90.0, 20.0)[0]
    upright = film(ROUND, AirStream(math.pi / 2, 0.2), 90.0, 20.0)[0]
    assert upright < mean(lies) < level
    # cos^(1/4) of the tilt on average, for a film that follows the root of the root of gravity
    assert mean(lies) / level == pytest.approx(0.87, abs=0.06)


def test_radial_faces_look_up_as_often_as_down():
    part = Part("turn", bar(0.004, 0.012).placed((0.1, 0.0)))
    lies = lying(Face(0.0, 0.012, 0.032, False), 1.0, part, AirStream())
    assert sorted({face.up for face, _ in lies}) == [-1.0, 1.0]
    assert lies == tuple(sorted(lies, key=lambda lie: -lie[1].tilt))
    side = lying(Face(1.0, 0.004, 0.032, False), 0.0, part, AirStream())
    assert {face.up for face, _ in side} == {0.0}


def test_a_billet_is_a_level_cylinder_with_upright_ends():
    billet = Part("billet", bar(0.05, 0.2))
    ((round_face, still),) = lying(Face(0.0, 0.2, 0.5, False), 1.0, billet, AirStream(0.3))
    assert (round_face.is_round, still.tilt) == (True, 0.0)
    assert round_face.girth / math.pi == pytest.approx(0.05)
    ((end, _),) = lying(Face(1.0, 0.025, 0.5, False), 0.0, billet, AirStream())
    assert (end.is_round, end.up) == (False, 0.0)
