"""The picture of a ladder: both forms over the band, their difference and its bound."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.ladder import ladder_plot
from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.ladder import Ladder

ONE = np.eye(1)
# 1 mohm/m at rest, 2 uH/m of the surfaces, a mode of 10 mohm/m at 1e4 rad/s
EXACT = FosterForm(ONE, np.array([1e3]), 2e-6 * ONE, np.array([1e4]), np.array([[0.1]]))


@pytest.fixture(scope="module")
def figure():
    return ladder_plot(Ladder(EXACT, 50.0, 1e5, 0.002, 0.001), EXACT, ["feed"], "Bench")


def test_axes_say_what_and_in_which_unit(figure) -> None:
    above, below = figure.axes[::2], figure.axes[1::2]
    assert [axes.get_ylabel() for axes in above] == ["R [mΩ/m]", "L [µH/m]"]
    assert {axes.get_ylabel() for axes in below} == {"ladder against sweep [%]"}
    assert {axes.get_xlabel() for axes in below} == {"frequency [Hz]"}
    assert all(axes.get_xscale() == "log" and axes.get_xlim() == (50.0, 1e5) for axes in figure.axes)
    assert [axes.get_title(loc="left").split(";")[0] for axes in below] == ["bound 0.2 %", "bound 0.1 %"]


def test_a_band_within_a_decade_has_figures_beside_it() -> None:
    """Powers of ten alone would leave the axis of 15 to 60 mohm/m bare."""
    form = FosterForm(ONE, np.array([1 / 15e-3]), 2e-6 * ONE, np.array([1e4]), np.array([[math.sqrt(45e-3)]]))
    axes = ladder_plot(Ladder(form, 50.0, 1e5, 0.002, 0.001), form, ["feed"], "Bench").axes[0]
    low, high = axes.get_ylim()
    told = [t.get_text() for t in axes.yaxis.get_ticklabels() if low <= t.get_position()[1] <= high]
    assert told == ["20", "50"]


def test_figures_beside_a_narrow_scale_differ() -> None:
    form = FosterForm(ONE, np.array([1e3]), 8.24e-7 * ONE, np.array([1e6]), np.array([[0.06]]))
    axes = ladder_plot(Ladder(form, 50.0, 1e6, 0.002, 0.001), form, ["feed"], "Bench").axes[2]
    low, high = axes.get_ylim()
    told = [t.get_text() for t in axes.yaxis.get_ticklabels() if low <= t.get_position()[1] <= high]
    assert len(set(told)) == len(told) > 2


def test_curves_hold_the_closed_form(figure) -> None:
    """One mode r at rate p: R = R0 + r w^2 / (w^2 + p^2), L = L0 + r p / (w^2 + p^2)."""
    for axes, rest, rise in ((figure.axes[0], 1.0, None), (figure.axes[2], 2.0, 1e-2 * 1e4)):
        line, dots = axes.lines[:2]  # then come the ticks
        omega = 2 * np.pi * np.asarray(line.get_xdata())
        share = (10.0 * omega**2 if rise is None else 1e6 * rise) / (omega**2 + 1e8)  # in m and u
        np.testing.assert_allclose(line.get_ydata(), rest + share, rtol=1e-9)
        assert set(dots.get_xdata()) < set(line.get_xdata())


def test_the_same_form_differs_by_nothing_and_its_corner_is_marked(figure) -> None:
    for axes in figure.axes[1::2]:
        np.testing.assert_allclose(axes.lines[0].get_ydata(), 0.0, atol=1e-9)
        assert any(line.get_marker() == "|" and line.get_xdata() == pytest.approx([1e4 / (2 * np.pi)])
                   for line in axes.lines)  # fmt: skip
