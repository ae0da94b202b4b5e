"""What a case file may say: one frozen model for each table, text with units in, SI numbers inside.

The contract's words are the field names. Checks that need two tables are in `checks`.
"""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Callable
from itertools import cycle
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import AfterValidator, Discriminator, Field, Tag, model_validator

from ..geometries import shapes
from ..geometries.errors import DrawingError, GeometryError
from ..geometries.outline import Outline
from ..geometries.section import Part
from ..geometries.shapes import SHAPES, Shape
from ..postprocess.units import concise
from ..solver.materials import Material
from ..solver.roughness import Model
from .base import Table
from .cooling import AirCooling, FinishName, one_finish
from .drawn import Found, from_drawing, from_mesh
from .duty import Duty
from .fault import ShortCircuit
from .fields import (
    Angle,
    Bulge,
    Coefficient,
    Conductivity,
    Copies,
    Current,
    Density,
    Emissivity,
    Frequency,
    HeatCapacity,
    Length,
    Name,
    Names,
    Pair,
    Permeability,
    Points,
    Radius,
    Ratio,
    RegionName,
    Resistivity,
    Scale,
    Temperature,
    ThermalConductivity,
    Unit,
    fault,
    some,
)
from .force import Supports
from .joints import Joint
from .ladder import Network
from .limits import Limits
from .money import Prices
from .reporting import Block
from .strayfield import StrayField
from .voltage import Gap
from .water import Water
from .waveform import Waveform


class Sweep(Table):
    """Frequencies [Hz] spaced evenly on a logarithmic scale, both ends included."""

    start: Frequency = Field(alias="from")
    to: Frequency
    points: Points

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.start == 0:
            hint = 'a logarithmic scale has no 0: write at = ["0 Hz"] beside the sweep'
            raise fault("a sweep from above 0 Hz", '"0 Hz"', hint)
        if self.start >= self.to:
            found = f"{concise(self.start, 'Hz')} to {concise(self.to, 'Hz')}"
            hint = "exchange them" if self.start > self.to else "for one frequency write at = [...]"
            raise fault("a sweep from a lower to a higher frequency", found, hint)
        return self


class Frequencies(Table):
    """The frequencies to solve at."""

    at: tuple[Frequency, ...] = ()
    sweep: Sweep | None = None

    @model_validator(mode="after")
    def _some(self) -> Self:
        if not self.at and self.sweep is None:
            raise fault("at least one frequency", "none", 'write at = ["50 Hz"] or a sweep; "0 Hz" is direct current')
        return self

    @property
    def swept(self) -> tuple[float, ...]:
        """The frequencies of the sweep [Hz], rising."""
        if self.sweep is None:
            return ()
        low, high, count = self.sweep.start, self.sweep.to, self.sweep.points
        return (low, *(float(f) for f in np.geomspace(low, high, count)[1:-1]), high)

    @property
    def values(self) -> tuple[float, ...]:
        """All frequencies [Hz], rising, each once."""
        return tuple(sorted({*self.at, *self.swept}))


class Accuracy(Table):
    """Wanted relative bound on the error of every loss and resistance, and the model of rough surfaces."""

    resistance: Ratio = 1e-3
    roughness: Model = "gradient"


class OwnMaterial(Table):
    """A metal of the user's own, given by either conductivity or resistivity."""

    conductivity: Conductivity | None = None
    resistivity: Resistivity | None = None
    reference: Temperature = 20.0
    temperature_coefficient: Coefficient = 0.0
    permeability: Permeability = 1.0
    density: Density | None = None
    thermal_conductivity: ThermalConductivity | None = None
    heat_capacity: HeatCapacity | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        given = [key for key in ("conductivity", "resistivity") if getattr(self, key) is not None]
        if len(given) != 1:
            found = "both" if given else "neither"
            raise fault("either conductivity or resistivity", found, "give exactly one of them")
        return self

    def material(self, name: str) -> Material:
        """The metal as the solver takes it."""
        sigma = self.conductivity if self.conductivity is not None else 1 / (self.resistivity or math.nan)
        return Material(
            name,
            sigma,
            self.temperature_coefficient,
            self.permeability,
            self.density,
            reference=self.reference,
            source="the case file",
            thermal_conductivity=self.thermal_conductivity,
            heat_capacity=self.heat_capacity,
        )


class Coat(Table):
    """One plated layer."""

    material: str
    thickness: Length


class Repeat(Table):
    """Copies of a conductor, the first at its centre, each further one a step [m] on."""

    count: Copies
    step: Pair

    @model_validator(mode="after")
    def _moves(self) -> Self:
        if self.step == (0.0, 0.0) and self.count > 1:
            raise fault("a step that moves the copies apart", '["0 mm", "0 mm"]', "all copies would lie on one another")
        return self


class Arc(Table):
    """An arc to a point [m]; bulge is the tangent of a quarter of its angle, positive counter-clockwise."""

    arc_to: Pair
    bulge: Bulge


