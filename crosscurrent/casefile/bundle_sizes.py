"""The sizes of a bundle: those given, those that the trade fills in, and whether the strands fit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.metals.strand_layout import DENSEST, Layout, cell_area, most_in_area, most_in_circle, reach
from crosscurrent.solver.metals.strands import Lay
from crosscurrent.solver.metals.wire_tables import (
    ENAMELLED,
    Enamel,
    enamelled_diameter,
    packing_factor,
    take_up_of_lay,
    usual_take_up,
)

_TOUCHING = 1 + 1e-9  # how much closer than touching rounding may put strands


class SizeError(GeometryError):
    """Sizes of a conductor that do not fit together, with the key that is to change.

    Parameters
    ----------
    key, expected, found, hint : str
    """

    def __init__(self, key: str, expected: str, found: str, hint: str) -> None:
        self.key, self.expected = key, expected
        super().__init__(GeometryFault(found, hint))


class Stated(Protocol):
    """What a bundle's table says of its sizes."""

    strand_diameter: float
    insulated_diameter: float | None
    enamel: Enamel | None
    outer_diameter: float | None
    pitch: float | None
    lay_length: float | None
    take_up: float | None

    @property
    def count(self) -> int:
        """How many strands there are."""

    @property
    def levels(self) -> tuple[int, ...]:
        """Groups of groups."""

    @property
    def packing(self) -> Layout:
        """Its layout."""

    @property
    def how_they_lie(self) -> Lay:
        """Its lay."""

    @property
    def is_few(self) -> bool:
        """Whether every strand has its place."""


@dataclass(frozen=True)
class BundleSizes:
    """All sizes of a bundle.

    Attributes
    ----------
    insulated : float
        Diameter of a strand over its insulation [m].
    outer : float or None
        Diameter over the strands of a round bundle [m].
    pitch : float
        From strand to strand where each has its place; else that of a lattice that fills the outline [m].
    take_up : float
    space : float or None
        Area of a strand within its innermost group, where a construction states a pitch [m2].
    assumed : tuple of str
        What was not stated and is taken by trade practice, in words.
    """

    insulated: float
    outer: float | None
    pitch: float
    take_up: float
    space: float | None
    assumed: tuple[str, ...]


def sizes_of(stated: Stated, pressed: Shape | None) -> BundleSizes:
    """All sizes of a bundle, from what is stated and by trade practice.

    Parameters
    ----------
    stated : Stated
    pressed : Shape or None
        The outline that the strands fill; None for a round bundle.

    Raises
    ------
    SizeError
        They do not fit together; with the key that is to change.
    """
    assumed: list[str] = []
    insulated = _insulated(stated, assumed)
    if stated.pitch is not None and stated.pitch * _TOUCHING < insulated:
        expected = f"at least {_mm(insulated)}, a strand over its insulation"
        raise SizeError("pitch", expected, _mm(stated.pitch), "strands cannot lie inside one another")
    outer = _outer(stated, insulated, assumed) if pressed is None else None
    area = pressed.area if pressed is not None else math.pi / 4 * (outer or 0.0) ** 2
    narrowest = outer if pressed is None else float((pressed.outer.bounds[1] - pressed.outer.bounds[0]).min())
    assert narrowest is not None
    _check_fit(stated, insulated, area, narrowest)
    take_up = _take_up(stated, math.sqrt(4 / math.pi * area), assumed)
    _check_metal(stated, take_up, area)
    space = _space(stated, area)
    pitch = math.sqrt(area / stated.count / cell_area(1.0, stated.packing))
    if stated.packing == "rings" and outer is not None:
        pitch = outer / (1 + 2 * reach(stated.count, "rings"))
    if stated.is_few and outer is not None:
        pitch = (outer - insulated) / (2 * reach(stated.count, stated.packing))
    return BundleSizes(insulated, outer, pitch, take_up, space, tuple(assumed))


def _space(stated: Stated, area: float) -> float | None:
    """Area of a strand within its group, where a pitch states it [m2]."""
    if stated.pitch is None or len(stated.levels) < 2:
        return None
    space = cell_area(stated.pitch, stated.packing)
    if stated.count * space > area * _TOUCHING:
        most = stated.pitch * math.sqrt(area / stated.count / space)
        expected = f"at most {_mm(most)}, at which {stated.count} strands fill the whole outline"
        raise SizeError("pitch", expected, _mm(stated.pitch), "leave pitch out, or take a larger outline")
    return space


