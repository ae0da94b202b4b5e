"""Asking for more: any bound down to 1e-7 is reached, the true error lies below it, and the price is told."""

import math

import numpy as np
import pytest
from common import SIGMA, alone, bar, conductor, frequency_for, metal, pair, resistance, rod
from scipy.special import ive

from crosscurrent.geometries.plane import shapes
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.field.solve import solve

MM = 1e-3


def price(solution):
    """Unknowns and refinements, as the results tell them."""
    told = answers(solution)
    assert told.unknowns == solution.fine.discretisation.elements.count
    assert told.refinements == solution.refinements
    assert told.warnings == ()
    return told.unknowns


@pytest.mark.parametrize("depths", [0.1, 3.0, 30.0, 1000.0])
def test_wire(depths):
    radius = 2 * MM
    solution = solve(alone(rod("wire", 2 * radius)), frequency_for(radius / depths), accuracy=1e-7)
    z = (1 + 1j) * depths
    exact = (z / 2 * ive(0, z) / ive(1, z)).real / (SIGMA * math.pi * radius**2)  # Kelvin 1889
    value, width = resistance(solution)
    assert solution.bound <= 1e-7
    assert abs(value - exact) <= width
    assert price(solution) <= 10_000


def sharp_pair():
    return pair(bar("go", 20 * MM, 3 * MM, 0, 2 * MM), bar("back", 20 * MM, 3 * MM, 0, -2 * MM))


def plated_bar():
    coats = [(metal(62.9e6), 50e-6)]
    return alone(conductor("bar", shapes.bar(20 * MM, 3 * MM), material=metal(15.9e6), coats=coats))


@pytest.mark.parametrize(
    ("problem", "frequency"),
    [(sharp_pair(), 1e3), (sharp_pair(), 100e3), (plated_bar(), 1e5), (plated_bar(), 1e6)],
    ids=["pair 1 kHz", "pair 100 kHz", "plated 100 kHz", "plated 1 MHz"],
)
def test_bars(problem, frequency):
    finest = solve(problem, frequency, accuracy=1e-7)
    assert finest.bound <= 1e-7
    unknowns = [price(finest)]
    exact, _ = resistance(finest)
    for wanted in (1e-5, 1e-3):
        found = solve(problem, frequency, accuracy=wanted)
        assert found.bound <= wanted
        value, width = resistance(found)
        assert abs(value - exact) <= width + 1e-7 * exact
        unknowns.append(price(found))
    assert (np.diff(unknowns) <= 0).all()
    assert unknowns[0] <= 60_000


def test_a_bound_out_of_reach_is_told():
    solution = solve(sharp_pair(), 100e3, accuracy=1e-7, largest=8000)
    assert solution.bound > 1e-7
    (warning,) = solution.warnings
    assert "was not reached" in warning.text
    assert f"{100 * solution.bound:.2g} %" in warning.text
    assert solution.fine.discretisation.elements.count <= 8000
