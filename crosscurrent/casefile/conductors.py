"""The tables [[conductor]]: a shape by its dimensions or its outline, where it stands, and what it is made of."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import cycle
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import model_validator

from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import SHAPES, Shape
from crosscurrent.solver.field.problem import Bound
from crosscurrent.solver.metals.strands import Strands

from .entries import Angle, Emissivity, Length, Metal, Name, Pair, Radius, Sample, Temperature, fault
from .hollow import outer_and_wall, two_of
from .loops import Loop, outline_of
from .tables.base import Table, kept
from .tables.cooling import FinishName, one_finish
from .tables.place import PlaceTable
from .tables.plating import PlatingTable
from .tables.repeat import RepeatTable


class CladTable(Table):
    """A further outline pressed against its conductor; offset and turn count from the conductor's own."""

    shape: Annotated[
        Literal["bar", "round", "tube", "box", "angle", "channel", "outline"], Sample('"bar"', "as of a conductor")
    ]
    material: Annotated[Metal, Sample('"steel"', "of the piece")]
    offset: Annotated[Pair, Sample('["0 mm", "4 mm"]', "of its centre from that of the conductor")] = (0.0, 0.0)
    turn: Annotated[Angle, Sample('"0 deg"', "counter-clockwise, on top of that of the conductor")] = 0.0
    width: Annotated[Length | None, Sample('"40 mm"', "this and the next: the dimensions of its shape")] = None
    height: Annotated[Length | None, Sample('"30 mm"', "of an angle or channel", apart=True)] = None
    thickness: Annotated[Length | None, Sample('"2 mm"', "of a bar, box, angle or channel")] = None
    diameter: Annotated[Length | None, Sample('"10 mm"', "of a round or tube", apart=True)] = None
    wall: Annotated[Length | None, Sample('"1 mm"', "of a tube or box", apart=True)] = None
    edge_radius: Annotated[Radius | None, Sample('"0.5 mm"', "of the corners", apart=True)] = None
    inner_radius: Annotated[Radius | None, Sample('"0.5 mm"', "of the corners of a bore", apart=True)] = None
    points: Annotated[
        Loop | None, Sample('[["-15 mm", "0 mm"], ["15 mm", "0 mm"], ["0 mm", "5 mm"]]', "of an outline", apart=True)
    ] = None
    holes: Annotated[
        tuple[Loop, ...] | None,
        Sample('[[["-5 mm", "1 mm"], ["5 mm", "1 mm"], ["0 mm", "3 mm"]]]', "of an outline", apart=True),
    ] = None

    @property
    def strange(self) -> list[str]:
        """The dimensions given that its shape does not have."""
        return sorted(self._given.keys() - _dimensions(BY_SHAPE[self.shape]))

    @property
    def _given(self) -> dict[str, Any]:
        return {k: v for k, v in self if v is not None and k not in ("shape", "material", "offset", "turn")}

    def draw(self) -> Shape:
        """The outlines where they stand before the conductor is placed [m].

        Raises
        ------
        GeometryError
            Dimensions are missing, are too many or do not fit together.
        """
        model = BY_SHAPE[self.shape]
        known = sorted(_dimensions(model))
        lacking = [k for k in known if model.model_fields[k].is_required() and k not in self._given]
        if lacking or self.strange:
            wrong = f"{', '.join(lacking)} missing" if lacking else f"{', '.join(self.strange)} too many"
            raise GeometryError(GeometryFault(f"a piece has {wrong}", f"a {self.shape} takes {', '.join(known)}"))
        return model.model_construct(**self._given).draw().placed(self.offset, self.turn)


def _dimensions(model: type[ConductorTable]) -> set[str]:
    """The keys of a shape that no other conductor has."""
    return model.model_fields.keys() - ConductorTable.model_fields.keys() - {"shape"}


