"""Where heat made meets heat lost: the law of resistance, Newton's cooling, running away."""

import re
from dataclasses import replace

import numpy as np
import pytest
from fixed_film import AIR, balanced, solved

from crosscurrent.geometries.plane.shapes import round_bar
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