def _entry(value: Any) -> str:
    return "an arc" if isinstance(value, (dict, Arc)) else "a point"


Entry = Annotated[Annotated[Pair, Tag("a point")] | Annotated[Arc, Tag("an arc")], Discriminator(_entry)]


def _enough(entries: tuple[Pair | Arc, ...]) -> tuple[Pair | Arc, ...]:
    least = 2 if any(isinstance(entry, Arc) for entry in entries) else 3
    if len(entries) < least:
        hint = "add points in order around the part"
        raise fault("at least 3 points, or 2 with an arc between them", f"{len(entries)}", hint)
    return entries


Loop = Annotated[tuple[Entry, ...], AfterValidator(_enough)]


class Piece(Table):
    """A further outline pressed against its conductor; offset and turn count from the conductor's own."""

    shape: Literal["bar", "round", "tube", "box", "angle", "channel", "outline"]
    material: str
    offset: Pair = (0.0, 0.0)
    turn: Angle = 0.0
    width: Length | None = None
    height: Length | None = None
    thickness: Length | None = None
    diameter: Length | None = None
    wall: Length | None = None
    edge_radius: Radius | None = None
    inner_radius: Radius | None = None
    points: Loop | None = None
    holes: tuple[Loop, ...] | None = None

    @property
    def strange(self) -> list[str]:
        """The dimensions given that its shape does not have."""
        return sorted(self._given.keys() - _dimensions(MODELS[self.shape]))

    @property
    def _given(self) -> dict[str, Any]:
        return {k: v for k, v in self if v is not None and k not in ("shape", "material", "offset", "turn")}

    def draw(self) -> Shape:
        """The outlines where they stand before the conductor is placed [m]."""
        model = MODELS[self.shape]
        known = sorted(_dimensions(model))
        lacking = [k for k in known if model.model_fields[k].is_required() and k not in self._given]
        if lacking or self.strange:
            wrong = f"{', '.join(lacking)} missing" if lacking else f"{', '.join(self.strange)} too many"
            raise GeometryError(f"a piece has {wrong}; a {self.shape} takes {', '.join(known)}")
        return model.model_construct(**self._given).draw().placed(self.offset, self.turn)


def _dimensions(model: type[Common]) -> set[str]:
    """The keys of a shape that no other conductor has."""
    return model.model_fields.keys() - Common.model_fields.keys() - {"shape"}


