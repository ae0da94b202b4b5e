"""Amounts with the doubt which causes there are: against closed forms of least squares, and drawn mixtures."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.meter.causes import contact, leads, scale
from crosscurrent.solver.meter.doubt import doubted, half_width, stretched
from crosscurrent.solver.meter.fit import Differing, fitted
from crosscurrent.solver.meter.judge import Rated
from crosscurrent.solver.meter.uncertainty import Uncertainty

F = np.geomspace(1e2, 1e5, 10)
OMEGA, N = 2 * np.pi * F, len(F)
Z = 1e-2 + 1j * OMEGA * 1e-8
NOISE = 1e-6
CONTACT, LEADS, SCALE = contact(1e-3, 1e-1), leads(OMEGA, 1e-7, 1e-5), scale()


def given(measured, noise=NOISE):
    return Differing(F, Z, measured, np.ones(N, dtype=bool),
                     Uncertainty(np.zeros((2 * N, 2 * N)), np.full(2 * N, noise), np.eye(N)))  # fmt: skip


def drawn(rng, noise=NOISE):
    return noise * (rng.normal(size=N) + 1j * rng.normal(size=N))


def told(measured, causes, noise=NOISE):
    of = given(measured, noise)
    return doubted(of, causes, Rated.of(fitted(of, [CONTACT]), of))


def test_without_rivals_it_is_the_mean_and_its_deviation() -> None:
    error = drawn(np.random.default_rng(1))
    found = told(Z + 5e-5 + error, [CONTACT])
    assert found.rated.fit.values[0] == pytest.approx(5e-5 + error.real.mean(), rel=1e-6)
    assert found.spread[0] == pytest.approx(found.rated.fit.stretch * NOISE / np.sqrt(N), rel=1e-4)


def test_what_is_usual_does_not_draw_an_amount_to_itself() -> None:
    small = contact(1e-6, 1e-1)
    error = drawn(np.random.default_rng(1), 1e-5)
    of = given(Z + 5e-5 + error, 1e-5)
    held = Rated.of(fitted(of, [small]), of)
    found = doubted(of, [small], held)
    assert found.rated.fit.values[0] == pytest.approx(5e-5 + error.real.mean(), rel=1e-6)
    assert held.fit.values[0] < found.rated.fit.values[0] - 3e-7
    assert found.spread[0] > 1e-5 / np.sqrt(N) * (1 - 1e-4)


def test_uncertainties_that_are_stated_too_small_grow_by_the_ratio_of_birge() -> None:
    error = drawn(np.random.default_rng(3), 3 * NOISE)
    found = told(Z + 5e-5 + error, [CONTACT])
    scatter = np.concatenate((error.real - error.real.mean(), error.imag))
    ratio = np.sqrt(scatter @ scatter / (2 * N - 1)) / NOISE
    assert ratio > 2
    assert found.spread[0] == pytest.approx(ratio * NOISE / np.sqrt(N), rel=1e-3)
    of = given(Z + 5e-5 + error)
    assert stretched(Rated.of(fitted(of, [CONTACT]), of)).spread[0] == pytest.approx(found.spread[0], rel=1e-2)


def test_a_further_cause_that_may_well_be_there_widens_and_one_that_is_not_does_not() -> None:
    """A scale acts on R = 10 mohm as a series resistance does; only X, which it moves by five uncertainties, shows it.

    Then its evidence is as large as Occam's price of 2 % over 0.014 % and that of a cause: both are as likely.
    """
    noise = drawn(np.random.default_rng(5))
    alone, without = (told(Z + 5e-5 + noise, [CONTACT, *others]).spread[0] for others in ([], [SCALE]))
    assert without == pytest.approx(alone, rel=0.02)
    found = told(1.0007 * (Z + 5e-5) + noise, [CONTACT, SCALE])
    off = abs(found.rated.fit.values[0] - 5e-5)
    assert 15 * alone < off < 2 * found.spread[0] < 2 * off


@pytest.mark.parametrize("parts", [[(1.0, 0.0, 1.0), (0.2, 3.0, 2.0)], [(0.9, 0.0, 1.0), (0.1, 20.0, 1.0)]])
def test_the_interval_holds_as_much_of_drawn_values_as_two_deviations_of_a_normal_one(parts) -> None:
    rng, count = np.random.default_rng(9), 400_000
    weight, off, deviation = np.array(parts).T
    which = rng.choice(len(parts), count, p=weight / weight.sum())
    values = off[which] + deviation[which] * rng.normal(size=count)
    assert (np.abs(values) < half_width(parts)).mean() == pytest.approx(0.9545, abs=0.0015)
