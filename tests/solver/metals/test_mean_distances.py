"""Mean distances against the reference rows (Maxwell 1873; Rosa and Grover 1912; Higgins 1943)."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from common import MU0
from reference_rows import rows

from crosscurrent.solver.metals.mean_distances import FAR, around_distance, box_distance, ring_distance


def box(width: float, height: float, x: float = 0.0, y: float = 0.0) -> np.ndarray:
    return np.array([[x, y], [x + width, y + height]])


def test_a_rectangle_has_the_mean_distance_of_the_rows() -> None:
    found = [row for row in rows("gmd", 1, 9) if row.number("h/w")]
    assert len(found) == 8
    for row in found:
        one = box(1.0, row.number("h/w"))
        assert math.exp(box_distance(one, one)) / (1 + row.number("h/w")) == pytest.approx(row.value, rel=1e-9), row.id


def test_two_bars_have_the_inductance_of_the_rows() -> None:
    found = rows("gmd", 10, 19)
    assert len(found) == 10
    for row in found:
        width, thick, gap = map(float, re.match(r"(\d+)x(\d+).*gap ([\d.]+) mm", row.conditions).groups())
        one = box(width, thick)
        at = (width + gap, 0.0) if "edge-on" in row.conditions else (0.0, thick + gap)
        other = box(width, thick, *at)
        logs = 2 * box_distance(one, other) - box_distance(one, one) - box_distance(other, other)
        assert MU0 / (2 * math.pi) * logs * 1e9 == pytest.approx(row.value, rel=1e-9), row.id


def test_the_order_of_two_rectangles_does_not_matter() -> None:
    one, other = box(3.0, 1.0), box(1.0, 0.5, 7.0, 2.0)
    assert box_distance(one, other) == pytest.approx(box_distance(other, one), rel=1e-12)


def test_far_rectangles_are_as_far_as_their_middles() -> None:
    one, other = box(3.0, 1.0), box(0.01, 0.01, 1e3, 0.0)
    assert math.exp(box_distance(one, other)) == pytest.approx(998.505, rel=1e-5)
    apart = [box_distance(one, box(3.0, 1.0, 3.0 * (FAR + side), 0.0)) for side in (-1e-9, 1e-3)]
    assert math.exp(apart[1] - apart[0]) == pytest.approx(1 + 1e-3 / FAR, abs=1e-7)  # both ways of it meet


def test_a_tube_lies_between_a_solid_rod_and_a_thin_ring() -> None:
    """Means over the radii, worked by quadrature: ln of the larger of two radii, each weighted with its ring's area."""
    bore = 0.6
    radii = np.sqrt(np.linspace(bore**2, 1.0, 4001))[1::2]  # the middles of rings of like area
    mean = np.log(np.maximum(radii[:, None], radii)).mean()
    assert ring_distance(1.0, bore) == pytest.approx(mean, abs=1e-4)
    assert around_distance(1.0, bore) == pytest.approx(np.log(radii).mean(), abs=1e-6)
    assert ring_distance(2.0) == pytest.approx(math.log(2.0) - 0.25, rel=1e-12)
