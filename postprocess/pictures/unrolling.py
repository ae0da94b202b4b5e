"""A conductor unrolled: every bit of metal by its place along the outline and its depth below it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import Sides
from crosscurrent.postprocess.answers.bisectors import nearest_sides
from crosscurrent.postprocess.answers.face_names import face_names

GAP = 0.04  # between the outer outline and a bore, in shares of the whole length


@dataclass(frozen=True, eq=False)
class UnrolledFace:
    """A stretch of the axis: where it begins and ends [m], and its name."""

    name: str
    start: float
    end: float


class Unrolled:
    """The outlines of a part laid end to end.

    Attributes
    ----------
    part : Part
    axial : bool
        Whether it stands in a section round an axis: of a part that lies on it only the right half is unrolled.
    length : float
        Of the axis of the picture [m], with a gap before every bore.
    faces : list of UnrolledFace
    """

    def __init__(self, part: Part, *, axial: bool = False) -> None:
        self._part = part
        self._sides = Sides.of(*part.all_outlines)
        self._wall = np.repeat(np.arange(len(part.all_outlines)), [len(o.points) for o in part.all_outlines])
        gap = GAP * sum(o.perimeter for o in part.all_outlines)
        # sides left of the axis of a part across it are the same as those on its right
        lengths = self._lengths = np.where(axial & (self._sides.middle[:, 0] < 0), 0.0, self._sides.length)
        self._start = np.concatenate(([0.0], np.cumsum(lengths)[:-1])) + gap * self._wall
        self.length = float(self._start[-1] + lengths[-1])
        names, label, _ = face_names(part, axial=axial)
        self.faces: list[UnrolledFace] = []
        for k, start in enumerate(self._start):
            if not lengths[k]:
                continue
            end = float(start + lengths[k])
            joined = k and label[k] == label[k - 1] and self._wall[k] == self._wall[k - 1]
            if joined:
                self.faces[-1] = UnrolledFace(self.faces[-1].name, self.faces[-1].start, end)
            else:
                self.faces.append(UnrolledFace(names[label[k]], float(start), end))

    def span(self, outline: int) -> tuple[float, float]:
        """Where an outline begins and ends on the axis [m]."""
        own = np.flatnonzero(self._wall == outline)
        return float(self._start[own[0]]), float(self._start[own[-1]] + self._lengths[own[-1]])

    def along(self, outline: int, places: FloatArray) -> FloatArray:
        """Where places (m, 2) [m] on one outline lie on the axis, (m,) [m]."""
        own: Outline = self._part.all_outlines[outline]
        side, _ = nearest_sides((own,), places)
        return self.unrolled(side + int(np.flatnonzero(self._wall == outline)[0]), places)[:, 0]

    def side_of(self, places: FloatArray) -> tuple[IntArray, FloatArray]:
        """Nearest side of places (m, 2) [m] and the distance from it [m]."""
        return nearest_sides(self._part.all_outlines, places)

    def unrolled(self, side: IntArray, places: FloatArray) -> FloatArray:
        """Axis and depth below the surface, (m, 2) [m], of places counted to given sides."""
        s = self._sides
        chord = s.end - s.start
        ahead = chord / np.hypot(*chord.T)[:, None]
        from_start = places - s.start[side]
        along = (from_start * ahead[side]).sum(axis=1)
        depth = ahead[side, 0] * from_start[:, 1] - ahead[side, 1] * from_start[:, 0]
        arc = s.curved[side]
        if arc.any():
            along[arc], depth[arc] = self._on_arcs(side[arc], places[arc])
        coats = sum(self._part.coats)
        depth = np.where(self._wall[side] == 0, depth + coats, -depth)
        return np.column_stack((self._start[side] + np.clip(along, 0, self._lengths[side]), depth))

    def _on_arcs(self, side: IntArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
        s = self._sides
        middle = s.middle[side] - s.centre[side]
        spoke = places - s.centre[side]
        cross = middle[:, 0] * spoke[:, 1] - middle[:, 1] * spoke[:, 0]
        turn = np.arctan2(cross, (middle * spoke).sum(axis=1)) * np.sign(s.sweep[side])
        along = s.length[side] / 2 + turn * s.radius[side]
        return along, (s.radius[side] - np.hypot(*spoke.T)) * np.sign(s.sweep[side])
