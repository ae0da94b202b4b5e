"""Heat in time against exact solutions: H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 1959, sections
7.8 and 9.7 (flux into a cylinder and a ball; from memory, each satisfies the equation and was derived again here), and
the cooling of a thermally thin body by radiation (F. P. Incropera and D. P. DeWitt, chapter 5, from memory)."""

import numpy as np
import pytest
from heated_pieces import AMBIENT, CAPACITY, CONDUCTION, constant, even, flux, piece
from scipy.optimize import brentq
from scipy.special import j0, jn_zeros

from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.heat.convection import ZERO
from crosscurrent.solver.heat.cooling import STEFAN_BOLTZMANN
from crosscurrent.solver.heat.heating import Source, heated

A = 0.03
DIFFUSIVITY = CONDUCTION / CAPACITY
FLUX = 2e5


def ball_with_flux(r, time):
    roots = np.array([brentq(lambda x: np.sin(x) - x * np.cos(x), n * np.pi + 0.5, (n + 0.5) * np.pi)
                      for n in range(1, 80)])  # fmt: skip
    r = np.maximum(r, 1e-9 * A)[:, None]
    series = np.sin(roots * r / A) / (roots**2 * np.sin(roots)) * np.exp(-DIFFUSIVITY * roots**2 * time / A**2)
    level = 3 * FLUX * time / (CAPACITY * A)
    r = r[:, 0]
    shape = (5 * r**2 - 3 * A**2) / (10 * A**2) - 2 * A / r * series.sum(axis=1)
    return AMBIENT + level + FLUX * A / CONDUCTION * shape


def rod_with_flux(r, time):
    roots = jn_zeros(1, 80)
    fall = np.exp(-DIFFUSIVITY * roots**2 * time / A**2)
    series = (j0(roots * r[:, None] / A) / (roots**2 * j0(roots)) * fall).sum(axis=1)
    shape = r**2 / (2 * A**2) - 0.25 - 2 * series
    return AMBIENT + 2 * FLUX * time / (CAPACITY * A) + FLUX * A / CONDUCTION * shape


def test_ball_heated_at_its_surface():
    surface = piece(round_bar(2 * A))
    found = heated(surface, flux(surface, FLUX), AMBIENT, 60.0, tight=1e-8)
    r = np.hypot(*surface.piece.positions.T)
    for time, bound in ((2.0, 1e-5), (20.0, 1e-7), (60.0, 1e-8)):
        exact = ball_with_flux(r, time)
        assert np.abs(found.temperatures([time])[0] - exact).max() < bound * (exact.max() - AMBIENT)
    assert found.imbalance < 1e-10
    assert found.made == pytest.approx(60.0 * FLUX * 4 * np.pi * A**2, rel=1e-9)


def test_long_cylinder_heated_at_its_surface():
    surface = piece(bar(2 * A, 0.05))
    side = surface.piece.surface.normal[..., 0].ravel() > 0.5
    found = heated(surface, flux(surface, FLUX, side), AMBIENT, 60.0, tight=1e-8)
    r = surface.piece.positions[:, 0]
    for time, bound in ((10.0, 1e-5), (30.0, 1e-6), (60.0, 4e-8)):
        exact = rod_with_flux(r, time)
        assert np.abs(found.temperatures([time])[0] - exact).max() < bound * (exact.max() - AMBIENT)


def test_even_heat_and_a_film_end_at_the_steady_state():
    """Ball: T = T_a + q a / (3 h) + q (a^2 - r^2) / (6 k)."""
    film, density = 500.0, 3e6
    surface = piece(round_bar(2 * A), film=film)
    slowest = CAPACITY * A / (3 * film)
    found = heated(surface, even(surface, density), AMBIENT, 80 * slowest)
    r = np.hypot(*surface.piece.positions.T)
    exact = AMBIENT + density * A / (3 * film) + density * (A**2 - r**2) / (6 * CONDUCTION)
    assert found.temperatures([found.duration])[0] - AMBIENT == pytest.approx(exact - AMBIENT, rel=1e-8)
    assert found.imbalance < 1e-10


def test_a_thermally_thin_ball_cools_by_radiation():
    hot, emissivity = 900.0, 0.8
    surface = piece(round_bar(2 * A), 3, conduction=4e5, emissivity=emissivity)
    found = heated(surface, constant(np.zeros(surface.piece.count)), hot, 1800.0, tight=1e-8)
    room, begin = AMBIENT + ZERO, hot + ZERO

    def time_to(kelvin):
        log = np.log((kelvin + room) / (kelvin - room)) - np.log((begin + room) / (begin - room))
        angle = 2 * (np.arctan(kelvin / room) - np.arctan(begin / room))
        return CAPACITY * A / 3 / (4 * emissivity * STEFAN_BOLTZMANN * room**3) * (log + angle)

    for wanted in (800.0, 600.0, 450.0):
        # the inside lags by 4e-6
        assert found.reaches(found.mean, wanted) == pytest.approx(time_to(wanted + ZERO), rel=2e-5)
    assert found.imbalance < 1e-10


def test_power_follows_the_temperature_it_is_known_at():
    """A load that falls to zero at 120 degC brings a thin body there as 1 - exp(-t / T)."""
    surface = piece(round_bar(2 * A), 3, conduction=4e5)
    volume = surface.piece.volume
    rate = 0.05  # [1/s]
    source = Source(np.array([20.0, 120.0]), np.array([volume, 0 * volume]) * CAPACITY * 100.0 * rate)
    found = heated(surface, source, AMBIENT, 60.0, tight=1e-9)
    time = np.array([5.0, 20.0, 60.0])
    assert found.mean(time) - 20.0 == pytest.approx(100.0 * (1 - np.exp(-rate * time)), rel=1e-7)
    assert found.power(60.0) == pytest.approx(float(source.load[0].sum()) * np.exp(-3.0), rel=1e-6)


def test_surface_core_and_times():
    surface = piece(round_bar(2 * A), 4)
    found = heated(surface, flux(surface, FLUX), AMBIENT, 60.0)
    time = np.array([30.0])
    assert found.hottest(time) >= found.surface(time) > found.mean(time) > found.at_core(time) >= found.coldest(time)
    assert np.abs(surface.piece.positions[found.core]).max() < 1e-9
    exact = brentq(lambda t: float(ball_with_flux(np.array([A]), t)[0]) - 300.0, 1.0, 60.0)
    assert found.reaches(found.surface, 300.0) == pytest.approx(exact, rel=1e-6)
    assert found.reaches(found.surface, 3000.0) is None
    assert found.reaches(found.surface, AMBIENT) == 0.0
