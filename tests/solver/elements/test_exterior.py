"""The outer space against its exact harmonics."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.elements.exterior import exterior
from crosscurrent.solver.elements.operators import Elements


@pytest.fixture(scope="module")
def outside() -> tuple[Elements, np.ndarray, np.ndarray]:
    """Elements, their matrix of the outer space, and the angle of every unknown about the centre."""
    mesh = mesh_section(Section((Part("rod", round_bar(0.010)),)), [[5e-3]])
    elements = Elements(mesh, 4)
    place = np.zeros((elements.count, 2))
    place[elements.dofs] = elements.positions(np.arange(len(elements.dofs)), lattice(4)[:, 1:] / 4)
    x, y = (place - mesh.centre).T
    return elements, exterior(elements), np.arctan2(y, x)


@pytest.mark.parametrize("n", [1, 2, 3])
def test_a_harmonic_has_the_energy_of_its_field_outside(
    outside: tuple[Elements, np.ndarray, np.ndarray], n: int
) -> None:
    """integral |grad (R / r)^n cos n phi|^2 beyond the circle is pi n."""
    _, matrix, angle = outside
    wave = np.cos(n * angle)
    assert wave @ (matrix @ wave) == pytest.approx(np.pi * n, rel=1e-4)


def test_the_mean_returns_at_e_times_the_radius(outside: tuple[Elements, np.ndarray, np.ndarray]) -> None:
    """Unit potential on the circle, none at e R: 2 pi / ln e."""
    elements, matrix, _ = outside
    one = np.ones(elements.count)
    assert one @ (matrix @ one) == pytest.approx(2 * np.pi, rel=1e-9)


def test_harmonics_do_not_mix(outside: tuple[Elements, np.ndarray, np.ndarray]) -> None:
    _, matrix, angle = outside
    assert abs(np.cos(angle) @ (matrix @ np.sin(angle))) < 1e-6
    assert abs(np.cos(angle) @ (matrix @ np.cos(2 * angle))) < 1e-6
    assert abs(matrix - matrix.T).max() < 1e-14
