"""How warm a fault leaves conductors: the k value of the standard, and what is not known."""

from types import SimpleNamespace

import numpy as np
import pytest
from fixed_film import solved

from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.solver.heat.fault import temperatures_after
from crosscurrent.solver.metals.materials import MATERIALS, Material


def after(metal, current, seconds, start):
    """The heat of direct current for a time, at the temperature of the solution."""
    solution = solved(bar(0.01, 0.01), [metal], current=current)
    model = SimpleNamespace(discretisation=solution.fine.discretisation)
    steady = SimpleNamespace(problem=solution.problem, fine=SimpleNamespace(model=model))
    fault = SimpleNamespace(steady=steady, energy=solution.fine.powers.real * seconds)
    return temperatures_after(fault, np.array([start]))[0]


def test_copper_as_the_standard_has_it():
    """IEC 60364-5-54, table A.54: k = 143 A s^0.5 / mm2 from 90 to 250 degC; 100 mm2, 1 s; from memory."""
    assert after(MATERIALS["copper"], 14300.0, 1.0, 90.0) - 90 == pytest.approx(160, rel=0.05)


def test_without_data_nothing_is_known():
    assert np.isnan(after(Material("unknown", 30e6), 1000.0, 1.0, 20.0))
