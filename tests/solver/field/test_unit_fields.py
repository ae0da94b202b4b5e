"""Unit currents in sections with bundles: both forms agree, and what an exact answer exists for."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals, region_skins
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.unit_fields import solve_fields
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Lay, Strands, medium

COPPER = Material("copper", 58e6)
LINE = Circuit("feed", 1.0, ("lead",), ("bar",))


def _beside_a_bar(lay: Lay) -> Problem:
    lead = Conductor(Part("lead", round_bar(3e-3)), COPPER, strands=Strands(420, 1e-4, lay=lay))
    rail = Conductor(Part("bar", bar(10e-3, 3e-3).placed((0.0, -5e-3))), COPPER)
    idle = Conductor(Part("idle", round_bar(3e-3).placed((8e-3, 0.0))), COPPER)
    return Problem((lead, rail, idle), (LINE,))


@pytest.mark.parametrize("lay", ["transposed", "concentric", "straight"])
def test_both_forms_agree_and_the_power_balances(lay: Lay) -> None:
    problem, frequency = _beside_a_bar(lay), 100e3
    skins = region_skins(problem, frequency)
    found = []
    for lifted in (False, True):
        d = Discretisation(mesh_section(problem.section, skins), region_metals(problem, frequency), 6)
        found.append(solve_fields(d, frequency, lifted=lifted).impedance)
    np.testing.assert_allclose(found[0], found[0].T, rtol=1e-12)
    np.testing.assert_allclose(*found, rtol=2e-6)
    flow = solve(problem, frequency).fine
    assert flow.lifted
    assert flow.powers.real.sum() == pytest.approx(flow.circuit(LINE).real, rel=1e-8)


def test_a_round_bundle_alone_is_what_the_formula_of_its_medium_says() -> None:
    """Ampere's law in a disc of even current: twice the energy inside is mu mu0 / (8 pi) per square ampere."""
    strands, frequency = Strands(420, 1e-4), 400e3
    lead = Conductor(Part("lead", round_bar(3e-3)), COPPER, strands=strands)
    circuit = Circuit("feed", 1.0, ("lead",))
    found = solve(Problem((lead,), (circuit,)), frequency, accuracy=1e-7).fine.circuit(circuit)
    filled = medium(strands, math.pi / 4 * 9e-6, 58e6, frequency)
    inside = filled.impedance + 2j * math.pi * frequency * MU0 * filled.permeability / (8 * math.pi)
    assert found.real == pytest.approx(inside.real, rel=1e-7)


def test_straight_strands_are_metal_of_the_same_mean_conductivity_where_each_is_thin() -> None:
    """Strands far thinner than a skin: Bessel's solution for a rod of the mean conductivity (any textbook)."""
    strands, frequency, radius = Strands(100_000, 4e-6, lay="straight"), 100e3, 1e-3
    lead = Conductor(Part("lead", round_bar(2 * radius)), COPPER, strands=strands)
    circuit = Circuit("feed", 1.0, ("lead",))
    found = solve(Problem((lead,), (circuit,)), frequency, accuracy=1e-6).fine.circuit(circuit).real
    mean = 1 / (strands.resistance(58e6) * math.pi * radius**2)
    k = cmath.sqrt(2j * math.pi * frequency * MU0 * mean)
    from scipy.special import iv

    exact = k / (2 * math.pi * radius * mean) * iv(0, k * radius) / iv(1, k * radius)
    assert found == pytest.approx(exact.real, rel=1e-4)
