"""Sizes of hollow shapes."""

from __future__ import annotations

import pytest

from crosscurrent.casefile.hollow import outer_and_wall
from crosscurrent.geometries.errors import GeometryError


def test_any_two_give_the_third() -> None:
    assert outer_and_wall(0.02, 0.002, None) == (0.02, 0.002)
    assert outer_and_wall(None, 0.002, 0.016) == (0.02, 0.002)
    assert outer_and_wall(0.02, None, 0.016) == (0.02, 0.002)


def test_one_is_not_enough() -> None:
    with pytest.raises(GeometryError, match="two of outer size, wall and inner size"):
        outer_and_wall(0.02, None, None)
