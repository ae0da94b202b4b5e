"""What the surface of a work piece gives to its surroundings, round an axis: radiation and moving air, place by place.

Outer surfaces see surroundings of one temperature, whatever stands around: a coil is near that temperature and
reflects, so less is lost than this says. A bore open at both ends sees itself and its two ends: of a wall as warm all
over, A e F / (e + (1 - e) F) counts as black, with F the share that leaves by the ends, from the view between two equal
discs (J. R. Howell's catalogue of view factors, from memory). Its air is taken to stand still. What a closed hollow
loses is nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.axial import on_axis
from crosscurrent.geometries.plane.part import Part

from .convection import SCATTER, ZERO, AirStream, Face, film
from .cooling import STEFAN_BOLTZMANN
from .work_piece import WorkPiece

ABOVE = np.concatenate(([-100.0, -30.0, -10.0, -3.0, -1.0, 0.0, 1.0, 3.0], np.geomspace(10.0, 3000.0, 24)))  # [K]
INWARD = -0.5  # radial part of a normal below which a face looks at the axis
COARSE = 8.0  # directions of curved faces, in parts of the vertical


@dataclass(frozen=True)
class Surroundings:
    """What a work piece stands in.

    Parameters
    ----------
    ambient : float
        Of the air and of all that it radiates to [degC].
    emissivity : float
    coefficient : float, optional
        Of moving air, stated [W/(m2 K)]; None: by correlations.
    upright : bool
        Whether the axis stands upright; else it lies.
    scale : float
        Multiplier on the correlations, for what their scatter allows.
    """

    ambient: float
    emissivity: float
    coefficient: float | None = None
    upright: bool = True
    scale: float = 1.0

    def scattered(self, more: bool) -> Surroundings:
        """With as much more or less of moving air as the correlations' scatter; a stated coefficient stays."""
        return replace(self, scale=1 + SCATTER if more else 1 - SCATTER)


def seen_through_ends(radius: float, length: float, emissivity: float) -> float:
    """Share of black radiation that the wall of a bore loses through both open ends, for one even temperature.

    Examples
    --------
    A long bore loses what its two ends would radiate if black, a short one what an open face of that metal does:

    >>> round(seen_through_ends(0.01, 1.0, 0.5) * 1.0 / 0.01, 2), round(seen_through_ends(1.0, 1e-4, 0.5), 3)
    (0.99, 0.5)
    """
    ratio = length / radius
    between = 2 + ratio**2
    # 1 - (X - sqrt(X^2 - 4)) / 2 without the difference of large numbers
    through = 1 - 2 / (between + math.sqrt(between**2 - 4))
    share = through * radius / length
    return emissivity * share / (emissivity + (1 - emissivity) * share)


@dataclass(frozen=True, eq=False)
class OpenSurface:
    """The surface of a work piece in its surroundings.

    Attributes
    ----------
    piece : WorkPiece
    part : Part
        Of the section, with its breaks.
    boundaries : int
        Number of the first of its outlines among those of the section.
    surroundings : Surroundings
    """

    piece: WorkPiece
    part: Part
    boundaries: int
    surroundings: Surroundings

    @cached_property
    def _outer(self) -> BoolArray:
        """Which edges lie on an outer outline, (m,); the others are in closed hollows."""
        faces = self.piece.elements.mesh.faces[self.piece.surface.edges]
        outlines = self.part.all_outlines
        open_ones = [self.part.shape.outer, *(piece.outer for piece in self.part.pieces)]
        free = np.array([any(one is outer for outer in open_ones) for one in outlines])
        return np.asarray(free[faces[:, 2] - self.boundaries])

    @cached_property
    def _inward(self) -> BoolArray:
        """Which edges look at the axis across a bore, (m,)."""
        return np.asarray(self._outer & (self._normal[:, 0] < INWARD) & (not on_axis(self.part.shape)))

    @cached_property
    def _normal(self) -> FloatArray:
        normal = self.piece.surface.normal.mean(axis=1)
        return np.asarray(normal / np.hypot(*normal.T)[:, None])

    @cached_property
    def black(self) -> FloatArray:
        """Share of black radiation that every place loses, (places,)."""
        s, surface = self.surroundings, self.piece.surface
        share = np.where(self._outer, s.emissivity, 0.0)
        if self._inward.any():
            place, area = surface.place[self._inward], surface.edge_area[self._inward]
            radius = float((place[..., 0].mean(axis=1) * area).sum() / area.sum())
            mesh = self.piece.elements.mesh
            height = float(np.ptp(mesh.points[mesh.faces[surface.edges[self._inward], :2], 1]))
            share[self._inward] = seen_through_ends(radius, height, s.emissivity)
        return np.repeat(share, surface.count)

    @cached_property
    def _groups(self) -> tuple[list[Face], IntArray]:
        """Kinds of faces, and which of them every edge is."""
        low, high = (self.part.bounds[k] for k in range(2))
        outer, height = float(high[0]), float(high[1] - low[1])
        inner = 0.0 if on_axis(self.part.shape) else float(low[0])
        found: list[Face] = []
        number = np.empty(len(self._normal), dtype=np.int64)
        for k, normal in enumerate(self._normal):
            up = round(float(normal[1]) * COARSE) / COARSE
            if not self.surroundings.upright:
                round_face = abs(up) < math.sqrt(0.5)
                face = Face(0.0, 2 * outer if round_face else 0.5 * math.pi * outer, 2 * math.pi * outer, round_face)
            elif abs(up) > math.sqrt(0.5):
                face = Face(up, outer - inner, 2 * math.pi * outer, False)
            else:
                face = Face(up, height, 2 * math.pi * outer, False)
            if face not in found:
                found.append(face)
            number[k] = found.index(face)
        return found, number

    @cached_property
    def _table(self) -> FloatArray:
        """Coefficients of the kinds of faces at temperatures `ABOVE` the surroundings, (kinds, n) [W/(m2 K)]."""
        s = self.surroundings
        if s.coefficient is not None:
            return np.full((len(self._groups[0]), len(ABOVE)), s.coefficient)
        still = AirStream()
        return s.scale * np.array(
            [[film(face, still, s.ambient + above, s.ambient)[0] for above in ABOVE] for face in self._groups[0]]
        )

    def coefficients(self, at_places: FloatArray) -> FloatArray:
        """Of moving air at temperatures of the places [K], by the mean over each kind of face, (places,)."""
        surface, (faces, number) = self.piece.surface, self._groups
        area = np.where(self._outer & ~self._inward, surface.edge_area, 0.0)
        total = np.bincount(number, area, minlength=len(faces))
        mean = np.bincount(number, area * surface.means(at_places), minlength=len(faces)) / np.maximum(total, 1e-300)
        above = mean - self.surroundings.ambient - ZERO
        found = np.array([np.interp(a, ABOVE, row) for a, row in zip(above, self._table, strict=True)])
        return np.repeat(np.where(area > 0, found[number], 0.0), surface.count)

    def given(self, at_places: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Convection and radiation [W/m2], and the slope of their sum [W/(m2 K)], at temperatures of the places [K]."""
        room, film_there = self.surroundings.ambient + ZERO, self.coefficients(at_places)
        radiated = STEFAN_BOLTZMANN * self.black * (at_places**4 - room**4)
        slope = 4 * STEFAN_BOLTZMANN * self.black * np.abs(at_places) ** 3 + film_there
        return film_there * (at_places - room), radiated, slope
