"""The fields of conductors' own losses: what they are impressed with, and the losses by reciprocity."""

import numpy as np
import pytest
from common import bar, pair

from crosscurrent.solver.field.adjoint import Answering, Loads, Responses
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.residuals import FlowFields
from crosscurrent.solver.field.solve import solve

THREE = Problem(
    (bar("a", 0.02, 0.005), bar("b", 0.02, 0.005, y=-0.008), bar("wall", 0.03, 0.003, y=0.01)),
    (Circuit("feed", 100 + 50j, ("a", "b")),),
)


def adjoint(flow: SteadyFlow) -> Responses:
    """Of the losses of all conductors."""
    loads = Loads.of(FlowFields.of(flow), range(len(flow.problem.conductors)))
    return Answering(flow).to(loads) if flow.frequency else Answering(flow).at_rest(loads)


@pytest.mark.parametrize("frequency", [0.0, 50.0, 20e3])
def test_voltages_of_the_adjoint_tell_what_more_current_does(frequency):
    """dP = 2 Re(l' dI), with l' of a circuit at its terminals; losses go with the square of the current."""
    flow = solve(THREE, frequency).fine
    (feed,) = THREE.circuits
    more = 2 * (adjoint(flow).terminals[0] * feed.current).real
    assert more == pytest.approx(2 * flow.powers.real, rel=1e-9, abs=1e-12 * flow.powers.real.sum())


def test_no_group_carries_current_beside_what_is_impressed():
    """-sigma conj(E) of one conductor and what flows for it add up to nothing in every group."""
    flow = solve(pair(bar("a", 0.02, 0.005), bar("b", 0.02, 0.005, y=-0.008)), 50.0).fine
    d = flow.discretisation
    flows = d.lift.T @ d.mass @ adjoint(flow).electric
    assert np.allclose(flows, np.diag(flow.currents.conj()), atol=1e-10)


@pytest.mark.parametrize("frequency", [50.0, 20e3])
def test_either_side_of_a_load_and_a_residual_may_be_solved_for(frequency: float) -> None:
    """The equations are symmetric: a . (answer to b) = b . (answer to a), whatever both are."""
    flow = solve(THREE, frequency).fine
    d, rng = flow.discretisation, np.random.default_rng(2)
    on_metal = np.zeros(d.elements.count)
    on_metal[d.elements.dofs[d.elements.metal]] = 1.0
    one, other = (
        Loads((1 + 0.3j) * on_metal[:, None] * rng.normal(size=(d.elements.count, 2)),
              rng.normal(size=(d.elements.count, 2)) + 0j, rng.normal(size=(3, 2)) + 0j)
        for _ in range(2)
    )  # fmt: skip
    if flow.lifted:  # where the core holds no field, and E is what A is taken from
        one, other = (Loads(loads.electric, 0 * loads.potential, loads.currents) for loads in (one, other))
    there, back = (Answering(flow).to(loads) for loads in (one, other))
    forth = other.on(there.electric, there.potential, there.currents)
    again = one.on(back.electric, back.potential, back.currents).T
    assert forth == pytest.approx(again, rel=1e-9, abs=1e-9 * np.abs(forth).max())


def test_at_rest_what_moves_and_what_it_does_are_one_number() -> None:
    """Residuals against loads of losses and of a force, from either side."""
    flow = solve(THREE, 0.0).fine
    d, rng = flow.discretisation, np.random.default_rng(3)
    count = d.elements.count
    on_metal = np.zeros(count)
    on_metal[d.elements.dofs[d.elements.metal]] = 1.0
    residuals = Loads(
        on_metal[:, None] * rng.normal(size=(count, 2)) + 0j, rng.normal(size=(count, 2)) + 0j,
        rng.normal(size=(3, 2)) + 0j,
    )  # fmt: skip
    losses = Loads.of(FlowFields.of(flow), range(3))
    pushed = rng.normal(size=(count, 1)) + 0j
    loads = Loads(
        np.column_stack((losses.electric, 0 * pushed)), np.column_stack((losses.potential, pushed)),
        np.column_stack((losses.currents, rng.normal(size=(3, 1)))) + 0j,
    )  # fmt: skip
    there, back = Answering(flow).moved(residuals, magnetic=True), Answering(flow).at_rest(loads)
    forth = loads.on(there.electric, there.potential, there.currents)
    assert forth == pytest.approx(residuals.on(back.electric, back.potential, back.currents).T, rel=1e-8)
