"""Figures of the section as powers, and roughness as factors of the surface."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.meter.causes import Parameter
from crosscurrent.solver.meter.section_causes import Bend, RoughSurface, SectionCause, rough_cause

Z = np.array([1 + 2j, 3 + 4j])


def test_a_power_law_is_exact():
    """R as 1 / d^2, L as the root of d."""
    bend = Bend.of_slopes(np.array([-2.0, -2.0]), np.array([0.5, 0.5]))
    found = bend.applied(Z, np.log(1.1))
    assert found.real == pytest.approx(Z.real / 1.1**2)
    assert found.imag == pytest.approx(Z.imag * 1.1**0.5)


def test_a_bend_meets_every_impedance_it_is_drawn_through_and_keeps_its_slope():
    straight = Bend.of_slopes(np.array([-2.0, -1.0]), np.array([0.5, 0.1]))
    points = {-0.2: 1.3 * Z, 0.1: 0.9 * Z.real + 1.05j * Z.imag, 0.3: 0.7 * Z}
    bent = straight.through(Z, points)
    for p, z in points.items():
        assert bent.applied(Z, p) == pytest.approx(z)
    assert (bent.applied(Z, 1e-6).real / Z.real - 1) * 1e6 == pytest.approx([-2.0, -1.0], rel=1e-4)


def test_a_bend_knows_most_where_it_was_drawn_through():
    straight = Bend.of_slopes(np.array([-2.0, -1.0]), np.array([0.5, 0.1]))
    bent = straight.through(Z, {0.2: 1.3 * Z})
    assert [float(np.abs(part).max()) for part in bent.open(0.2)] == [0, 0]
    assert bent.open(0.1)[0] == pytest.approx(bent.resistance[-1] * 0.1**2 * -0.1)
    assert straight.open(0.1)[1] == pytest.approx(np.array([0.5, 0.1]) * 0.1**2)


def test_a_cause_takes_a_new_bend():
    one = SectionCause.of("gap", "gap", Parameter("gap", "m", 0.1, -1, 1, (0.0,), 1e-3, True),
                          Bend.of_slopes(np.zeros(2), np.ones(2)))  # fmt: skip
    assert one.effect(Z, np.array([np.log(2)])).imag == pytest.approx(2 * Z.imag)
    flat = one.curved(Bend.of_slopes(np.zeros(2), np.zeros(2)))
    assert flat.effect(Z, np.array([0.7])) == pytest.approx(Z)


def test_roughness_counts_from_what_is_stated():
    surface = RoughSurface(np.array([1 + 1j, 2 + 2j]), lambda rq: np.full(2, 1 + 1e6 * rq, dtype=complex))
    one = rough_cause((surface,), Z, 1e-6, 1e-6, 1e-4)
    assert one.effect(Z, np.array([0.0])) == pytest.approx(Z)
    assert one.effect(Z, np.array([2e-6])) - Z == pytest.approx(2 * surface.weight)
    assert one.parameters[0].amount(2e-6) == pytest.approx(3e-6)


def test_roughness_goes_with_the_surface_there_is():
    surface = RoughSurface(np.array([1 + 1j, 2 + 2j]), lambda rq: np.full(2, 1 + 1e6 * rq, dtype=complex))
    one, smaller = rough_cause((surface,), Z, 0.0, 1e-6, 1e-4), 1.2 * Z.real + 1j * Z.imag
    assert one.effect(smaller, np.array([2e-6])) - smaller == pytest.approx(1.2 * 2 * surface.weight)
