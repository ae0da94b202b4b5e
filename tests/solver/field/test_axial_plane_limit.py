"""Far from the axis a section gives the figures of the plane; inside a long coil the one-dimensional answer holds."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from axial_rows import COPPER, balance, frequency_for, impedance, inductance, on_axis, solid
from scipy.special import iv

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, round_bar, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

FAR = 10.0  # radius [m]
NEAR = 1e-4


def loop(shape: Callable[[float], Shape], metal: Material, *, axial: bool) -> Problem:
    """A current out through one part and back through the other, one above the other."""
    across = FAR if axial else 0.0
    pair = [
        Conductor(Part(name, shape(0.0).placed((across, height))), metal)
        for name, height in (("out", 0.015), ("back", -0.015))
    ]
    return Problem(tuple(pair), (Circuit("loop", 100.0, ("out",), ("back",)),), axial=axial)


@pytest.mark.parametrize("frequency", [0.0, 5e3, 200e3])
@pytest.mark.parametrize(
    ("shape", "metal"),
    [
        (lambda _: round_bar(0.012), COPPER),
        (lambda _: bar(0.04, 0.006, 0.001), COPPER),
        (lambda _: tube(0.014, 0.002), Material("steel", 7e6, permeability=100.0)),
    ],
)
def test_far_from_the_axis(shape: Callable[[float], Shape], metal: Material, frequency: float) -> None:
    """Over the length of a turn, 2 pi R, resistance, inductance, loss and force are the plane's; ends are none."""
    round_axis, along = (solve(loop(shape, metal, axial=axial), frequency, accuracy=1e-5) for axial in (True, False))
    length = 2 * math.pi * FAR
    assert impedance(round_axis).real == pytest.approx(impedance(along).real * length, rel=NEAR)
    assert inductance(round_axis) == pytest.approx(inductance(along) * length, rel=NEAR)
    np.testing.assert_allclose(round_axis.fine.powers.real, along.fine.powers.real * length, rtol=NEAR)
    np.testing.assert_allclose(round_axis.fine.force[:, 1], along.fine.force[:, 1] * length, rtol=NEAR)
    assert balance(round_axis) < 1e-10
    matrix = round_axis.fine.impedance
    assert abs(matrix - matrix.T).max() < 1e-12 * abs(matrix).max()


def long_coil(radius: float, frequency: float) -> DirectSolution:
    """A sheet of current, 1 A a metre and 40 radii long, round a billet as long."""
    height = 40 * radius
    sheet = Conductor(Part("sheet", bar(1e-3 * radius, height).placed((1.5 * radius, 0.0))), Material("poor", 1e3))
    coil = Circuit("coil", height, ("sheet",))
    problem = Problem((sheet, solid("billet", on_axis(radius, height))), (coil,), axial=True)
    return solve(problem, frequency, accuracy=1e-4)


@pytest.mark.parametrize("ratio", [3.0, 10.0])
def test_in_the_middle_of_a_long_coil(ratio: float) -> None:
    """H_z = H0 I0(k r) / I0(k a) and E = (k / sigma) H0 I1(k r) / I0(k a): any textbook on induction heating."""
    radius = 0.03
    frequency = frequency_for(radius / ratio)
    fine = long_coil(radius, frequency).fine
    elements, mesh = fine.discretisation.elements, fine.discretisation.mesh
    # places in the billet within a fifth of a radius of the middle
    rows = np.flatnonzero(mesh.part == 1)
    places = np.array([[1 / 3, 1 / 3]])
    where = elements.positions(rows, places)[:, 0]
    chosen = np.abs(where[:, 1]) < max(0.2 * radius, 1.01 * np.abs(where[:, 1]).min())
    rows, where = rows[chosen], where[chosen]
    found = elements.strength(fine.electric, rows, places)[:, 0]
    k = (1 + 1j) * ratio / radius
    surface = 1 / math.sqrt(1 + (2 * 1.5 / 40) ** 2)  # H0 of a sheet of that length in its middle, without the billet
    exact = -k / COPPER.conductivity * iv(1, k * where[:, 0]) / iv(0, k * radius) * surface
    largest = abs(k / COPPER.conductivity * iv(1, k * radius) / iv(0, k * radius))
    assert len(rows) > 3
    np.testing.assert_allclose(np.abs(found), np.abs(exact), atol=2e-3 * largest)


def test_power_of_a_long_coil_per_metre() -> None:
    """What a metre more of coil and billet takes: the losses of two lengths less each other, ends and all."""
    radius, ratio, height = 0.03, 3.0, 3.0
    frequency, found = frequency_for(radius / ratio), []
    for long in (height, 2 * height):
        sheet = Conductor(Part("sheet", bar(1e-4, long).placed((0.045, 0.0))), Material("poor", 1e3))
        coil = Circuit("coil", long, ("sheet",))
        problem = Problem((sheet, solid("billet", on_axis(radius, long))), (coil,), axial=True)
        found.append(solve(problem, frequency, accuracy=1e-5).fine.powers[1].real)
    k = (1 + 1j) * ratio / radius
    # Poynting's vector at the surface: E H* over the girth
    exact = 2 * math.pi * radius * (k / COPPER.conductivity * iv(1, k * radius) / iv(0, k * radius)).real
    assert (found[1] - found[0]) / height == pytest.approx(exact, rel=NEAR)