class ConductorTable(Table):
    """What every conductor has, whatever its shape."""

    name: Annotated[Name, Sample('"outgoing"', "circuits speak of it by this name")]
    centre: Annotated[Pair, Sample('["0 mm", "0 mm"]', "of the shape, where it stands in the section")] = (0.0, 0.0)
    place: Annotated[
        PlaceTable | None,
        Sample('{ below = "return", gap = "3 mm" }', "beside another conductor, instead of centre", apart=True),
    ] = None
    turn: Annotated[Angle, Sample('"0 deg"', "counter-clockwise about the centre")] = 0.0
    mirrored: Annotated[
        Literal["left-right", "top-bottom"] | None, Sample('"left-right"', "its mirror image, after turn", apart=True)
    ] = None
    material: Annotated[Metal, Sample('"copper"', "a built-in metal or one of [material]")]
    temperature: Annotated[
        Temperature | None, Sample('"70 degC"', "at which its resistivity is taken; ambient if left out")
    ] = None
    plating: Annotated[
        tuple[PlatingTable, ...],
        Sample(
            '[{ material = "silver", thickness = "10 um" }]',
            "layers on the outline, inside first, growing outward",
            apart=True,
        ),
    ] = ()
    plating_inside: Annotated[
        tuple[PlatingTable, ...],
        Sample('[{ material = "silver", thickness = "10 um" }]', "the same in a bore", apart=True),
    ] = ()
    roughness: Annotated[Length | None, Sample('"0.4 um"', "Rq of the surface; smooth if left out")] = None
    finish: Annotated[
        FinishName | None, Sample('"painted"', "how it radiates, where that is another than [cooling] says")
    ] = None
    emissivity: Annotated[
        Emissivity | None, Sample('0.9', "the same as a number, instead of finish", apart=True)
    ] = None
    closed: Annotated[
        bool, Sample("true", "round an axis: a ring that nobody cut, in no circuit and no coil", apart=True)
    ] = False
    clad: Annotated[
        tuple[CladTable, ...],
        Sample(
            '[{ shape = "bar", width = "30 mm", thickness = "2 mm", offset = ["0 mm", "4 mm"], material = "steel" }]',
            "further pieces pressed against it",
            apart=True,
        ),
    ] = ()
    repeat: Annotated[
        RepeatTable | None,
        Sample(
            '{ count = 2, step = ["60 mm", "0 mm"] }',
            "copies; circuits speak of them as NAME.1, NAME.2 or NAME.*", apart=True,
        ),
    ] = None  # fmt: skip

    builder: ClassVar[Callable[..., Shape]]
    # for who looks for one: what it is, how high its sample stands [mm], a drawing, what its sizes must keep to
    summary: ClassVar[str]
    height_of_sample: ClassVar[float]
    drawing: ClassVar[str]
    rule: ClassVar[str] = ""

    @model_validator(mode="after")
    def _one_finish(self) -> Self:
        one_finish(self.finish, self.emissivity)
        return self

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if self.place is not None and "centre" in self.model_fields_set:
            raise fault("either centre or place", "both", "leave one of them out")
        return self

    def draw(self) -> Shape:
        """The outlines around the origin [m].

        Raises
        ------
        GeometryError
            The dimensions do not fit together.
        """
        return type(self).builder(**{key: getattr(self, key) for key in _dimensions(type(self))})

    @property
    def shape_name(self) -> str:
        """What the case file calls its shape."""
        return str(getattr(self, "shape", ""))

    @property
    def has_gap_around(self) -> bool:
        """Whether a gap around another conductor gives its bore."""
        return self.place is not None and self.place.around is not None and self.place.gap is not None

    def bores(self, width: float, height: float) -> dict[str, float]:
        """The dimensions that make its bore hold a box of that size [m]; none of a conductor without one."""
        return {}

    @property
    def copies(self) -> dict[str, tuple[float, float]]:
        """Name and centre [m] of every copy: "name" alone, or "name.1", "name.2", ... when repeated."""
        if self.repeat is None:
            return {self.name: self.centre}
        (x, y), (dx, dy) = self.centre, self.repeat.step or (0.0, 0.0)
        return {f"{self.name}.{k + 1}": (x + k * dx, y + k * dy) for k in range(self.repeat.count)}

    @kept
    def parts(self) -> tuple[Part, ...]:
        """All copies where they stand in the section [m]."""
        shapes = self._shapes()
        coats, inside = (tuple(coat.thickness for coat in row) for row in (self.plating, self.plating_inside))
        pieces = [piece.draw() for piece in self.clad]
        return tuple(
            Part(name, self._at(centre, shape), coats, inside, tuple(self._at(centre, p) for p in pieces))
            for shape, (name, centre) in zip(cycle(shapes), self.copies.items(), strict=False)
        )

    def envelope(self) -> tuple[Part, ...]:
        """What its copies take of the room, for those that stand beside them; all that is not metal is a coat [m]."""
        return self.parts()

    @property
    def bound(self) -> tuple[Bound, ...]:
        """Which of its copies are strands of one bundle."""
        return ()

    @property
    def lengthened(self) -> float:
        """How much longer than the run its copies are as wires."""
        return 1.0

    @property
    def filling(self) -> Strands | None:
        """The strands that fill it in place of solid metal."""
        return None

    def _at(self, centre: tuple[float, float], shape: Shape) -> Shape:
        turned = shape.placed((0.0, 0.0), self.turn) if self.turn else shape
        return (turned if self.mirrored is None else turned.mirrored(self.mirrored == "left-right")).placed(centre)

    def _shapes(self) -> tuple[Shape, ...]:
        """The shapes of one copy."""
        return (self.draw(),)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is worth knowing about how it was read."""
        return ()


class BarConductor(ConductorTable):
    """A flat bar."""

    summary = "a flat bar"
    height_of_sample = 6
    drawing = """\
