"""The impedance of a run on the meter, against the exact wire (Bessel functions) and limits."""

from dataclasses import replace

import numpy as np
import pytest
from common import MU0
from common import rod as ring
from scipy.special import ive

from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.meter.run_impedance import TolerancedFigure, on_the_meter, run_impedance

F = np.geomspace(100.0, 1e6, 21)


def wire(diameter, frequency, sigma):
    """Internal impedance of a round wire per metre (Ramo, Whinnery and Van Duzer, 3rd ed., 4.9)."""
    a, gamma = diameter / 2, np.sqrt(2j * np.pi * frequency * MU0 * sigma)
    return gamma * ive(0, gamma * a) / ive(1, gamma * a) / (2 * np.pi * a * sigma)


def rod(temperature=20.0, **changed):
    problem = alone(round_bar(0.010), 5.0)
    conductors = tuple(replace(c, **changed) for c in problem.conductors)
    return on_the_meter(replace(problem, conductors=conductors), problem.circuits[0].name, temperature)


def test_resistance_of_a_wire_at_the_temperature_of_the_measurement() -> None:
    warm = rod(60.0)
    sigma = warm.conductors[0].material.conductivity_at(60.0)
    found = run_impedance(warm, F, 2.5)
    exact = 2.5 * wire(0.010, F, sigma).real
    assert (np.abs(found.impedance.real - exact) <= found.resistance_bar).all()
    assert found.impedance.real == pytest.approx(exact, rel=1e-3)
    assert not found.solved


def test_only_one_circuit_carries_the_current_of_a_meter() -> None:
    assert [abs(c.current) for c in rod().circuits] == [0.01]


def test_tolerances_of_a_wire_against_its_own_difference() -> None:
    problem = rod()
    thicker = replace(problem, conductors=tuple(
        replace(c, part=alone(round_bar(0.010 * (1 + 1e-6)), 1.0).conductors[0].part) for c in problem.conductors))
    figure = TolerancedFigure(lambda s: Change("diameter", thicker, 1e-8), 1e-4)
    bound = run_impedance(problem, F, 1.0, toleranced=[figure, figure])
    sigma = problem.conductors[0].material.conductivity_at(20.0)
    one = np.abs(wire(0.01005, F, sigma).real - wire(0.00995, F, sigma).real)
    assert bound.resistance_band == pytest.approx(2 * one, rel=0.02)
    assert bound.resistance_spread == pytest.approx(one * np.sqrt(2 / 3), rel=0.02)
    normal = run_impedance(problem, F, 1.0, toleranced=[figure, figure], bound=False)
    assert normal.resistance_band == pytest.approx(one * np.sqrt(2), rel=0.02)
    assert normal.resistance_spread == pytest.approx(one / np.sqrt(2), rel=0.02)


def test_a_rough_wire_is_solved_frequency_by_frequency() -> None:
    found = run_impedance(rod(roughness=6e-6), F, 1.0)
    assert found.solved == 21
    smooth = run_impedance(rod(), F, 1.0)
    assert found.impedance[0].real == pytest.approx(smooth.impedance[0].real, rel=1e-3)
    assert found.impedance[-1].real > 1.0005 * smooth.impedance[-1].real
    alone_there = run_impedance(rod(roughness=6e-6), F[7:8], 1.0)
    assert found.impedance[7].real == pytest.approx(alone_there.impedance[0].real, rel=1e-3)


def test_between_solved_frequencies_the_bars_hold() -> None:
    """Rough surfaces and 81 frequencies, 24 of them solved, against solves at three of those between."""
    many = np.geomspace(100.0, 1e6, 81)
    found = run_impedance(rod(roughness=6e-6), many, 1.0)
    assert found.solved == 24
    for k in (13, 25, 52):
        there = run_impedance(rod(roughness=6e-6), many[k : k + 1], 1.0, accuracy=1e-4)
        assert abs((found.impedance[k] - there.impedance[0]).real) <= found.resistance_bar[k] + there.resistance_bar[0]
        assert found.resistance_bar[k] < 3e-3 * found.impedance[k].real


def test_steel_on_a_meter_is_at_its_initial_permeability() -> None:
    """A rod of mu 200 by Bessel functions, though its circuit carries 50 A in service."""
    steel = Material("steel", 5e6, magnetisation=Magnetisation.froelich(200.0, 2.0))
    problem = alone(round_bar(0.010), 50.0)
    curved = replace(problem, conductors=tuple(replace(c, material=steel) for c in problem.conductors))
    few = F[::10]
    found = run_impedance(on_the_meter(curved, problem.circuits[0].name, 20.0), few, 1.0)
    mu, a = 200 * MU0, 0.005
    gamma = np.sqrt(2j * np.pi * few * mu * 5e6)
    exact = (gamma * ive(0, gamma * a) / ive(1, gamma * a) / (2 * np.pi * a * 5e6)).real
    assert found.impedance.real == pytest.approx(exact, rel=1e-3)


def test_a_meter_on_a_coil_sees_the_shorted_one_beside_it() -> None:
    """Two turns in line: at some kilohertz the shorted one takes k^2 of the inductance, as a single solve says."""
    turns = ring("one", 0.004, 0.05), ring("two", 0.004, 0.05, 0.02)
    feeds = Circuit("coil", 100.0, ("one",)), Circuit("loop", 0.0, ("two",), shorted=True)
    problem = on_the_meter(Problem(turns, feeds, axial=True), "coil", 20.0)
    found = run_impedance(problem, np.array([300.0, 3e3]), 1.0)
    alone = run_impedance(replace(problem, circuits=feeds[:1]), np.array([300.0, 3e3]), 1.0)
    wanted = solve(problem, 3e3).fine.circuit(problem.circuits[0]) / problem.circuits[0].current
    assert found.impedance[1] == pytest.approx(wanted, rel=1e-4)
    assert found.impedance[1].imag < 0.92 * alone.impedance[1].imag
