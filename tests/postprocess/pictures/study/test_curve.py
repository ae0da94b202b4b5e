"""Figures over one varied value: what is marked and said, for few, many and no designs."""

import numpy as np
import pytest
from made_designs import LONG, along, assert_same_bytes, assert_texts_stand_apart, over_gap, said

from crosscurrent.postprocess.pictures.study.curve import curve_figure
from crosscurrent.postprocess.pictures.study.data import DesignAt


def five(count=7, faults=0):
    names = ("copper, four bars", "aluminium-1350, six bars of 10 mm", "brass", "silver", "$tin_1$ <&>")
    return [over_gap(name, count, 1 + 0.1 * k, faults) for k, name in enumerate(names)]


@pytest.mark.parametrize(
    "designs",
    [
        along(over_gap(), best=DesignAt(0, 3)), along(*five(60, 2), label=LONG, by_ratios=True, best=DesignAt(4, 20)),
        along(over_gap("alone", 1)), along(over_gap(faults=9)), along(), along(*five() * 3, best=DesignAt(14, 3)),
    ],
)  # fmt: skip
def test_texts_stand_apart(designs):
    assert_texts_stand_apart(curve_figure(designs, "Feed of the pier " * 6, "gap of the bars " * 12))


def test_what_is_marked_can_be_found():
    figure = curve_figure(along(over_gap(faults=1), best=DesignAt(0, 3)), "Feed", "85 kHz")
    loss, inductance = figure.axes
    assert (loss.get_ylabel(), inductance.get_ylabel()) == ("loss [W/m]", "inductance [nH/m]")
    assert inductance.get_xlabel() == "gap [mm]"
    ring = next(line for line in loss.lines if line.get_gid() == "best")
    assert np.ravel(ring.get_xydata()) == pytest.approx([4.0, 80.0])
    crosses = next(line for line in inductance.lines if line.get_gid() == "faulty")
    assert crosses.get_xdata() == pytest.approx([1.0])
    notes = said(figure)
    assert "best: gap 4 mm (157 thou): loss 80 W/m, inductance 200 nH/m" in notes
    assert "1  temperature at most 70 °C: passed at 6 mm (236 thou)" in notes
    assert "crosses on the axis: 1 design with a fault, without figures" in notes
    assert "shaded: error bars, at most 1 %" in notes
    assert "pale and hollow: breaks a limit, 5 of 9 designs" in notes
    assert {t.get_text(): t.xy[0] for t in loss.texts} == pytest.approx({"best": 4.0, "1": 6.0})


def test_what_is_not_drawn_is_said():
    notes = said(curve_figure(along(*[over_gap(str(k)) for k in range(11)]), "Feed", ""))
    assert "and 3 alternatives more, not drawn" in notes


def test_nothing_to_show_is_said():
    for designs in (along(), along(over_gap(faults=9)), along(over_gap(count=0))):
        assert said(curve_figure(designs, "Feed", "")).count("no design has this figure") == 2


def test_same_designs_same_bytes(tmp_path):
    designs = along(over_gap(count=5), best=DesignAt(0, 2))
    assert_same_bytes(lambda: curve_figure(designs, "Feed", "85 kHz"), tmp_path)
