"""A picture on disk, and what it says."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class DrawnPicture:
    """A picture that was drawn.

    Attributes
    ----------
    name : str
        Its kind ("current-density", "phase", ...), or the file stem that its chapter gives it.
    png, svg : Path
    title : str
        What it shows.
    message : str
        What goes with it, without a full stop.
    frequency : float or None
        It belongs to [Hz]; None for those of a chapter.
    """

    name: str
    png: Path
    svg: Path
    title: str
    message: str = ""
    frequency: float | None = None
