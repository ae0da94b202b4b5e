"""One panel of a map: its field, borders, dots and ways."""

import numpy as np
import pytest
from made_designs import over_plane, plane
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.study.data import DesignAt, SearchPath
from crosscurrent.postprocess.pictures.study.map_panel import HATCH, MapScales, map_panel


def panel(designs, searches=()):
    axes = Figure(figsize=(6, 4)).add_subplot()
    map_panel(axes, designs, 0, 0, MapScales.of(designs, 0), searches)
    return axes


@pytest.fixture(scope="module")
def drawn():
    return panel(plane(over_plane(), best=DesignAt(0, 0)), [SearchPath(0, np.array([[2e-3, 4e-3], [1e-3, 1e-3]]))])


def test_contour_lines_carry_their_values(drawn):
    """Loss 10 (x + y) + 10 in mm: a contour line of it is a straight one."""
    told = [float(t.get_text()) for t in drawn.texts if t.get_text() not in ("best", "1")]
    assert told
    for text in drawn.texts:
        if text.get_text() not in ("best", "1"):
            assert 10 * sum(text.get_position()) + 10 == pytest.approx(float(text.get_text()), rel=0.01)


def test_the_border_of_a_limit_is_numbered(drawn):
    number = next(t for t in drawn.texts if t.get_text() == "1")
    assert number.xy[0] == pytest.approx(3.0)
    hatched = [c for c in drawn.collections if getattr(c, "hatches", [None])[0] == "////"]
    assert len(hatched) == 1  # the other is kept throughout
    extent = hatched[0].get_paths()[0].get_extents()
    assert (extent.x0, extent.x1) == pytest.approx((3.0, 5.0))
    assert tuple(hatched[0].get_edgecolor()[0]) == pytest.approx(HATCH)


def test_ways_and_the_best_can_be_found(drawn):
    way = next(line for line in drawn.lines if line.get_gid() == "search")
    assert way.get_xydata().ravel() == pytest.approx([2, 4, 1, 1])
    ring = next(line for line in drawn.lines if line.get_gid() == "best")
    assert ring.get_xydata().ravel() == pytest.approx([1, 1])


def test_one_value_everywhere_draws_no_lines():
    designs = plane(over_plane(scale=0.0))
    assert [t.get_text() for t in panel(designs).texts] == ["1"]


def test_levels_by_ratios_are_round():
    scales = MapScales.of(plane(over_plane(), over_plane(scale=100.0), by_ratios=True), 0)
    assert scales.colour.unit == "kW/m"  # from 30 W/m to 11 kW/m
    assert scales.levels() == pytest.approx([0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0])
