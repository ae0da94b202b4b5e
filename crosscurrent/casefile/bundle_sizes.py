"""The sizes of a bundle: those given, those that the trade fills in, and whether the strands fit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.metals.strand_layout import DENSEST, RESOLVED, Layout, cell_area, reach
from crosscurrent.solver.metals.strand_packing import (
    CLOSER,
    Packing,
    least_circle,
    most_in_circle,
    places_in_circle,
    radius,
)
from crosscurrent.solver.metals.strands import Lay
from crosscurrent.solver.metals.wire_tables import (
    ENAMELLED,
    Enamel,
    enamelled_diameter,
    packing_factor,
    take_up_of_lay,
    usual_take_up,
)

from .bundle_room import Bar, Circle, Drawn, StrandRoom, at_least, at_most, laid, length

_STANDS_OUT = 1.5  # pitches at most, by which places of a lattice stand out of the circle of their cells


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
    width: float | None
    thickness: float | None
    edge_radius: float
    pitch: float | None
    layout: Layout | None
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
    places : (n, 2) float
        Of few strands about the middle at pitch 1; none of many.
    regular : bool
        Whether there is room for them at the places of their layout.
    take_up : float
    space : float or None
        Area of a strand within its innermost group, where a construction states a pitch [m2].
    assumed : tuple of str
        What was not stated and is taken by trade practice, in words.
    """

    insulated: float
    outer: float | None
    pitch: float
    places: FloatArray
    regular: bool
    take_up: float
    space: float | None
    assumed: tuple[str, ...]

    @property
    def crowded(self) -> bool:
        """Whether they lie in a circle otherwise than at the places of their layout."""
        return self.outer is not None and not self.regular


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
    if stated.pitch is not None and stated.pitch * CLOSER < insulated:
        expected = f"{at_least(insulated)}, a strand over its insulation"
        raise SizeError("pitch", expected, length(stated.pitch), "strands cannot lie inside one another")
    outer = _outer(stated, insulated, assumed) if pressed is None else None
    room = _room(stated, outer, pressed)
    if insulated > room.narrowest * CLOSER:
        expected, found = f"a strand thinner than its bundle of {length(room.narrowest)}", _with_insulation(insulated)
        raise SizeError("strand_diameter", expected, found, "take thinner strands, or check the units")
    take_up = _take_up(stated, math.sqrt(4 / math.pi * room.area), assumed)
    if outer is None or stated.outer_diameter is not None:
        _check_fit(stated, insulated, room, take_up)
    elif not stated.is_few:
        _check_metal(stated, take_up, room.area)
    space = _space(stated, room.area, take_up)
    pitch, places = math.sqrt(room.area / stated.count / cell_area(1.0, stated.packing)), np.empty((0, 2))
    regular = outer is not None and (stated.outer_diameter is None or _is_regular(stated, outer / insulated))
    if stated.packing == "rings" and outer is not None:
        pitch = outer / (1 + 2 * reach(stated.count, "rings"))
    if stated.is_few and outer is not None:
        places, regular = places_in_circle(stated.count, _packing(stated), outer / insulated)
        pitch = (outer - insulated) / (2 * radius(places))
        if not regular:
            how = laid(_packing(stated), room, stated.count)
            assumed.append(f"strands {how}, which is how so many have room")
    elif outer is not None and not regular:
        roomy = (1 + 2 * reach(stated.count, stated.packing)) * insulated
        assumed.append(
            "places of crowded strands, which the bars count: those of their layout have room in an outer_diameter of "
            f"{at_least(roomy)}"
        )
    return BundleSizes(insulated, outer, pitch, places, regular, take_up, space, tuple(assumed))


def _packing(stated: Stated) -> Packing:
    """What strands keep to: the layout that is stated; of groups, which press into each other, only that of squares."""
    loose = stated.packing == "hexagonal" and stated.layout is None
    return "any" if loose or (len(stated.levels) > 1 and stated.packing != "square") else stated.packing


def _is_regular(stated: Stated, ratio: float) -> bool:
    """Whether the places of a layout have room in so many diameters of a strand."""
    around = math.sqrt(stated.count * cell_area(1.0, stated.packing) / math.pi)  # of the circle of their cells
    if len(stated.levels) > 1:
        return True  # groups of groups are told by their levels
    return 1 + 2 * (around + _STANDS_OUT) <= ratio or 1 + 2 * reach(stated.count, stated.packing) <= ratio * CLOSER


def _room(stated: Stated, outer: float | None, pressed: Shape | None) -> StrandRoom:
    if pressed is None:
        assert outer is not None
        return Circle(outer)
    if stated.width is None or stated.thickness is None:
        return Drawn(pressed)
    return Bar(stated.width, stated.thickness, stated.edge_radius, pressed.area)


