"""The picture of a waveform: two periods of the current, shares of its square and of the loss."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.waveform import waveform_plot
from crosscurrent.solver.time.harmonics import HarmonicLoss
from crosscurrent.solver.time.spectrum import Samples, Spectrum


@pytest.fixture(scope="module")
def axes():
    """40 A of the first harmonic lose 16 W/m, 30 A of the third 48 W/m."""
    spectrum = Spectrum(np.array([50.0, 150.0]), np.array([40.0 + 0j, 30.0 + 0j]))
    each = spectrum.phasors[:, None]
    loss = HarmonicLoss(spectrum, 1, np.array([[16.0], [48.0]]), np.array([[0.1], [0.2]]), 0.0, each, np.zeros((2, 1)))
    samples = Samples(np.array([0.0, 0.005]), np.array([99.0, 0.0]), 0.02)
    return waveform_plot(loss, samples, ["feed"], "Choke").axes


def test_two_periods_of_momentary_current(axes) -> None:
    above = axes[0]
    curve = next(line for line in above.lines if len(line.get_xdata()) > 1000)
    time, current = np.asarray(curve.get_xdata()), np.asarray(curve.get_ydata())
    assert above.get_xlim() == pytest.approx((0, 0.04))
    wave = 40 * np.cos(100 * np.pi * time) + 30 * np.cos(300 * np.pi * time)
    np.testing.assert_allclose(current, np.sqrt(2) * wave, atol=1e-9)
    assert above.get_title(loc="left") == "current, dots: samples (momentary values)"
    assert above.xaxis.get_major_formatter()(0.02) == "20 ms"
    assert above.yaxis.get_major_formatter()(50.0) == "50 A"


def test_the_samples_repeat_with_the_period(axes) -> None:
    dots = next(line for line in axes[0].lines if line.get_marker() == ".")
    np.testing.assert_allclose(np.asarray(dots.get_xdata())[2:6], [0.0, 0.005, 0.02, 0.025], atol=1e-15)
    np.testing.assert_array_equal(dots.get_ydata(), 4 * [99.0, 0.0])


def test_bars_are_shares_in_per_cent(axes) -> None:
    below = axes[1]
    np.testing.assert_allclose([bar.get_height() for bar in below.patches], [64.0, 36.0, 25.0, 75.0])
    assert [t.get_text() for t in below.get_xticklabels()] == ["50 Hz", "150 Hz"]
    assert [t.get_text() for t in below.get_legend().get_texts()] == [
        "share of the square of the current", "share of the loss",
    ]  # fmt: skip
    assert axes[0].figure.texts[0].get_text() == "Choke"
    assert "50.00 A rms" in axes[0].figure.texts[1].get_text()
