"""Bounds on the field of a round wire, point by point, against Ampere's law."""

import math

import numpy as np
import pytest
from common import MU0, SIGMA, alone, rod

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.probe_errors import FLOOR, FieldErrors
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

RADIUS, CURRENT = 0.005, 100.0
WIRE = alone(rod("wire", 2 * RADIUS), CURRENT)


@pytest.fixture(scope="module")
def errors() -> FieldErrors:
    """At rest, at orders 4 and 3."""
    mesh = mesh_section(WIRE.section, [[2e-3]])
    fine, coarse = (
        Probe(SolvedFlow.of(WIRE, solve_fields(Discretisation(mesh, (RegionMetal(SIGMA),), p), 0.0, lifted=False)))
        for p in (4, 3)
    )
    return FieldErrors(fine, coarse)


def around(radius: np.ndarray) -> np.ndarray:
    angle = np.random.default_rng(3).uniform(0, 2 * np.pi, len(radius))
    return np.column_stack((radius * np.cos(angle), radius * np.sin(angle)))


def exact(radius: np.ndarray) -> np.ndarray:
    return np.asarray(MU0 * CURRENT / (2 * math.pi * radius) * np.minimum(1.0, radius / RADIUS) ** 2)


def test_they_cover_what_is_missed_in_metal_in_air_and_beyond(errors: FieldErrors) -> None:
    radius = np.geomspace(0.2 * RADIUS, 100 * RADIUS, 300)
    field, bound = errors.readings(around(radius))
    missed = np.abs(np.sqrt((np.abs(field) ** 2).sum(axis=1)) - exact(radius))
    assert (missed <= bound).mean() > 0.99
    assert np.median(bound / exact(radius)) < 0.05


def test_the_field_read_is_the_finer_probes(errors: FieldErrors) -> None:
    points = around(np.geomspace(0.2 * RADIUS, 100 * RADIUS, 40))
    np.testing.assert_allclose(errors.readings(points)[0], errors.fine.flux_density(points), rtol=1e-12)


def test_no_bound_is_below_the_floor(errors: FieldErrors) -> None:
    radius = np.array([20.0, 1000.0]) * errors.fine.flow.discretisation.mesh.radius
    _, bound = errors.readings(around(radius))
    assert (bound >= FLOOR * exact(radius) * (1 - 1e-9)).all()
    assert bound[1] == pytest.approx(FLOOR * exact(radius)[1], rel=1e-3)


def test_two_equal_flows_leave_jumps_and_floor(errors: FieldErrors) -> None:
    points = around(np.array([0.5, 2.0]) * RADIUS)
    same = FieldErrors(errors.fine, errors.fine)
    assert (same.readings(points)[1] > 0).all()
    assert (same.readings(points)[1] < errors.readings(points)[1]).all()
