"""The field of a rod and of a pair, read point by point, against Ampere's law."""

import math

import numpy as np
import pytest
from common import MU0, SIGMA, pair, rod

from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

RADIUS, APART, CURRENT = 0.005, 0.03, 100.0
PROBLEM = pair(rod("go", 2 * RADIUS), rod("back", 2 * RADIUS, APART), CURRENT)


@pytest.fixture(scope="module")
def probe() -> Probe:
    """At rest: uniform densities, so that everything outside is the field of two filaments."""
    d = Discretisation(mesh_section(PROBLEM.section, [[1.5e-3]] * 2), (RegionMetal(SIGMA),) * 2, 5)
    return Probe(SolvedFlow.of(PROBLEM, solve_fields(d, 0.0, lifted=False)))


def circle(radius: float, count: int = 64) -> tuple[np.ndarray, np.ndarray]:
    """Points around the first rod and the directions around it."""
    angle = 2 * np.pi * (np.arange(count) + 0.5) / count
    outward = np.column_stack((np.cos(angle), np.sin(angle)))
    return radius * outward, np.column_stack((-outward[:, 1], outward[:, 0]))


def filaments(points: np.ndarray) -> np.ndarray:
    """B of a current and its return [T]."""
    total = np.zeros_like(points)
    for x, current in ((0.0, CURRENT), (APART, -CURRENT)):
        offset = points - (x, 0.0)
        around = np.column_stack((-offset[:, 1], offset[:, 0]))
        total += MU0 * current / (2 * np.pi) * around / (offset**2).sum(axis=1, keepdims=True)
    return total


@pytest.mark.parametrize("radius", [0.002, 0.004, 0.007, 0.015])
def test_around_a_circle_flows_what_it_holds(probe: Probe, radius: float) -> None:
    points, along = circle(radius)
    turned = (probe.flux_density(points).real * along).sum(axis=1).mean() * 2 * math.pi * radius
    held = CURRENT * min(1.0, radius / RADIUS) ** 2
    assert turned == pytest.approx(MU0 * held, rel=1e-4)


def test_inside_and_beyond_the_outer_circle_it_is_the_field_of_filaments(probe: Probe) -> None:
    mesh = probe.flow.discretisation.mesh
    for radius in (0.025, 0.9 * mesh.radius, 1.01 * mesh.radius, 5 * mesh.radius):
        points = circle(radius)[0] + mesh.centre
        exact = filaments(points)
        np.testing.assert_allclose(probe.flux_density(points), exact, atol=2e-4 * np.abs(exact).max())
        np.testing.assert_allclose(probe.strength(points), np.hypot(*exact.T), rtol=1e-3)


def test_middles_lie_in_their_own_elements(probe: Probe) -> None:
    mesh = probe.flow.discretisation.mesh
    straight = np.setdiff1d(np.arange(len(mesh.triangles)), mesh.curved)
    rows, places = probe.located(mesh.points[mesh.triangles[straight]].mean(axis=1))
    np.testing.assert_array_equal(rows, straight)
    np.testing.assert_allclose(places, 1 / 3, rtol=1e-9)


def test_on_the_surface_of_metal_the_air_is_read(probe: Probe) -> None:
    rows, _ = probe.located(circle(RADIUS)[0])
    assert (probe.flow.discretisation.mesh.region[rows] == AIR).all()


def test_harmonics_hold_no_net_current(probe: Probe) -> None:
    n, amplitude = probe.outside.numbers, probe.outside.amplitude
    largest = np.abs(amplitude).max()
    assert np.abs(amplitude[n == 0]).max() < 1e-4 * largest
    np.testing.assert_allclose(amplitude[::-1], amplitude.conj(), atol=1e-9 * largest)  # A is real at rest
