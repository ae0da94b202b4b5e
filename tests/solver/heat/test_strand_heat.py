"""Heat across strands: bounds, and the parabola of an evenly heated rod (any textbook)."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.adiabatic import thermal_mass
from crosscurrent.solver.heat.electrothermal import conduction_in
from crosscurrent.solver.heat.strand_heat import AIR, across_strands
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strands import Strands, medium

ROD = alone(round_bar(3e-3), 40.0)
STRANDS = Strands(420, 1e-4)
LEAD = replace(ROD.conductors[0], strands=STRANDS)


@pytest.mark.parametrize("frequency", [0.0, 400e3])
def test_the_middle_of_a_bundle_is_as_hot_as_its_two_losses_make_it(frequency: float) -> None:
    """An even loss of Q rises by Q / (4 pi k), one that grows with the squared radius by half of that."""
    found = solve(replace(ROD, conductors=(LEAD,)), frequency, accuracy=1e-5)
    across = across_strands(LEAD)
    assert across is not None
    conduction = conduction_in(found)
    load = conduction.load(found.fine)
    filled = medium(STRANDS, LEAD.part.area, LEAD.material.conductivity_at(LEAD.temperature), frequency)
    even = 1600 * filled.impedance.real
    growing = -1600 * 2 * math.pi * frequency * MU0 * filled.permeability.imag / (8 * math.pi)
    assert load.sum() == pytest.approx(found.fine.powers[0].real, rel=1e-12)
    assert load.sum() == pytest.approx(even + growing, rel=1e-5)
    rise = float(np.nanmax(conduction.rise(load)))
    assert rise == pytest.approx((even + growing / 2) / (4 * math.pi * across.low), rel=2e-3)


def test_strands_that_fill_little_leave_the_conductivity_of_what_is_between_them() -> None:
    """1 + 2 f to the first order (Maxwell)."""
    thin = across_strands(replace(LEAD, strands=Strands(10, 1e-4)))
    assert thin is not None
    fill = 10 * math.pi / 4 * 1e-8 / LEAD.part.area
    assert thin.low / AIR == pytest.approx(1 + 2 * fill, rel=1e-3)
    assert across_strands(ROD.conductors[0]) is None


def test_copper_alone_is_warmed() -> None:
    d = solve(replace(ROD, conductors=(LEAD,)), 0.0).fine.discretisation
    solid, filled = (thermal_mass(d.elements, (c,))[0] for c in (ROD.conductors[0], LEAD))
    assert filled / solid == pytest.approx(STRANDS.copper / LEAD.part.area, rel=1e-6)
