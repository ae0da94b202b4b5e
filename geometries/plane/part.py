"""A section: the named parts in the plane, checked against one another.

The ground floor knows nothing of fields: a part is a name, outlines and the thicknesses of its coats.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .errors import GeometryError
from .outline import FloatArray, Outline
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

    @property
    def all_outlines(self) -> tuple[Outline, ...]:
        """Its outlines and those of its pieces, in the order of the mesh's walls."""
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

    @cached_property
    def area(self) -> float:
        """Area of the base metal and its pieces, without coats [m2]."""
        return sum(s.outer.area - sum(h.area for h in s.holes) for s in (self.shape, *self.pieces))


@dataclass(frozen=True, eq=False)
class Section:
    """All parts of a cross-section. Building one runs every check.

    Raises
    ------
    GeometryError
        Crossing sides, a hole outside its outline, parts that overlap, touch or nearly touch; the message
        names the culprits and the distance.
    """

    parts: tuple[Part, ...]

    def __post_init__(self) -> None:
        from .checks import check_section

        if not self.parts:
            raise GeometryError("a section needs at least one conductor, found none")
        check_section(self.parts)

    @cached_property
    def bounds(self) -> FloatArray:
        """Lower left and upper right corner of the box around everything, (2, 2) [m]."""
        boxes = np.array([p.bounds for p in self.parts])
        return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])

    @property
    def size(self) -> float:
        """Diagonal of the box around everything [m]."""
        return float(np.hypot(*np.ptp(self.bounds, axis=0)))
