"""[fault]: forms of a short-circuit current, and the band of its model."""

from __future__ import annotations

import math

import numpy as np
import pytest
from pydantic import ValidationError
from table_rows import refused

from crosscurrent.casefile.tables.fault import FaultTable

OFFSET = {"current": "20 kA", "frequency": "50 Hz", "duration": "100 ms"}


def test_the_decay_by_either_figure() -> None:
    """X / R = w L / R = w tau."""
    assert FaultTable.model_validate(OFFSET | {"x_over_r": 4 * math.pi}).decay == pytest.approx(0.04)
    assert FaultTable.model_validate(OFFSET | {"time_constant": "40 ms"}).decay == 0.04


def test_the_band_of_the_model() -> None:
    found = FaultTable.model_validate(OFFSET | {"time_constant": "40 ms"})
    assert (found.low, found.high) == (pytest.approx(1 / (2 * math.pi * 0.1)), 10e3)
    step = FaultTable.model_validate({"form": "step", "current": "1 kA", "duration": "1 s"})
    assert step.high == pytest.approx(1e5 / (2 * math.pi))


HALF = {"form": "half-sine", "frequency": "50 Hz", "duration": "20 ms"}


def test_a_half_sine_may_last_just_its_half_wave() -> None:
    """100 us are half a period of 5 kHz, however they round."""
    half = HALF | {"circuit": ["feed"], "crest": "10 kA", "frequency": "5 kHz", "duration": "100 us"}
    assert FaultTable.model_validate(half).duration == pytest.approx(1e-4)


def test_a_half_sine_by_its_crest_is_the_one_by_its_rms() -> None:
    """The crest of a sine is the root of 2 times its rms."""
    by_crest = FaultTable.model_validate(HALF | {"crest": "28.284271247461902 kA"})
    by_rms = FaultTable.model_validate(HALF | {"current": "20 kA"})
    assert by_crest.rms == pytest.approx(20e3, rel=1e-15)
    assert by_rms.rms == 20e3
    currents = [table.excitation(-math.pi / 2).current(np.array([5e-3, 15e-3])) for table in (by_crest, by_rms)]
    assert currents[0] == pytest.approx(currents[1], rel=1e-14)
    assert currents[0][0] == pytest.approx(28284.271247461902, rel=1e-14)


def test_one_current_and_no_more() -> None:
    either = "either current, which is rms, or the crest of a half-sine"
    assert refused(FaultTable, **HALF) == (either, "neither")
    assert refused(FaultTable, **HALF, current="1 kA", crest="2 kA") == (either, "both")
    assert refused(FaultTable, **HALF, crest="0 A")[1] == "0 A"
    only = 'crest only with form = "half-sine"'
    step = {"form": "step", "duration": "1 s"}
    assert refused(FaultTable, **step, crest="1 kA") == (only, 'form = "step"')
    assert refused(FaultTable, **OFFSET, crest="1 kA", x_over_r=3) == (only, 'form = "offset"')


def test_a_missing_frequency_is_told_with_what_else_is_missing() -> None:
    with pytest.raises(ValidationError) as caught:
        FaultTable.model_validate({"form": "half-sine"})
    assert [error["loc"] for error in caught.value.errors()] == [("crest",), ("frequency",), ("duration",)]


def test_what_does_not_fit_together() -> None:
    assert refused(FaultTable, **OFFSET) == ("either time_constant or x_over_r of the offset", "neither")
    assert refused(FaultTable, current="0 A", frequency="50 Hz", duration="1 s")[1] == "0 A"
    step = {"form": "step", "current": "1 kA", "duration": "1 s"}
    assert refused(FaultTable, **step, frequency="50 Hz")[1] == "frequency"
    half = {"form": "half-sine", "current": "1 kA", "frequency": "50 Hz"}
    assert refused(FaultTable, **half, duration="9 ms")[0] == "a duration of at least the half-wave"
    assert refused(FaultTable, **half, duration="20 ms", x_over_r=3)[1] == "x_over_r"
