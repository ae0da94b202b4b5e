"""Duty cycles against exponentials."""

import numpy as np
import pytest
from fixed_film import AIR, balanced, solved

from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.heat.adiabatic import thermal_mass
from crosscurrent.solver.heat.balance import CEILING, NoStableTemperature
from crosscurrent.solver.heat.cooling import Cooling
from crosscurrent.solver.heat.duty import _run, duty_cycle, largest_duty, repeated
from crosscurrent.solver.heat.lumped import Lumped
from crosscurrent.solver.metals.materials import MATERIALS, Material


@pytest.mark.parametrize(("on", "off"), [(1.0, 3.0), (60.0, 120.0), (600.0, 600.0), (3600.0, 7200.0)])
def test_cycle_with_a_fixed_coefficient(on, off):
    """Newton's cooling: rise and fall are exponentials of one time constant, mass over conductance."""
    flat = Material("flat", 58e6, density=8890, heat_capacity=385, thermal_conductivity=391)
    radius, h = 0.01, 12.0
    solution = solved(round_bar(2 * radius), [flat], current=800.0)
    balance = balanced(solution, lambda n: np.full(len(n), h))
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    cycle = repeated(balance, mass, factor=1.2, on=on, off=off)
    conductance = h * 2 * np.pi * radius
    constant = float(mass[0]) / conductance
    rise = 1.44 * float(solution.fine.powers[0].real) / conductance
    highest = rise * (1 - np.exp(-on / constant)) / (1 - np.exp(-(on + off) / constant))
    lowest = highest * np.exp(-off / constant)
    assert cycle.constant[0] == pytest.approx(constant, rel=1e-6)
    assert cycle.temperature.max() - AIR == pytest.approx(highest, abs=0.03)
    assert cycle.temperature.min() - AIR == pytest.approx(lowest, abs=0.03)
    assert cycle.temperature[0] == pytest.approx(cycle.temperature[-1], abs=0.02)
    assert cycle.time[int(cycle.temperature.argmax())] == pytest.approx(on)


@pytest.mark.parametrize("start", [np.nan, np.inf])
def test_a_cycle_whose_start_is_not_finite_is_said_to_be_lost(start):
    solution = solved(round_bar(0.02), [Material("flat", 58e6, density=8890, heat_capacity=385)], current=800.0)
    balance = balanced(solution, lambda n: np.full(len(n), 12.0))
    lumped = Lumped(balance.exchange, balance.conduction.count)
    with pytest.raises(NoStableTemperature, match="cannot be followed through a cycle; check its currents and times"):
        _run(balance.sources, lumped, np.ones(1), np.array([start]), 1.0, heated=True)


def test_largest_current_of_a_cycle_from_both_sides():
    """A current a little larger passes the limit, or has no cycle at all; a little smaller keeps to it."""
    air, cycle = Cooling(AIR), {"on": 600.0, "off": 300.0}
    solution = solved(round_bar(0.02), [MATERIALS["copper"]], current=800.0)
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    found = largest_duty(solution, air, mass, 90.0, factor=8.0, **cycle)
    assert found.low < found.factor < found.high
    below, above = (
        duty_cycle(solution, air, mass, factor=k * found.factor, **cycle).highest[0] for k in (0.99, 1.01)
    )
    assert below < 90.0 < above


def test_largest_current_whose_cycle_holds_at_all():
    air, cycle = Cooling(AIR), {"on": 600.0, "off": 300.0}
    solution = solved(round_bar(0.02), [MATERIALS["copper"]], current=800.0)
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    found = largest_duty(solution, air, mass, CEILING, factor=8.0, **cycle)
    assert duty_cycle(solution, air, mass, factor=0.99 * found.factor, **cycle).highest[0] < CEILING
    with pytest.raises(NoStableTemperature):
        duty_cycle(solution, air, mass, factor=1.1 * found.factor, **cycle)


def test_no_largest_current_where_no_conductor_has_a_limit():
    solution = solved(round_bar(0.02), [MATERIALS["copper"]], current=800.0)
    assert largest_duty(solution, Cooling(AIR), np.ones(1), np.inf, factor=2.0, on=60.0, off=60.0) is None
