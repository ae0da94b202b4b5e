"""A conductor unrolled: places along its outline and depths below it."""

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.pictures.unrolling import Unrolled


def unrolled_at(part, *places):
    every = np.array(places, dtype=float)
    roll = Unrolled(part)
    return roll.unrolled(roll.side_of(every)[0], every)


def test_bar_runs_along_its_lower_face_first():
    part = Part("bar", bar(0.1, 0.006))
    found = unrolled_at(part, (0.0, -0.002), (0.049, 0.0), (0.02, 0.0025), (-0.0495, 0.001))
    np.testing.assert_allclose(found, [(0.05, 0.001), (0.103, 0.001), (0.136, 0.0005), (0.208, 0.0005)], atol=1e-12)
    assert [f.name for f in Unrolled(part).faces] == ["lower face", "right face", "upper face", "left face"]


def test_rod_unrolls_by_its_angle():
    """The outline begins at the lower right, so straight up is three eighths of the way round."""
    (along, depth), = unrolled_at(Part("rod", round_bar(0.02)), (0.0, 0.007))
    assert along == pytest.approx(3 / 8 * np.pi * 0.02)
    assert depth == pytest.approx(0.003)


def test_bore_follows_the_outer_outline_after_a_gap():
    part = Part("tube", tube(0.02, 0.004))
    outer, inner = np.pi * 0.02, np.pi * 0.012
    (along, depth), = unrolled_at(part, (0.0, 0.0065))
    assert depth == pytest.approx(0.0005)
    assert along == pytest.approx(outer + 0.04 * (outer + inner) + 3 / 8 * inner)
    assert Unrolled(part).faces[-1].name == "bore"


def test_depth_counts_from_the_outside_of_a_coat():
    part = Part("rod", round_bar(0.02), (0.001,))
    depths = unrolled_at(part, (0.0, 0.0105), (0.0, 0.0095))[:, 1]
    np.testing.assert_allclose(depths, [0.0005, 0.0015], atol=1e-12)
