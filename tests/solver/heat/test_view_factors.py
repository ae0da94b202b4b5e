"""View factors and radiation between faces against closed forms: H. C. Hottel's crossed strings (Hottel and Sarofim,
Radiative Transfer, 1967; also Incropera and DeWitt, table 13.1, from memory).
"""

import math

import numpy as np
import pytest
from seen_panels import panels

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, round_bar, tube


def share(found, of, at):
    return found.view_factors.areas[np.ix_(of, at)].sum() / found.length[of].sum()


@pytest.mark.parametrize("gap", [0.005, 0.02, 0.1])
def test_parallel_strips(gap):
    width, half = 0.1, 0.003
    found = panels(
        Part("below", bar(width, 2 * half).placed((0, -half - gap / 2), 0)),
        Part("above", bar(width, 2 * half).placed((0, half + gap / 2), 0)),
    )
    of = (found.part == 0) & (found.normal[:, 1] > 0.9)
    at = (found.part == 1) & (found.normal[:, 1] < -0.9)
    ratio = gap / width
    assert share(found, of, at) == pytest.approx(math.sqrt(1 + ratio**2) - ratio, rel=1e-4)
    # whatever the lower face does not see of the upper one is the room
    assert found.view_factors.room[of].sum() == pytest.approx(width * (1 + ratio - math.sqrt(1 + ratio**2)), rel=1e-3)


def test_strips_at_a_right_angle_with_a_common_edge():
    found = panels(Part("it", angle(0.06, 0.04, 0.005)))
    inner = [k for k in range(len(found)) if found.view_factors.areas[k].sum() > 0]
    flat = np.array([k for k in inner if found.normal[k, 1] > 0.9])
    upright = np.array([k for k in inner if found.normal[k, 0] > 0.9])
    ratio = 0.035 / 0.055
    assert share(found, flat, upright) == pytest.approx((1 + ratio - math.sqrt(1 + ratio**2)) / 2, rel=2e-3)


def test_parallel_rods():
    """A rod is seen as the polygon of its pieces."""
    diameter, pitch = 0.02, 0.03
    found = panels(
        Part("a", round_bar(diameter)), Part("b", round_bar(diameter).placed((pitch, 0), 0)), skin=diameter / 40
    )
    x = pitch / diameter
    exact = (math.asin(1 / x) + math.sqrt(x * x - 1) - x) / math.pi
    assert share(found, found.part == 0, found.part == 1) == pytest.approx(exact, rel=2e-2)


def test_something_between_two_bars_hides_them():
    def seen(*more):
        found = panels(
            Part("a", bar(0.01, 0.05).placed((-0.05, 0), 0)), Part("b", bar(0.01, 0.05).placed((0.05, 0), 0)), *more
        )
        return found.view_factors.areas[np.ix_(found.part == 0, found.part == 1)].sum()

    assert seen() > 0.01
    assert seen(Part("screen", bar(0.002, 0.2))) == 0


def test_a_closed_bore_sees_no_room_and_is_left_out_when_empty():
    alone = panels(Part("tube", tube(0.05, 0.005)))
    assert len(np.unique(alone.boundary)) == 1
    found = panels(Part("tube", tube(0.05, 0.005)), Part("rod", round_bar(0.02)))
    bore = (found.part == 0) & (found.view_factors.room == 0)
    assert bore.any()
    assert (found.view_factors.room[found.part == 1] == 0).all()
    areas = found.view_factors.areas.sum(axis=1)
    assert areas[found.part == 1] == pytest.approx(found.length[found.part == 1], rel=5e-3)


@pytest.mark.parametrize("gap", [0.01, 0.03])
def test_crossed_strings(gap):
    """Upright strips of unlike height, side by side: crossed less uncrossed strings over twice the length."""
    low, high = 0.02, 0.06
    found = panels(
        Part("low", bar(0.004, low).placed((-0.002 - gap / 2, low / 2))),
        Part("high", bar(0.004, high).placed((0.002 + gap / 2, high / 2))),
    )
    of = (found.part == 0) & (found.normal[:, 0] > 0.9)
    at = (found.part == 1) & (found.normal[:, 0] < -0.9)
    crossed = math.hypot(gap, high) + math.hypot(gap, low)
    strings = gap + math.hypot(gap, high - low)
    assert share(found, of, at) == pytest.approx((crossed - strings) / (2 * low), rel=1e-3)


def test_what_one_sees_of_another_is_what_that_sees_of_it():
    found = panels(Part("a", bar(0.01, 0.05)), Part("b", round_bar(0.02).placed((0.03, 0.01))))
    areas = found.view_factors.areas
    assert areas == pytest.approx(areas.T, abs=0)
    # a convex outline sees none of itself, and every piece sees pieces or the room
    for part in (0, 1):
        assert areas[np.ix_(found.part == part, found.part == part)].sum() == 0
    assert areas.sum(axis=1) + found.view_factors.room == pytest.approx(found.length, rel=0.01)


def test_the_same_pieces_are_looked_at_once():
    """Those of another run of the same section; of one that is shifted anew."""

    def views(gap):
        below = Part("below", bar(0.1, 0.006).placed((0, 0), 0))
        return panels(below, Part("above", bar(0.1, 0.006).placed((0, gap), 0))).view_factors

    first, again, further = views(0.02), views(0.02), views(0.03)
    assert again is first
    assert further.room.sum() > 1.01 * first.room.sum()
