"""What a kind of picture of one solution declares."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from matplotlib.figure import Figure

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.solver.field.solution import Solution

from .scene import Scene


@dataclass(frozen=True)
class PictureKind:
    """A kind of picture; each module of `kinds` has one under the name KIND.

    Attributes
    ----------
    key : str
        Names its files: key-85kHz.png.
    order : float
        Pictures are drawn and shown from the lowest up.
    title : str
        What it shows, without the frequency.
    draw : callable
        From the scene to the figure.
    message : callable
        What it says of the answers it shows, without a full stop.
    suits : callable
        Whether a solution has what it shows.
    """

    key: str
    order: float
    title: str
    draw: Callable[[Scene], Figure]
    message: Callable[[Answers], str]
    suits: Callable[[Solution], bool] = lambda solution: True
