"""Straight strands as a medium over a band: against Bessel's solution of a round conductor of that medium."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from scipy import special

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.band.followed import FollowedForm
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Strands, medium

SIGMA, OUTER = 58e6, 2.8e-3
STRANDS = Strands(400, 1e-4, lay="straight", gathered=True)


@cache
def swept() -> Sweep:
    lead = Conductor(Part("a", round_bar(OUTER)), Material("copper", SIGMA), strands=STRANDS)
    return sweep(Problem((lead,), (Circuit("feed", 1.0, ("a",)),)), [0.0, *np.geomspace(1e2, 2e6, 1000)], accuracy=1e-4)


def _exact(frequency: float) -> complex:
    """Inner impedance of a round wire of some permeability and resistivity (any textbook), and its edge [ohm/m]."""
    area, radius = math.pi / 4 * OUTER**2, OUTER / 2
    found = medium(STRANDS, area, SIGMA, frequency)
    z = radius * np.sqrt(2j * math.pi * frequency * MU0 * found.permeability / (found.impedance * area))
    return complex(found.impedance * z / 2 * special.ive(0, z) / special.ive(1, z) + found.edge)


def test_resistance_is_that_of_a_round_conductor_of_the_medium() -> None:
    found = swept()
    expected = [_exact(float(f)).real for f in found.frequency[1:]]
    np.testing.assert_allclose(found.fine.resistance(found.problem.circuits[0])[1:], expected, rtol=5e-6)
    assert found.fine.resistance(found.problem.circuits[0])[0] == pytest.approx(STRANDS.resistance(SIGMA), rel=1e-12)


def test_inductance_differs_as_that_of_a_round_conductor_of_the_medium() -> None:
    """All that changes with frequency is inside."""
    found = swept()
    known, omega = found.fine.inductance(found.problem.circuits[0])[1:], 2 * math.pi * found.frequency[1:]
    inner = np.array([_exact(float(f)).imag for f in found.frequency[1:]]) / omega
    np.testing.assert_allclose(known - known[-1], inner - inner[-1], atol=1e-6 * known[-1])


def test_losses_add_up_to_the_resistance() -> None:
    found = swept()
    (circuit,) = found.problem.circuits
    np.testing.assert_allclose(found.fine.losses[:, 0], found.fine.resistance(circuit), rtol=1e-10)
    own = found.fine.model.region_losses(found.frequency, np.ones(1))
    np.testing.assert_allclose(own[:, 0], found.fine.losses[:, 0], rtol=1e-10)


def test_other_conductivities_are_other_frequencies() -> None:
    """Z_k(w) = Z(k w) / k of any section whose metals all change alike, strands included."""
    form = swept().fine.model.foster
    assert isinstance(form, FollowedForm)
    other = form.with_conductivity(0.7)
    np.testing.assert_allclose(other.impedance([1e5, 1e6]), form.impedance([0.7e5, 0.7e6]) / 0.7, rtol=1e-12)
