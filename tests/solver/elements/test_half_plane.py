"""Weight and shape functions of the half plane r, z."""

from __future__ import annotations

import math

import numpy as np

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.elements.half_plane import Weight, damping, extra_degrees, reach_of_points, touching
from crosscurrent.solver.elements.operators import Elements


def _ball() -> Elements:
    section = Section((Part("ball", round_bar(0.02)), Part("turn", round_bar(0.002).placed((0.02, 0.004)))), axial=True)
    return Elements(mesh_section(section, [[2e-3], [1e-3]]), 3, Weight.FLUX)


def test_weights_are_those_of_flux_and_of_volume() -> None:
    radius = np.array([0.5, 2.0])
    np.testing.assert_allclose(Weight.FLUX.at(radius) * Weight.VOLUME.at(radius), 1.0, rtol=1e-15)
    np.testing.assert_allclose(Weight.VOLUME.at(radius), 2 * np.pi * radius, rtol=1e-15)
    assert (Weight.PLANE.at(radius) == 1).all()


def test_functions_at_the_axis_are_one_on_sides_away_from_it_and_continuous() -> None:
    elements = _ball()
    mesh = elements.mesh
    near = touching(mesh)
    assert elements.at_axis.sum() == len(near) > 10
    # a field with random values at the unknowns has one value from both sides of every edge
    field = np.random.default_rng(1).normal(size=elements.count)
    along = np.array([0.2, 0.7])
    seen: dict[int, list[float]] = {}
    for side, (i, j) in enumerate(((0, 1), (1, 2), (2, 0))):
        for row in near:
            backward = mesh.triangle_edges_backward[row, side]
            t = 1 - along if backward else along
            places = ((1 - t)[:, None] * np.eye(3)[i] + t[:, None] * np.eye(3)[j])[:, 1:]
            value = elements.value(field, np.array([row]), places)[0]
            seen.setdefault(int(mesh.triangle_edges[row, side]), []).append(value)
    shared = [pair for pair in seen.values() if len(pair) == 2]
    assert len(shared) > 5
    for one, other in shared:
        np.testing.assert_allclose(one, other, rtol=1e-9, atol=1e-12)


def test_a_uniform_field_is_met_at_the_axis() -> None:
    """2 pi r A of a uniform field of 1 T is pi r^2: its own function where t is even, else close to it at order 3."""
    elements = _ball()
    rows = elements.straight
    places = lattice(elements.order)[:, 1:] / elements.order
    field = np.zeros(elements.count)
    radius = elements.positions(rows, places)[..., 0]
    reach = elements.reaches[rows] @ np.column_stack((1 - places.sum(axis=1), places)).T
    field[elements.dofs[rows]] = np.pi * (radius + reach) ** 2
    near = rows[elements.at_axis[rows]]
    inner, _ = quadrature(4)
    found = elements.induction(field, rows, inner)  # d/dr over 2 pi r is 1, d/dz 0
    np.testing.assert_allclose(found[..., 0], 1.0, atol=1e-9)
    np.testing.assert_allclose(found[..., 1], 0.0, atol=1e-9)
    # at the axis itself too
    np.testing.assert_allclose(elements.induction(field, near, places)[..., 0], 1.0, atol=1e-9)


def test_reaches_are_means_over_the_neighbours() -> None:
    mesh = _ball().mesh
    reach = reach_of_points(mesh)
    on = np.flatnonzero(mesh.points[:, 0] == 0)
    assert (reach[on] > 0).all()
    assert (np.delete(reach, on) == 0).all()


def test_damping_has_the_gradient_of_its_value() -> None:
    step = 1e-6
    radius = np.array([0.3, 0.8])

    def reach(r: np.ndarray) -> np.ndarray:
        return 1.5 - 0.4 * r

    rise = np.array([[-0.4, 0.0]] * 2)
    over, slope = damping(radius, reach(radius), rise)
    ahead, back = ((r / (r + reach(r))) ** 2 for r in (radius + step, radius - step))
    np.testing.assert_allclose(over * radius, (radius / (radius + reach(radius))) ** 2, rtol=1e-15)
    np.testing.assert_allclose(slope[:, 0] * radius, (ahead - back) / (2 * step), rtol=1e-8)


def test_extra_degrees_integrate_one_over_r() -> None:
    for high in (1.02, 1.5, 4.0):
        degree = int(extra_degrees(np.array([1.0]), np.array([high]))[0])
        nodes, weights = np.polynomial.legendre.leggauss(degree // 2 + 1)
        r = 1 + (high - 1) * 0.5 * (nodes + 1)
        found = 0.5 * (high - 1) * weights @ (1 / r)
        exact, _ = math.log(high), 0
        assert abs(found / exact - 1) < 1e-13
