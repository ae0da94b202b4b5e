"""Reduced models of the half plane r, z: turns are ports, what is closed round the axis is not."""

import csv
import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from common import COPPER, bar, metal, rod

from crosscurrent.solver.band.evaluator import at_temperature, evaluator
from crosscurrent.solver.band.ports import ports_of
from crosscurrent.solver.band.regrouped import by_circuits, impedance_of
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.time.excitation import offset
from crosscurrent.solver.time.transient import Transient

ROWS = Path(__file__).parents[2] / "references" / "axial_values.csv"
MANY = bool(os.environ.get("CROSSCURRENT_EXAMPLES"))  # takes every row of those that stand for others
WEAK, IRON, HOT = metal(1e6), metal(5e6, 100.0), metal(8e5)
BAND = [50.0, 1e3, 1e4, 1e5]
TURNS = tuple(rod(f"turn {k}", 0.006, 0.046, 0.01 * k) for k in range(2))
BILLET = bar("billet", 0.06, 0.08, material=HOT)
RING = replace(bar("ring", 0.004, 0.02, 0.036), closed=True)


def coil(sharing: str = "series") -> Problem:
    """Two turns round a billet, with a ring between."""
    circuit = Circuit("coil", 100.0, ("turn 0", "turn 1"), (), sharing)  # type: ignore[arg-type]
    return Problem((BILLET, *TURNS, RING), (circuit,), axial=True)


def exact(row: str) -> float:
    with ROWS.open() as lines:
        return next(float(r["value"]) for r in csv.DictReader(lines) if r["id"] == row)


@pytest.fixture(scope="module")
def swept() -> Sweep:
    return sweep(coil(), BAND)


@pytest.mark.parametrize(("material", "rows"), [(COPPER, (42, 43)), (IRON, (44, 45))], ids=["copper", "iron"])
def test_a_ball_in_a_turn_takes_over_a_band_what_spherical_harmonics_say(material, rows) -> None:  # type: ignore[no-untyped-def]
    # `axial_values.csv`: spherical harmonics and Bessel functions, 50 Hz and 100 kHz
    ball, turn = rod("ball", 0.05, material=material), rod("turn", 4e-4, 0.035, 0.005, WEAK)
    found = sweep(Problem((ball, turn), (Circuit("c", 1.0, ("turn",)),), axial=True), [50.0, 1e5], accuracy=1e-4)
    for number, row in enumerate(rows):
        assert found.fine.losses[number, 0] == pytest.approx(exact(f"axial-{row:03}"), rel=1e-5)
        assert found.loss_errors[number, 0] < 1e-3


def test_what_is_closed_has_no_port() -> None:
    for matrix, count in ((False, 2), (True, 2)):
        ports = ports_of(coil(), matrix=matrix)
        assert ports.member.shape == (4, count)
        assert ports.member.sum(axis=1).tolist() == [0, 1, 1, 0]


@pytest.mark.parametrize(("sharing", "matrix"), [
    ("series", False), ("free", True), *([("series", True), ("free", False)] if MANY else []),
])  # fmt: skip
def test_a_sweep_is_the_solves_on_its_own_mesh(sharing: str, matrix: bool) -> None:
    problem = coil(sharing)
    found = sweep(problem, BAND, matrix=matrix)
    d, alike = found.fine.model.discretisation, by_circuits(found)
    for number, frequency in enumerate(BAND):
        flow = found.fine.flow(number)
        solved = SolvedFlow.of(problem, solve_fields(d, frequency, lifted=False))
        missed = np.sqrt(found.fine.bound[number].real.max() / abs(solved.circuit_impedance).max()) + 1e-10
        np.testing.assert_allclose(flow.circuit_impedance, solved.circuit_impedance, rtol=1e-11 + missed**2)
        np.testing.assert_allclose(flow.powers, solved.powers, rtol=2e-11 + 10 * missed)
        np.testing.assert_allclose(flow.currents, solved.currents, atol=1e-6)
        largest = np.abs(solved.region_currents).max()
        np.testing.assert_allclose(flow.region_currents, solved.region_currents, atol=1e-6 * largest)
        np.testing.assert_allclose(flow.forces.mean, solved.forces.mean, atol=1e-7 * np.abs(solved.force).max())
        np.testing.assert_allclose(flow.force, solved.force, atol=1e-7 * np.abs(solved.force).max())
        np.testing.assert_allclose(alike.fine.flow(number).circuit_impedance, solved.circuit_impedance, rtol=1e-9)
    if matrix:
        impedance = found.fine.flow(0).impedance
        assert impedance is not None
        assert impedance.shape == (4, 4)
        assert not impedance[[0, 3]].any()
    np.testing.assert_allclose(
        impedance_of(found).resistance(BAND)[:, 0, 0], found.fine.resistance(problem.circuits[0]), rtol=1e-9
    )


