"""One panel over a varied value: its lines hold the designs, limits stay in it."""

import numpy as np
import pytest
from made_designs import along, over_gap
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.study.curve_panel import curve_panel, rising
from crosscurrent.postprocess.pictures.study.data import DesignGroup, StudyDesigns, StudyLimit, StudyScale
from crosscurrent.postprocess.pictures.study.scales import ShownScale


def panel(designs, number=0):
    axes = Figure(figsize=(6, 3)).add_subplot()
    curve_panel(axes, designs, number, ShownScale.of(designs.varied[0], designs.column("values", 0)))
    return axes


def lines(axes, gid):
    return [line for line in axes.lines if line.get_gid() == gid]


def test_lines_hold_the_designs_in_their_order():
    group = over_gap()
    turned = DesignGroup("", *(a[::-1] for a in (group.values, group.figures, group.errors, group.margins)))
    kept, broken = (lines(panel(along(turned)), gid)[0] for gid in ("kept", "broken"))
    assert kept.get_xdata() == pytest.approx(np.arange(1.0, 10.0))
    within = np.arange(1, 10) <= 4
    assert np.isfinite(kept.get_ydata()).tolist() == within.tolist()
    assert np.isfinite(broken.get_ydata()).tolist() == (~within).tolist()
    assert kept.get_ydata()[:4] == pytest.approx([98.0, 88.0, 82.0, 80.0])


def test_the_band_holds_the_error_bars():
    axes = panel(along(over_gap()))
    low, high = axes.collections[0].get_paths()[0].get_extents().intervaly
    assert (low, high) == pytest.approx((0.99 * 80, 1.01 * 130))
    bottom, top = axes.get_ylim()
    assert bottom < low < high < top


def test_limits_are_lines_with_names_or_arrows():
    group = over_gap()
    limits = StudyLimit("loss at most 100 W/m", 0, 100.0), StudyLimit("loss at most 900 W/m", 0, 900.0)
    scales = (StudyScale("gap", "m"),), (StudyScale("loss", "W/m"), StudyScale("L", "H/m"))
    axes = panel(StudyDesigns((group,), *scales, limits))
    assert [t.get_text() for t in axes.texts] == ["loss at most 100 W/m", "\u2191 loss at most 900 W/m"]
    assert [line.get_ydata()[0] for line in axes.lines if list(line.get_xdata()) == [0, 1]] == [100.0]


def test_the_name_of_a_limit_hides_no_design():
    """It stands on the right where the curve runs into its corner on the left."""
    group, scales = over_gap(), ((StudyScale("gap", "m"),), (StudyScale("loss", "W/m"), StudyScale("L", "H/m")))
    turned = DesignGroup("", 0.01 - group.values, group.figures, group.errors, group.margins)
    limits = StudyLimit("loss at most 900 W/m", 0, 900.0), StudyLimit("inductance", 1, 1.0)
    sides = [panel(StudyDesigns((one,), *scales, limits)).texts[0].get_ha() for one in (group, turned)]
    assert sides == ["left", "right"]


def test_alternatives_differ_in_more_than_colour():
    axes = panel(along(over_gap("copper"), over_gap("brass", scale=1.2)))
    one, two = lines(axes, "kept")
    assert one.get_linestyle() != two.get_linestyle()
    assert [t.get_text() for t in axes.texts] == ["copper", "brass"]
    assert [t.get_color() for t in axes.texts] == [one.get_color(), two.get_color()]


def test_rows_without_figures_are_left_out():
    assert rising(over_gap(faults=4)).tolist() == [4, 5, 6, 7, 8]
