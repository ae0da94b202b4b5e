"""Losses of single conductors against a closed form; against differences of solves in test_slopes."""

import numpy as np
import pytest
from common import SIGMA, bar, pair, rod

from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.changes import Change, Differences
from crosscurrent.solver.field.conductor_forms import ConductorForms
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve


def test_a_rod_at_rest_loses_less_as_it_grows_and_the_other_does_not():
    """P = I^2 / (sigma pi r^2) of each."""
    problem = pair(rod("a", 0.01), rod("b", 0.01, 0.03), 100.0)
    solution = solve(problem, 0.0)
    mesh = solution.fine.discretisation.mesh
    walls = Walls.of(mesh, [c.part for c in problem.conductors])
    follow = Following(Elements(mesh, 1), walls.nodes)
    larger = pair(rod("a", 0.01 + 2e-9), rod("b", 0.01, 0.03), 100.0)
    steps = Differences.of([Change("radius", larger, 1e-9)], solution, walls, follow)
    (forms,) = ConductorForms.of([solution.fine], follow, steps, (0, 1))
    assert forms.changed[:, 0] == pytest.approx([-2 * 100**2 / (SIGMA * np.pi * 0.005**3), 0.0], rel=1e-6)
    assert (forms.sizes >= np.abs(forms.changed)).all()


@pytest.mark.parametrize("frequency", [0.0, 50.0])
def test_few_changes_and_many_tell_the_same(frequency: float) -> None:
    """With few it is their fields that are solved for, with many those of losses and forces."""
    def make(width: float = 0.02, gap: float = 0.004, thick: float = 0.004, wall: float = 0.003) -> Problem:
        one, other = (bar(n, width, thick, y=y) for n, y in (("a", 0.0), ("b", -gap - thick)))
        return Problem((one, other, bar("c", 0.03, wall, y=0.01)), (Circuit("feed", 1 + 2j, ("a",), ("b",)),))

    values = {"width": 0.02, "gap": 0.004, "thick": 0.004, "wall": 0.003}
    changes = [Change(key, make(**{key: value * (1 + 1e-6)}), 1e-6 * value) for key, value in values.items()]
    changes += [Change("again", one.problem, one.step) for one in changes[:2]]
    solution = solve(make(), frequency)
    for number, slope in enumerate(slopes(solution, changes, each=True)):
        (alone,) = slopes(solution, changes[number : number + 1], each=True)
        assert slope.own is not None
        assert alone.own is not None
        for name in ("losses", "forces"):
            mine, other = getattr(slope.own, name), getattr(alone.own, name)
            size = slope.own.peaks if name == "forces" else solution.fine.powers.real
            np.testing.assert_allclose(mine, other, rtol=1e-8, atol=1e-11 * size.max() / 0.003, err_msg=name)
