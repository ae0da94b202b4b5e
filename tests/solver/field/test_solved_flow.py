"""Two rods: what flows, what it costs and how it pushes, at rest in closed form."""

import math

import numpy as np
import pytest
from common import MU0, SIGMA, pair, rod

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

RADIUS, APART, CURRENT = 0.005, 0.03, 100.0
PROBLEM = pair(rod("go", 2 * RADIUS), rod("back", 2 * RADIUS, APART), CURRENT)
LOOP = PROBLEM.circuits[0]


@pytest.fixture(scope="module")
def discretisation() -> Discretisation:
    return Discretisation(mesh_section(PROBLEM.section, [[1.5e-3]] * 2), (RegionMetal(SIGMA),) * 2, 4)


@pytest.fixture(scope="module")
def resting(discretisation: Discretisation) -> SolvedFlow:
    return SolvedFlow.of(PROBLEM, solve_fields(discretisation, 0.0, lifted=False))


@pytest.fixture(scope="module", params=[False, True])
def flow(request: pytest.FixtureRequest, discretisation: Discretisation) -> SolvedFlow:
    return SolvedFlow.of(PROBLEM, solve_fields(discretisation, 2000.0, lifted=request.param))


def test_at_rest_voltage_and_loss_are_those_of_the_areas(resting: SolvedFlow) -> None:
    resistance = 1 / (SIGMA * math.pi * RADIUS**2)
    np.testing.assert_allclose(resting.currents, [CURRENT, -CURRENT], rtol=1e-12)
    np.testing.assert_allclose(resting.voltages, [CURRENT * resistance, -CURRENT * resistance], rtol=1e-8)
    np.testing.assert_allclose(resting.powers.real, CURRENT**2 * resistance, rtol=1e-8)
    assert resting.circuit(LOOP) == pytest.approx(2 * CURRENT * resistance, rel=1e-8)


def test_at_rest_the_loop_links_the_flux_of_two_round_wires(resting: SolvedFlow) -> None:
    assert resting.inductance(LOOP) == pytest.approx(MU0 / math.pi * (math.log(APART / RADIUS) + 0.25), rel=1e-5)


def test_at_rest_they_push_each_other_away(resting: SolvedFlow) -> None:
    """mu0 I^2 / (2 pi d), as of two filaments."""
    push = MU0 * CURRENT**2 / (2 * math.pi * APART)
    np.testing.assert_allclose(resting.force, [[-push, 0], [push, 0]], rtol=1e-4, atol=1e-5 * push)


def test_the_terminals_take_in_what_the_metal_loses(flow: SolvedFlow) -> None:
    assert flow.powers.real.sum() == pytest.approx((flow.circuit(LOOP) * np.conj(LOOP.current)).real, rel=1e-4)
    np.testing.assert_allclose(flow.region_losses, flow.powers.real, rtol=1e-14)


def test_regions_carry_the_currents_that_were_asked_for(flow: SolvedFlow) -> None:
    np.testing.assert_allclose(flow.region_currents, flow.currents, rtol=1e-4)
    assert set(flow.active) == {1.0}


def test_reactance_over_w_is_the_inductance(flow: SolvedFlow) -> None:
    omega = 2 * math.pi * flow.frequency
    assert flow.inductance(LOOP) == pytest.approx((flow.circuit(LOOP) / CURRENT).imag / omega, rel=1e-14)
    assert flow.inductance(LOOP) < MU0 / math.pi * (math.log(APART / RADIUS) + 0.25)  # skins push the field out
