"""A part: one conductor's place in the section, as a name, outlines and the thicknesses of its coats.

The ground floor knows nothing of fields.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import BoolArray, FloatArray

from .inscribed import holds_circle, inscribed_radius, sure_radius
from .outline import Outline
from .shapes import Shape

RESOLVABLE = 1e-7  # thinnest metal, as a fraction of the section's size
NARROWEST = 5e-6  # narrowest gap, as a fraction of the smaller part's size


@dataclass(frozen=True, eq=False)
class Part:
    """One conductor's place in the section.

    Parameters
    ----------
    name : str
    shape : Shape
        Outlines where they stand in the section [m].
    coats : tuple of float
        Thicknesses [m] of the layers deposited on the outer outline, the one next to the base metal first.
    bore_coats : tuple of float
        The same in all holes.
    pieces : tuple of Shape
        Further outlines pressed against this one or each other: one conductor of several metals [m].
    """

    name: str
    shape: Shape
    coats: tuple[float, ...] = ()
    bore_coats: tuple[float, ...] = ()
    pieces: tuple[Shape, ...] = ()

    @property
    def outlines(self) -> tuple[Outline, ...]:
        """The outer outline of the base metal and its holes."""
        return (self.shape.outer, *self.shape.holes)

    @cached_property
    def all_outlines(self) -> tuple[Outline, ...]:
        """Its outlines and those of its pieces, in the order of the mesh's boundaries."""
        return (*self.outlines, *(o for piece in self.pieces for o in (piece.outer, *piece.holes)))

    @cached_property
    def bounds(self) -> FloatArray:
        """Lower left and upper right corner of the box around its outlines, coats left out, (2, 2) [m]."""
        boxes = np.array([o.bounds for o in self.all_outlines])
        return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])

    @property
    def layers(self) -> tuple[float, ...]:
        """Thicknesses of all its layers, those in the bores last [m]."""
        return (*self.coats, *self.bore_coats)

    def alike(self, other: Part) -> bool:
        """Whether another has the same outlines and layers, to the last digit."""
        return self is other or self._digits == other._digits

    @cached_property
    def _digits(self) -> tuple[object, ...]:
        """All that `alike` compares; 0 and -0 are the same."""
        outlines = tuple(((o.points + 0.0).tobytes(), (o.bulges + 0.0).tobytes()) for o in self.all_outlines)
        return self.coats, self.bore_coats, outlines

    @cached_property
    def area(self) -> float:
        """Area of the base metal and its pieces, without coats [m2]."""
        return sum(s.area for s in (self.shape, *self.pieces))

    @cached_property
    def inscribed_radius(self) -> float:
        """Radius of the largest circle inside the outer outline of the base metal, holes left out of account [m]."""
        return inscribed_radius(self.shape.outer)

    @cached_property
    def inscribed_at_least(self) -> float:
        """What `inscribed_radius` is not below, found without the search that it takes [m]."""
        return sure_radius(self.shape.outer) * (1 - 1e-9)

    @cached_property
    def inscribed_at_most(self) -> float:
        """What `inscribed_radius` is not above, found at once from box, area and perimeter [m]."""
        outer = self.shape.outer
        bounds = [0.5 * float(np.ptp(outer.bounds, axis=0).min()), math.sqrt(outer.area / math.pi)]
        if outer.is_convex:  # the area is half the integral of the distance of the sides from the circle's middle
            bounds.append(2 * outer.area / outer.perimeter)
        return min(bounds) * (1 + 1e-9)

    def fits(self, radius: float) -> bool:
        """Whether a circle of a radius [m] smaller than the largest one fits inside the outer outline.

        Examples
        --------
        >>> from crosscurrent.geometries.plane.shapes import bar
        >>> rail = Part("rail", bar(4.0, 2.0))
        >>> rail.fits(0.9), rail.fits(1.1)
        (True, False)
        """
        if radius >= self.inscribed_at_most:
            return False
        return radius < self.inscribed_at_least or holds_circle(self.shape.outer, radius)

    def contains(self, points: npt.ArrayLike) -> BoolArray:
        """Which of the points (m, 2) [m] lie in its base metal or a piece, (m,); coats left out.

        Examples
        --------
        >>> from crosscurrent.geometries.plane.shapes import bar
        >>> rail = Part("rail", bar(4.0, 2.0), pieces=(bar(4.0, 2.0).placed((0.0, 2.0)),))
        >>> rail.contains([(0.5, 0.5), (0.5, 2.5), (0.5, 3.5)]).tolist()
        [True, True, False]
        """
        return np.asarray(np.any([s.contains(points) for s in (self.shape, *self.pieces)], axis=0))