class Common(Table):
    """What every conductor has, whatever its shape."""

    name: Name
    centre: Pair = (0.0, 0.0)
    turn: Angle = 0.0
    material: str
    temperature: Temperature | None = None
    plating: tuple[Coat, ...] = ()
    plating_inside: tuple[Coat, ...] = ()
    roughness: Length | None = None
    finish: FinishName | None = None
    emissivity: Emissivity | None = None
    clad: tuple[Piece, ...] = ()
    repeat: Repeat | None = None

    builder: ClassVar[Callable[..., Shape]]

    @model_validator(mode="after")
    def _one_finish(self) -> Self:
        one_finish(self.finish, self.emissivity)
        return self

    def draw(self) -> Shape:
        """The outlines around the origin [m]; GeometryError when the dimensions do not fit together."""
        return type(self).builder(**{key: getattr(self, key) for key in _dimensions(type(self))})

    @property
    def copies(self) -> dict[str, tuple[float, float]]:
        """Name and centre [m] of every copy: "name" alone, or "name.1", "name.2", ... when repeated."""
        if self.repeat is None:
            return {self.name: self.centre}
        (x, y), (dx, dy) = self.centre, self.repeat.step
        return {f"{self.name}.{k + 1}": (x + k * dx, y + k * dy) for k in range(self.repeat.count)}

    def parts(self) -> tuple[Part, ...]:
        """All copies where they stand in the section [m]."""
        shapes = self._shapes()
        coats, inside = (tuple(coat.thickness for coat in row) for row in (self.plating, self.plating_inside))
        pieces = [piece.draw() for piece in self.clad]
        return tuple(
            Part(
                name, shape.placed(centre, self.turn), coats, inside, tuple(p.placed(centre, self.turn) for p in pieces)
            )
            for shape, (name, centre) in zip(cycle(shapes), self.copies.items(), strict=False)
        )

    def _shapes(self) -> tuple[Shape, ...]:
        """The shapes of one copy."""
        return (self.draw(),)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is worth knowing about how it was read."""
        return ()


class Bar(Common):
    """A flat bar."""

    builder = staticmethod(shapes.bar)
    shape: Literal["bar"]
    width: Length
    thickness: Length
    edge_radius: Radius = 0.0


class Round(Common):
    """A solid round conductor."""

    builder = staticmethod(shapes.round_bar)
    shape: Literal["round"]
    diameter: Length


class Tube(Common):
    """A round tube."""

    builder = staticmethod(shapes.tube)
    shape: Literal["tube"]
    diameter: Length
    wall: Length


class Box(Common):
    """A rectangular hollow bar."""

    builder = staticmethod(shapes.box)
    shape: Literal["box"]
    width: Length
    thickness: Length
    wall: Length
    edge_radius: Radius = 0.0
    inner_radius: Radius = 0.0


class AngleBar(Common):
    """An L."""

    builder = staticmethod(shapes.angle)
    shape: Literal["angle"]
    width: Length
    height: Length
    thickness: Length
    edge_radius: Radius = 0.0


class Channel(Common):
    """A U open upward."""

    builder = staticmethod(shapes.channel)
    shape: Literal["channel"]
    width: Length
    height: Length
    thickness: Length
    edge_radius: Radius = 0.0


class Free(Common):
    """A free outline of straight lines and arcs, with holes."""

    shape: Literal["outline"]
    points: Loop
    holes: tuple[Loop, ...] = ()

    def draw(self) -> Shape:
        """The outlines around the origin [m]."""
        outer, *holes = (_loop(entries) for entries in (self.points, *self.holes))
        return shapes.outline(outer.points.tolist(), list(outer.bulges), holes)


def _loop(entries: tuple[Pair | Arc, ...]) -> Outline:
    """An arc belongs to the side that ends at it; on the first entry that is the side closing the loop."""
    corners = [entry.arc_to if isinstance(entry, Arc) else entry for entry in entries]
    bulges = [entry.bulge if isinstance(entry, Arc) else 0.0 for entry in entries]
    if len(corners) > 2 and corners[0] == corners[-1] and not bulges[0]:  # closed by its first point once more
        corners.pop()
        bulges[0] = bulges.pop()
    return Outline.of(corners, bulges[1:] + bulges[:1])


class FromFile(Common):
    """Outlines out of a file; several make name.1, name.2, ..., from left to right, then from the bottom up."""

    file: str
    unit: Unit | None = None
    scale: Scale = 1.0

    @abstractmethod
    def found(self) -> Found:
        """What the file gives."""

    @model_validator(mode="after")
    def _readable(self) -> Self:
        try:
            self.found()
        except DrawingError as error:
            raise fault(error.expected, f"{error.found} ({error.file})", error.hint) from None
        return self

    def draw(self) -> Shape:
        """Its first outline, around the origin of the file [m]."""
        return self.found().shapes[0]

    @property
    def notes(self) -> tuple[str, ...]:
        """What was left out of the file."""
        return self.found().notes

    @property
    def copies(self) -> dict[str, tuple[float, float]]:
        """Name and centre [m] of every outline of every copy."""
        count = len(self.found().shapes)
        if count == 1:
            return super().copies
        centres = [centre for centre in super().copies.values() for _ in range(count)]
        return {f"{self.name}.{k}": centre for k, centre in enumerate(centres, 1)}

    def _shapes(self) -> tuple[Shape, ...]:
        return self.found().shapes


class Drawn(FromFile):
    """The closed outlines of one layer of a drawing."""

    shape: Literal["drawing"]
    layer: str | None = None
    gap: Length | None = None

    def found(self) -> Found:
        """What the drawing gives."""
        return from_drawing(self.file, self.layer, self.unit, self.scale, self.gap)


class Meshed(FromFile):
    """The outlines of one region of a finished mesh."""

    shape: Literal["mesh"]
    region: RegionName | None = None

    def found(self) -> Found:
        """What the mesh gives."""
        return from_mesh(self.file, self.region, self.unit, self.scale)


Conductor = Annotated[
    Bar | Round | Tube | Box | AngleBar | Channel | Free | Drawn | Meshed, Field(discriminator="shape")
]
MODELS: dict[str, type[Common]] = {
    **dict(zip(SHAPES, (Bar, Round, Tube, Box, AngleBar, Channel, Free), strict=True)),
    "drawing": Drawn,
    "mesh": Meshed,
}


class Circuit(Table):
    """A current [A rms] that goes out through some conductors and comes back through others."""

    name: Name
    current: Current
    phase: Angle = 0.0
    out: Annotated[Names, some("name the conductors that carry the current out")]
    back: Names = ()
    sharing: Literal["free", "equal"] = "free"


class CaseData(Table):
    """The whole case file."""

    title: str = ""
    length: Length | None = None
    ambient: Temperature = 20.0
    frequency: Frequencies
    accuracy: Accuracy = Accuracy()
    material: dict[str, OwnMaterial] = Field(default_factory=dict)
    conductor: Annotated[tuple[Conductor, ...], some("add a table [[conductor]] for each conductor")]
    circuit: tuple[Circuit, ...] = ()
    water: tuple[Water, ...] = ()
    joint: tuple[Joint, ...] = ()
    voltage: Gap | None = None
    prices: Prices | None = None
    report: Block = Block()
    field: StrayField | None = None
    supports: Supports | None = None
    limits: Limits | None = None
    cooling: AirCooling | None = None
    duty: tuple[Duty, ...] = ()
    waveform: Waveform | None = None
    ladder: Network | None = None
    fault: ShortCircuit | None = None
