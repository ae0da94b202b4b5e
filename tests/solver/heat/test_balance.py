"""Where heat made meets heat lost: the law of resistance, Newton's cooling, running away."""

import re
from dataclasses import replace

import numpy as np
import pytest
from fixed_film import AIR, at, balanced, balanced_round, ring, solved

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.balance import CEILING, NoStableTemperature, resistivity_ratio, steady
from crosscurrent.solver.metals.materials import MATERIALS

COPPER, RADIUS, FILM = MATERIALS["copper"], 0.01, 12.0


@pytest.fixture(scope="module")
def rod():
    return balanced(solved(round_bar(2 * RADIUS), [COPPER], current=400.0), lambda n: np.full(len(n), FILM))


def again(rod, **changes):
    return steady(rod.conduction, rod.exchange, replace(rod.sources, **changes))


def test_heat_made_is_heat_lost_at_the_resistance_of_that_temperature(rod):
    """h P dT = P0 (1 + a (T - T0)): dT = P0 (1 + a (air - T0)) / (h P - P0 a)."""
    slope = 1 / (1 / COPPER.temperature_coefficient + rod.sources.computed_at[0] - 20.0)
    power, conductance = float(rod.sources.power[0]), FILM * 2 * np.pi * RADIUS
    rise = power * (1 + slope * (AIR - rod.sources.computed_at[0])) / (conductance - power * slope)
    assert rod.mean[0] - AIR == pytest.approx(rise, rel=1e-3)  # the mean of a rod, a little above its face
    assert rod.lost[0] == pytest.approx(rod.power[0], rel=1e-9)


def test_resistivity_follows_the_law_of_the_metal(rod):
    """IEC 60028: 1 / 254.5 K per kelvin at 20 degC."""
    conductor = replace(rod.sources.conductors[0], temperature=20.0)
    assert resistivity_ratio((conductor,), np.array([120.0]))[0] == pytest.approx(1 + 100 / 254.5, rel=2e-3)


def test_all_currents_doubled_is_four_times_the_heat(rod):
    assert rod.sources.scaled(2.0).growth(rod.sources.computed_at) == pytest.approx([4.0])


def test_a_fixed_conductor_keeps_its_temperature(rod):
    found = again(rod, fixed=np.array([True]))
    assert found.mean[0] == found.surface[0] == rod.sources.computed_at[0]


def test_running_away_names_the_conductor(rod):
    """Beyond h P / a there is no balance at all: rise grows without end."""
    said = re.escape(f'"it" has no stable temperature up to {CEILING:g} degC')
    with pytest.raises(NoStableTemperature, match=said) as caught:
        again(rod, scale=200.0)
    assert caught.value.names == frozenset({"it"})


def test_a_ring_whose_current_falls_with_the_radius():
    """k (r T')' / r = -q (a / r)^2, T' = 0 at the bore a: T - T(b) = q a^2 / 2k (ln^2 b/a - ln^2 r/a)."""
    inner, outer, height, film = 0.02, 0.06, 0.01, 50.0
    shape = bar(outer - inner, height).placed(((inner + outer) / 2, 0.0))
    found = balanced_round(ring(shape, COPPER, current=1500.0), lambda n: np.where(n[:, 0] > 0.5, film, 0.0))
    power = float(found.power[0])
    density = power / (2 * np.pi * inner**2 * height * np.log(outer / inner))
    drop = density * inner**2 / (2 * COPPER.conduction)
    value, place = at(found, lambda r, z: np.abs(z) <= height)
    surface = AIR + power / (film * 2 * np.pi * outer * height)
    assert surface - AIR > 10
    exact = surface + drop * (np.log(outer / inner) ** 2 - np.log(place[:, 0] / inner) ** 2)
    assert value == pytest.approx(exact, abs=1e-7 * np.ptp(exact))
    assert found.hottest[0][0] == pytest.approx(surface + drop * np.log(outer / inner) ** 2, rel=1e-9)


def test_a_ball_with_even_heat():
    """T(0) - T(R) = q R^2 / 6k, T(R) - air = q R / 3h (H. S. Carslaw and J. C. Jaeger)."""
    radius, density, film = 0.02, 3e6, 80.0
    turn = Conductor(Part("turn", round_bar(0.004).placed((0.05, 0.0))), COPPER)
    ball = Conductor(Part("ball", round_bar(2 * radius)), MATERIALS["brass"])
    solution = solve(Problem((turn, ball), (Circuit("feed", 1.0, ("turn",)),), axial=True), 1e3, accuracy=1e-2)

    def load(conduction):
        e, found = conduction.elements, np.zeros((conduction.elements.count, 2))
        rows = conduction.part == 1
        np.add.at(found[:, 1], e.dofs[e.metal[rows]], density * e.mass_blocks[rows].sum(axis=1))
        return found

    found = balanced_round(solution, lambda n: np.full(len(n), film), load)
    assert found.power[1] == pytest.approx(density * 4 / 3 * np.pi * radius**3, rel=1e-9)
    value, place = at(found, lambda r, z: np.hypot(r, z) <= radius * (1 + 1e-9))
    middle, k = density * radius / (3 * film) + AIR, MATERIALS["brass"].conduction
    exact = middle + density * (radius**2 - np.hypot(*place.T) ** 2) / (6 * k)
    assert value == pytest.approx(exact, abs=1e-3 * np.ptp(exact))  # heat leaves every piece of surface evenly
    assert abs(found.lost[1] / found.power[1] - 1) < 1e-10
