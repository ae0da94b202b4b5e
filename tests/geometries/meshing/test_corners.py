"""Sharp corners are found, smooth ones left, and grading halves the triangles there."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.corners import graded, sharp_corners
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import angle, round_bar


@pytest.fixture(scope="module")
def profile():
    return mesh_section(Section((Part("angle", angle(0.03, 0.02, 0.004)),)), [[2e-3]])


def test_corners_inwards_and_outwards_are_found(profile):
    found = profile.points[sharp_corners(profile, profile.region)]
    wanted = angle(0.03, 0.02, 0.004).outer.points
    assert sorted(map(tuple, np.round(found, 9))) == sorted(map(tuple, np.round(wanted, 9)))


def test_arcs_have_none():
    rod = mesh_section(Section((Part("rod", round_bar(0.02)),)), [[2e-3]])
    assert len(sharp_corners(rod, rod.region)) == 0


def test_where_three_kinds_meet_the_border_branches(profile):
    kind = profile.region.copy()
    kind[(profile.region == 0) & (profile.points[profile.triangles].mean(axis=1)[:, 0] > 0)] = 7
    assert len(sharp_corners(profile, kind)) > 6


def test_grading_halves_so_many_times(profile):
    corner = sharp_corners(profile, profile.region)[:1]
    finer = graded(profile, corner, np.array([4]))
    place = profile.points[corner[0]]

    def smallest(mesh):
        at = (mesh.points[mesh.triangles] == place).all(axis=2).any(axis=1)
        return mesh.areas()[at].min()

    assert smallest(finer) < smallest(profile) / 2**4 * 1.01
    assert finer.areas().sum() == pytest.approx(profile.areas().sum(), rel=1e-12)
    assert len(graded(profile, corner, np.array([0])).triangles) == len(profile.triangles)
