"""Densities in strands of a medium against those of thin wires in an even field, which any textbook has."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.strand_density import ends, strand_density
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Strands


@pytest.mark.parametrize(("count", "diameter"), [(200, 0.1e-3), (2000, 0.04e-3)])
def test_the_outermost_strands_carry_their_share_and_what_the_bundles_field_induces(
    count: int, diameter: float
) -> None:
    """At the surface of a strand w sigma B d / 2, a quarter of a period from its current."""
    radius, frequency = 1.5e-3, 1.6 / diameter**2 / 4e3
    lead = Conductor(Part("lead", round_bar(2 * radius)), Material("copper", 58e6), strands=Strands(count, diameter))
    found = strand_density(solve(Problem((lead,), (Circuit("feed", 10.0, ("lead",)),)), frequency).fine, 0)
    assert found is not None
    assert (found.least, found.most) == (pytest.approx(10 / count, rel=1e-6), pytest.approx(10 / count, rel=1e-6))
    middle = radius - 0.5 * radius * math.sqrt(math.pi / count)  # half a cell from the edge
    flux = MU0 * 10.0 * middle / (2 * math.pi * radius**2)
    induced = 2 * math.pi * frequency * 58e6 * flux * diameter / 2
    assert found.peak == pytest.approx(math.hypot(10 / count / (math.pi / 4 * diameter**2), induced), rel=1e-2)


def test_solid_metal_has_none() -> None:
    assert strand_density(solve(alone(round_bar(1e-3), 1.0), 0.0).fine, 0) is None


def test_of_strands_that_carry_as_much_the_first_is_named() -> None:
    least, most = ends(np.array([[2.0, 1.0, 1.0 - 1e-9, 2.0 + 1e-9], [0.0, 0.0, 0.0, 0.0], [3.0, 4.0, 1.0, 2.0]]))
    assert least.tolist() == [1, 0, 2]
    assert most.tolist() == [0, 0, 1]
