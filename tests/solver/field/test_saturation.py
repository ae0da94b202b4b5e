"""The strength of the field in magnetic metal: exact fields, and sharp corners on unlike meshes."""

from __future__ import annotations

import math

import common
import numpy as np
import pytest

from crosscurrent.geometries.meshing.corners import graded, sharp_corners
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.saturation import strong_field
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS, Material

STEEL = Material("steel", 6e6, permeability=200.0)


def test_in_an_evenly_filled_rod() -> None:
    """H = I r / (2 pi a^2): its energy within r goes with r^4. In the linear picture 0.1 Hz fills a rod of 2 mm."""
    flow = solve(common.alone(common.rod("rod", 0.002, material=STEEL), 10.0), 0.1).fine
    exact = math.sqrt(2) * 10 / (2 * math.pi * 1e-3) * 0.9**0.25
    assert strong_field(flow, 0) == pytest.approx(exact, rel=5e-3)


def test_under_a_thin_skin_it_is_nearly_the_surface_field() -> None:
    """H = I / (2 pi a) exp(-z / delta) (plane skin); a tenth of the energy lies where H is above sqrt(0.9) of that."""
    radius, frequency = 0.05, 500.0
    depth = math.sqrt(2 / (2 * math.pi * frequency * MU0 * 200 * 6e6))
    flow = solve(common.alone(common.rod("rod", 2 * radius, material=STEEL), 100.0), frequency).fine
    surface = math.sqrt(2) * 100 / (2 * math.pi * radius)
    assert strong_field(flow, 0) == pytest.approx(surface * math.sqrt(0.9), rel=depth / radius)
    assert strong_field(flow, 0, 0.5) == pytest.approx(surface * math.sqrt(0.5), rel=depth / radius)


@pytest.fixture(scope="module")
def walls() -> list[Solution]:
    """A sharp steel bar beside a wire, on the mesh of the solver and on one halved eight times over at the corners."""
    wall = Conductor(Part("wall", bar(0.004, 0.02)), STEEL)
    wire = common.rod("wire", 0.004, 0.01, material=MATERIALS["copper"])
    problem = Problem((wall, wire), (Circuit("feed", 100.0, ("wire",)),))
    first = solve(problem, 50.0)
    mesh = first.fine.discretisation.mesh
    corners = sharp_corners(mesh, mesh.region)
    finer = solve(problem, 50.0, start=graded(mesh, corners, np.full(len(corners), 8)))
    return [first, finer]


def test_a_corner_does_not_decide(walls: list[Solution]) -> None:
    """The largest H grows without end as the mesh gets finer there; what is warned of does not move."""
    crest = [strong_field(one.fine, 0) for one in walls]
    largest = [strong_field(one.fine, 0, 1e-12) for one in walls]
    assert crest[0] == pytest.approx(crest[1], rel=0.02)
    assert strong_field(walls[0].coarse, 0) == pytest.approx(crest[0], rel=0.02)  # another order
    assert largest[0] is not None
    assert largest[1] is not None
    assert largest[1] > 1.5 * largest[0]


def test_metal_without_a_field_has_none() -> None:
    rod = common.rod("rod", 0.01, material=STEEL)
    assert strong_field(solve(common.alone(rod, 0.0), 50.0).fine, 0) is None
