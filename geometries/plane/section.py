"""A section: the named parts in the plane, checked against one another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault

from .axial import axial_parts, crosses_axis
from .checks import check_section
from .part import Part


@dataclass(frozen=True, eq=False)
class Section:
    """All parts of a cross-section. Building one runs every check.

    Parameters
    ----------
    parts : tuple of Part
        Of an axial section they get corner points where their outlines cross the axis.
    axial : bool
        Whether x is the radius from the axis x = 0, and y goes along it. Every part then lies right of the axis, or
        crosses it and is its own mirror image about it (`plane.axial.whole` makes it so).

    Raises
    ------
    GeometryError
        Crossing sides, a hole outside its outline, parts that overlap, touch or nearly touch; in an axial section parts
        left of the axis or across it. The message names the culprits and the distance.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> pair = Section((Part("out", bar(0.04, 0.005)), Part("back", bar(0.04, 0.005).placed((0.0, 0.025)))))
    >>> round(pair.size, 9)
    0.05
    """

    parts: tuple[Part, ...]
    axial: bool = False

    def __post_init__(self) -> None:
        if not self.parts:
            raise GeometryError(GeometryFault("a section needs at least one conductor, found none"))
        check_section(self.parts)
        if self.axial:
            object.__setattr__(self, "parts", axial_parts(self.parts))

    @cached_property
    def crosses(self) -> tuple[bool, ...]:
        """Which parts lie on the axis of an axial section; none does in a plane one."""
        return tuple(self.axial and crosses_axis(part) for part in self.parts)

    @cached_property
    def bounds(self) -> FloatArray:
        """Lower left and upper right corner of the box around everything, (2, 2) [m]."""
        boxes = np.array([p.bounds for p in self.parts])
        return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])

    @property
    def size(self) -> float:
        """Diagonal of the box around everything [m]."""
        return float(np.hypot(*np.ptp(self.bounds, axis=0)))
