"""Whether so many strands lie in the outline of a bundle: one rule for every number, and what it says if not.

As many fit as in the best place of their layout, or, where no layout is stated, in the densest packing known; what fits
for a number fits for every smaller one. Groups of a construction press into each other: their strands count together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.metals.strand_filling import most_in_bar, most_in_outline, sure_in_outline
from crosscurrent.solver.metals.strand_packing import Packing, least_circle, most_in_circle

_DIGITS = 4  # of a length in a message
KNOWN = 91  # strands, up to which the densest packings are looked up
_LAID = {
    "any": "packed as densely as is known",
    "hexagonal": "in a hexagonal lattice",
    "square": "in a square lattice",
    "rings": "in rings",
}
_dense_outline = lru_cache(maxsize=64)(most_in_outline)


class StrandRoom(Protocol):
    """What strands fill."""

    @property
    def area(self) -> float:
        """[m2]."""

    @property
    def narrowest(self) -> float:
        """The smaller side of its box [m]."""

    @property
    def words(self) -> str:
        """It in a sentence."""

    def most(self, insulated: float, packing: Packing) -> int:
        """How many strands fit of a diameter with insulation [m]."""

    def holds(self, count: int, insulated: float, packing: Packing) -> bool:
        """Whether so many fit."""

    def larger(self, count: int, insulated: float, packing: Packing) -> str:
        """What would hold so many."""


@dataclass(frozen=True)
class Circle:
    """A circle of a diameter [m]."""

    outer: float

    @property
    def area(self) -> float:
        """[m2]."""
        return math.pi / 4 * self.outer**2

    @property
    def narrowest(self) -> float:
        """Its diameter [m]."""
        return self.outer

    @property
    def words(self) -> str:
        """It in a sentence."""
        return f"a circle of {length(self.outer)}"

    def most(self, insulated: float, packing: Packing) -> int:
        """How many strands fit of a diameter with insulation [m]."""
        return most_in_circle(self.outer / insulated, packing)

    def holds(self, count: int, insulated: float, packing: Packing) -> bool:
        """Whether so many fit."""
        return count <= self.most(insulated, packing)

    def larger(self, count: int, insulated: float, packing: Packing) -> str:
        """What would hold so many."""
        ratio = least_circle(count, packing)
        needed, thin = at_least(ratio * insulated), at_most(self.outer / ratio)
        return f"{count} need an outer_diameter of {needed}, or strands of {thin} with insulation"


@dataclass(frozen=True)
class Bar:
    """A rectangle [m] whose corners may be round."""

    width: float
    thickness: float
    edge_radius: float
    area: float

    @property
    def narrowest(self) -> float:
        """The smaller side [m]."""
        return min(self.width, self.thickness)

    @property
    def words(self) -> str:
        """It in a sentence."""
        return f"a bar of {length(self.width)} x {length(self.thickness)}"

    def most(self, insulated: float, packing: Packing) -> int:
        """How many strands fit of a diameter with insulation [m]."""
        width, thickness, edge_radius = (size / insulated for size in (self.width, self.thickness, self.edge_radius))
        return most_in_bar(width, thickness, edge_radius, packing)

    def holds(self, count: int, insulated: float, packing: Packing) -> bool:
        """Whether so many fit."""
        return count <= self.most(insulated, packing)

    def larger(self, count: int, insulated: float, packing: Packing) -> str:
        """What would hold so many."""
        low, high = self.thickness, self.thickness + 2 * count * insulated
        while high - low > 1e-6 * low:
            middle = (low + high) / 2
            thicker = Bar(self.width, middle, self.edge_radius, self.area)
            low, high = (low, middle) if thicker.holds(count, insulated, packing) else (middle, high)
        return f"{count} need a thickness of {at_least(high)} at this width, or take thinner strands"


@dataclass(frozen=True)
class Drawn:
    """An outline of any form."""

    shape: Shape

    @property
    def area(self) -> float:
        """[m2]."""
        return self.shape.area

    @property
    def narrowest(self) -> float:
        """The smaller side of its box [m]."""
        low, high = self.shape.outer.bounds
        return float((high - low).min())

    @property
    def words(self) -> str:
        """It in a sentence."""
        return f"its outline of {self.area * 1e6:.4g} mm2"

    def most(self, insulated: float, packing: Packing) -> int:
        """How many strands fit of a diameter with insulation [m]."""
        return _dense_outline(self.shape, insulated, packing)

    def holds(self, count: int, insulated: float, packing: Packing) -> bool:
        """Whether so many fit."""
        return count <= sure_in_outline(self.shape, insulated, packing) or count <= self.most(insulated, packing)

    def larger(self, count: int, insulated: float, packing: Packing) -> str:
        """What would hold so many."""
        return "take fewer or thinner strands, or a larger outline"


def laid(packing: Packing, room: StrandRoom, count: int) -> str:
    """How so many strands are packed, in words."""
    if packing == "any" and not (isinstance(room, Circle) and count <= KNOWN):
        return "in the densest rows or lattice"
    return _LAID[packing]


def length(metres: float) -> str:
    """As text, to the nearest."""
    return f"{metres * 1e3:.{_DIGITS}g} mm"


def at_least(metres: float) -> str:
    """A bound that holds when it is typed.

    Examples
    --------
    >>> at_least(1.23401e-3), at_most(1.23409e-3), at_least(3 * 0.12e-3)
    ('at least 1.235 mm', 'at most 1.234 mm', 'at least 0.36 mm')
    """
    return f"at least {_rounded(metres, 1)}"


def at_most(metres: float) -> str:
    """A bound that holds when it is typed."""
    return f"at most {_rounded(metres, -1)}"


def _rounded(metres: float, way: int) -> str:
    """Up or down to the digits of a message; what rounding left of a number that has fewer is no more."""
    step = 10.0 ** (math.floor(math.log10(metres * 1e3)) + 1 - _DIGITS)
    whole = way * math.ceil(way * metres * 1e3 / step - 1e-6)
    return f"{whole * step:.{_DIGITS}g} mm"