╭────────────────╮ ┬
│▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒▒│ thickness
╰────────────────╯ ┴
├──── width ─────┤"""
    builder = staticmethod(shapes.bar)
    shape: Literal["bar"]
    width: Annotated[Length, Sample('"40 mm"', "along x")]
    thickness: Annotated[Length, Sample('"6 mm"', "along y")]
    edge_radius: Annotated[Radius, Sample('"0.5 mm"', "of the corners; sharp if left out")] = 0.0


class RoundConductor(ConductorTable):
    """A solid round conductor."""

    summary = "a solid round conductor"
    height_of_sample = 10
    drawing = """\
  ╭───────╮
╭─╯▒▒▒▒▒▒▒╰─╮
│▒▒▒▒▒▒▒▒▒▒▒│
╰─╮▒▒▒▒▒▒▒╭─╯
  ╰───────╯
├─diameter──┤"""
    builder = staticmethod(shapes.round_bar)
    shape: Literal["round"]
    diameter: Annotated[Length, Sample('"10 mm"', "over the metal")]


class TubeConductor(ConductorTable):
    """A round tube."""

    summary = "a round tube"
    height_of_sample = 12
    drawing = """\
  ╭───────╮
╭─╯▒╭───╮▒╰─╮
│▒▒▒│   │▒▒▒├ wall
╰─╮▒╰───╯▒╭─╯
  ╰───────╯
├─diameter──┤"""
    builder = staticmethod(shapes.tube)
    shape: Literal["tube"]
    diameter: Annotated[Length | None, Sample('"12 mm"', "outside; two of diameter, wall and bore")] = None
    wall: Annotated[Length | None, Sample('"1 mm"', "thickness of the wall")] = None
    bore: Annotated[Length | None, Sample('"10 mm"', "diameter inside", apart=True)] = None

    @model_validator(mode="after")
    def _two_sizes(self) -> Self:
        two_of(self, ("diameter", "wall", "bore"), 'add wall = "2 mm"', from_gap="bore" if self.has_gap_around else "")
        return self

    def bores(self, width: float, height: float) -> dict[str, float]:
        """The bore around a round, or around the corners of all else."""
        return {"bore": width if abs(width - height) < 1e-12 else math.hypot(width, height)}

    def draw(self) -> Shape:
        """The outlines around the origin [m]."""
        return shapes.tube(*outer_and_wall(self.diameter, self.wall, self.bore))


class BoxConductor(ConductorTable):
    """A rectangular hollow bar."""

    summary = "a rectangular hollow bar"
    height_of_sample = 20
    drawing = """\
╭────────────────╮ ┬
│▒┌────────────┐▒│
│▒│            │▒│ thickness
│▒└────────────┘▒│
╰────────────────╯ ┴
├──── width ─────┤"""
    builder = staticmethod(shapes.box)
    shape: Literal["box"]
    width: Annotated[Length | None, Sample('"30 mm"', "outside, along x; or inner_width")] = None
    thickness: Annotated[Length | None, Sample('"20 mm"', "outside, along y; or inner_thickness")] = None
    wall: Annotated[Length | None, Sample('"2 mm"', "thickness of the wall")] = None
    inner_width: Annotated[Length | None, Sample('"26 mm"', "of the bore, along x", apart=True)] = None
    inner_thickness: Annotated[Length | None, Sample('"16 mm"', "of the bore, along y", apart=True)] = None
    edge_radius: Annotated[Radius, Sample('"1 mm"', "of the outer corners; sharp if left out")] = 0.0
    inner_radius: Annotated[Radius, Sample('"0.5 mm"', "of the corners of the bore; sharp if left out")] = 0.0

    @model_validator(mode="after")
    def _two_sizes(self) -> Self:
        if self.has_gap_around:
            sizes = [key for key in ("width", "thickness", "inner_width", "inner_thickness") if getattr(self, key)]
            if self.wall is None or sizes:
                found = " and ".join(sizes) or "no wall"
                raise fault("the wall alone, since the gap around gives all else", found, 'write wall = "2 mm"')
            return self
        if self.wall is not None or None not in (self.width, self.inner_width):
            two_of(self, ("width", "wall", "inner_width"), 'add width = "30 mm"')
        if self.wall is not None or None not in (self.thickness, self.inner_thickness):
            two_of(self, ("thickness", "wall", "inner_thickness"), 'add thickness = "20 mm"')
        if self.wall is None:
            lacking = [k for k in ("width", "thickness") if None in (getattr(self, k), getattr(self, f"inner_{k}"))]
            if len(lacking) != 1:
                found = "no wall" if lacking else "no wall, and all four of them"
                hint = 'add wall = "2 mm"' if lacking else "leave one of them out"
                raise fault("a wall, or one inner size beside its outer one", found, hint)
            two_of(self, (lacking[0], f"inner_{lacking[0]}"), f'add {lacking[0]} = "20 mm"', 1)
        return self

    def bores(self, width: float, height: float) -> dict[str, float]:
        """Its inner sizes."""
        return {"inner_width": width, "inner_thickness": height}

    def draw(self) -> Shape:
        """The outlines around the origin [m]."""
        wall = self.wall
        if wall is None:
            pair = (self.width, self.inner_width) if None not in (self.width, self.inner_width) else (
                self.thickness, self.inner_thickness)
            wall = outer_and_wall(pair[0], None, pair[1])[1]
        width, thickness = (
            outer_and_wall(outer, wall, None if outer is not None else inner)[0]
            for outer, inner in ((self.width, self.inner_width), (self.thickness, self.inner_thickness))
        )
        return shapes.box(width, thickness, wall, self.edge_radius, self.inner_radius)


class AngleConductor(ConductorTable):
    """An L."""

    summary = "an L, its corner at the lower left"
    height_of_sample = 30
    drawing = """\
