"""Matrices against integrals known exactly."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import bar as flat_bar
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.elements.operators import Elements, elements_on


def meshed(shape: object) -> Mesh:
    return mesh_section(Section((Part("one", shape),)), [[5e-3]])  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def rod() -> Mesh:
    return meshed(round_bar(0.010))


@pytest.fixture(scope="module")
def bar() -> Mesh:
    return meshed(flat_bar(0.020, 0.010))


def test_stiffness_of_the_first_order_is_that_of_cotangents(bar: Mesh) -> None:
    """Off the diagonal minus half the cotangent of the opposite angle (any textbook on elements)."""
    elements = Elements(bar, 1)
    for row in elements.straight[:20]:
        a, b, c = bar.points[bar.triangles[row]]
        one, other = a - c, b - c
        cotangent = one @ other / abs(one[0] * other[1] - one[1] * other[0])
        assert elements.stiffness_blocks[row][0, 1] == pytest.approx(-0.5 * cotangent, rel=1e-12, abs=1e-14)


@pytest.mark.parametrize("order", [1, 2, 4])
def test_mass_sums_to_the_area_of_the_metal(rod: Mesh, bar: Mesh, order: int) -> None:
    for mesh, area in ((rod, np.pi * 0.005**2), (bar, 0.020 * 0.010)):
        assert Elements(mesh, order).mass_blocks.sum() == pytest.approx(area, rel=1e-9)


@pytest.mark.parametrize("order", [1, 3])
def test_a_constant_has_no_energy_and_a_plane_that_of_its_slope(bar: Mesh, order: int) -> None:
    """The patch test: u = 2 x - 3 y has the energy 13 times the area."""
    elements = Elements(bar, order)
    rows = elements.metal
    stiffness = elements.assemble(elements.stiffness_blocks[rows], rows)
    assert np.abs(stiffness @ np.ones(elements.count)).max() < 1e-12
    place = np.zeros((elements.count, 2))
    place[elements.dofs] = elements.positions(np.arange(len(elements.dofs)), nodes_of(order))
    plane = place @ [2.0, -3.0]
    assert plane @ (stiffness @ plane) == pytest.approx(13 * 0.020 * 0.010, rel=1e-9)


def nodes_of(order: int) -> np.ndarray:
    return np.asarray(lattice(order)[:, 1:] / order)


def test_value_and_gradient_of_a_parabola(bar: Mesh) -> None:
    elements, places = Elements(bar, 2), np.array([[0.2, 0.3], [0.5, 0.1]])
    nodes = np.zeros((elements.count, 2))
    nodes[elements.dofs] = elements.positions(np.arange(len(elements.dofs)), nodes_of(2))
    field, rows = nodes[:, 0] * nodes[:, 1], elements.straight[:50]
    x, y = np.moveaxis(elements.positions(rows, places), -1, 0)
    straight = np.isin(rows, bar.curved, invert=True)
    np.testing.assert_allclose(elements.value(field, rows, places)[straight], (x * y)[straight], atol=1e-15)
    slope = np.stack((y, x), axis=-1)
    np.testing.assert_allclose(elements.gradient(field, rows, places)[straight], slope[straight], atol=1e-13)


def test_elements_on_finds_the_triangle_of_a_directed_edge() -> None:
    triangles = np.array([[0, 1, 2], [2, 1, 3]])
    rows, sides = elements_on(np.array([[1, 2], [2, 1], [3, 2]]), triangles)
    assert rows.tolist() == [0, 1, 1]
    assert sides.tolist() == [1, 0, 2]
