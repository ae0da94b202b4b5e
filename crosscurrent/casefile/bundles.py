"""Bundles of fine strands: what the case file says, what the trade fills in, and what cannot be."""

from __future__ import annotations

import math
import re
from typing import Annotated, Literal, Self

from pydantic import PrivateAttr, ValidationInfo, field_validator, model_validator

from crosscurrent.geometries.errors import DrawingError, GeometryError
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.field.problem import Bound
from crosscurrent.solver.metals.strand_layout import (
    DENSEST,
    RESOLVED,
    Layout,
    cell_area,
    reach,
    rings,
    strand_places,
)
from crosscurrent.solver.metals.strands import Lay, Strands

from .bundle_sizes import BundleSizes, sizes_of
from .conductors import ConductorTable
from .drawings import Found, from_drawing
from .entries import Length, Radius, Sample, Scale, StrandCount, StrandDiameter, TakeUp, Unit, fault

_OUTLINES = ("outer_diameter", "width", "file")
MOST = 100_000  # strands of a construction
ENCLOSED = 7  # strands from which some lie inside, where no air is
_CONSTRUCTION = re.compile(r" *[0-9]{1,6}( *[x\u00d7*] *[0-9]{1,6})* *")


class BundleConductor(ConductorTable):
    """Many strands, insulated from each other and joined at both ends, as one conductor."""

    summary = "a bundle of fine strands, each insulated"
    height_of_sample = 3
    drawing = """\
   ╭─────────╮    serving
 ╭─╯o°o°o°o°o╰─╮
 │o°o°o°o°o°o°o│  strands
 ╰─╮°o°o°o°o°╭─╯
   ╰─────────╯
 ├outer_diameter┤"""
    rule = (
        "As many strands fit as lie in the outline, each with its insulation, without overlapping: with a stated "
        "layout in its best place; else in a circle in the densest packing known (up to 91, above in the best place of "
        "a hexagonal lattice), in a bar in the densest rows along or across it, in a drawing in the densest lattice "
        "along one of its longest sides. (Irregular packings of more than 91 hold a few per cent more than a lattice.) "
        "Groups of a construction press into each other, so that their strands count together. What fits for a number "
        "fits for every smaller one, and up to 37 lie in a circle as they are solved for. A message tells the largest "
        "number that fits, and what the stated one needs. Strands bundled without a form take much more room: 1.25 to "
        "1.28 sqrt(n) diameters."
    )
    shape: Literal["bundle"]
    strands: Annotated[StrandCount | None, Sample("420", "how many; or their construction")] = None
    strand_diameter: Annotated[StrandDiameter, Sample('"0.1 mm"', 'of the bare strand; or "AWG 38"')]
    insulated_diameter: Annotated[
        Length | None, Sample('"0.117 mm"', "of a strand over its insulation, instead of enamel", apart=True)
    ] = None
    enamel: Annotated[
        Literal["grade 1", "grade 2"] | None, Sample('"grade 1"', "of the strands, by IEC 60317-0-1")
    ] = None
    outer_diameter: Annotated[
        Length | None, Sample('"3 mm"', "over the strands; by trade practice if left out")
    ] = None
    pitch: Annotated[
        Length | None, Sample('"0.12 mm"', "from strand to strand, instead of outer_diameter", apart=True)
    ] = None
    layout: Annotated[
        Layout | None, Sample('"hexagonal"', "how strands lie beside each other; rings where lay is concentric")
    ] = None
    width: Annotated[Length | None, Sample('"4 mm"', "this and the next: pressed into a bar", apart=True)] = None
    thickness: Annotated[Length | None, Sample('"2 mm"', "along y", apart=True)] = None
    edge_radius: Annotated[Radius, Sample('"0.5 mm"', "of its corners; sharp if left out", apart=True)] = 0.0
    file: Annotated[
        str | None, Sample('"slot.dxf"', "a drawing whose one outline the strands fill", apart=True)
    ] = None
    layer: Annotated[str | None, Sample('"winding"', "of the drawing, where several hold outlines", apart=True)] = None
    unit: Annotated[Unit | None, Sample('"mm"', "of the drawing, where it does not say", apart=True)] = None
    scale: Annotated[Scale, Sample("1", "a factor on all lengths of the drawing", apart=True)] = 1.0
    serving: Annotated[
        Length | None, Sample('"0.05 mm"', "thickness of silk or tape around it, which carries nothing")
    ] = None
    construction: Annotated[
        str | None, Sample('"5 x 84"', "groups of strands, the outermost first; one group if left out")
    ] = None
    lay: Annotated[
        Lay, Sample('"transposed"', "every strand in every place, or each at its distance from the middle, or straight")
    ] = "transposed"
    lay_length: Annotated[
        Length | None, Sample('"30 mm"', "of one turn of the strands: gives take_up", apart=True)
    ] = None
    take_up: Annotated[
        TakeUp | None, Sample("1.04", "length of a strand over that of the bundle; by trade practice if left out")
    ] = None
    sharing: Annotated[
        Literal["equal", "free"] | None,
        Sample('"equal"', 'older word for lay: "equal" is transposed, "free" straight', apart=True),
    ] = None

    _one_body: bool = PrivateAttr(default=False)

    @field_validator("plating", "plating_inside", "clad", "roughness", mode="before")
    @classmethod
    def _plain(cls, value: object) -> object:
        if value:
            raise fault("strands without plating, pieces and roughness", "some", "leave it out")
        return value

    @field_validator("construction")
    @classmethod
    def _product(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value is None:
            return None
        if not _CONSTRUCTION.fullmatch(value) or 0 in (levels := _levels(value)):
            raise fault('numbers of groups and strands, such as "5 x 84"', f'"{value}"', "the outermost groups first")
        if not 2 <= math.prod(levels) <= MOST:
            expected = f"groups of 2 to {MOST} strands together"
            raise fault(expected, f'"{value}", which are {math.prod(levels)}', "fewer groups, or fewer strands in each")
        stated, product = info.data.get("strands"), math.prod(levels)
        if stated is not None and stated != product:
            hint = "correct it, or leave strands out"
            raise fault(f"groups of {stated} strands together", f'"{value}", which are {product}', hint)
        return value

    @field_validator("enamel")
    @classmethod
    def _one_insulation(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value is not None and info.data.get("insulated_diameter") is not None:
            raise fault("either insulated_diameter or enamel", "both", "leave one of them out")
        return value

    @field_validator("take_up")
    @classmethod
    def _one_length(cls, value: float | None, info: ValidationInfo) -> float | None:
        if value is not None and info.data.get("lay_length") is not None:
            raise fault("either lay_length or take_up", "both", "leave one of them out")
        return value

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.strands is None and self.construction is None:
            raise fault("how many strands there are", "neither strands nor construction", "write strands = 420")
        outlines = [key for key in _OUTLINES if getattr(self, key) is not None]
        if len(outlines) > 1:
            found = " and ".join(outlines)
            hint = f"leave {outlines[-1]} out"
            raise fault("one outline: a circle, a rectangle or a drawing", found, hint, outlines[-1])
        if (self.width is None) != (self.thickness is None):
            lacking = "thickness" if self.thickness is None else "width"
            given = "width" if self.thickness is None else "thickness"
            raise fault("width and thickness together", f"no {lacking}", f'add {lacking} = "2 mm"', given)
        if self.pitch is not None and outlines and len(self.levels) < 2:
            raise fault("either pitch or an outline", f"pitch and {outlines[0]}", "leave one of them out", "pitch")
        self._check_outline_of_no_use()
        self._check_lay()
        if self.file is not None:
            self._one_outline(self.file)
        self._check_rings()
        return self

    def _check_outline_of_no_use(self) -> None:
        """Keys of an outline that is not there."""
        if self.edge_radius and self.width is None:
            raise fault("edge_radius of a bundle pressed into a bar", "no width", "leave it out", "edge_radius")
        if self.file is None:
            for key in ("layer", "unit", "scale"):
                if key in self.model_fields_set:
                    raise fault(f"{key} of a drawing that the strands fill", "no file", f"leave {key} out", key)

    def _check_lay(self) -> None:
        """One word for the lay, and none of a twist that straight strands do not have."""
        if self.sharing is not None and "lay" in self.model_fields_set:
            raise fault("either lay or sharing", "both", "leave sharing out", "sharing")
        if self.how_they_lie != "straight":
            return
        word = 'lay = "straight"' if self.sharing is None else 'sharing = "free"'
        hint = 'leave it out; strands that are twisted together are lay = "concentric" or "transposed"'
        if self.lay_length is not None:
            raise fault(f"no lay_length with {word}, whose strands are not twisted", "one", hint, "lay_length")
        if self.take_up not in (None, 1.0):
            longer = f"{self.take_up:g}"
            raise fault(f"strands as long as their bundle with {word}", f"a take_up of {longer}", hint, "take_up")

    def _check_rings(self) -> None:
        """Rings are round."""
        if self.packing != "rings":
            if self.how_they_lie == "concentric":
                expected = 'layout = "rings" with lay = "concentric", whose strands keep to their rings'
                raise fault(expected, f'"{self.layout}"', "leave layout out", "layout")
            return
        why = 'lay = "concentric"' if self.how_they_lie == "concentric" else 'layout = "rings"'
        for key in ("width", "file"):
            if getattr(self, key) is not None:
                hint = "give outer_diameter, or leave out what asks for rings"
                raise fault(f"a round outline with {why}", key, hint, key)

    def found(self) -> Found:
        """What its drawing gives; to be asked where it has a file."""
        return from_drawing(self.file or "", self.layer, self.unit, self.scale, None)

    def _one_outline(self, file: str) -> None:
        try:
            found = self.found()
        except DrawingError as error:
            raise fault(error.expected, f"{error.found} ({error.file})", error.hint, "file") from None
        if len(found.shapes) > 1:
            several = f"{len(found.shapes)} ({file})"
            raise fault("one outline that the strands fill", several, "name a layer of one", "file")

    @property
    def count(self) -> int:
        """How many strands there are."""
        return self.strands if self.strands is not None else math.prod(self.levels)

    @property
    def levels(self) -> tuple[int, ...]:
        """Groups of groups, the outermost first; none for one group."""
        return () if self.construction is None else _levels(self.construction)

    @property
    def how_they_lie(self) -> Lay:
        """Its lay, be it said by the older word."""
        words: dict[str | None, Lay] = {"equal": "transposed", "free": "straight", None: self.lay}
        return words[self.sharing]

    @property
    def packing(self) -> Layout:
        """Its layout."""
        return self.layout or ("rings" if self.how_they_lie == "concentric" else "hexagonal")

    @property
    def is_few(self) -> bool:
        """Whether there are so few strands that each has its place."""
        pressed = self.width is not None or self.file is not None
        return self.count <= RESOLVED and len(self.levels) < 2 and not pressed

    @property
    def is_resolved(self) -> bool:
        """Whether every strand is a conductor that is solved for."""
        return self.is_few and not self._one_body

    def as_one_body(self) -> Self:
        """The same as one medium, which is cooled as a whole; itself where strands are too few, or straight."""
        if self.count < ENCLOSED or self.how_they_lie == "straight":
            return self
        one = self.model_copy()
        one._one_body = True
        return one

    @property
    def sizes(self) -> BundleSizes:
        """All sizes, those that the trade fills in too.

        Raises
        ------
        SizeError
            They do not fit together.
        """
        return sizes_of(self, None if self.width is None and self.file is None else self._pressed())

    def _pressed(self) -> Shape:
        if self.file is not None:
            return self.found().shapes[0]
        assert self.width is not None
        assert self.thickness is not None
        return shapes.bar(self.width, self.thickness, self.edge_radius)

    def draw(self) -> Shape:
        """Its outline over the strands, around the origin [m]."""
        sizes = self.sizes
        if self._one_body and self.is_few:  # what their cells fill of the circle around them
            if self.packing == "rings":
                return shapes.round_bar(sizes.pitch * (1 + 2 * reach(self.count, "rings")))
            cells = self.count * cell_area(sizes.pitch, self.packing)
            metal = self.count * sizes.take_up * math.pi / 4 * self.strand_diameter**2
            return shapes.round_bar(math.sqrt(4 / math.pi * max(cells, metal / DENSEST[self.packing])))
        return self._pressed() if sizes.outer is None else shapes.round_bar(sizes.outer)

    @property
    def filling(self) -> Strands | None:
        """The strands that fill its outline as one medium; None where each is solved for."""
        return None if self.is_resolved else self.laid

    @property
    def laid(self) -> Strands:
        """Its strands, whether each is solved for or not."""
        sizes, turn, straight = self.sizes, 0.0, self.how_they_lie == "straight"
        if straight:  # else their places count round the middle only
            turn = {"left-right": math.pi - self.turn, "top-bottom": -self.turn, None: self.turn}[self.mirrored]
        return Strands(
            self.count, self.strand_diameter, self.packing, self.how_they_lie, sizes.take_up, self.levels, sizes.space,
            gathered=sizes.regular, crowded=sizes.crowded, turn=turn, mirrored=straight and self.mirrored is not None,
        )  # fmt: skip

    @property
    def lengthened(self) -> float:
        """Take-up of strands that are solved for."""
        return self.sizes.take_up if self.is_resolved else 1.0

    @property
    def copies(self) -> dict[str, tuple[float, float]]:
        """Name and centre [m] of every copy; where strands are solved for, of every strand of every copy."""
        if not self.is_resolved:
            return super().copies
        places = self._places()
        return {
            f"{name}.{k}": (x + dx, y + dy)
            for name, (x, y) in super().copies.items()
            for k, (dx, dy) in enumerate(places, 1)
        }

    def _places(self) -> list[tuple[float, float]]:
        """Of the strands about the middle of a copy [m]."""
        sizes = self._sizes_if_any
        pitch = self.strand_diameter if sizes is None else sizes.pitch
        places = strand_places(self.count, self.packing) if sizes is None else sizes.places
        c, s = math.cos(self.turn), math.sin(self.turn)
        turned = [(pitch * (c * x - s * y), pitch * (s * x + c * y)) for x, y in places]
        sides = {"left-right": (-1, 1), "top-bottom": (1, -1), None: (1, 1)}[self.mirrored]
        return [(sides[0] * x, sides[1] * y) for x, y in turned]

    def _shapes(self) -> tuple[Shape, ...]:
        if not self.is_resolved:
            return (self.draw(),)
        self.draw()  # sizes that do not fit
        return (shapes.round_bar(self.strand_diameter),)

    @property
    def bound(self) -> tuple[Bound, ...]:
        """Which conductors are the strands of a bundle, for every copy; none where they are one medium."""
        if not self.is_resolved:
            return ()
        numbers, sizes = rings(self.count, self.packing), self._sizes_if_any
        take_up, outer = (1.0, None) if sizes is None else (sizes.take_up, sizes.outer)
        members = {name: tuple(f"{name}.{k}" for k in range(1, self.count + 1)) for name in super().copies}
        return tuple(
            Bound(name, strands, self.how_they_lie, numbers, take_up, outer) for name, strands in members.items()
        )

    @property
    def _sizes_if_any(self) -> BundleSizes | None:
        try:
            return self.sizes
        except GeometryError:  # told as sizes that do not fit
            return None

    def envelope(self) -> tuple[Part, ...]:
        """What each copy takes of the room: its outline, and as a coat what it is served with [m]."""
        outer, serving = self.sizes.outer, (self.serving,) if self.serving else ()
        shape = self._pressed() if outer is None else shapes.round_bar(outer)
        return tuple(Part(name, self._at(centre, shape), serving) for name, centre in super().copies.items())

    @property
    def notes(self) -> tuple[str, ...]:
        """What was left out of its drawing."""
        return () if self.file is None else self.found().notes


def _levels(text: str) -> tuple[int, ...]:
    return tuple(int(number) for number in re.findall("[0-9]+", text))
