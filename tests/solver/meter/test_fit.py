"""Fits against closed forms of least squares."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from crosscurrent.solver.meter.causes import capacitance, contact, leads
from crosscurrent.solver.meter.fit import Differing, applied, fitted
from crosscurrent.solver.meter.uncertainty import Uncertainty

F = np.geomspace(1e2, 1e5, 10)
OMEGA, N = 2 * np.pi * F, len(F)
Z = 1e-2 + 1j * OMEGA * 1e-6
CONTACT, LEADS = contact(1e-3, 1e-1), leads(OMEGA, 1e-7, 1e-5)


def given(measured, noise=1e-6):
    return Differing(F, Z, measured, np.ones(N, dtype=bool),
                     Uncertainty(np.zeros((2 * N, 2 * N)), np.full(2 * N, noise), np.eye(N)))  # fmt: skip


def test_one_constant_is_the_mean_of_the_differences():
    noise = np.random.default_rng(1).normal(size=N) * 1e-6
    found = fitted(given(Z + 5e-5 + noise), [CONTACT])
    assert found.values[0] == pytest.approx(5e-5 + noise.mean(), abs=1e-9)
    assert np.sqrt(found.covariance[0, 0]) == pytest.approx(1e-6 / np.sqrt(N), rel=1e-3)
    assert found.misfit == pytest.approx(((noise - noise.mean()) ** 2).sum() / 1e-12, rel=1e-3)
    assert found.freedom == 2 * N - 1


def test_two_causes_keep_to_their_own():
    found = fitted(given(Z + 5e-5 + 1j * OMEGA * 4e-8), [LEADS, CONTACT])
    assert [c.key for c in found.causes] == ["leads", "contact"]
    assert found.values == pytest.approx([4e-8, 5e-5], rel=1e-4)
    assert found.impedance - found.without(CONTACT) == pytest.approx(np.full(N, found.values[1]))
    assert found.of(CONTACT) == slice(1, 2)


def test_an_amount_stays_within_its_bounds():
    assert fitted(given(Z - 5e-5), [CONTACT]).values[0] == pytest.approx(0, abs=1e-9)


def test_causes_act_from_the_inside_out():
    shunt = capacitance(OMEGA, 1e-9)
    measured = applied([CONTACT, shunt], np.array([1e-3, 1e-7]), Z)
    found = fitted(given(measured), [shunt, CONTACT])
    assert [c.key for c in found.causes] == ["contact", "capacitance"]
    assert found.values == pytest.approx([1e-3, 1e-7], rel=1e-3)


def test_evidence_prefers_what_is_there_and_charges_for_what_is_not():
    there = given(Z + 5e-5 + np.random.default_rng(2).normal(size=N) * 1e-6)
    bare, one, both = (fitted(there, some).evidence for some in ([], [CONTACT], [CONTACT, LEADS]))
    assert one > bare + 100
    assert both < one


def test_noise_that_rows_tell_is_averaged_out():
    """By quadrature over the logarithm of its variance, an inverse chi-square distribution about 1 (scipy)."""
    known, rows = 6.5, 2 * N

    def likely(misfit):
        return quad(lambda t: np.exp(-0.5 * ((rows + known) * t + (misfit + known) * np.exp(-t))), -5, 10, epsabs=0)[0]

    told = given(Z + 4e-6 + np.random.default_rng(3).normal(size=N) * 3e-6)
    told = replace(told, uncertainty=replace(told.uncertainty, freedom=known))
    bare, one = (fitted(told, some) for some in ([], [CONTACT]))
    exact = np.log(likely(one.misfit) / likely(bare.misfit))
    assert bare.surprise - one.surprise == pytest.approx(exact, rel=1e-6)
    stated = fitted(given(Z + 5e-5), [])
    assert stated.surprise == 0.5 * stated.misfit
