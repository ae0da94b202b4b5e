"""A drawn picture is plain data."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from crosscurrent.postprocess.answers.drawn_picture import DrawnPicture

DRAWN = DrawnPicture("phase", Path("phase-50Hz.png"), Path("phase-50Hz.svg"), "Phase at 50 Hz")


def test_a_chapters_picture_belongs_to_no_frequency() -> None:
    assert DRAWN.frequency is None
    assert DRAWN.message == ""


def test_it_cannot_be_changed_and_goes_through_pickle() -> None:
    with pytest.raises(FrozenInstanceError):
        DRAWN.title = "other"  # type: ignore[misc]
    assert pickle.loads(pickle.dumps(DRAWN)) == DRAWN
