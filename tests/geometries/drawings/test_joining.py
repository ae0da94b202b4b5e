"""Loose curves close within the gap; what does not close is said."""

from itertools import pairwise

import numpy as np
import pytest

from crosscurrent.geometries.drawings.curves import IDENTITY, polyline
from crosscurrent.geometries.drawings.joining import join
from crosscurrent.geometries.drawings.sketch import Stroke

SQUARE = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0)]


def stroke(points, *, closed=False, group=0):
    return Stroke("0", polyline(points, [0.0] * (len(points) - 1), IDENTITY), closed, group)


def sides(shift=0.0):
    return [stroke([(SQUARE[k][0] + shift, SQUARE[k][1]), SQUARE[k + 1]]) for k in range(4)]


def test_sides_in_any_order_and_sense_close():
    loose = [stroke([b, a]) if k % 2 else stroke([a, b]) for k, (a, b) in enumerate(pairwise(SQUARE))]
    (loop,) = join(loose[::-1], 1e-3).loops
    assert loop.area == pytest.approx(12.0)


def test_gaps_are_closed_only_within_what_is_stated():
    assert len(join(sides(0.01), 0.02).loops) == 1
    assert join(sides(0.01), 0.02).widest == pytest.approx(0.01)
    wide = join(sides(0.05), 0.02)
    assert not wide.loops
    assert len(wide.open_ends) == 4


def test_copies_count_once():
    found = join([*sides(), *sides(), stroke(SQUARE, closed=True)], 1e-3)
    assert len(found.loops) == 1
    assert found.doubles == 5


def test_a_branch_is_named():
    found = join([*sides(), stroke([(4.0, 3.0), (8.0, 3.0)])], 1e-3)
    assert np.concatenate(found.branches).tolist() == [4.0, 3.0]


def test_groups_are_not_joined_with_one_another():
    one, *rest = sides()
    other = Stroke("0", one.run, False, 1)
    assert not join([other, *rest], 1e-3).loops


def test_a_loop_without_area_is_flat():
    found = join([stroke([(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)], closed=True)], 1e-3)
    assert (found.loops, found.flat) == ((), 1)
