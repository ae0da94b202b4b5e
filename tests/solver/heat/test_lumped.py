"""One temperature for every conductor: Newton's cooling and Stefan and Boltzmann's law."""

import math

import numpy as np
import pytest
from fixed_film import AIR, BLANK, FixedFilm
from seen_panels import panels

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.heat.cooling import STEFAN_BOLTZMANN, Cooling, Finish
from crosscurrent.solver.heat.lumped import Lumped


def test_a_fixed_film_loses_in_proportion():
    part = Part("bar", bar(0.01, 0.04))
    exchange = FixedFilm(panels(part), (part,), Cooling(AIR, BLANK), lambda n: np.full(len(n), 8.0))
    lumped = Lumped(exchange, 1)
    for temperature in (-10.0, AIR, 33.3, 250.0):
        assert lumped.lost(np.array([temperature]))[0] == pytest.approx(8.0 * 0.1 * (temperature - AIR), rel=1e-9)


def test_a_black_rod_radiates():
    part = Part("rod", round_bar(0.02))
    black = Cooling(AIR, Finish("black", 1.0, 1.0, 1.0))
    exchange = FixedFilm(panels(part, skin=5e-4), (part,), black, lambda n: np.zeros(len(n)))
    exact = STEFAN_BOLTZMANN * math.pi * 0.02 * (373.15**4 - (AIR + 273.15) ** 4)
    assert Lumped(exchange, 1).lost(np.array([100.0]))[0] == pytest.approx(exact, rel=2e-3)


def test_what_one_gives_the_other_takes():
    parts = tuple(Part(f"b{k}", bar(0.01, 0.08).placed((0.02 * k, 0))) for k in range(2))
    exchange = FixedFilm(panels(*parts), parts, Cooling(AIR), lambda n: np.zeros(len(n)))
    lumped = Lumped(exchange, 2)
    assert lumped.radiating[0] == pytest.approx(lumped.radiating[0].T, abs=0)
    hot, cold = lumped.lost(np.array([90.0, AIR]))
    assert hot > 0 > cold
    assert lumped.lost(np.array([AIR, AIR])) == pytest.approx([0, 0], abs=1e-9)
