"""Which cautions stand on which answers."""

from __future__ import annotations

import pytest
from made_answers import conductor, point

from crosscurrent.postprocess.answers.cautions import (
    ALWAYS,
    FORCE,
    HIGH_FREQUENCY,
    PARALLEL,
    PLATING,
    RESONANCE,
    STEEL,
    cautions,
)


def said(frequency: float, **more: bool) -> set[str]:
    flags = {"parallel": False, "magnetic": False, "plated": False} | more
    return set(cautions([point(50.0), point(frequency)], **flags)) - set(ALWAYS) - {FORCE}


@pytest.mark.parametrize(
    ("frequency", "expected"),
    [(999.0, set()), (1e3, {RESONANCE}), (2999.0, {RESONANCE}), (3e3, {RESONANCE, HIGH_FREQUENCY})],
)
def test_frequencies(frequency: float, expected: set[str]) -> None:
    assert said(frequency) == expected


def test_designs() -> None:
    assert said(50.0, parallel=True) == {PARALLEL}
    assert said(50.0, magnetic=True) == {STEEL}
    assert said(50.0, plated=True) == {PLATING}


def test_forces_from_one_newton_a_metre() -> None:
    assert FORCE in cautions([point(50.0)], parallel=False, magnetic=False, plated=False)  # 4 N/m
    light = point(50.0, conductors=(conductor(),))
    object.__setattr__(light.conductors["rod"], "force", (0.5, -1.0))
    assert FORCE not in cautions([light], parallel=False, magnetic=False, plated=False)