def _space(stated: Stated, area: float, take_up: float) -> float | None:
    """Area of a strand within its group, where a pitch states it [m2]."""
    if stated.pitch is None or len(stated.levels) < 2:
        return None
    space = cell_area(stated.pitch, stated.packing)
    if stated.count * space > area * CLOSER:
        most = stated.pitch * math.sqrt(area / stated.count / space)
        expected = f"{at_most(most)}, at which {stated.count} strands fill the whole outline"
        raise SizeError("pitch", expected, length(stated.pitch), "leave pitch out, or take a larger outline")
    _check_metal(stated, take_up, stated.count * space)
    return space


def _insulated(stated: Stated, assumed: list[str]) -> float:
    strand = stated.strand_diameter
    if stated.insulated_diameter is not None:
        if stated.insulated_diameter * CLOSER < strand:
            expected, found = f"at least the bare strand of {length(strand)}", length(stated.insulated_diameter)
            raise SizeError("insulated_diameter", expected, found, "it is the diameter over the insulation")
        return stated.insulated_diameter
    if not ENAMELLED[0] / CLOSER <= strand <= ENAMELLED[1] * CLOSER:
        expected = f"a strand of {length(ENAMELLED[0])} to {length(ENAMELLED[1])}, whose enamel IEC 60317-0-1 tells"
        raise SizeError("strand_diameter", expected, length(strand), "give its insulated_diameter")
    grade: Enamel = stated.enamel or "grade 1"
    over = enamelled_diameter(strand, grade)
    taken = f"enamel of {grade}, " if stated.enamel is None else ""
    assumed.append(f"{taken}{length(over)} over the enamel, the middle of what IEC 60317-0-1 allows (from memory)")
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
    factor, packing = packing_factor(count), _packing(stated)
    if most_in_circle(factor * math.sqrt(count), packing) < count:
        assumed.append("strands that touch")
        return least_circle(count, packing) * insulated
    outer = factor * math.sqrt(count) * insulated
    assumed.append(
        f"{length(outer)} over the strands, {factor:g} sqrt(n) times an insulated one (makers' catalogues, from "
        "memory; 1 % of it is 2 % of the loss by proximity)"
    )
    return outer


def _check_fit(stated: Stated, insulated: float, room: StrandRoom, take_up: float) -> None:
    """No more strands than have room, nor more metal than round ones can have, their length counted."""
    packing = _packing(stated)
    askew = int(DENSEST[stated.packing] * room.area * (1 - 1e-6) / (take_up * math.pi / 4 * stated.strand_diameter**2))
    if len(stated.levels) < 2 and isinstance(room, Circle):  # few are no medium
        askew = max(askew, RESOLVED)
    if stated.count <= askew and room.holds(stated.count, insulated, packing):
        return
    fitting = room.most(insulated, packing)
    most = min(fitting, askew)
    if most < 2:
        expected = f"strands of which two have room in {room.words}"
        found, hint = _with_insulation(insulated), "take thinner ones, or check the units"
        raise SizeError("strand_diameter", expected, found, hint)
    if fitting <= askew:
        why = f"with insulation in {room.words}, {laid(packing, room, most)}"
        hint = room.larger(stated.count, insulated, packing)
    else:
        why = f"in {room.words} with a take-up of {take_up:.4g}, askew they are oval across"
        hint = "take fewer strands, or a smaller take_up"
    size = length(insulated if fitting <= askew else stated.strand_diameter)
    expected = f"at most {most} strands of {size} {why}{_groups(stated, most)}"
    raise SizeError(_number(stated), expected, f"{stated.count}", hint)


def _groups(stated: Stated, most: int) -> str:
    """A construction of so many strands or fewer, in the groups of the one that is stated."""
    *outer, _ = stated.levels or (1,)
    inner = most // math.prod(outer)
    return f', such as "{" x ".join(map(str, (*outer, inner)))}"' if outer and inner else ""


def _check_metal(stated: Stated, take_up: float, area: float) -> None:
    """No more metal than round strands can have in an area that goes with their number or with their pitch."""
    share = stated.count * take_up * math.pi / 4 * stated.strand_diameter**2 / (DENSEST[stated.packing] * area)
    if share <= 1:
        return
    if stated.pitch is not None:
        expected = f"{at_least(stated.pitch * math.sqrt(share))} with a take-up of {take_up:.4g}"
        raise SizeError("pitch", expected, length(stated.pitch), "strands that lie askew are oval across")
    key = "take_up" if stated.lay_length is None else "lay_length"
    most = math.floor(take_up / share * 1e3) / 1e3
    expected = f"a take-up of at most {most:g}, strands that lie askew are oval across"
    raise SizeError(key, expected, f"{take_up:.4g}", "state a larger outer_diameter")


def _with_insulation(insulated: float) -> str:
    return f"{length(insulated)} with its insulation"


def _take_up(stated: Stated, outer: float, assumed: list[str]) -> float:
    if stated.take_up is not None:
        return stated.take_up
    if stated.lay_length is not None:
        if stated.lay_length < 3 * outer:
            expected = f"a lay of {at_least(3 * outer)}, three times the bundle"
            raise SizeError("lay_length", expected, length(stated.lay_length), "10 to 20 times the bundle are usual")
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
