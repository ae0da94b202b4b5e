"""The bound on a reduced model with straight strands as a medium: never below the error against solves on its mesh."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.band.band_mesh import band_mesh
from crosscurrent.solver.band.expansion import Expansion
from crosscurrent.solver.band.followed_bound import FollowedBound
from crosscurrent.solver.band.krylov import RationalKrylov
from crosscurrent.solver.band.passes import pencil_for
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.band.reduced import Reduced
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals, smooth_metals
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Strands

LOW, HIGH = 1e4, 1e6
COPPER = MATERIALS["copper"]
WATCHED = np.geomspace(LOW, HIGH, 9)


def _problem() -> Problem:
    leads = tuple(
        Conductor(Part(n, round_bar(2.8e-3).placed((x, 0.0))), COPPER, strands=Strands(400, 1e-4, lay="straight"))
        for n, x in (("a", -2e-3), ("b", 2e-3))
    )
    plate = Conductor(Part("plate", bar(16e-3, 1.5e-3).placed((0.0, -4e-3))), COPPER)
    return Problem((*leads, plate), (Circuit("feed", 1.0, ("a",), ("b",)),))


def _certified(shifts: list[complex], terms: int) -> tuple[Problem, Reduced]:
    problem = _problem()
    d = Discretisation(band_mesh(problem, LOW, HIGH), smooth_metals(problem, HIGH), 3)
    krylov = RationalKrylov.begun(pencil_for(d, ports_of(problem), HIGH))
    for expansion in [Expansion.around(shift, krylov.pencil) for shift in shifts]:
        for _ in range(terms):
            krylov.follow(expansion)
    return problem, krylov.certified(np.array(shifts), WATCHED)


@pytest.mark.parametrize(("shifts", "terms"), [([6e6], 2), ([6e6], 6), ([2e6j], 2), ([6e5, 6e6j], 3)])
def test_errors_stay_below_it(shifts: list[complex], terms: int) -> None:
    problem, model = _certified(shifts, terms)
    (circuit,), d = problem.circuits, model.discretisation
    found, bound = model.foster.impedance(WATCHED)[:, 0, 0], model.bound(WATCHED)[:, 0, 0].real
    for number, frequency in enumerate(WATCHED[:-1].tolist()):
        same = Discretisation(d.mesh, region_metals(problem, frequency), d.order)
        one = SolvedFlow.of(problem, solve_fields(same, frequency, lifted=False)).circuit(circuit)
        off = abs(found[number] - one)
        assert off < bound[number] + 1e-10 * abs(one)
        assert bound[number] < 1e4 * off + 1e-10 * abs(one)


def test_it_goes_with_the_conductivity() -> None:
    _, model = _certified([2e6j], 1)
    assert isinstance(model.certificate, FollowedBound)
    warm = model.with_conductivity(0.8)
    np.testing.assert_allclose(warm.bound(WATCHED), model.bound(0.8 * WATCHED) / 0.8, rtol=1e-6)
