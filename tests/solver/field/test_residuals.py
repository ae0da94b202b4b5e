"""What the equations lack on a moved mesh, against the equations on that mesh."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from common import SIGMA, bar, metal, pair, rod

from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.changes import Change, Differences
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.residuals import FlowFields
from crosscurrent.solver.field.slope_forms import GivenFields, Weighing
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
    found = Weighing((GivenFields(flow),), steps).gained[0].residuals
    ends = []
    for by in (-STEP, STEP):
        other = Discretisation(moved_mesh(mesh, by * steps.nodes[..., 0]), d.metals, d.order)
        stiffness = other.elements.assemble(other.elements.stiffness_blocks)
        ends.append((-(other.mass @ flow.electric), -2j * np.pi * 50.0 / MU0 * (stiffness @ flow.potential)))
    for one, before, after in zip((found.electric, found.potential), *ends, strict=True):
        wanted = (after - before) / (2 * STEP)
        assert np.abs(one[:, 0] - wanted).max() < 1e-6 * np.abs(wanted).max()


@pytest.mark.parametrize("axial", [False, True])
@pytest.mark.parametrize("frequency", [0.0, 50.0])
def test_known_fields_weigh_what_residuals_tell_of_any(frequency: float, axial: bool) -> None:
    """Moved walls, another conductivity and permeability: forms with fields, by triangles and by unknowns."""
    def made(thick: float = 0.004, sigma: float = 1.0, mu: float = 1.0) -> Problem:
        of = metal(sigma * SIGMA, mu)
        parts = rod("a", 5 * thick, 0.02), rod("b", 0.008, 0.04, 0.01), bar("c", 0.005, thick, 0.07)
        conductors = tuple(replace(one, material=of) for one in parts)
        return Problem(conductors, (Circuit("c", 1.0, ("a", "b"), (), "series"),), axial=axial)

    solution = solve(made(), frequency)
    flow, mesh = solution.fine, solution.fine.discretisation.mesh
    walls = Walls.of(mesh, solution.problem.outlines)
    follow = Following(Elements(mesh, 1), walls.nodes)
    changes = [Change(key, made(**{key: value + STEP}), STEP) for key, value in
               (("thick", 0.004), ("sigma", 1.0), ("mu", 1.0))]  # fmt: skip
    weighing = Weighing((GivenFields(flow),), Differences.of(changes, solution, walls, follow))
    one, omega, rng = weighing.gained[0], weighing.fields[0].omega, np.random.default_rng(3)
    found, fields = one.residuals, rng.normal(size=(2, len(flow.potential), 2))
    fields = fields * np.abs(flow.potential).max() + 0j
    none = np.zeros((len(flow.currents), 2), dtype=complex)
    weighed = one.weighed(FlowFields(flow, *fields, none, omega), own=False)[0].values
    wanted = fields[0].T @ found.electric + fields[1].T @ found.potential
    assert np.abs(weighed - wanted).max() < 1e-9 * np.abs(wanted).max()
    (own,) = one.weighed(FlowFields(flow, -flow.electric.conj()[:, None], flow.potential.conj()[:, None],
                                    none[:, :1], omega), own=True)  # fmt: skip
    inside = own.own.sum(axis=0) - own.values[0].real  # what is left is the air's, whose energy is no loss
    assert np.abs(inside).max() < 1e-9 * np.abs(own.own).max()
    assert (own.sizes.real >= (1 - 1e-12) * np.abs(own.values.real)).all()  # both round
