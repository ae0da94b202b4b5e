"""Two strips face to face and a strip over a plane, against the thin strips of the reference rows."""

from __future__ import annotations

import math

import pytest
from common import MU0
from reference_rows import rows

from crosscurrent.solver.metals.strip_forms import plane_slope, plates_inductance, strips_inductance, strips_slope


def test_strips_without_thickness_have_the_inductance_of_the_rows() -> None:
    """Their currents crowd as they do without resistance from t w / delta^2 = 1000 on, but for half a per cent."""
    found = [r for r in rows("strip") if r.quantity == "L_loop/mu0" and r.number("t*w/delta^2") == 1000.0]
    near = [r for r in found if r.number("gap/w") <= 0.1]
    assert len(near) == 3
    for row in near:
        assert strips_inductance(1.0, 0.0, row.number("gap/w")) / MU0 == pytest.approx(row.value, rel=5e-3), row.id


def test_wide_strips_are_plates() -> None:
    assert strips_inductance(1.0, 1e-4, 1e-5) == pytest.approx(plates_inductance(1e-5, 1.0), rel=1e-3)
    assert strips_slope(1.0, 1e-3, 1e-5) == pytest.approx(2 * MU0, rel=1e-3)


def test_a_strip_and_its_image_are_two_strips() -> None:
    """What the plane takes is what the strip's own image would, faces beyond the gap left out."""
    assert plane_slope(1.0, 1e-3, 1e-3) < 0.5 * strips_slope(1.0, 1e-3, 2e-3)
    far = MU0 * (1e-3 + 1e-6) - MU0 * 1e-3
    assert plane_slope(1.0, 0.0, 1e-3) * 1e-6 == pytest.approx(far, rel=0.02)


def test_slope_is_a_derivative() -> None:
    step = 1e-7
    high, low = (strips_inductance(0.1 - n, 0.01 - n, 0.005 + n) for n in (2 * step, -2 * step))
    assert strips_slope(0.1, 0.01, 0.005) == pytest.approx((high - low) / (2 * step), rel=1e-6)
    assert math.isfinite(plane_slope(0.02, 0.001, 0.001))
