"""A neutral that three phases share: in waveforms, sweeps, faults, the ladder and in air."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from common import TURN, rod
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.band.ladder import ladder
from crosscurrent.solver.band.regrouped import by_circuits
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.circuits import Connections, sides_apart
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.time.excitation import half_sine, step
from crosscurrent.solver.time.harmonics import harmonic_loss
from crosscurrent.solver.time.history import fault_history
from crosscurrent.solver.time.spectrum import Spectrum

PLACES = {"a": (0.0, 0.0), "b": (0.012, 0.0), "c": (0.006, 0.011), "n": (0.006, -0.009)}
RODS = tuple(rod(name, 0.008, x, y) for name, (x, y) in PLACES.items())
PHASES = ("L1", "L2", "L3")
CURRENTS = (100.0, 80.0 * TURN, 60.0 * TURN**2)
STAR = Problem(RODS, tuple(Circuit(PHASES[k], i, ("abc"[k],), ("n",)) for k, i in enumerate(CURRENTS)))
LOOPS = (("ab", 10.0, "a", "b"), ("bc", 7.0 * TURN, "b", "c"), ("ca", 4.0, "c", "a"))
DELTA = Problem(RODS[:3], tuple(Circuit(name, i, (out,), (back,)) for name, i, out, back in LOOPS))
BAND = [50.0, 700.0, 5000.0]


@cache
def swept(matrix: bool = True) -> Sweep:
    return sweep(STAR, BAND, matrix=matrix)


def test_third_harmonics_add_up_in_the_neutral() -> None:
    """3 x 60 A; the loss is that of the four conductors with these very currents, each driven by itself."""
    spectrum = Spectrum(np.array([50.0, 150.0]), np.array([100.0 + 0j, 60.0]), repeats=50.0)
    balanced = Problem(RODS, tuple(Circuit(name, TURN**k, ("abc"[k],), ("n",)) for k, name in enumerate(PHASES)))
    found = harmonic_loss(balanced, PHASES, spectrum, accuracy=1e-6)
    np.testing.assert_allclose(np.abs(found.currents[:, 3]), [0.0, 180.0], atol=1e-9)
    given = tuple(Circuit(name, -180.0 if name == "n" else 60.0, (name,)) for name in PLACES)
    alone = solve(Problem(RODS, given), 150.0, accuracy=1e-6)
    assert found.losses[1, 3] == pytest.approx(alone.fine.powers.real[3], rel=1e-6)
    assert found.losses[1, 3] > 9 * found.losses[1, 0] * 0.8  # nine times the loss of a phase, less their crowding


def test_losses_at_the_terminals_are_those_in_the_metal() -> None:
    """Single solve and sweep: Poynting's balance, and reciprocity of the circuits."""
    alone, many = solve(STAR, 700.0), swept().solution(1)
    for flow in (alone.fine, many.fine):
        taken = sum((flow.circuit(c) * np.conj(c.current)).real for c in STAR.circuits)
        assert taken == pytest.approx(flow.powers.real.sum(), rel=1e-8)
        z = flow.circuit_impedance
        np.testing.assert_allclose(z, z.T, rtol=1e-9)
        np.testing.assert_allclose(z @ CURRENTS, [flow.circuit(c) for c in STAR.circuits], rtol=1e-9)


@pytest.mark.parametrize("matrix", [True, False])
def test_a_sweep_agrees_with_finer_single_solves_within_its_bars(matrix: bool) -> None:
    found = swept(matrix)
    for k, f in enumerate(BAND):
        fine = solve(STAR, f, accuracy=1e-5)
        slack = 1e-5 * fine.fine.powers.real
        assert (np.abs(found.fine.losses[k] - fine.fine.powers.real) <= found.power_errors[k] + slack).all()
        for c in STAR.circuits:
            resistance, inductance = (bar[k] for bar in found.circuit_errors(c))
            impedance = fine.fine.circuit(c) / c.current
            slack_of = 1e-5 * abs(impedance)
            assert abs(found.fine.resistance(c)[k] - impedance.real) <= resistance * abs(impedance.real) + slack_of
            off = abs(found.fine.inductance(c)[k] - fine.fine.inductance(c))
            assert off <= inductance * abs(fine.fine.inductance(c)) + slack_of / (2 * np.pi * f)


def test_three_loops_between_three_conductors_are_two() -> None:
    """Currents of the conductors: the difference of two loops each; fields and voltages as in single solves."""
    found, alone = sweep(DELTA, BAND[:2]), solve(DELTA, BAND[0], accuracy=1e-5)
    wanted = [10 - 4, 7 * TURN - 10, 4 - 7 * TURN]
    assert not found.fine.model.ports.matrix
    np.testing.assert_allclose(found.fine.currents[0], wanted, rtol=1e-9)
    np.testing.assert_allclose(found.fine.losses[0], alone.fine.powers.real, rtol=1e-3)
    for c in DELTA.circuits:
        assert found.fine.circuit(c)[0] == pytest.approx(alone.fine.circuit(c), rel=1e-3)
    z = found.solution(0).fine.circuit_impedance
    np.testing.assert_allclose(z.sum(axis=0), 0, atol=1e-9 * abs(z).max())  # the three voltages are once around
    history = fault_history(found, ["ab", "bc"], step(100.0, 0.2))
    np.testing.assert_allclose(history.currents[-1], [100, 0, -100], atol=1e-6)