def test_power_through_the_terminals_is_lost_in_the_metal(swept: Sweep) -> None:
    circuit = swept.problem.circuits[0]
    taken = swept.fine.resistance(circuit) * abs(circuit.current) ** 2
    np.testing.assert_allclose(swept.fine.losses.sum(axis=1), taken, rtol=1e-10)


def test_the_bars_hold_what_single_solves_find(swept: Sweep) -> None:
    circuit = swept.problem.circuits[0]
    for number in (0, 3):
        one = solve(swept.problem, BAND[number], accuracy=1e-6)
        off = np.abs(swept.fine.losses[number] - one.fine.powers.real)
        assert (off <= swept.power_errors[number] + one.power_errors).all()
        bars, own = swept.circuit_errors(circuit), one.circuit_errors(circuit)
        resistance = (one.fine.circuit(circuit) / circuit.current).real
        assert abs(swept.fine.resistance(circuit)[number] / resistance - 1) <= bars[0][number] + own[0]
        inductance = one.fine.inductance(circuit)
        assert abs(swept.fine.inductance(circuit)[number] / inductance - 1) <= bars[1][number] + own[1]


def test_in_time_it_settles_to_the_steady_state(swept: Sweep) -> None:
    # the ring's current dies away with L / R, a few tenths of a millisecond; the billet's slowest mode in a few
    period = 1e-3
    moments = 0.2 + period * np.arange(32) / 32
    late = Transient(swept, (offset(100.0, 1 / period, 1e-3, 0.21, angle=0.0),)).at(moments)
    flow = swept.fine.flow(1)
    np.testing.assert_allclose(late.losses.mean(axis=0), flow.powers.real, rtol=1e-7)
    np.testing.assert_allclose(late.force.mean(axis=0), flow.force, atol=1e-7 * np.abs(flow.force).max())
    wave = np.sqrt(2) * np.exp(2j * np.pi * moments / period) * np.exp(-0.5j * np.pi)
    for k in (0, 3):
        np.testing.assert_allclose(
            late.currents[:, k], (flow.region_currents[k] * wave).real, atol=1e-7 * abs(flow.region_currents[k])
        )
    electric = late.electric(5)
    np.testing.assert_allclose(electric, (flow.electric * wave[5]).real, atol=1e-6 * np.abs(electric).max())


def test_the_heat_at_corners_is_that_of_e_over_the_way_round(swept: Sweep) -> None:
    times = 0.2 + 1e-3 * np.arange(32) / 32
    late = Transient(swept, (offset(100.0, 1e3, 1e-3, 0.21, angle=0.0),)).at(times)
    heat, d = late.heating(np.full(32, 1 / 32)), swept.fine.model.discretisation
    inside = np.unique(d.mesh.triangles[d.mesh.part == 0])
    off = d.mesh.points[inside, 0]
    e = np.abs(swept.fine.electric(1)[inside]) / np.where(off > 0, 2 * np.pi * off, np.inf)
    np.testing.assert_allclose(heat[inside], 8e5 * e**2, atol=1e-6 * heat[inside].max())


def test_warm_metal_is_known_beforehand() -> None:
    brass = replace(TURNS[1], material=replace(COPPER, name="brass", temperature_coefficient=0.0015))
    copper = replace(TURNS[0], material=replace(COPPER, temperature_coefficient=0.0039))
    problem = replace(coil(), conductors=(BILLET, copper, brass, RING))
    warm = evaluator(problem, (1e2, 1e4), (20.0, 150.0), accuracy=1e-4).evaluate([1e3], 120.0)
    one = solve(at_temperature(problem, 120.0), 1e3, accuracy=1e-6)
    np.testing.assert_allclose(warm.fine.losses[0], one.fine.powers.real, rtol=1e-4)
    assert (np.abs(warm.fine.losses[0] - one.fine.powers.real) <= warm.power_errors[0] + one.power_errors).all()
