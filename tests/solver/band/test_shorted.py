"""What shorted circuits leave of an impedance, and sweeps beside them, against closed rings and single solves."""

from __future__ import annotations

import numpy as np
import pytest
from common import rod

from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.impedance_limits import impedance_limits
from crosscurrent.solver.band.ladder import ladder
from crosscurrent.solver.band.regrouped import impedance_of
from crosscurrent.solver.band.shorted import BesideShorted
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

BAND = [0.0, 50.0, 1e3, 2e4]
TURNS = rod("one", 0.004, 0.05), rod("two", 0.004, 0.05, 0.02), rod("three", 0.003, 0.03, -0.02)
COIL = Circuit("coil", 100.0, ("one",))
LOOP = Circuit("loop", 0.0, ("two",), ("three",), "series", shorted=True)
SECTION = Problem(TURNS, (COIL, LOOP), axial=True)


@pytest.fixture(scope="module", params=[False, True], ids=["circuits", "conductors"])
def swept(request: pytest.FixtureRequest) -> Sweep:
    return sweep(SECTION, BAND, matrix=request.param)


def test_a_sweep_beside_a_shorted_coil_is_the_solves(swept: Sweep) -> None:
    for number, frequency in enumerate(BAND):
        alone = solve(SECTION, frequency)
        bar = swept.power_errors[number] + alone.power_errors
        assert (np.abs(swept.fine.losses[number] - alone.fine.powers.real) <= bar + 1e-12).all()
        wrong, other = (each.circuit_errors(COIL) for each in (swept.solution(number), alone))
        for what, k in (("resistance", 0), ("inductance", 1)):
            found = float(getattr(swept.fine, what)(COIL)[number])
            direct = alone.fine.inductance(COIL) if k else (alone.fine.circuit(COIL) / 100.0).real
            assert abs(found / direct - 1) <= wrong[k] + other[k] < 4e-3
        assert abs(swept.fine.circuit(LOOP)[number]) < 1e-9 * abs(swept.fine.circuit(COIL)[number])


def test_what_is_left_of_the_impedance_is_what_the_coil_sees(swept: Sweep) -> None:
    left = BesideShorted(impedance_of(swept), np.array([False, True]))
    assert left.resistance(BAND)[:, 0, 0] == pytest.approx(swept.fine.resistance(COIL), rel=1e-8)
    assert left.inductance(BAND)[:, 0, 0] == pytest.approx(swept.fine.inductance(COIL), rel=1e-8)
    limits = impedance_limits(left)
    assert limits.inductance_at_rest[0, 0] == pytest.approx(swept.fine.inductance(COIL)[0], rel=1e-9)
    assert limits.inductance_at_surface is not None
    assert limits.inductance_at_surface[0, 0] < left.inductance(2e4)[0, 0, 0] < limits.inductance_at_rest[0, 0]


def test_a_ladder_beside_a_shorted_coil_holds_its_bound_and_is_passive(swept: Sweep) -> None:
    left = BesideShorted(impedance_of(swept), np.array([False, True]))
    short = ladder(left, 50.0, 2e4, bound=0.01)
    assert short.error < 0.01
    at = np.geomspace(50.0, 2e4, 7)
    for what in ("resistance", "inductance"):
        assert getattr(short.foster, what)(at) == pytest.approx(getattr(left, what)(at), rel=0.0101)
    assert (short.foster.resistance(np.geomspace(1e-2, 1e8, 40)) > 0).all()


def test_two_loops_left_of_three() -> None:
    """By elimination: R + j w L of the first two less their coupling to the third."""
    inductance = np.array([[3e-6, 1e-6, 9e-7], [1e-6, 2e-6, 7e-7], [9e-7, 7e-7, 1.5e-6]])
    whole = FosterForm(np.eye(3), np.array([1e3, 5e2, 2e3]), inductance, np.zeros(0), np.zeros((0, 3)))
    left, omega = BesideShorted(whole, np.array([False, False, True])), 2 * np.pi * 150.0
    across = 1j * omega * inductance[:2, 2]
    wanted = np.diag([1e-3, 2e-3]) + 1j * omega * inductance[:2, :2]
    wanted = wanted - np.outer(across, across) / (5e-4 + 1j * omega * 1.5e-6)
    assert left.resistance(150.0)[0] == pytest.approx(wanted.real, rel=1e-12)
    assert omega * left.inductance(150.0)[0] == pytest.approx(wanted.imag, rel=1e-12)
