"""Circles in bars and outlines: counts by hand, a proven bound, and one way against the other."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.shapes import Shape, bar, outline, round_bar, tube
from crosscurrent.solver.metals.strand_filling import most_in_bar, most_in_outline, sure_in_outline
from crosscurrent.solver.metals.strand_packing import most_in_circle


def test_bars_by_hand() -> None:
    assert most_in_bar(10.0, 1.0, 0.0, "any") == 10
    assert most_in_bar(10.0, 2.0, 0.0, "any") == 20  # two rows of ten
    assert most_in_bar(10.0, 2.0, 0.0, "hexagonal") == 19  # of ten and nine
    assert most_in_bar(10.0, 1.0 + 2 * math.sqrt(3) / 2, 0.0, "hexagonal") == 29
    assert most_in_bar(4.0, 4.0, 0.0, "square") == 16
    assert most_in_bar(0.9, 4.0, 0.0, "any") == 0
    # a zigzag: 0.6 up and 0.8 along, so that 9 / 0.8 + 1 lie in a strip between one row and two
    assert most_in_bar(10.0, 1.6, 0.0, "any") == 12
    assert most_in_bar(10.0, 1.6, 0.0, "hexagonal") == 11  # rows across, of one each
    # rows of eight and seven beat eight rows of eight
    assert most_in_bar(8.0, 1 + 8 * math.sqrt(3) / 2, 0.0, "any") == 5 * 8 + 4 * 7


@pytest.mark.parametrize("sizes", [(7.3, 3.1, 0.0), (7.3, 3.1, 1.2), (20.0, 9.0, 2.0), (5.0, 5.0, 2.5)])
def test_no_more_than_groemers_bound(sizes: tuple[float, float, float]) -> None:
    """N <= 2 / sqrt 3 A / d^2 + P / (2 d) + 1 with the convex region of the middles (H. Groemer, Math. Z. 73, 1960)."""
    width, thickness, corner = sizes[0] - 1, sizes[1] - 1, max(sizes[2] - 0.5, 0.0)
    area = width * thickness - (4 - math.pi) * corner**2
    around = 2 * (width + thickness) - (8 - 2 * math.pi) * corner
    held = most_in_bar(*sizes, "any")
    assert area / (math.sqrt(3) / 2) <= held <= 2 / math.sqrt(3) * area + around / 2 + 1
    searched = most_in_outline(bar(*sizes), 1.0, "any")
    assert area / (math.sqrt(3) / 2) <= searched <= 2 / math.sqrt(3) * area + around / 2 + 1
    assert abs(searched - held) <= 1 + held // 20  # two searches of the same rows


def test_outlines() -> None:
    circle = most_in_outline(round_bar(9.0), 1.0, "hexagonal")
    assert sure_in_outline(round_bar(9.0), 1.0, "hexagonal") <= circle <= most_in_circle(9.0, "hexagonal")
    ring = tube(9.0, 2.0)  # two round rows at most, of pi / asin(1 / 8) = 25 and pi / asin(1 / 6) = 18
    assert sure_in_outline(ring, 1.0, "any") <= most_in_outline(ring, 1.0, "any") <= 25 + 18
    angle = outline([(0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (2.0, 2.0), (2.0, 6.0), (0.0, 6.0)])
    assert most_in_outline(angle, 1.0, "square") == 20
    turned = Shape(angle.outer.turned(0.4))
    assert most_in_outline(turned, 1.0, "square") == 20
