"""The picture of a measurement: its panels, and that nothing is left out of them."""

from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.measured import measured_figure
from crosscurrent.postprocess.topics.measured import MeasuredAnswer
from crosscurrent.solver.meter.overlay import Overlay
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.run_impedance import RunImpedance


def answer(rows: int, factor: float, band: float = 0.0):
    f, zero = np.geomspace(1e3, 1e5, rows), np.zeros(rows)
    z = 1e-3 + 2j * np.pi * f * 1e-6
    known = replace(RunImpedance(f, z, *6 * (zero,)), resistance_band=zero + band)
    reading = MeterReading(frequencies=f, resistance=factor * z.real, reactance=z.imag, gain=zero + 0.01, angle=zero,
                           floor=zero, noise_resistance=zero, noise_reactance=zero, ranges=zero.astype(int), length=2.0)
    return MeasuredAnswer("bench.csv", "feed", Overlay(reading, known), known, ())


@pytest.mark.parametrize("rows", [1, 2, 21, 200])
def test_all_points_and_residuals_are_inside(rows: int) -> None:
    figure = measured_figure(answer(rows, 1.1, 1e-5), "bench")
    assert [axes.get_title(loc="left") for axes in figure.axes[:3]] == ["R [m\u03a9]", "L [\u00b5H]", "Q"]
    for axes, shown in zip(figure.axes[3:5], (0.1 / 0.011, 0.0), strict=True):
        low, high = axes.get_ylim()
        assert low < shown < high
    words = [text.get_text() for axes in figure.axes for text in axes.texts]
    assert "band of the tolerances" in words


def test_far_apart_is_drawn_too_and_without_a_band_none_is_named() -> None:
    figure = measured_figure(answer(21, 5.0), "bench")
    assert figure.axes[3].get_yscale() == "symlog"
    assert figure.axes[3].get_ylim()[1] > 4 / 0.05
    assert "band of the tolerances" not in [t.get_text() for axes in figure.axes for t in axes.texts]


def test_a_resistance_below_zero_is_drawn() -> None:
    figure = measured_figure(answer(21, -1.0), "bench")
    assert figure.axes[0].get_yscale() == "linear"
