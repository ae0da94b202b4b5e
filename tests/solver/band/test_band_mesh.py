"""Meshes of a band: thin enough for its highest frequency, finer where the change of orders sits."""

import math
from dataclasses import replace

import numpy as np
import pytest
from common import SIGMA, alone, frequency_for, rod

from crosscurrent.solver.band.band_mesh import band_mesh, finer_mesh
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.indicator import indicators
from crosscurrent.solver.field.solve import HIGHEST
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

RADIUS = 0.005
WIRE = alone(rod("wire", 2 * RADIUS))
SKIN = RADIUS / 20


@pytest.fixture(scope="module")
def flows() -> list[SolvedFlow]:
    """Of orders 3 and 2, at the skin that the mesh is made for."""
    high = frequency_for(SKIN)
    mesh = band_mesh(WIRE, high / 100, high)
    orders = [Discretisation(mesh, (RegionMetal(SIGMA),), order) for order in (3, 2)]
    return [SolvedFlow.of(WIRE, solve_fields(d, high, lifted=True)) for d in orders]


def test_layers_are_as_thin_as_the_thinnest_skin_and_no_core_is_left_out() -> None:
    high = frequency_for(SKIN)
    mesh = band_mesh(WIRE, high / 1000, high)
    metal = mesh.region == 0
    assert mesh.areas()[metal].sum() == pytest.approx(math.pi * RADIUS**2, rel=1e-6)
    depth = RADIUS - np.hypot(*mesh.points[np.unique(mesh.triangles[metal])].T)
    assert depth[depth > 1e-9].min() < 2 * SKIN


def test_a_higher_frequency_takes_more_triangles() -> None:
    counts = [len(band_mesh(WIRE, 50.0, frequency_for(skin)).triangles) for skin in (RADIUS / 5, RADIUS / 100)]
    assert counts[0] < counts[1]


def test_no_mesh_where_there_is_no_room(flows: list[SolvedFlow]) -> None:
    fine, coarse = flows
    assert finer_mesh(fine, coarse, 0.1, fine.discretisation.elements.count) is None


def test_finer_is_of_a_higher_order_or_halved_where_the_error_sits(flows: list[SolvedFlow]) -> None:
    fine, coarse = flows
    finer = finer_mesh(fine, coarse, 0.1, 10**6)
    assert finer is not None
    raised = finer.mesh is fine.discretisation.mesh
    assert finer.order == 3 + raised
    assert raised or len(finer.mesh.triangles) > len(fine.discretisation.mesh.triangles)


def test_at_the_highest_order_triangles_are_halved(flows: list[SolvedFlow]) -> None:
    mesh = flows[0].discretisation.mesh
    top, below = (
        SolvedFlow.of(WIRE, solve_fields(replace(flows[0].discretisation, order=p), flows[0].frequency, lifted=True))
        for p in (HIGHEST, HIGHEST - 1)
    )
    halved = finer_mesh(top, below, 0.5, 10**6)
    assert halved is not None
    assert halved.order == HIGHEST
    assert len(halved.mesh.triangles) > len(mesh.triangles)
    assert halved.mesh.areas()[halved.mesh.region == 0].sum() == pytest.approx(math.pi * RADIUS**2, rel=1e-6)
    assert indicators(top, below).sum() < indicators(*flows).sum()
