"""What a workshop drawing consists of, whatever file it goes into. Millimetres, y up."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline

DIMENSIONS, NOTES, WARNINGS = "DIMENSIONS", "NOTES", "WARNINGS"
INCH = 25.4  # [mm]
LETTER = 0.74  # mean width of a letter as a fraction of its height
FINEST = 4  # decimals of a millimetre
EDGE = 1.0  # room around everything, in heights of the text
Point = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Hatch:
    """A conductor's outlines, its holes among them [mm]."""

    layer: str
    outlines: tuple[Outline, ...]


@dataclass(frozen=True)
class Polyline:
    """A chain of straight lines; filled when it is an arrow head."""

    layer: str
    points: tuple[Point, ...]
    filled: bool = False


@dataclass(frozen=True)
class Label:
    """A line of text with its base line at a point."""

    layer: str
    at: Point
    text: str
    height: float
    anchor: Literal["start", "middle", "end"] = "start"
    upright: bool = False  # read from the right, along y

    @property
    def corners(self) -> list[Point]:
        """The box around it, roughly."""
        length = LETTER * self.height * len(self.text)
        shift = {"start": 0.0, "middle": -length / 2, "end": -length}[self.anchor]
        x, y = self.at
        if self.upright:
            return [(x - self.height, y + shift), (x, y + shift + length)]
        return [(x + shift, y), (x + shift + length, y + self.height)]


@dataclass(eq=False)
class Sheet:
    """Everything on the drawing; `height` is that of its text [mm]."""

    title: str
    height: float
    hatches: list[Hatch] = field(default_factory=list)
    lines: list[Polyline] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    @property
    def bounds(self) -> FloatArray:
        """Lower left and upper right corner of the box around everything, (2, 2) [mm]."""
        points = [p for line in self.lines for p in line.points] + [c for label in self.labels for c in label.corners]
        boxes = [o.bounds for metal in self.hatches for o in metal.outlines]
        every = np.concatenate([*boxes, np.array(points).reshape(-1, 2)])
        return np.array([every.min(axis=0), every.max(axis=0)])

    @property
    def size(self) -> FloatArray:
        """Width and height of its page, (2,) [mm]."""
        low, high = self.bounds
        return np.asarray(high - low + 2 * EDGE * self.height)

    def line(self, layer: str, *points: Point) -> None:
        """Draw straight lines."""
        self.lines.append(Polyline(layer, points))

    def arrow(self, tip: Point, away: Point) -> None:
        """An arrow head at `tip` whose shaft comes from the direction of `away`."""
        d = np.array(away) - np.array(tip)
        d = d / max(float(np.hypot(*d)), 1e-300) * self.height
        side = 0.18 * np.array([-d[1], d[0]])
        corners = [np.array(tip), np.array(tip) + d + side, np.array(tip) + d - side]
        self.lines.append(Polyline(DIMENSIONS, tuple((float(x), float(y)) for x, y in corners), filled=True))

    def text(self, layer: str, at: Point, text: str, anchor: Literal["start", "middle", "end"] = "start") -> None:
        """Write a line of text."""
        self.labels.append(Label(layer, at, text, self.height, anchor))


def both(millimetres: float) -> str:
    """A length in mm, to a tenth of a micrometre, with thou in brackets, from an inch on with inches.

    Examples
    --------
    >>> both(6.35), both(240.0), both(1.846882), both(25.4 / 16)
    ('6.35 (250)', '240 (9.449 in)', '1.8469 (72.71)', '1.5875 (62.5)')
    """
    inches = millimetres / INCH
    return f"{round(millimetres, FINEST):.6g} ({f'{inches:.4g} in' if inches >= 1 else f'{1e3 * inches:.4g}'})"
