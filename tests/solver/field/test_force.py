"""Forces from exact fields put into the elements: no solve."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.force import Circles, Forces
from crosscurrent.solver.metals.depth import MU0

RADIUS, CURRENT = 0.005, 100.0


def wires(distance: float) -> Discretisation:
    """Two thin-walled stand-ins for line currents."""
    parts = tuple(Part(n, round_bar(2 * RADIUS).placed((x, 0))) for n, x in (("a", 0.0), ("b", distance)))
    return Discretisation(mesh_section(Section(parts), [[2e-3], [2e-3]]), (RegionMetal(1.0), RegionMetal(1.0)), 4)


def places(d: Discretisation) -> np.ndarray:
    found = np.zeros((d.elements.count, 2))
    found[d.elements.dofs] = d.elements.positions(np.arange(len(d.elements.dofs)), lattice(4)[:, 1:] / 4)
    return found


def potential(d: Discretisation, distance: float) -> np.ndarray:
    """Of uniform currents, opposite in both wires: -mu0 I / (2 pi) ln r outside, a parabola inside."""
    total = np.zeros(d.elements.count)
    for x, sign in ((0.0, 1.0), (distance, -1.0)):
        r = np.hypot(*(places(d) - [x, 0.0]).T)
        own = np.where(r > RADIUS, np.log(np.maximum(r, RADIUS) / RADIUS), 0.5 * ((r / RADIUS) ** 2 - 1))
        total -= sign * MU0 * CURRENT / (2 * np.pi) * own
    return total


def electric(d: Discretisation) -> np.ndarray:
    return np.asarray(d.lift @ [CURRENT, -CURRENT] / (np.pi * RADIUS**2))


@pytest.mark.parametrize(("distance", "apart"), [(0.0115, False), (0.1, True)])
def test_two_line_currents_push_each_other_apart(distance: float, apart: bool) -> None:
    """mu0 I^2 / (2 pi D) whatever the distance: uniform round currents act as lines (Maxwell's stress, and moments)."""
    d = wires(distance)
    assert Circles.of(d).apart.tolist() == [apart, apart]
    forces = Forces.of(d, electric(d) + 0j, potential(d, distance) + 0j, lifted=False)
    exact = MU0 * CURRENT**2 / (2 * np.pi * distance)
    np.testing.assert_allclose(forces.mean, [[-exact, 0.0], [exact, 0.0]], atol=1e-4 * exact)
    np.testing.assert_allclose(forces.swing, forces.mean, atol=1e-12 * exact)  # in phase it swings to nothing


def test_currents_a_quarter_apart_swing_about_no_mean_of_their_own() -> None:
    """In quadrature the mean of the product is nil and all of the force swings."""
    d, distance = wires(0.1), 0.1
    turned = np.where(np.abs(places(d)[:, 0]) < 0.02, 1.0, 1j)
    forces = Forces.of(d, electric(d) * turned, potential(d, distance) + 0j, lifted=False)
    assert np.abs(forces.mean[:, 0]).max() < 1e-9 * np.abs(forces.swing[:, 0]).max()


def test_no_change_leaves_what_two_orders_cannot_tell() -> None:
    d = wires(0.0115)
    forces = Forces.of(d, electric(d) + 0j, potential(d, 0.0115) + 0j, lifted=False)
    assert (forces.errors(forces) == 0).all()