@cache
def pulse() -> Any:
    """One half-wave in two of the phases, the second half as large."""
    waves = [half_sine(current, 50.0, 0.06) for current in (1000.0, 500.0)]
    return fault_history(sweep(STAR, [1.0, 1e4]), ["L1", "L2"], waves)


def test_a_fault_in_two_phases_returns_in_the_neutral() -> None:
    found = pulse()
    np.testing.assert_allclose(found.currents[:, 3], -found.drive.sum(axis=1), atol=1e-6 * found.drive.max())
    assert np.abs(found.currents[:, 2]).max() < 1e-6 * found.drive.max()


def test_what_a_fault_takes_in_becomes_heat() -> None:
    """Integral of v i over all terminals = heat, once the current and its field are gone."""
    found = pulse()
    left, right = found.times[:-1], found.times[1:]
    nodes, weights = np.polynomial.legendre.leggauss(5)
    times = (0.5 * (left + right)[:, None] + 0.5 * (right - left)[:, None] * nodes).ravel()
    within = found.transient.at(times)
    power = (within.voltages * within.drive).sum(axis=1)
    taken = (power * (0.5 * (right - left)[:, None] * weights).ravel()).sum()
    assert taken == pytest.approx(found.energy[-1].sum(), rel=1e-5)


def test_the_ladder_of_the_sides_wired_as_they_are_is_the_circuits() -> None:
    """Branches a, b, c and n by themselves; loops over n: Z_pq - Z_pn - Z_nq + Z_nn, at rest exactly R_p + R_n, R_n."""
    sides = sides_apart(STAR.circuits)
    apart = by_circuits(replace(swept(), problem=Problem(RODS, sides)))
    short = ladder(apart.fine.model.foster, BAND[0], BAND[-1], bound=0.02)
    pattern = Connections.of(STAR.names, STAR.circuits).pattern
    assert [side.out for side in sides] == [("a",), ("n",), ("b",), ("c",)]
    for k, f in enumerate(BAND):
        z = pattern.T @ short.foster.impedance(f)[0] @ pattern
        wanted = swept().solution(k).fine.circuit_impedance
        scale = np.sqrt(np.outer(wanted.diagonal().real, wanted.diagonal().real))
        assert (np.abs((z - wanted).real) <= short.resistance_error * scale).all()
    rest = pattern.T @ short.foster.resistance(0.0)[0] @ pattern
    one = 1 / (58e6 * np.pi * 0.004**2)
    np.testing.assert_allclose(rest, one * (np.eye(3) + 1), rtol=1e-6)


def case(**more: Any) -> dict[str, Any]:
    rods = [
        {
            "name": name, "shape": "round", "diameter": "8 mm", "material": "copper",
            "centre": [f"{1e3 * v:.3f} mm" for v in place],
        }
        for name, place in PLACES.items()
    ]  # fmt: skip
    phases = [
        {"name": f"L{k + 1}", "current": i, "phase": f"{-120 * k} deg", "out": ["abc"[k]], "back": ["n"]}
        for k, i in enumerate(("100 A", "80 A", "60 A"))
    ]
    return {"frequency": {"at": ["50 Hz"]}, "conductor": rods, "circuit": phases} | more


@cache
def warm() -> Result:
    return solve_case(checked_case(case(cooling={}, ladder={"from": "50 Hz", "to": "500 Hz", "bound": "5 %"})))


def test_in_air_the_neutral_warms_with_the_sum() -> None:
    """Its loss at the temperatures found is that of the currents prescribed one by one at these temperatures."""
    found = warm().solution_at(50.0)
    amounts = [*CURRENTS, -sum(CURRENTS)]
    given = tuple(Circuit(c.name, i, (c.name,)) for c, i in zip(found.problem.conductors, amounts, strict=True))
    alone = solve(Problem(found.problem.conductors, given), 50.0)
    np.testing.assert_allclose(found.fine.powers.real, alone.fine.powers.real, rtol=2e-3)
    temperatures = {c.name: c.temperature for c in found.problem.conductors}
    assert 20 < temperatures["n"] < temperatures["a"]  # 35 A against 100 A


def test_the_ladder_of_a_case_names_its_sides_as_ports() -> None:
    found = chapter(warm(), "ladder")
    assert found.record["circuits"] == ["a", "n", "b", "c"]
    assert ".subckt run a a_end n n_end b b_end c c_end" in found.files["ladder.cir"]
    assert any("to be wired as they are" in said for said in found.sentences)


def test_results_hold_the_shared_ones_and_read_back() -> None:
    point = warm().points[0]
    assert [c.shared for c in point.circuits.values()] == [("n",)] * 3
    assert point.coupled
    assert not point.returns_outside
    assert point.sequences is not None
    own = sum(c.own_loss for c in point.circuits.values())
    assert own + point.conductors["n"].loss == pytest.approx(point.total_loss)
