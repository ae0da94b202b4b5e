"""Windows of a section: together, apart, folded."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.pictures.views import View, folded, group_windows, groups, whole_window


def rod(name: str, x: float, size: float = 0.01) -> Part:
    return Part(name, round_bar(size).placed((x, 0.0)))


def test_far_apart_parts_fall_into_groups() -> None:
    assert groups([rod("a", 0.0), rod("b", 0.02), rod("c", 0.2)]) == [[0, 1], [2]]
    assert groups([rod("a", 0.0), rod("b", 0.2), rod("c", 0.02)]) == [[0, 2], [1]]
    assert groups([rod("a", 0.0), rod("speck", 0.012, 0.0001)]) == [[0], [1]]  # a speck some way off


def test_windows_hold_their_parts_with_a_margin() -> None:
    view = whole_window([rod("a", 0.0), rod("b", 0.02)], 0.1)
    np.testing.assert_allclose(view.window, [[-0.008, -0.007], [0.028, 0.007]], atol=0.0011)
    assert view.shows(np.array([0.01, 0.0]))
    assert not view.shows(np.array([0.04, 0.0]))
    apart = group_windows([rod("a", 0.0), rod("c", 0.2)], 0.03)
    assert [v.caption for v in apart] == ["a at (0, 0) mm", "c at (200, 0) mm"]
    assert all(v.apart for v in apart)


@pytest.mark.parametrize(("aspect", "pieces"), [(24.0, 1), (26.0, 2), (50.0, 3), (60.0, 4), (1000.0, 4)])
def test_long_windows_are_folded_into_pieces_that_meet(aspect: float, pieces: int) -> None:
    view = View(np.array([[0.0, 0.0], [aspect * 1e-3, 1e-3]]))
    found = folded(view)
    assert len(found) == pieces
    assert found[0].window[0, 0] == 0.0
    assert found[-1].window[1, 0] == pytest.approx(aspect * 1e-3)
    for one, after in pairwise(found):
        assert one.window[1, 0] == after.window[0, 0]
