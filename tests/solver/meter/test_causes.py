"""Shapes of causes over frequency: closed forms, and the powers of frequency far from their corners."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.meter.causes import capacitance, contact, leads, neighbour, outside_causes, scale, steel

F = np.geomspace(1e2, 1e6, 41)
OMEGA = 2 * np.pi * F
Z = 1e-3 * np.sqrt(F / F[0]) + 1j * OMEGA * 1e-6


def added(cause, *values):
    return cause.effect(Z, np.array(values)) - Z


def test_series_causes_are_constant_in_r_and_l():
    assert added(contact(1e-4, 1e-2), 2e-5) == pytest.approx(np.full(len(F), 2e-5))
    assert (added(leads(OMEGA, 1e-8, 1e-6), 3e-8) / OMEGA).imag == pytest.approx(np.full(len(F), 3e-8))


def test_a_capacitance_across_coil_and_resistance_as_textbooks_have_it():
    """R / ((1 - w^2 L C)^2 + (w R C)^2) in series, the parallel tuned circuit of any textbook of circuits."""
    r, h, c = 2.0, 1e-6, 1e-9
    found = capacitance(OMEGA, 1e-12).effect(r + 1j * OMEGA * h, np.array([c]))
    below = (1 - OMEGA**2 * h * c) ** 2 + (OMEGA * r * c) ** 2
    assert found.real == pytest.approx(r / below)
    assert found.imag == pytest.approx(OMEGA * (h * (1 - OMEGA**2 * h * c) - c * r**2) / below)


def test_scale_takes_all_in_one_proportion():
    assert scale().effect(Z, np.array([0.03])) == pytest.approx(1.03 * Z)


@pytest.mark.parametrize(("power", "high"), [(0.5, 0.5), (1.0, 0.0)])
def test_metal_nearby_adds_f_squared_then_a_root_or_nothing_more(power, high):
    f = np.geomspace(1, 1e10, 101)
    found = neighbour(f, (1.0, 1e10), 1 + 0j * f, 1e-8, 1e-6).effect(0j * f, np.array([1e-8, np.log(1e5), power]))
    slopes = np.gradient(np.log(found.real), np.log(f))
    assert slopes[2] == pytest.approx(2, abs=1e-3)
    assert slopes[-3] == pytest.approx(high, abs=0.01)
    assert (found.imag[-1] / (2 * np.pi * f[-1])) == pytest.approx(-1e-8, rel=0.01)
    assert (found.real >= 0).all()


def test_steel_draws_in_at_first_and_never_gives_power():
    f = np.geomspace(1, 1e9, 61)
    found = steel(f, (1.0, 1e9), 1 + 0j * f, 1e-8, 1e-6).effect(0j * f, np.array([1e-8, np.log(1e4), 0.5, 1.0]))
    inductance = found.imag / (2 * np.pi * f)
    assert inductance[0] == pytest.approx(1e-8, rel=0.05)
    assert inductance[-1] == pytest.approx(-1e-8, rel=0.05)
    assert (found.real > 0).all()


def test_what_lies_nearby_goes_with_the_field_that_reaches_it():
    f, far = np.geomspace(1, 1e6, 7), np.linspace(1, 0.3, 7) + 0j
    for cause, p in ((neighbour, [1e-8, np.log(1e3), 0.5]), (steel, [1e-8, np.log(1e3), 0.5, 0.4])):
        every, less = (cause(f, (1.0, 1e6), r, 1e-8, 1e-6).effect(0j * f, np.array(p)) for r in (1 + 0j * f, far))
        assert less == pytest.approx(far * every)


def test_nothing_nearby_acts_where_there_is_no_field_outside():
    every, none = (outside_causes(F, Z, (F[0], F[-1]), r) for r in (1 + 0 * Z, None))
    assert {one.key for one in every} - {one.key for one in none} == {"neighbour", "steel"}


def test_every_outside_cause_is_nothing_at_its_zero():
    for cause in outside_causes(F, Z, (F[0], F[-1]), 1 + 0 * Z):
        none = [0.0, *(p.starts[0] for p in cause.parameters[1:])]
        assert cause.effect(Z, np.array(none)) == pytest.approx(Z)
        assert all(p.lower < p.upper for p in cause.parameters)
