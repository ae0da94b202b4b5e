"""Places of strands: shells, rings."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.solver.metals.strand_layout import (
    Layout,
    cell_area,
    reach,
    rings,
    strand_places,
)


@pytest.mark.parametrize(("count", "shells"), [(1, 0), (7, 1), (19, 2), (37, 3), (61, 4), (91, 5), (169, 7), (271, 9)])
def test_full_hexagons(count: int, shells: int) -> None:
    """1 + 3 k (k + 1) in k shells, the corners k pitches from the middle."""
    assert count == 1 + 3 * shells * (shells + 1)
    assert reach(count, "hexagonal") == pytest.approx(shells, abs=1e-12)
    assert strand_places(count, "hexagonal")[0] == pytest.approx([0, 0], abs=1e-12)


@pytest.mark.parametrize("layout", ["hexagonal", "square"])
@pytest.mark.parametrize("count", [2, 3, 5, 12, 30, 49])
def test_neighbours_are_one_pitch_apart_about_the_middle_of_all(count: int, layout: Layout) -> None:
    places = strand_places(count, layout)
    assert places.shape == (count, 2)
    apart = np.hypot(*(places[:, None] - places).transpose(2, 0, 1))
    assert apart[~np.eye(count, dtype=bool)].reshape(count, -1).min(axis=1) == pytest.approx(np.ones(count))
    assert places.mean(axis=0) == pytest.approx([0, 0], abs=1e-12)


def test_few_strands_need_little_more_than_the_densest_circle() -> None:
    """Best known packings of equal circles in a circle (R. L. Graham et al., Discrete Math. 181, 1998; from memory)."""
    densest = {8: 3.304, 10: 3.813, 11: 3.924, 12: 4.030, 16: 4.615, 18: 4.863, 20: 5.122, 30: 6.198}
    for count, least in densest.items():
        assert least - 1e-3 <= 1 + 2 * reach(count, "hexagonal") <= 1.11 * least


def test_squares_and_rings() -> None:
    assert reach(49, "square") == pytest.approx(3 * math.sqrt(2))
    assert np.bincount(rings(37, "hexagonal")).tolist() == [1, 6, 6, 6, 12, 6]  # at 0, 1, sqrt 3, 2, sqrt 7, 3 pitches


def test_what_a_strand_takes() -> None:
    assert cell_area(1.0, "hexagonal") == pytest.approx(math.sqrt(3) / 2)
