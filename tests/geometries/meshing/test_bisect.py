"""Bisection: conforming, exact on arcs, polar triangles stay polar."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.bisect import bisect, bisected, largest_first
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar


@pytest.fixture(scope="module")
def rod():
    return mesh_section(Section((Part("rod", round_bar(2.0)),)), [[0.1]])


@pytest.fixture(scope="module")
def some(rod):
    return np.arange(len(rod.triangles)) % 9 == 0


def test_every_chosen_triangle_is_halved_and_areas_are_kept(rod, some):
    finer, parent = bisected(rod, some)
    count = np.bincount(parent, minlength=len(rod.triangles))
    assert count[some].min() >= 2
    assert np.bincount(parent, finer.areas()) == pytest.approx(rod.areas(), rel=1e-8)
    assert (finer.region == rod.region[parent]).all()
    assert (finer.field_free == rod.field_free[parent]).all()


def test_no_node_hangs_on_an_edge(rod, some):
    finer = bisect(rod, some)
    shared = np.bincount(finer.triangle_edges.ravel())
    assert shared.max() == 2
    assert (shared == 1).sum() == len(finer.truncation_edges)
    assert finer.smallest_jacobians().min() > 0


def test_new_nodes_on_arcs_lie_on_the_circle(rod, some):
    finer = bisect(rod, some)
    on_surface = np.unique(finer.faces[:, :2])
    assert len(on_surface) > len(np.unique(rod.faces[:, :2]))
    assert np.hypot(*finer.points[on_surface].T) == pytest.approx(1.0, rel=1e-13)


def test_children_of_polar_triangles_are_polar(rod, some):
    finer, parent = bisected(rod, some)
    assert set(finer.polar) == set(np.flatnonzero(np.isin(parent, rod.polar)))
    assert np.abs(finer.polar_centres).max() < 1e-12


def test_nothing_chosen_changes_nothing(rod):
    same = bisect(rod, np.zeros(len(rod.triangles), bool))
    assert len(same.points) == len(rod.points)


def test_the_fewest_that_hold_the_share():
    assert largest_first(np.array([4.0, 1.0, 3.0, 2.0]), 0.7).tolist() == [True, False, True, False]
