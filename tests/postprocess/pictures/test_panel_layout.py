"""Panels on a page: true aspect, none over another, all in the block."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.panel_layout import arranged, even_maps
from crosscurrent.postprocess.pictures.views import View


@pytest.mark.parametrize("aspects", [(1.0,), (1.0, 1.0), (4.0, 0.3), (1.0, 2.0, 3.0, 0.5), (1.5,) * 9])
def test_panels_are_true_and_do_not_overlap(aspects: tuple[float, ...]) -> None:
    views = [View(np.array([[0.0, 0.0], [aspect, 1.0]])) for aspect in aspects]
    panels, height = arranged(views, 6.8, 6.5)
    assert [p.view for p in panels] == views
    assert 0 < height <= 6.5 + 1e-9
    for panel in panels:
        assert panel.width / panel.height == pytest.approx(panel.view.aspect)
        assert panel.x >= 0
        assert panel.x + panel.width <= 6.8 + 1e-9
        assert panel.y >= 0
        assert panel.y + panel.height <= height + 1e-9
    for a, b in combinations(panels, 2):
        beside = a.x + a.width <= b.x or b.x + b.width <= a.x
        assert beside or a.y + a.height <= b.y or b.y + b.height <= a.y


@pytest.mark.parametrize("aspect", [0.1, 0.8, 1.7, 4.0, 20.0])
def test_even_maps_fill_the_room_and_stay_in_it(aspect: float) -> None:
    width, columns = even_maps(aspect, 5, (6.8, 4.2), 0.15, 0.42)
    rows = -(-5 // columns)
    wide, tall = columns * (width + 0.15) - 0.15, rows * (width / aspect + 0.42)
    assert wide <= 6.8 + 1e-9
    assert tall <= 4.2 + 1e-9
    assert max(wide / 6.8, tall / 4.2) > 0.99
