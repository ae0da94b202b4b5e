"""Short overloads against the k values of the standards."""

from dataclasses import replace

import numpy as np
import pytest
from fixed_film import balanced, solved

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.adiabatic import adiabatic, thermal_mass
from crosscurrent.solver.metals.materials import MATERIALS, Material

COPPER, ALUMINIUM = MATERIALS["copper"], MATERIALS["aluminium-1350"]


# k [A s^0.5/mm2] from the initial to the final temperature: IEC 60364-5-54, table A.54 (copper, aluminium), as IEC
# 60865-1 and IEC 60949 derive it from 3.45 and 2.5 MJ/(K m3); from memory
@pytest.mark.parametrize(
    ("metal", "start", "end", "k"),
    [
        (COPPER, 70, 160, 115),
        (COPPER, 90, 250, 143),
        (COPPER, 30, 160, 143),
        (COPPER, 30, 250, 176),
        (ALUMINIUM, 70, 160, 76),
        (ALUMINIUM, 90, 250, 94),
    ],
)
@pytest.mark.parametrize("duration", [0.2, 3.0])
def test_k_values(metal, start, end, k, duration):
    area = 100.0  # mm2
    current = k * area / duration**0.5
    solution = solved(bar(0.01, 0.01), [metal], current=current)
    balance = balanced(solved(bar(0.01, 0.01), [metal], current=1.0), lambda n: np.full(len(n), 8.0))
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    after = adiabatic(balance.sources.scaled(current), mass, np.array([float(start)]), duration)
    # the same rise within 2 % of the current
    assert after[0] - start == pytest.approx(end - start, rel=0.05)


def test_thermal_mass():
    """Area x density x heat capacity, coats and base each their own."""
    solution = solved(round_bar(0.02), [COPPER, MATERIALS["silver"]], coats=(0.001,))
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    copper = np.pi * 0.01**2 * 8890 * 385
    silver = np.pi * (0.011**2 - 0.01**2) * 10490 * 235
    assert mass[0] == pytest.approx(copper + silver, rel=1e-6)


def test_thermal_mass_of_what_goes_round_an_axis():
    """Volume x density x heat capacity: 2 pi R times the section of a turn (Pappus), 4/3 pi r^3 of a ball."""
    turn = Conductor(Part("turn", round_bar(0.008).placed((0.05, 0.0))), COPPER)
    ball = Conductor(Part("ball", round_bar(0.03)), COPPER)
    problem = Problem((turn, ball), (Circuit("coil", 1.0, ("turn",)),), axial=True)
    solution = solve(problem, 1e3, accuracy=1e-2)
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    exact = np.array([2 * np.pi * 0.05 * np.pi * 0.004**2, 4 / 3 * np.pi * 0.015**3]) * 8890 * 385
    assert mass == pytest.approx(exact, rel=1e-9)


def test_short_time_in_steps_is_short_time_at_once():
    balance = balanced(solved(round_bar(0.01), [COPPER], current=100.0), lambda n: np.full(len(n), 8.0))
    for exponent in (1.0, 0.5, -0.5, 0.0):
        sources = replace(balance.sources.scaled(30.0), exponent=np.array([exponent]))
        mass, start = np.array([300.0]), np.array([70.0])
        at_once = adiabatic(sources, mass, start, 2.0)
        halfway = adiabatic(sources, mass, adiabatic(sources, mass, start, 0.7), 1.3)
        assert halfway == pytest.approx(at_once, rel=1e-12)
        fine = start.copy()
        for _ in range(4000):  # dT/dt = P / C with plain small steps
            fine = fine + sources.power * sources.growth(fine) / mass * 2.0 / 4000
        assert at_once == pytest.approx(fine, rel=1e-3)


def test_a_resistance_that_does_not_change_heats_evenly():
    flat = Material("flat", 58e6, density=8890, heat_capacity=385, thermal_conductivity=391)
    solution = solved(round_bar(0.01), [flat], current=2000.0)
    balance = balanced(solved(round_bar(0.01), [flat], current=100.0), lambda n: np.full(len(n), 8.0))
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    after = adiabatic(balance.sources.scaled(20.0), mass, np.array([20.0]), 5.0)
    assert after[0] - 20 == pytest.approx(float(solution.fine.powers[0].real) * 5.0 / mass[0], rel=1e-9)


def test_a_metal_without_data_has_no_thermal_mass():
    solution = solved(round_bar(0.01), [Material("unknown", 30e6)])
    assert np.isnan(thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)).all()
