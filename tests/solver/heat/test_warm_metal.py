"""Metals whose thermal constants go with temperature: Kirchhoff's transform (1894) and heat that adds up."""

from __future__ import annotations

import numpy as np
import pytest
from heated_pieces import AMBIENT, CAPACITY, CONDUCTION, constant, even, piece

from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.heat.convection import ZERO
from crosscurrent.solver.heat.heating import Source, heated
from crosscurrent.solver.heat.open_surface import OpenSurface
from crosscurrent.solver.heat.warm_metal import WarmMetal

A = 0.03
ENDS = np.array([AMBIENT + ZERO, 1420.0 + ZERO])


def ball(metal: WarmMetal, film: float, order: int = 4) -> OpenSurface:
    surface = piece(round_bar(2 * A), order, film=film)
    plain = surface.piece
    warm = type(plain)(plain.elements, plain.number, plain.conductivity, plain.capacity, metal)
    return OpenSurface(warm, surface.part, 0, surface.surroundings)


def test_the_steady_ball_is_kirchhoffs() -> None:
    """k = k_0 (1 + b (T - T_0)): T + b (T - T_0)^2 / 2 of the surface and q (a^2 - r^2) / (6 k_0) more inside."""
    film, density, slope = 1000.0, 4e7, -4e-4  # b, as of iron
    metal = WarmMetal(ENDS, CONDUCTION * (1 + slope * (ENDS - ENDS[0])), np.ones(2))
    surface = ball(metal, film)
    found = heated(surface, even(surface, density), AMBIENT, 60 * CAPACITY * A / (3 * film))
    r2 = (surface.piece.positions**2).sum(axis=1)
    outside = density * A / (3 * film)
    grown = outside + slope * outside**2 / 2 + density * (A**2 - r2) / (6 * CONDUCTION)
    exact = (np.sqrt(1 + 2 * slope * grown) - 1) / slope  # above T_0
    warm = found.temperatures(np.array([found.duration]))[0] - AMBIENT
    assert warm == pytest.approx(exact, rel=1e-7)
    plain = outside + density * (A**2 - r2) / (6 * CONDUCTION)
    assert np.abs(plain - exact).max() > 10.0  # what constants of the cold metal would miss
    assert found.imbalance < 1e-10


def test_a_degree_that_takes_more_when_hot() -> None:
    """Even heat in a ball that gives none away: integral of c dT = q t."""
    metal = WarmMetal(np.array([0.0, 300.0, 700.0, 800.0]) + ZERO, np.array([60.0, 50.0, 30.0, 25.0]),
                      np.array([1.0, 1.2, 3.0, 1.4]))  # fmt: skip
    surface = ball(metal, 0.0, 3)
    found = heated(surface, even(surface, CAPACITY * 10.0), AMBIENT, 120.0)
    time = np.array([10.0, 60.0, 120.0])
    fine = np.linspace(20.0, 1200.0, 1_000_001)
    c = np.interp(fine, metal.temperature - ZERO, metal.capacity)
    taken = np.concatenate(([0.0], np.cumsum(0.5 * (c[1:] + c[:-1]) * np.diff(fine))))
    assert found.mean(time) == pytest.approx(np.interp(10.0 * time, taken, fine), rel=1e-9)
    assert found.imbalance < 1e-10


def test_both_at_once_with_a_loss_that_follows_keep_their_heat() -> None:
    """Where k / c stays the same the heat held spreads as in the metal with constants, in time as well: exact."""
    bend = np.array([1.0, 2.5])
    metal = WarmMetal(ENDS, CONDUCTION * bend, bend)
    surface, alike = ball(metal, 0.0), piece(round_bar(2 * A), 4)
    load = np.where(surface.piece.positions[:, 0] > 0.5 * A, 3e7, 0.0) * surface.piece.volume
    found, plain = (heated(one, constant(load), AMBIENT, 8.0, tight=1e-7) for one in (surface, alike))
    time = np.array([1.0, 8.0])
    expected = metal.warmth(plain.temperatures(time) + ZERO) - ZERO
    assert found.temperatures(time) == pytest.approx(expected, abs=1e-4)
    cooled = ball(metal, 100.0, 3)
    falling = Source(np.array([AMBIENT, 400.0]), np.array([[2e7], [4e6]]) * cooled.piece.volume)
    less = heated(cooled, falling, AMBIENT, 20.0)
    assert less.imbalance < 1e-10
    assert less.convected > 0.0


def test_heat_and_temperature_are_each_others_inverse() -> None:
    metal = WarmMetal(np.array([300.0, 500.0, 600.0]), np.array([50.0, 40.0, 45.0]), np.array([1.0, 1.0, 2.5]))
    warm = np.linspace(250.0, 700.0, 91)
    assert metal.warmth(metal.held(warm)) == pytest.approx(warm, rel=1e-13)
    step = 1e-4
    between = warm[(np.abs(warm[:, None] - metal.temperature) > 1.0).all(axis=1)]
    rate = (metal.held(between + step) - metal.held(between - step)) / (2 * step)
    assert 1 / metal.per_heat(between) == pytest.approx(rate, rel=1e-7)
    held = metal.held(between)
    up, down = (metal.conducted(metal.warmth(held + sign * step))[0] for sign in (1, -1))
    assert metal.conducted(between)[1] == pytest.approx((up - down) / (2 * step), abs=1e-6)
