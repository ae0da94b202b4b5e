"""The picture of a diagnosis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from meter_benches import known, made

from crosscurrent.postprocess.pictures.diagnosis import diagnosis_figure
from crosscurrent.solver.meter.diagnose import diagnose

COAX = 2


def test_lines_are_what_the_causes_make_of_the_difference():
    found = diagnose(made(COAX, {"contact": 3e-4, "leads": 6e-8}, np.random.default_rng(18)).reading, known(COAX)[2])
    axes = diagnosis_figure(found, "coaxial run").axes
    whole = max((line for line in axes[0].lines if len(line.get_xdata()) == len(found.frequencies)),
                key=lambda line: line.get_linewidth())  # fmt: skip
    expected = 100 * (found.explanations[0].resistance / found.resistance - 1)
    assert np.asarray(whole.get_ydata()) == pytest.approx(expected)
    assert len(axes) == 5
    diagnosis_figure(replace(found, explanations=()), "coaxial run")