╭──╮              ┬
│▒▒│
│▒▒│              height
│▒▒╰───────────╮
│▒▒▒▒▒▒▒▒▒▒▒▒▒▒│ thickness
╰──────────────╯  ┴
├─── width ────┤"""
    builder = staticmethod(shapes.angle)
    shape: Literal["angle"]
    width: Annotated[Length, Sample('"40 mm"', "of the lying leg, along x")]
    height: Annotated[Length, Sample('"30 mm"', "of the standing leg, along y")]
    thickness: Annotated[Length, Sample('"4 mm"', "of both legs")]
    edge_radius: Annotated[Radius, Sample('"0.5 mm"', "of the corners; sharp if left out")] = 0.0


class ChannelConductor(ConductorTable):
    """A U open upward."""

    summary = "a U, open upward"
    height_of_sample = 25
    drawing = """\
╭──╮        ╭──╮  ┬
│▒▒│        │▒▒│
│▒▒╰────────╯▒▒│  height
│▒▒▒▒▒▒▒▒▒▒▒▒▒▒│ thickness
╰──────────────╯  ┴
├─── width ────┤"""
    builder = staticmethod(shapes.channel)
    shape: Literal["channel"]
    width: Annotated[Length, Sample('"40 mm"', "outside, along x")]
    height: Annotated[Length, Sample('"25 mm"', "outside, along y")]
    thickness: Annotated[Length, Sample('"4 mm"', "of the web and both legs")]
    edge_radius: Annotated[Radius, Sample('"0.5 mm"', "of the corners; sharp if left out")] = 0.0


class OutlineConductor(ConductorTable):
    """A free outline of straight lines and arcs, with holes."""

    summary = "any closed outline of lines and arcs"
    height_of_sample = 25
    drawing = """\
    ╭──────╮    arc_to
 ╭──╯▒▒▒▒▒▒╰──╮ with bulge
 │▒▒▒┌────┐▒▒▒│
 │▒▒▒└────┘▒▒▒│ holes
 └────────────┘
 points"""
    shape: Literal["outline"]
    points: Annotated[
        Loop,
        Sample(
            '[["-15 mm", "-12.5 mm"], ["15 mm", "-12.5 mm"], ["15 mm", "-2.5 mm"], '
            '{ arc_to = ["-15 mm", "-2.5 mm"], bulge = 1 }]',
            "around centre; bulge = tan(angle of the arc / 4)",
        ),
    ]
    holes: Annotated[
        tuple[Loop, ...],
        Sample(
            '[[["-5 mm", "-7 mm"], ["5 mm", "-7 mm"], ["5 mm", "2 mm"], ["-5 mm", "2 mm"]]]',
            "a list of outlines inside it",
        ),
    ] = ()

    def draw(self) -> Shape:
        """The outlines around the origin [m]."""
        outer, *holes = (outline_of(entries) for entries in (self.points, *self.holes))
        return shapes.outline(outer.points.tolist(), list(outer.bulges), holes)


BY_SHAPE: dict[str, type[ConductorTable]] = dict(
    zip(
        SHAPES,
        (
            BarConductor,
            RoundConductor,
            TubeConductor,
            BoxConductor,
            AngleConductor,
            ChannelConductor,
            OutlineConductor,
        ),
        strict=True,
    )
)
