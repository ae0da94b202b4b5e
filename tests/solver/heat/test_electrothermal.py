"""The loop of field and heat: how losses follow the resistivity, and the temperature they keep up."""

from dataclasses import replace

import numpy as np
import pytest
from fixed_film import solved

from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.heat.cooling import FINISHES, Cooling
from crosscurrent.solver.heat.electrothermal import (
    at_temperatures,
    balance_of,
    conduction_in,
    electrothermal,
    exponents,
    guessed_exponent,
    measured_exponent,
    solved_again,
)
from crosscurrent.solver.metals.materials import MATERIALS

COPPER = MATERIALS["copper"]


@pytest.fixture(scope="module")
def rod():
    return solved(round_bar(0.02), [COPPER], current=600.0)


def test_other_temperatures_change_nothing_else(rod):
    hot = at_temperatures(rod.problem, np.array([75.0]))
    assert hot.conductors[0].temperature == 75.0
    assert same(hot, replace(rod.problem, conductors=(replace(rod.problem.conductors[0], temperature=75.0),)))


def test_direct_current_heats_with_the_resistivity(rod):
    assert measured_exponent(rod) == pytest.approx([1.0], abs=1e-9)
    assert guessed_exponent(rod) == pytest.approx([1.0])


def test_a_thin_skin_heats_with_its_root():
    """R goes with 1 / (sigma depth), the root of the resistivity, and a little for the curvature."""
    thin = solved(round_bar(0.02), [COPPER], frequency=1e6)
    assert measured_exponent(thin) == pytest.approx([0.5], abs=0.01)
    assert guessed_exponent(thin) == pytest.approx([0.5])


def test_no_change_of_temperature_tells_nothing(rod):
    assert exponents(rod, rod, np.array([0.7])) == pytest.approx([0.7])


def test_the_same_mesh_is_the_same_conduction(rod):
    first = conduction_in(rod)
    assert conduction_in(rod, first) is first
    warmer = solved_again(rod, np.array([70.0]))
    assert float(warmer.fine.powers[0].real / rod.fine.powers[0].real) == pytest.approx(
        COPPER.conductivity_at(rod.problem.conductors[0].temperature) / COPPER.conductivity_at(70.0), rel=1e-7
    )


def test_losses_and_temperature_agree(rod):
    cooling = Cooling(25.0, FINISHES["painted"])
    found = electrothermal(rod.problem, 0.0, cooling, accuracy=1e-4)
    balance = balance_of(found, cooling, guessed_exponent(found))
    assert balance.mean[0] == pytest.approx(found.problem.conductors[0].temperature, abs=1e-3)
    area = np.pi * 0.01**2
    assert balance.lost[0] == pytest.approx(600.0**2 / (COPPER.conductivity_at(balance.mean[0]) * area), rel=1e-4)
