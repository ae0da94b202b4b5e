"""The mesh as a thing: its proof of positivity, its areas, its edges, and its way to scikit-fem."""

import math

import meshio
import numpy as np
import pytest
from hostile_sections import mesh_faults

from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section


def one_triangle(corners, bends=(), centres=()):
    """A mesh of a single triangle, some of its sides curved about centres."""
    nowhere = np.zeros((0, 2))
    return Mesh(
        np.array(corners, dtype=float), np.array([[0, 1, 2]]), np.array([0]), np.zeros(1, bool), ((0, 0),),
        np.array(bends, dtype=int).reshape(-1, 2), np.array(centres, dtype=float).reshape(-1, 2),
        np.zeros(0, dtype=int), nowhere, np.zeros((0, 4), dtype=int), np.zeros((0, 2), dtype=int), np.zeros(2), 1.0,
    )  # fmt: skip


@pytest.fixture(scope="module")
def plated_pair():
    section = Section(
        (
            Part("tube", shapes.tube(0.02, 0.002).placed((-0.015, 0.0)), (1e-4,)),
            Part("bar", shapes.bar(0.02, 0.004, 0.001).placed((0.015, 0.0), 0.3)),
        )
    )
    return section, mesh_section(section, [[1e-3, 5e-4], [1e-3]])


# --- the proof -----------------------------------------------------------------------------------


def test_straight_triangles():
    assert one_triangle([(0, 0), (1, 0), (0, 1)]).smallest_jacobians().tolist() == [1.0]
    assert one_triangle([(0, 0), (0, 1), (1, 0)]).smallest_jacobians().tolist() == [-1.0]


def test_an_arc_that_swallows_the_opposite_corner_is_found():
    """An arc over a chord reaches 0.905 into a triangle 0.8 high, or 0.16 into one 3 high."""
    flat = one_triangle([(-1, 0), (1, 0), (0, 0.8)], [(0, 1)], [(0.0, -0.1)])
    tall = one_triangle([(-1, 0), (1, 0), (0, 3.0)], [(0, 1)], [(0.0, -3.0)])
    assert flat.smallest_jacobians()[0] < 0
    assert tall.smallest_jacobians()[0] > 0


def test_a_point_pushed_over_its_neighbours_is_found(plated_pair):
    _, mesh = plated_pair
    assert mesh.smallest_jacobians().min() > 0
    points = mesh.points.copy()
    moved = mesh.triangles[mesh.region == 0][0]
    points[moved[0]] = 2 * points[moved[1:]].mean(axis=0) - points[moved[0]]
    pushed = Mesh(**{**vars_of(mesh), "points": points})
    assert pushed.smallest_jacobians().min() < 0


def vars_of(mesh):
    return {name: getattr(mesh, name) for name in Mesh.__dataclass_fields__}


# --- measures and edges --------------------------------------------------------------------------


def test_area_of_a_curved_triangle():
    """A sector of 40 degrees: triangle with one arc about its first corner."""
    angle = math.radians(40)
    sector = one_triangle([(0, 0), (1, 0), (math.cos(angle), math.sin(angle))], [(1, 2)], [(0.0, 0.0)])
    assert abs(sector.areas()[0] / (angle / 2) - 1) < 1e-9


def test_whose_a_triangle_and_a_region_is(plated_pair):
    _, mesh = plated_pair
    assert mesh.regions == ((0, 0), (0, 1), (1, 0))
    assert mesh.part_of_region.tolist() == [0, 0, 1]
    assert mesh.layer_of_region.tolist() == [0, 1, 0]
    assert [mesh.regions_of(part).tolist() for part in (0, 1, 2)] == [[0, 1], [2], []]
    assert ((mesh.part == AIR) == (mesh.region == AIR)).all()
    assert set(mesh.region[mesh.part == 0]) == {0, 1}
    coated = mesh.areas()[mesh.part == 0].sum()
    assert coated == pytest.approx(math.pi * (0.0101**2 - 0.008**2), rel=1e-9)


def test_edge_numbers(plated_pair):
    _, mesh = plated_pair
    some = mesh.edges[[3, 17, 40]]
    assert mesh.edge_numbers(some[:, ::-1]).tolist() == [3, 17, 40]
    with pytest.raises(KeyError, match="not in the mesh"):
        mesh.edge_numbers(np.array([[0, len(mesh.points) + 5]]))


def test_whole(plated_pair):
    section, mesh = plated_pair
    assert mesh_faults(section, mesh) == []


# --- scikit-fem and files ------------------------------------------------------------------------


def test_scikit_fem_keeps_regions_and_boundaries(plated_pair):
    _, mesh = plated_pair
    other = mesh.to_skfem()
    assert set(other.subdomains) == {"0.0", "0.1", "1.0", "air"}
    assert sum(len(k) for k in other.subdomains.values()) == len(mesh.triangles)
    assert set(other.subdomains["air"]) == set(np.flatnonzero(mesh.region == AIR))
    corner = mesh.points[mesh.triangles]
    one, two = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    straight = 0.5 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    p = other.p[:, other.t]
    theirs = 0.5 * np.abs((p[0, 1] - p[0, 0]) * (p[1, 2] - p[1, 0]) - (p[1, 1] - p[1, 0]) * (p[0, 2] - p[0, 0]))
    np.testing.assert_allclose(theirs, straight, rtol=1e-9)
    assert set(other.boundaries) == {"truncation", "boundary.0", "boundary.1", "boundary.2"}
    assert set(other.boundaries["truncation"]) == set(other.boundary_facets())
    for boundary in range(3):
        ends = np.sort(mesh.faces[mesh.faces[:, 2] == boundary, :2], axis=1)
        assert sorted(
            map(tuple, np.sort(other.facets[:, other.boundaries[f"boundary.{boundary}"]], axis=0).T.tolist())
        ) == sorted(map(tuple, ends.tolist()))


def test_meshio_round_trip(plated_pair, tmp_path):
    _, mesh = plated_pair
    path = tmp_path / "mesh.vtu"
    mesh.to_skfem().save(str(path))
    back = meshio.read(path)
    assert len(back.points) == len(mesh.points)
    assert np.array_equal(np.sort(back.cells_dict["triangle"], axis=1), np.sort(mesh.triangles, axis=1))
