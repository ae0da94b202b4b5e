"""Circuits over a band: what a frequency of a response answers is what its model's matrices hold."""

import math

import numpy as np
import pytest
from common import MU0, SIGMA, pair, rod

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.solver.band.passes import reduce
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.band.response import Response
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

RADIUS, APART, CURRENT = 0.002, 0.01, 10.0
PROBLEM = pair(rod("go", 2 * RADIUS), rod("back", 2 * RADIUS, APART), CURRENT)
LOOP = PROBLEM.circuits[0]
BAND = np.array([0.0, 50.0, 3000.0])


@pytest.fixture(scope="module", params=[False, True], ids=["circuits", "matrix"])
def response(request: pytest.FixtureRequest) -> Response:
    d = Discretisation(mesh_section(PROBLEM.section, [[1e-3]] * 2), (RegionMetal(SIGMA),) * 2, 4)
    model = reduce(d, ports_of(PROBLEM, matrix=request.param), 50.0, 3000.0, tolerance=1e-9)
    return Response(PROBLEM, model, BAND)


def test_at_rest_resistance_and_inductance_are_those_of_two_round_wires(response: Response) -> None:
    assert response.resistance(LOOP)[0] == pytest.approx(2 / (SIGMA * math.pi * RADIUS**2), rel=1e-8)
    loop = MU0 / math.pi * (math.log(APART / RADIUS) + 0.25)
    assert response.inductance(LOOP)[0] == pytest.approx(loop, rel=1e-4)


def test_the_terminals_take_in_what_the_metal_loses(response: Response) -> None:
    taken = (response.circuit(LOOP) * np.conj(LOOP.current)).real
    np.testing.assert_allclose(response.losses.sum(axis=1), taken, rtol=1e-9)
    np.testing.assert_allclose(response.currents, [[CURRENT, -CURRENT]] * 3, rtol=1e-9)
    np.testing.assert_allclose(response.region_currents, response.currents, rtol=1e-9)


def test_forces_are_opposite_and_at_rest_those_of_filaments(response: Response) -> None:
    push = MU0 * CURRENT**2 / (2 * math.pi * APART)
    np.testing.assert_allclose(response.force[0, :, 0], [-push, push], rtol=1e-3)
    np.testing.assert_allclose(response.force.sum(axis=1), 0, atol=1e-3 * push)


@pytest.mark.parametrize("number", [1, 2])
def test_a_frequency_is_the_flow_that_a_solve_there_finds(response: Response, number: int) -> None:
    flow = response.flow(number)
    solved = SolvedFlow.of(PROBLEM, solve_fields(flow.discretisation, float(BAND[number]), lifted=False))
    assert flow.frequency == BAND[number]
    assert flow.circuit(LOOP) == pytest.approx(solved.circuit(LOOP), rel=1e-7)
    assert flow.inductance(LOOP) == pytest.approx(solved.inductance(LOOP), rel=1e-6)
    np.testing.assert_allclose(flow.powers, solved.powers, rtol=1e-5)
    largest = np.abs(solved.potential).max()
    np.testing.assert_allclose(flow.potential, solved.potential, atol=1e-4 * largest)


def test_fields_of_many_frequencies_are_those_of_each(response: Response) -> None:
    numbers = [2, 0, 1]
    for every, one in ((response.potentials(numbers), "potential"), (response.electric_fields(numbers), "electric")):
        for field, number in zip(every, numbers, strict=True):
            alone = getattr(response.flow(number), one)
            np.testing.assert_allclose(field, alone, atol=1e-12 * np.abs(alone).max())


def test_only_a_matrix_has_the_impedance_of_all_conductors(response: Response) -> None:
    impedance = response.flow(2).impedance
    if not response.model.ports.matrix:
        assert impedance is None
        assert response.impedance.shape == (3, 1, 1)
        return
    assert impedance is not None
    np.testing.assert_allclose(impedance, impedance.T, rtol=1e-12)


def test_what_the_reduction_misses_is_small_against_the_loss(response: Response) -> None:
    assert (response.reduction <= 1e-8 * np.abs(response.powers.sum(axis=1))).all()
    assert response.reduction[0] == 0.0