def _insulated(stated: Stated, assumed: list[str]) -> float:
    strand = stated.strand_diameter
    if stated.insulated_diameter is not None:
        if stated.insulated_diameter * _TOUCHING < strand:
            expected, found = f"at least the bare strand of {_mm(strand)}", _mm(stated.insulated_diameter)
            raise SizeError("insulated_diameter", expected, found, "it is the diameter over the insulation")
        return stated.insulated_diameter
    if not ENAMELLED[0] / _TOUCHING <= strand <= ENAMELLED[1] * _TOUCHING:
        expected = f"a strand of {_mm(ENAMELLED[0])} to {_mm(ENAMELLED[1])}, whose enamel IEC 60317-0-1 tells"
        raise SizeError("strand_diameter", expected, _mm(strand), "give its insulated_diameter")
    grade: Enamel = stated.enamel or "grade 1"
    over = enamelled_diameter(strand, grade)
    taken = f"enamel of {grade}, " if stated.enamel is None else ""
    assumed.append(f"{taken}{_mm(over)} over the enamel, the middle of what IEC 60317-0-1 allows (from memory)")
    return over


def _outer(stated: Stated, insulated: float, assumed: list[str]) -> float:
    """Diameter over the strands of a round bundle [m]."""
    count, groups = stated.count, len(stated.levels) > 1
    if stated.outer_diameter is not None:
        return stated.outer_diameter
    if stated.is_few:
        if stated.pitch is None:
            assumed.append("strands that touch")
        return insulated + 2 * reach(count, stated.packing) * (stated.pitch or insulated)
    if stated.pitch is not None and not groups:
        if stated.packing == "rings":
            return (1 + 2 * reach(count, "rings")) * stated.pitch
        return math.sqrt(4 / math.pi * count * cell_area(stated.pitch, stated.packing))
    factor = packing_factor(count)
    outer = factor * math.sqrt(count) * insulated
    assumed.append(
        f"{_mm(outer)} over the strands, {factor:g} sqrt(n) times an insulated one (makers' catalogues, from memory; "
        "1 % of it is 2 % of the loss by proximity)"
    )
    return outer


def _check_fit(stated: Stated, insulated: float, area: float, narrowest: float) -> None:
    """Neither strands thicker than the bundle nor more of them than touch."""
    if insulated > narrowest * _TOUCHING:
        found = f"{_mm(insulated)} with its insulation"
        expected = f"a strand thinner than its bundle of {_mm(narrowest)}"
        raise SizeError("strand_diameter", expected, found, "take thinner strands, or check the units")
    most, aside = most_in_area(area, insulated, stated.packing), ", what its edge wastes left out of account"
    if stated.is_few or (stated.packing == "rings" and len(stated.levels) < 2):
        most, aside = most_in_circle(narrowest, insulated, stated.packing), ""
    if stated.count > most:
        expected = f"at most {most} strands of {_mm(insulated)} with insulation, {stated.packing} and touching{aside}"
        hint = "take fewer or thinner strands, or a larger outline"
        raise SizeError(_number(stated), expected, f"{stated.count}", hint)


def _check_metal(stated: Stated, take_up: float, area: float) -> None:
    """No more metal than round strands can have, their length counted."""
    metal = stated.count * take_up * math.pi / 4 * stated.strand_diameter**2
    densest = DENSEST[stated.packing] * area * (1 - 1e-6)
    if metal > densest:
        most = int(stated.count * densest / metal)
        expected = f"at most {most} strands with a take-up of {take_up:.4g}, askew they are oval across"
        raise SizeError(_number(stated), expected, f"{stated.count}", "take fewer strands, or a smaller take_up")


def _take_up(stated: Stated, outer: float, assumed: list[str]) -> float:
    if stated.take_up is not None:
        return stated.take_up
    if stated.lay_length is not None:
        if stated.lay_length < 3 * outer:
            expected = f"a lay of at least {_mm(3 * outer)}, three times the bundle"
            raise SizeError("lay_length", expected, _mm(stated.lay_length), "10 to 20 times the bundle are usual")
        return take_up_of_lay(outer, stated.lay_length)
    if stated.how_they_lie == "straight":
        return 1.0
    operations = max(len(stated.levels), 1)
    found = usual_take_up(operations)
    times = {1: "one stranding operation", 2: "two stranding operations"}.get(operations, "three or more operations")
    assumed.append(f"a take-up of {found:g}, of {times} (EN 60317-11 as quoted)")
    return found


def _number(stated: Stated) -> str:
    """The key that says how many there are."""
    return "construction" if getattr(stated, "strands", None) is None else "strands"


def _mm(length: float) -> str:
    return f"{length * 1e3:.4g} mm"
