"""Which windows of a section a picture shows: all of it, far apart parts by themselves, long thin parts in pieces."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part

from .style import plain

FAR = 1.5  # parts farther apart than this many times their size get panels of their own
SPECK = 40  # so does a part this many times smaller than what it stands with, some way off
LONGEST, ROW = 25.0, 18.0  # aspect beyond which a window is folded into rows, and of a row at most
FOLDS = 4
PAPER = np.array([5.0, 2.75])  # about the room a map has [in]


@dataclass(frozen=True, eq=False)
class View:
    """One window of the section: its corners (2, 2) [m] and what to say above it."""

    window: FloatArray
    caption: str = ""
    apart: bool = False  # whether other parts, far away, are shown in other views

    @property
    def extent(self) -> FloatArray:
        """Width and height, (2,) [m]."""
        return np.asarray(self.window[1] - self.window[0])

    @property
    def aspect(self) -> float:
        """Width over height."""
        return float(self.extent[0] / self.extent[1])

    def shows(self, place: FloatArray) -> bool:
        """Whether a place (2,) [m] lies in it."""
        return bool(((self.window[0] <= place) & (place <= self.window[1])).all())


def groups(parts: Sequence[Part]) -> list[list[int]]:
    """Parts that stand together, by number; far apart ones fall into different groups.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> groups([Part(name, round_bar(0.01).placed((x, 0.0))) for name, x in (("a", 0.0), ("b", 0.02), ("c", 0.3))])
    [[0, 1], [2]]
    """
    found = [[k] for k in range(len(parts))]
    boxes = [p.bounds for p in parts]
    sides = [p.bounds for p in parts]
    merged = True
    while merged:
        merged = False
        for a in range(len(found)):
            for b in range(a + 1, len(found)):
                if _together(boxes[a], boxes[b]):
                    found[a] += found.pop(b)
                    boxes[a] = _around([sides[k] for k in found[a]])
                    boxes.pop(b)
                    merged = True
                    break
            if merged:
                break
    return [sorted(g) for g in found]


def _together(a: FloatArray, b: FloatArray) -> bool:
    gap = float(np.hypot(*np.maximum(0, np.maximum(a[0] - b[1], b[0] - a[1]))))
    small, large = sorted(float(np.hypot(*(box[1] - box[0]))) for box in (a, b))
    speck = gap > 4 * small and gap + large > SPECK * small
    return gap <= FAR * large and not speck


def _around(boxes: Sequence[FloatArray]) -> FloatArray:
    every = np.array(boxes)
    return np.array([every[:, 0].min(axis=0), every[:, 1].max(axis=0)])


def group_windows(parts: Sequence[Part], margin: float) -> list[View]:
    """One window for each group of parts, with a margin in shares of its longer side; those without a name unnamed."""
    grouped = groups(parts)
    if len(grouped) == 1:
        return [whole_window(parts, margin)]
    found = []
    for members in grouped:
        names = ", ".join(parts[k].name for k in members if parts[k].name)
        window = whole_window([parts[k] for k in members], margin).window
        view = View(window, apart=True)
        found.append(replace(view, caption=f"{names} at {middle_text(view)}"))
    return found


def middle_text(view: View, *, axial: bool = False) -> str:
    """Where the middle of a window lies.

    Examples
    --------
    >>> middle_text(View(np.array([[0.01, 0.0], [0.03, 0.01]])), axial=True)
    'r = 20, z = 5 mm'
    """
    x, y = (_mm(v) for v in view.window.mean(axis=0))
    return f"r = {x}, z = {y} mm" if axial else f"({x}, {y}) mm"


def whole_window(parts: Sequence[Part], margin: float) -> View:
    """One window around some parts, their coats included, with a margin in shares of its longer side."""
    box = _around([p.bounds + sum(p.coats) * np.array([[-1], [1]]) for p in parts])
    extent = box[1] - box[0]
    # little air above and below a thin strip if little is wanted, so that the strip stays the picture
    room = margin * extent.max() if margin > 0.1 else min(margin * extent.max(), 0.4 * extent.min())
    return View(box + np.array([[-room], [room]]))


def _mm(length: float) -> str:
    return plain(round(float(length) * 1e3, 6), 4)


def folded(view: View, *, axial: bool = False) -> list[View]:
    """A long thin window in pieces that follow one another; others as they are."""
    long = int(view.extent.argmax())
    ratio = float(view.extent[long] / view.extent[1 - long])
    if ratio <= LONGEST:
        return [view]
    pieces = min(FOLDS, math.ceil(ratio / ROW))
    cuts = np.linspace(view.window[0, long], view.window[1, long], pieces + 1)
    found = []
    for k in range(pieces):
        window = view.window.copy()
        window[:, long] = cuts[k : k + 2]
        span = f"{('rz' if axial else 'xy')[long]} = {_mm(cuts[k])} to {_mm(cuts[k + 1])} mm"
        text = f"{view.caption.rsplit(' at ')[0]}: {span}" if view.caption else span
        found.append(View(window, text, view.apart))
    return found


