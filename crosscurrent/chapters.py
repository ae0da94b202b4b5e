"""The chapters of a result: every further question that a case file can ask, in the order they are answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from ..postprocess.chapter import Chapter
from . import (
    cooling,
    duty,
    fault,
    filed,
    force,
    hand_formula,
    joints,
    ladder,
    limits,
    money,
    strayfield,
    sweeping,
    voltage,
    water,
    waveform,
)

if TYPE_CHECKING:
    from .run import Result

# Each takes the solved case and returns None where the case file does not ask.
CHAPTERS: tuple[Callable[[Result], Chapter | None], ...] = (
    sweeping.chapter,
    cooling.chapter,
    duty.chapter,
    water.chapter,
    voltage.chapter,
    force.chapter,
    strayfield.chapter,
    joints.chapter,
    money.chapter,
    waveform.chapter,
    fault.chapter,
    ladder.chapter,
    filed.chapter,
    hand_formula.chapter,
)


def chapters_of(result: Result) -> tuple[Chapter, ...]:
    """All chapters the case asks for, the verdict on its limits first."""
    others = others_of(result)
    verdict = limits.chapter(result, others)
    return others if verdict is None else (verdict, *others)


def others_of(result: Result) -> tuple[Chapter, ...]:
    """All chapters but the verdict."""
    return tuple(chapter for ask in CHAPTERS if (chapter := ask(result)) is not None)
