"""View factors of surfaces of revolution against closed forms."""

import math

import numpy as np
import pytest

from crosscurrent.solver.heat.ring_views import CoaxialRings

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(4)


def cut(start, end, count):
    """A side in pieces, its outside on the right."""
    ends = np.linspace(start, end, count + 1)
    return ends[:-1], ends[1:]


def joined(*sides):
    return CoaxialRings(np.vstack([s for s, _ in sides]), np.vstack([e for _, e in sides]))


def exchanged(rings, of, to):
    """Area times view factor [m2]."""
    found = 0.0
    for k in of:
        places = rings.start[k] + (POINTS[:, None] + 1) / 2 * (rings.end[k] - rings.start[k])
        share = rings.seen(k, places)[:, list(to)].sum(axis=1)
        found += float((WEIGHTS / 2 * rings.length[k] * 2 * math.pi * places[:, 0]) @ share)
    return found


@pytest.mark.parametrize("apart", [0.1, 0.5, 1.0, 3.0])
def test_two_equal_discs(apart):
    """J. R. Howell, A Catalog of Radiation Configuration Factors, C-41 (from memory)."""
    low, high = cut((1.0, 0.0), (0.0, 0.0), 12), cut((0.0, apart), (1.0, apart), 12)
    s = 2 + apart**2
    exact = (s - math.sqrt(s * s - 4)) / 2
    assert exchanged(joined(low, high), range(12), range(12, 24)) / math.pi == pytest.approx(exact, abs=0.005)


@pytest.mark.parametrize(("outer", "height"), [(2.0, 2.0), (1.2, 1.0), (4.0, 8.0)])
def test_coaxial_cylinders(outer, height):
    """Howell, C-91 to C-93 (from memory): from the outer one to the inner, of radius 1, and to itself."""
    n, x, y = 12, outer, height
    rings = joined(cut((1.0, -y / 2), (1.0, y / 2), n), cut((x, y / 2), (x, -y / 2), n))
    a, b = y * y + x * x - 1, y * y - x * x + 1
    inner = (
        1 - (math.acos(b / a) - (math.sqrt((a + 2) ** 2 - 4 * x * x) * math.acos(b / (x * a)) + b * math.asin(1 / x)
        - math.pi * a / 2) / (2 * y)) / math.pi
    ) / x  # fmt: skip
    both = math.sqrt(4 * x * x + y * y)
    own = (
        1 - 1 / x + 2 / (math.pi * x) * math.atan(2 * math.sqrt(x * x - 1) / y)
        - y / (2 * math.pi * x) * (
            both / y * math.asin((4 * (x * x - 1) + y * y / x**2 * (x * x - 2)) / (y * y + 4 * (x * x - 1)))
            - math.asin((x * x - 2) / x**2) + math.pi / 2 * (both / y - 1)
        )
    )  # fmt: skip
    area = 2 * math.pi * x * y
    assert exchanged(rings, range(n, 2 * n), range(n)) / area == pytest.approx(inner, abs=0.005)
    assert exchanged(rings, range(n, 2 * n), range(n, 2 * n)) / area == pytest.approx(own, abs=0.005)
    there, back = (exchanged(rings, *way) for way in ((range(n), range(n, 2 * n)), (range(n, 2 * n), range(n))))
    assert there == pytest.approx(back, rel=0.01)


def test_a_ball_in_a_ball_sees_nothing_else():
    angle = np.linspace(-math.pi / 2, math.pi / 2, 33)
    circle = np.abs(np.column_stack((np.cos(angle), np.zeros(33)))) + np.column_stack((np.zeros(33), np.sin(angle)))
    circle[[0, -1], 0] = 0.0
    rings = joined((circle[:-1], circle[1:]), (2 * circle[1:], 2 * circle[:-1]))
    shares = rings.seen(20, np.array([(circle[20] + circle[21]) / 2]))
    assert shares[0, 32:].sum() == pytest.approx(1.0, abs=1e-6)  # the spheres are closed, so no ray gets out
    assert shares[0, :32].sum() == 0.0
    inner, outer = (range(32), range(32, 64))
    area = exchanged(rings, outer, range(64)) / 4 / (2 * math.pi)  # of the larger, in radii of the smaller squared
    assert exchanged(rings, outer, inner) / exchanged(rings, outer, range(64)) == pytest.approx(0.25, abs=0.005)
    assert area == pytest.approx(2.0, rel=0.01)


def test_far_from_the_axis_the_section_is_plane():
    """Two strips 1 wide, 1 apart, square to each other's middle: sqrt(2) - 1 (H. C. Hottel's strings)."""
    rings = joined(cut((1e5 + 1, 0.0), (1e5, 0.0), 8), cut((1e5, 1.0), (1e5 + 1, 1.0), 8))
    found = exchanged(rings, range(8), range(8, 16)) / (2 * math.pi * 1e5)
    assert found == pytest.approx(math.sqrt(2) - 1, rel=1e-4)


def test_what_stands_in_front():
    rings = joined(cut((0.02, 0.0), (0.01, 0.0), 1), cut((0.01, 0.005), (0.02, 0.005), 1))
    assert rings.ahead(0, np.array([0.015, 0.0])) == (1, pytest.approx(0.005))
    alone = joined(cut((0.02, 0.0), (0.01, 0.0), 1))
    assert alone.ahead(0, np.array([0.015, 0.0]))[0] == -1


def test_across_the_axis_a_bore_meets_itself():
    wall = joined(cut((0.01, 0.02), (0.01, -0.02), 2))
    which, far = wall.ahead(0, np.array([0.01, 0.01]))
    assert which == 0
    assert far == pytest.approx(0.02)
