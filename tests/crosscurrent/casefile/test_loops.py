"""Closed loops: an arc belongs to the side that ends at it."""

from __future__ import annotations

import math

import pytest

from crosscurrent.casefile.loops import ArcTable, outline_of


def arc(x: float, y: float, bulge: float = 1.0) -> ArcTable:
    return ArcTable.model_construct(arc_to=(x, y), bulge=bulge)


def test_two_half_circles_make_a_circle() -> None:
    found = outline_of(((-1.0, 0.0), arc(1.0, 0.0), arc(-1.0, 0.0)))
    assert found.area == pytest.approx(math.pi)
    assert len(found.points) == 2  # closed by its first point once more


def test_an_arc_on_the_first_entry_closes_the_loop() -> None:
    """A square of side 2 whose left side, from the last corner to the first, bulges out by a half circle."""
    found = outline_of((arc(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)))
    assert found.area == pytest.approx(4 + math.pi / 2)
