"""A quick solve stands within 1 % of the settled one."""

import os

import numpy as np
import pytest
from common import rod
from scipy.special import jve

from crosscurrent.casefile.reader import read_case
from crosscurrent.examples import shipped
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.following import follow
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import MU0

NEAR = 0.01
HEAVY = ("bush-shrink", "pad-pancakes", "pad-gap")  # seconds to settle
MANY = bool(os.environ.get("CROSSCURRENT_EXAMPLES"))  # takes all shipped cases, not every third light one
CASES = [e.name for e in shipped()] if MANY else [e.name for e in shipped() if e.name not in HEAVY][::3]


def test_a_round_wire_has_its_exact_resistance() -> None:
    """R over that of direct current is Re(k a J0(k a) / (2 J1(k a))), k = sqrt(-j w mu sigma): Kelvin's."""
    wire = alone(round_bar(0.010), 1.0)
    dc, sigma = follow(wire, 0.0).powers[0].real, wire.conductors[0].material.conductivity
    for frequency in (50.0, 20e3, 1e6):
        ka = 0.005 * np.sqrt(-2j * np.pi * frequency * MU0 * sigma)
        exact = (ka * jve(0, ka) / (2 * jve(1, ka))).real
        assert follow(wire, frequency).powers[0].real / dc == pytest.approx(exact, rel=NEAR)


@pytest.mark.parametrize("name", CASES)
def test_shipped_cases_stand_within_a_hundredth(name: str) -> None:
    case = read_case(f"cases/{name}.toml")
    problem, frequency = case.problem(), case.frequencies[0]
    quick, settled = follow(problem, frequency), solve(problem, frequency).fine
    for circuit in problem.circuits:
        assert quick.circuit(circuit).real == pytest.approx(settled.circuit(circuit).real, rel=NEAR)
        assert quick.inductance(circuit) == pytest.approx(settled.inductance(circuit), rel=NEAR)


def test_two_rods_lose_alike() -> None:
    pair = Problem((rod("a", 0.01), rod("b", 0.01, 0.012)), (Circuit("feed", 1.0, ("a",), ("b",)),))
    losses = follow(pair, 10e3).powers.real
    np.testing.assert_allclose(losses[0], losses[1], rtol=1e-3)
