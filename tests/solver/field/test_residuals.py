"""What the equations lack on a moved mesh, against the equations on that mesh."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from common import bar, pair

from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.changes import Change, Differences
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slope_forms import SlopeForms
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import MU0

STEP = 1e-6


def make(size: float = 1.0) -> Problem:
    one, other = (bar(n, w * size, 0.004 * size, y=y * size) for n, w, y in (("a", 0.02, 0.0), ("b", 0.03, 0.009)))
    return pair(one, other)


def test_residuals_are_what_matrices_of_a_moved_mesh_differ_by() -> None:
    """Bars that grow as a whole: the outer circle, all that is curved, stays one."""
    solution = solve(make(), 50.0)
    flow = solution.fine
    d, mesh = flow.discretisation, flow.discretisation.mesh
    walls = Walls.of(mesh, solution.problem.outlines)
    follow = Following(Elements(mesh, 1), walls.nodes)
    steps = Differences.of([Change("size", make(1 + STEP), STEP)], solution, walls, follow)
    found = SlopeForms.of(flow, follow, steps).residuals[0]
    ends = []
    for by in (-STEP, STEP):
        moved = replace(
            mesh, points=mesh.points + by * steps.nodes[..., 0], radius=mesh.radius * (1 + by),
            centre=mesh.centre * (1 + by), curved_edge_centres=mesh.curved_edge_centres * (1 + by),
            polar_centres=mesh.polar_centres * (1 + by),
        )  # fmt: skip
        other = Discretisation(moved, d.metals, d.order)
        stiffness = other.elements.assemble(other.elements.stiffness_blocks)
        ends.append((-(other.mass @ flow.electric), -2j * np.pi * 50.0 / MU0 * (stiffness @ flow.potential)))
    for one, before, after in zip((found.electric, found.potential), *ends, strict=True):
        wanted = (after - before) / (2 * STEP)
        assert np.abs(wanted).max() > 1e-3 * np.abs(before).max()
        assert np.abs(one[:, 0] - wanted).max() < 1e-7 * np.abs(wanted).max()
