"""Kinds of fields in a case: a quantity as text with a unit, a bare number, a name; each fault in full words."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator
from pydantic_core import PydanticCustomError

from .quantities import QuantityError, kind, read_quantity


def some(self) -> Self:
        if not self.at and self.sweep is None:
            raise fault("at least one frequency", "none", 'write at = ["50 Hz"] or a sweep; "0 Hz" is direct current')
        return self

    @property
    def values(self) -> tuple[float, ...]:
        """All frequencies [Hz], rising, each once."""
        swept: list[float] = []
        if self.sweep is not None:
            low, high, count = self.sweep.start, self.sweep.to, self.sweep.points
            swept = [low, *(float(f) for f in np.geomspace(low, high, count)[1:-1]), high]
        return tuple(sorted({*self.at, *swept}))


class Accuracy(Table):
    """Wanted relative bound on the error of every loss and resistance."""

    resistance: Ratio = 1e-3


class OwnMaterial(Table):
    """A metal of the user's own, given by either conductivity or resistivity."""

    conductivity: Conductivity | None = None
    resistivity: Resistivity | None = None
    reference: Temperature = 20.0
    temperature_coefficient: Coefficient = 0.0
    permeability: Permeability = 1.0

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
            reference=self.reference,
            source="the case file",
        )


class Coat(Table):
    """One plated layer."""

    material: str
    thickness: Length


class Repeat(Table):
    """Copies of a conductor, the first at its centre, each further one a step [m] on."""

    count: Count
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


class Common(Table):
    """What every conductor has, whatever its shape."""

    name: Name
    centre: Pair = (0.0, 0.0)
    turn: Angle = 0.0
    material: str
    temperature: Temperature | None = None
    plating: tuple[Coat, ...] = ()
    repeat: Repeat | None = None

    builder: ClassVar[Callable[..., Shape]]

    def draw(self) -> Shape:
        """The outlines around the origin [m]; GeometryError when the dimensions do not fit together."""
        own = type(self).model_fields.keys() - Common.model_fields.keys() - {"shape"}
        return type(self).builder(**{key: getattr(self, key) for key in own})

    @property
    def copies(self) -> dict[str, tuple[float, float]]:
        """Name and centre [m] of every copy: "name" alone, or "name.1", "name.2", ... when repeated."""
        if self.repeat is None:
            return {self.name: self.centre}
        (x, y), (dx, dy) = self.centre, self.repeat.step
        return {f"{self.name}.{k + 1}": (x + k * dx, y + k * dy) for k in range(self.repeat.count)}


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
    return Outline.of(corners, bulges[1:] + bulges[:1])


Conductor = Annotated[Bar | Round | Tube | Box | AngleBar | Channel | Free, Field(discriminator="shape")]
MODELS: dict[str, type[Common]] = dict(zip(SHAPES, (Bar, Round, Tube, Box, AngleBar, Channel, Free), strict=True))


def some(hint: str) -> AfterValidator:
    """At least one entry; the hint says which."""

    def check(entries: tuple[Any, ...]) -> tuple[Any, ...]:
        if not entries:
            raise fault("at least one conductor", "an empty list", hint)
        return entries

    return AfterValidator(check)


def fault(expected: str, found: str, hint: str = "") -> PydanticCustomError:
    """A fault in pydantic's terms; the reader adds file, line and key."""
    return PydanticCustomError("fault", "{expected}", {"expected": expected, "found": found, "hint": hint})


def _quantity(dimension: str) -> BeforeValidator:
    def read(value: Any) -> float:
        try:
            return read_quantity(value, dimension)
        except QuantityError as error:
            raise fault(error.expected, error.found, error.hint) from None

    return BeforeValidator(read)


def _number(
    expected: str, low: float, high: float, kinds: tuple[type[int] | type[float], ...] = (int, float)
) -> BeforeValidator:
    def read(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, kinds) or not low <= value <= high:
            hint = "write it without quotes" if isinstance(value, str) else ""
            raise fault(expected, kind(value), hint)
        return value

    return BeforeValidator(read)


def _name(value: str) -> str:
    bad = [c for c in value if c in './\\*"' or not c.isprintable()]
    if not value.strip():
        raise fault("a name of letters or digits", kind(value), "give it one")
    if value != value.strip():
        raise fault("a name that neither begins nor ends with a space", kind(value), f'write "{value.strip()}"')
    if bad:
        raise fault('a name without . / \\ * " and control characters', kind(value), f"leave out {bad[0]!r}")
    return value


Length = Annotated[float, _quantity("length")]
Radius = Annotated[float, _quantity("radius")]
Position = Annotated[float, _quantity("position")]
Frequency = Annotated[float, _quantity("frequency")]
Current = Annotated[float, _quantity("current")]
Angle = Annotated[float, _quantity("angle")]
Temperature = Annotated[float, _quantity("temperature")]
Conductivity = Annotated[float, _quantity("conductivity")]
Resistivity = Annotated[float, _quantity("resistivity")]
Coefficient = Annotated[float, _quantity("temperature coefficient")]
Ratio = Annotated[float, _quantity("ratio")]
Permeability = Annotated[float, _number("a relative permeability, a bare number above 0 and up to 5000", 1e-6, 5000)]
Bulge = Annotated[float, _number("a bulge, a bare number from -100 to 100", -100, 100)]
Count = Annotated[int, _number("a count, a bare whole number from 1 to 1000", 1, 1000, (int,))]
Points = Annotated[int, _number("a bare whole number from 2 to 10000", 2, 10000, (int,))]
Name = Annotated[str, AfterValidator(_name)]
Names = tuple[str, ...]
Pair = tuple[Position, Position]


