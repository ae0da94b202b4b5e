"""The chapters of a result: every further question that a case file can ask, in the order they are answered."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from ..postprocess.chapter import Chapter
from . import hand_formula

if TYPE_CHECKING:
    from .run import Result

# Each takes the solved case and returns None where the case file does not ask.
CHAPTERS: tuple[Callable[[Result], Chapter | None], ...] = (hand_formula.chapter,)


def chapters_of(result: Result) -> tuple[Chapter, ...]:
    """All chapters the case asks for."""
    return tuple(chapter for ask in CHAPTERS if (chapter := ask(result)) is not None)
