"""Bundles in time: at last the steady state of their frequency, and never more or less heat than the terminals give."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.band_medium import band_medium
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strands import Lay, Strands
from crosscurrent.solver.time.excitation import offset, step
from crosscurrent.solver.time.history import fault_history
from crosscurrent.solver.time.strand_excess import StrandExcess
from crosscurrent.solver.time.transient import Transient

LAYS: tuple[Lay, ...] = ("transposed", "concentric")
COPPER, FREQUENCY = MATERIALS["copper"], 20e3


@cache
def swept(lay: Lay) -> Sweep:
    """Two leads of 400 strands above a plate."""
    leads = tuple(
        Conductor(Part(name, round_bar(2.8e-3).placed((x, 0.0))), COPPER, strands=Strands(400, 1e-4, lay=lay))
        for name, x in (("a", -2e-3), ("b", 2e-3))
    )
    plate = Conductor(Part("plate", bar(16e-3, 1.5e-3).placed((0.0, -4e-3))), COPPER)
    problem = Problem((*leads, plate), (Circuit("feed", 10.0, ("a",), ("b",)),))
    return sweep(problem, [0.0, *np.geomspace(50, 1e6, 12)])


@pytest.mark.parametrize("lay", LAYS)
@pytest.mark.parametrize("high", [1e3, 1e5, 1e6])
def test_cells_have_the_impedance_of_strands(lay: Lay, high: float) -> None:
    medium = band_medium(Strands(1000, 1e-4, lay=lay), 14e-6, 58e6, high)
    cells, between = StrandExcess.of(medium, high), np.geomspace(1.0, high, 77)
    turning = 2j * np.pi * between[:, None]
    found = (turning * cells.resistance / (turning + cells.rates)).sum(axis=1) + turning[:, 0] * cells.inductance
    exact = medium.over(between)[1]
    assert np.abs((found + medium.at(0.0).resistance) / exact - 1).max() < 1e-6
    assert cells.error < 1e-6


@pytest.mark.parametrize("lay", LAYS)
def test_a_sine_comes_to_its_steady_losses(lay: Lay) -> None:
    """After its offset has gone, in one period as much as the frequency has."""
    found = fault_history(swept(lay), "feed", offset(10.0, FREQUENCY, 1e-4, 60 / FREQUENCY))
    before = [np.interp(59 / FREQUENCY, found.times, energy) for energy in found.energy.T]
    steady = swept(lay).at([FREQUENCY]).fine.losses[0]
    np.testing.assert_allclose((found.energy[-1] - before) * FREQUENCY, steady, rtol=1e-7)
    assert 1e-3 < found.error < 0.05  # the edge of the strands


@pytest.mark.parametrize("lay", LAYS)
def test_what_the_terminals_give_is_heat_and_field(lay: Lay) -> None:
    times = np.linspace(0.3, 2.0, 2001) / FREQUENCY
    samples = Transient(swept(lay), (offset(10.0, FREQUENCY, 1e-4, 3 / FREQUENCY),)).at(times)
    given = np.trapezoid((samples.voltages * samples.drive).sum(axis=1), times)
    heat = np.trapezoid(samples.losses.sum(axis=1), times)
    assert given == pytest.approx(heat + samples.stored[-1] - samples.stored[0], rel=1e-5)


def test_direct_current_at_last() -> None:
    found = fault_history(swept("concentric"), "feed", step(100.0, 5e-3))
    resting = swept("concentric").fine.losses[0] * 100
    np.testing.assert_allclose(found.losses[-1, :2], resting[:2], rtol=1e-6)
    corners = found.transient.sweep.fine.model.discretisation.mesh
    inside = np.unique(corners.triangles[corners.part == 0])
    area = found.transient.sweep.problem.conductors[0].part.area
    np.testing.assert_allclose(found.heating[inside], found.energy[-1, 0] / area, rtol=1e-6)
