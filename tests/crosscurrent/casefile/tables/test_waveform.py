"""[waveform]: harmonics by order or frequency, or a file."""

from __future__ import annotations

from typing import Any

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.waveform import HarmonicTable, WaveformTable

FIRST: dict[str, Any] = {"order": 1, "current": "10 A"}


def test_harmonics_rise_in_the_spectrum() -> None:
    third = {"order": 3, "current": "3 A", "phase": "90 deg"}
    found = WaveformTable.model_validate({"frequency": "50 Hz", "harmonics": [third, FIRST]}).given
    assert found.frequency.tolist() == [50, 150]
    assert found.phasors == pytest.approx([10, 3j])


def test_what_does_not_fit_together() -> None:
    assert refused(HarmonicTable, current="1 A") == ("either order or frequency", "neither")
    assert refused(WaveformTable)[1] == "neither"
    assert refused(WaveformTable, harmonics=[FIRST])[0] == "the frequency with which the current repeats"
    twice = [FIRST, {"frequency": "50 Hz", "current": "1 A"}]
    assert refused(WaveformTable, frequency="50 Hz", harmonics=twice)[1] == "50 Hz a second time"
