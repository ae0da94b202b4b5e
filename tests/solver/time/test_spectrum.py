"""Harmonics of sampled currents against quadrature, Fourier series and Parseval."""

import math

import numpy as np
import pytest

from crosscurrent.solver.time.spectrum import Samples, Spectrum


def test_parseval() -> None:
    rng = np.random.default_rng(11)
    times = np.sort(rng.uniform(0, 1e-3, 25))
    samples = Samples(times, rng.normal(size=25), 1e-3)
    fine = np.linspace(times[0], times[0] + 1e-3, 20_001)
    current = np.interp(fine, *samples._closed)
    assert samples.rms == pytest.approx(math.sqrt(np.mean(current[:-1] ** 2 / 2 + current[1:] ** 2 / 2)), rel=1e-5)
    for order in (0, 1, 7):
        exact = np.mean((current * np.exp(-2j * np.pi * order * fine / 1e-3))[:-1]) * (math.sqrt(2) if order else 1)
        assert abs(samples.harmonic(order) - exact) < 1e-3
    found = samples.spectrum(1e-3)
    assert found.rms == pytest.approx(samples.rms, rel=1e-12)
    kept = found.current(fine[:-1])
    assert math.sqrt(np.mean((kept - current[:-1]) ** 2)) == pytest.approx(found.rest, rel=0.02)


def test_a_triangle_has_odd_harmonics_that_fall_as_the_square():
    """i = 8 / pi^2 sum (-1)^k sin((2 k + 1) w t) / (2 k + 1)^2."""
    triangle = Samples(np.array([0.0, 0.25, 0.75]), np.array([0.0, 1.0, -1.0]), 1.0)
    for order in (1, 3, 5, 7):
        assert abs(triangle.harmonic(order)) == pytest.approx(8 / (math.pi * order) ** 2 / math.sqrt(2), rel=1e-12)
    assert max(abs(triangle.harmonic(order)) for order in (0, 2, 4, 6)) < 1e-15
    assert triangle.rms == pytest.approx(1 / math.sqrt(3), rel=1e-14)
    assert triangle.steepness == pytest.approx(4.0, rel=1e-14)


def test_a_delay_turns_every_harmonic_by_its_order():
    spectrum = Spectrum(np.array([0.0, 50.0, 250.0]), np.array([3.0, 10.0, 2j]))
    times = np.linspace(0, 0.02, 7)
    late = Spectrum(spectrum.frequency, spectrum.delayed(-2 * math.pi / 3))
    np.testing.assert_allclose(late.current(times + 0.02 / 3), spectrum.current(times), atol=1e-12)
