"""What a file may hold at most, and what is left out."""

import numpy as np
import pytest

from crosscurrent.geometries.drawings import sketch as limits
from crosscurrent.geometries.drawings.curves import Run
from crosscurrent.geometries.drawings.sketch import Sketch
from crosscurrent.geometries.errors import DrawingError

LINE = Run(np.array([[0.0, 0.0], [1.0, 0.0]]), np.zeros(1))


def test_curves_beyond_all_measure_are_left_out():
    found = Sketch()
    found.add("0", Run(LINE.points + np.inf, LINE.bulges), closed=False)
    found.add("0", LINE, closed=False)
    assert len(found.strokes) == 1
    assert sum(found.skipped.values()) == 1


def test_too_many_sides_and_entities(monkeypatch):
    monkeypatch.setattr(limits, "MOST_SIDES", 1)
    monkeypatch.setattr(limits, "MOST_ENTITIES", 1)
    found = Sketch()
    found.add("0", LINE, closed=False)
    found.count()
    with pytest.raises(DrawingError, match="lines and arcs"):
        found.add("0", LINE, closed=False)
    with pytest.raises(DrawingError, match="entities"):
        found.count()


def test_lengths_of_units():
    assert limits.UNITS["thou"] * 1000 == pytest.approx(limits.UNITS["in"])
    assert limits.UNITS["ft"] == pytest.approx(12 * limits.UNITS["in"])
