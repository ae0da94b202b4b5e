"""Gaps that join all parts: the shortest tree, whatever the boxes around the parts promise."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse.csgraph import minimum_spanning_tree

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar, tube
from crosscurrent.postprocess.workshop.gaps import MOST, joining_gaps


def test_they_are_the_shortest_tree_of_rods() -> None:
    rng = np.random.default_rng(3)
    places = rng.permutation(49)[:12]
    centres = np.column_stack((places % 7, places // 7)) * 0.03 + rng.uniform(-0.004, 0.004, (12, 2))
    rods = [Part(f"rod.{k}", round_bar(0.01).placed(tuple(c))) for k, c in enumerate(centres)]
    found = joining_gaps(rods)
    # surfaces of equal circles are a diameter nearer than their centres
    apart = np.hypot(*(centres[:, None] - centres[None]).transpose(2, 0, 1)) - 0.01
    assert len(found) == 11
    assert sum(gap.width for gap in found) == pytest.approx(minimum_spanning_tree(np.triu(apart, 1)).sum(), rel=1e-9)


def test_one_part_within_another_has_the_gap_of_its_wall() -> None:
    (gap,) = joining_gaps([Part("core", round_bar(0.01)), Part("screen", tube(0.03, 0.002))])
    assert gap.width == pytest.approx(0.008)


def test_none_are_looked_for_among_very_many_parts() -> None:
    assert joining_gaps([Part("rod", round_bar(0.001).placed((0.002 * k, 0.0))) for k in range(MOST + 1)]) == []
    assert joining_gaps([Part("rod", round_bar(0.001))]) == []
