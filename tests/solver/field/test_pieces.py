"""Where the power in a piece arises, against Bessel functions of a rod and the surface resistance of thick metal."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ive

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, round_bar
from crosscurrent.solver.field.pieces import SHARES, piece_power, pieces
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

MU0, SIGMA = 4e-7 * math.pi, 58e6


def inside(piece: Shape, coil: Shape, frequency: float) -> DirectSolution:
    conductors = tuple(Conductor(Part(k, s), MATERIALS["copper"]) for k, s in (("piece", piece), ("coil", coil)))
    return solve(Problem(conductors, (Circuit("feed", 1e3, ("coil",)),), axial=True), frequency, accuracy=1e-4)


def rod_depths(radius: float, frequency: float) -> list[float]:
    """Depths of 63 and 86 % of the power in a long rod along the field: J goes as I1(k r), k = (1 + j) / delta."""
    delta = math.sqrt(2 / (2 * math.pi * frequency * MU0 * SIGMA))
    depth = np.linspace(0.0, radius, 20001)
    r = radius - depth
    k = (1 + 1j) / delta
    density = (np.abs(ive(1, k * r)) * np.exp((k * (r - radius)).real)) ** 2 * r
    held = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))))
    return [float(np.interp(share, held / held[-1], depth)) for share in SHARES]


def test_depths_of_a_long_rod_are_those_of_bessel_functions() -> None:
    """The rod reaches far beyond the coil, so that next to nothing arises at its ends."""
    flow = inside(bar(0.02, 0.6), bar(0.001, 0.2).placed((0.013, 0.0)), 2e3).fine
    found = piece_power(flow, 0)
    assert found.depths == pytest.approx(rod_depths(0.01, 2e3), rel=5e-3)  # the field is not even along it
    assert found.axial
    step = found.along[1] - found.along[0]
    assert found.profile.sum() * step == pytest.approx(found.power, rel=1e-9)
    assert found.power == pytest.approx(float(flow.powers[0].real), rel=1e-7)
    assert found.volume == pytest.approx(math.pi * 0.01**2 * 0.6, rel=1e-10)
    assert found.within[-1] == pytest.approx(0.999, abs=1e-3)
    assert found.depth_of(SHARES[0]) == pytest.approx(found.depths[0], rel=5e-3)
    assert found.mean == pytest.approx(found.power / (math.pi * 0.01**2 * 0.6), rel=1e-9)


def test_a_ball_with_a_thin_skin_loses_its_surface_resistance_times_the_field_squared() -> None:
    """P = R_s integral H^2 dS, R_s = 1 / (sigma delta), less of the order of delta over the radius."""
    frequency = 500e3
    delta = math.sqrt(2 / (2 * math.pi * frequency * MU0 * SIGMA))
    flow = inside(round_bar(0.04), bar(0.002, 0.03).placed((0.03, 0.0)), frequency).fine
    found = piece_power(flow, 0)
    assert found.surface == pytest.approx(4 * math.pi * 0.02**2, rel=1e-6)
    assert found.power == pytest.approx(found.field**2 * found.surface / (SIGMA * delta), rel=3 * delta / 0.02)
    assert found.largest_field > found.field
    assert found.depths[1] == pytest.approx(delta, rel=0.02)


def test_the_power_along_the_middle_of_a_long_piece_in_a_long_coil_is_even() -> None:
    """Elements a third as long as the piece are cut where stations meet; the field of a long sheet is even inside."""
    rod, sheet = bar(0.02, 0.6), bar(0.001, 0.596).placed((0.014, 0.0))
    both = tuple(Conductor(Part(k, s), MATERIALS["copper"]) for k, s in (("rod", rod), ("coil", sheet)))
    flow = solve(Problem(both, (Circuit("feed", 1e4, ("coil",)),), axial=True), 2e3, accuracy=1e-2).fine
    found = piece_power(flow, 0)
    middle = found.profile[10:50]
    assert np.ptp(middle) < 2e-3 * middle.mean()
    assert found.profile.sum() * (found.along[1] - found.along[0]) == pytest.approx(found.power, rel=1e-6)


def test_the_power_of_a_flat_piece_is_told_along_the_radius() -> None:
    flow = inside(bar(0.1, 0.004), bar(0.03, 0.002).placed((0.03, 0.006)), 5e3).fine
    found = piece_power(flow, 0)
    assert not found.axial
    assert found.along[int(found.profile.argmax())] == pytest.approx(0.03, abs=0.012)  # below the turn


def test_what_no_circuit_feeds_round_an_axis_is_a_piece() -> None:
    assert pieces(inside(round_bar(0.04), bar(0.002, 0.03).placed((0.03, 0.0)), 1e3).problem) == [0]
    shapes = {"a": bar(0.01, 0.01), "b": bar(0.01, 0.01).placed((1.0, 0.0))}
    rods = tuple(Conductor(Part(name, shape), MATERIALS["copper"]) for name, shape in shapes.items())
    assert pieces(Problem(rods, (Circuit("feed", 1.0, ("a",)),))) == []
