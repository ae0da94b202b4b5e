"""The fields of conductors' own losses: what they are impressed with, and the losses by reciprocity."""

import numpy as np
import pytest
from common import bar, pair

from crosscurrent.solver.field.adjoint import Adjoint
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

THREE = Problem(
    (bar("a", 0.02, 0.005), bar("b", 0.02, 0.005, y=-0.008), bar("wall", 0.03, 0.003, y=0.01)),
    (Circuit("feed", 100 + 50j, ("a", "b")),),
)


@pytest.mark.parametrize("frequency", [0.0, 50.0, 20e3])
def test_voltages_of_the_adjoint_tell_what_more_current_does(frequency):
    """dP = 2 Re(l' dI), with l' of a circuit at its terminals; losses go with the square of the current."""
    flow = solve(THREE, frequency).fine
    (feed,) = THREE.circuits
    more = 2 * (Adjoint.of(flow, range(3)).terminals[0] * feed.current).real
    assert more == pytest.approx(2 * flow.powers.real, rel=1e-9, abs=1e-12 * flow.powers.real.sum())


def test_no_group_carries_current_beside_what_is_impressed():
    """-sigma conj(E) of one conductor and what flows for it add up to nothing in every group."""
    flow = solve(pair(bar("a", 0.02, 0.005), bar("b", 0.02, 0.005, y=-0.008)), 50.0).fine
    d, adjoint = flow.discretisation, Adjoint.of(flow, range(2))
    flows = d.lift.T @ d.mass @ adjoint.electric
    assert np.allclose(flows, np.diag(flow.currents.conj()), atol=1e-10)
