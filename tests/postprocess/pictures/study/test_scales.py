"""Axes in units that are read, and amounts in words."""

import math

import numpy as np
import pytest
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.study.data import StudyScale
from crosscurrent.postprocess.pictures.study.scales import ShownScale, brief, words


@pytest.mark.parametrize(
    ("unit", "largest", "shown", "factor"),
    [
        ("m", 8e-3, "mm", 1e3), ("m", 2e-5, "µm", 1e6), ("m", 0.4, "mm", 1e3), ("ohm/m", 2e-6, "µΩ/m", 1e6),
        ("H/m", 3e-7, "nH/m", 1e9), ("W/m", 1500.0, "kW/m", 1e-3), ("kg/m", 0.2, "g/m", 1e3),
        ("kg/m", 5.0, "kg/m", 1.0),
        ("degC", 900.0, "°C", 1.0), ("EUR/m", 5000.0, "EUR/m", 1.0), ("", 4.0, "", 1.0), ("A/m2", 2e6, "A/mm²", 1e-6),
    ],
)  # fmt: skip
def test_units(unit, largest, shown, factor):
    found = ShownScale.of(StudyScale("x", unit), np.array([0.1 * largest, np.nan, largest]))
    assert found.unit == shown
    assert found.factor == pytest.approx(factor)


def test_a_value_not_above_zero_stands_against_a_logarithmic_axis():
    scale = StudyScale("loss", "W/m", by_ratios=True)
    assert ShownScale.of(scale, np.array([1.0, 2.0])).by_ratios
    assert not ShownScale.of(scale, np.array([0.0, 2.0])).by_ratios
    assert not ShownScale.of(scale, np.array([np.nan])).by_ratios


def test_spans_hold_the_values_and_what_is_near():
    shown = ShownScale.of(StudyScale("loss", "W/m"), np.array([10.0, 20.0]))
    low, high = shown.span(np.array([10.0, 20.0]), [25.0, 90.0, np.nan])
    assert low < 10 < 25 < high < 90
    low, high = shown.span(np.array([10.0]))
    assert (low, high) == pytest.approx((9.0, 11.0))
    assert shown.span(np.array([0.0])) == (-1.0, 1.0)


def test_axes_have_round_ticks():
    axes = Figure().add_subplot()
    values = np.array([2e-3, 4e-2])
    ShownScale.of(StudyScale("gap", "m", True), values).along(axes.xaxis, values)
    ShownScale.of(StudyScale("bars", ""), np.array([2.0, 4.0])).along(axes.yaxis, np.array([2.0, 4.0]))
    assert axes.get_xscale() == "log"
    low, high = axes.get_xlim()
    assert low < 2 < 40 < high
    assert set(axes.get_xticks()) >= {2.0, 5.0, 10.0, 20.0}
    assert all(tick == round(tick) for tick in axes.get_yticks())


@pytest.mark.parametrize(
    ("low", "high"), [(228.18, 228.26), (9999.9, 10000.4), (0.0, 1e-3), (-3.0, -2.9999), (5.0, 5.0)]
)
def test_no_two_ticks_read_alike(low, high):
    axes = Figure().add_subplot()
    values = np.array([low, high])
    ShownScale.of(StudyScale("loss", "EUR/m"), values).along(axes.yaxis, values)
    told = [axes.yaxis.get_major_formatter()(tick) for tick in axes.get_yticks()]
    assert len(set(told)) == len(told) > 2


def test_long_titles_put_the_unit_below():
    shown = ShownScale.of(StudyScale("largest temperature of all", "degC"), np.array([50.0]))
    assert shown.title(40) == "largest temperature of all [°C]"
    assert shown.title(20) == "largest temperature…\n[°C]"


def test_amounts():
    assert words(StudyScale("gap", "m"), math.nan) == "not known"
    assert brief(StudyScale("L", "H/m"), 2.5e-7) == "250 nH/m"
    assert brief(StudyScale("x", "m"), -0.002) == "\u22122 mm"
    assert brief(StudyScale("plating", "m"), 8e-6) == "8 µm"
    assert words(StudyScale("cost", "EUR/m"), 12.5) == "12.5 EUR/m"


def test_rounding_is_not_spread_over_an_axis():
    """Designs of the same mass, to the last digits."""
    low, high = ShownScale.of(StudyScale("mass", "kg/m"), np.array([71.12])).span(np.array([71.12, 71.12 + 1e-13]))
    assert (low, high) == pytest.approx((0.9 * 71.12, 1.1 * 71.12))
