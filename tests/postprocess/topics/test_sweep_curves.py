"""Curves over frequency from made answers: the corner, the growth, shares, coupled circuits."""

from __future__ import annotations

from dataclasses import replace

import made_answers
import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from topic_answers import wire

from crosscurrent.postprocess.topics.sweep_curves import SweepCurves, curves_of, monotone_root
from crosscurrent.solver.field.problem import Circuit

FREQUENCY = np.geomspace(10.0, 1e5, 41)
ROD, BACK, SCREEN = wire("rod"), wire("back"), wire("screen")
FEED = Circuit("feed", 20.0, ("rod",), ("back",))


def curves(corner: float, *others: Circuit) -> tuple[SweepCurves, ...]:
    """R = 1 mohm/m (1 + (f / corner)^2)^(1/2): up by the root of two at the corner, then with the frequency."""
    points = [
        made_answers.point(
            float(f), *(made_answers.circuit(n, 1e-3 * float(np.hypot(1.0, f / corner))) for n in ("feed", "heater")),
            conductors=(*made_answers.PAIR, made_answers.conductor("screen", current=0j)),
        )
        for f in FREQUENCY
    ]  # fmt: skip
    return curves_of(points, (FEED, *others), (ROD, BACK, SCREEN))


def test_the_corner_is_where_the_square_has_doubled() -> None:
    (one,) = curves(700.0)
    assert one.corner == pytest.approx(700.0, rel=2e-3)
    assert one.growth == pytest.approx(1.0, rel=1e-3)
    assert one.dc_resistance == 1e-3
    assert one.widest == (0.01, 0.01)


@pytest.mark.parametrize("corner", [1.0, 1e7])
def test_no_corner_outside_the_sweep(corner: float) -> None:
    assert curves(corner)[0].corner is None


def test_shares_are_of_the_circuits_current_and_name_its_own_conductors() -> None:
    (one,) = curves(700.0)
    assert list(one.shares) == ["rod", "back"]
    np.testing.assert_allclose(one.shares["back"], 0.5)  # 10 A of 20 A
    assert [c.name for c in one.idle] == ["screen"]
    assert set(one.by_conductor("loss")) == {"rod", "back", "screen"}


def test_the_skin_is_that_of_the_first_conductor() -> None:
    """Of copper with 58 MS/m."""
    expected = np.sqrt(2 / (2 * np.pi * FREQUENCY * 4e-7 * np.pi * 58e6))
    np.testing.assert_allclose(curves(700.0)[0].skin, expected, rtol=1e-6)


def test_coupled_circuits_are_told_by_their_own_losses() -> None:
    """The terminals show less than what its own conductors lose."""
    heater = Circuit("heater", 5.0, ("screen",))
    passed = replace(made_answers.circuit("feed", -1e-3), own_resistance=5e-4, own_resistance_error=0.02)
    point = made_answers.point(1e3, passed, made_answers.circuit("heater"))
    one, _ = curves_of([point, replace(point, frequency=2e3)], (FEED, heater), (ROD, BACK, SCREEN))
    np.testing.assert_allclose(one.resistance, 5e-4)
    np.testing.assert_allclose(one.resistance_error, 0.02)
    one, other = curves(700.0, heater)
    assert one.resistance_name == "R of its own losses"
    assert [c.name for c in other.conductors] == ["screen"]
    (alone,) = curves(700.0, replace(heater, current=0.0))
    assert alone.resistance_name == "R"


@pytest.mark.parametrize("count", [2, 3, 12])
def test_the_root_is_that_of_a_general_librarys_monotone_cubic(count: int) -> None:
    draw = np.random.default_rng(count)
    x, y = np.cumsum(draw.uniform(0.1, 2.0, count)), draw.normal(size=count)
    y[0], y[-1] = -0.7, 1.3  # crosses at least once, turns anywhere
    for k in np.flatnonzero((y[:-1] < 0) & (y[1:] > 0)).tolist():
        found = monotone_root(x, y, k)
        wanted = PchipInterpolator(x, y).roots(extrapolate=False) if count > 2 else np.interp([0.0], y, x)
        assert np.abs(found - wanted).min() < 1e-12 * x[-1]
        assert x[k] < found < x[k + 1]
