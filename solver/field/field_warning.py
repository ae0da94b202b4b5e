"""What the reader of a solution must know before using its numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FieldWarning:
    """A warning of one frequency; over several frequencies those of the same kind about the same thing are told once.

    Attributes
    ----------
    kind : str
        What is warned of, in a word or two: "accuracy", "saturation" ...
    text : str
        The whole warning, without a full stop.
    about : str
        The conductor or circuit; empty for the whole section.
    weight : float
        How bad it is, where several of a kind are not alike: the worst is the one that is told.
    """

    kind: str
    text: str
    about: str = ""
    weight: float = 0.0
