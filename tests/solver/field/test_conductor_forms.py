"""Losses of single conductors against a closed form; against differences of solves in test_slopes."""

import numpy as np
import pytest
from common import SIGMA, pair, rod

from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.adjoint import Adjoint
from crosscurrent.solver.field.changes import Change, Difference
from crosscurrent.solver.field.conductor_forms import ConductorForms
from crosscurrent.solver.field.solve import solve


def test_a_rod_at_rest_loses_less_as_it_grows_and_the_other_does_not():
    """P = I^2 / (sigma pi r^2) of each."""
    problem = pair(rod("a", 0.01), rod("b", 0.01, 0.03), 100.0)
    solution = solve(problem, 0.0)
    mesh = solution.fine.discretisation.mesh
    walls = Walls.of(mesh, [c.part for c in problem.conductors])
    forms = ConductorForms(Adjoint.of(solution.fine, range(2)), (), Following(Elements(mesh, 1), walls.nodes))
    larger = pair(rod("a", 0.01 + 2e-9), rod("b", 0.01, 0.03), 100.0)
    step = Difference.of(Change("radius", larger, 1e-9), solution, walls)
    assert forms.changed(step) == pytest.approx([-2 * 100**2 / (SIGMA * np.pi * 0.005**3), 0.0], rel=1e-6)
    assert (forms.sizes(step) >= np.abs(forms.changed(step))).all()
