"""What the equations lack on a moved mesh, against the equations on that mesh."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from common import bar, pair

from crosscurrent.geometries.meshing.mesh import Mesh
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


def make(thick: float = 0.004) -> Problem:
    return pair(*(bar(n, w, thick, y=y) for n, w, y in (("a", 0.02, 0.0), ("b", 0.03, 0.009))))


def moved_mesh(mesh: Mesh, by: np.ndarray) -> Mesh:
    """By motions of its nodes, the circle, all that is curved, by a shift and a growth."""
    circle = np.unique(mesh.truncation_edges)
    shift = by[circle].mean(axis=0)
    off = mesh.points[circle] - mesh.centre
    growth = ((by[circle] - shift) * off).sum() / (off**2).sum()

    def along(at: np.ndarray) -> np.ndarray:
        return at + shift + growth * (at - mesh.centre)

    return replace(
        mesh, points=mesh.points + by, radius=mesh.radius * (1 + growth), centre=along(mesh.centre),
        curved_edge_centres=along(mesh.curved_edge_centres), polar_centres=along(mesh.polar_centres),
    )  # fmt: skip


def test_residuals_are_what_matrices_of_a_moved_mesh_differ_by() -> None:
    solution = solve(make(), 50.0)
    flow = solution.fine
    d, mesh = flow.discretisation, flow.discretisation.mesh
    walls = Walls.of(mesh, solution.problem.outlines)
    follow = Following(Elements(mesh, 1), walls.nodes)
    steps = Differences.of([Change("thickness", make(0.004 + STEP), STEP)], solution, walls, follow)
    found = SlopeForms.of(flow, follow, steps).residuals[0]
    ends = []
    for by in (-STEP, STEP):
        other = Discretisation(moved_mesh(mesh, by * steps.nodes[..., 0]), d.metals, d.order)
        stiffness = other.elements.assemble(other.elements.stiffness_blocks)
        ends.append((-(other.mass @ flow.electric), -2j * np.pi * 50.0 / MU0 * (stiffness @ flow.potential)))
    for one, before, after in zip((found.electric, found.potential), *ends, strict=True):
        wanted = (after - before) / (2 * STEP)
        assert np.abs(one[:, 0] - wanted).max() < 1e-6 * np.abs(wanted).max()
