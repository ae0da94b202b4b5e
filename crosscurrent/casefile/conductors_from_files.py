"""Conductors whose outlines come out of a file, and every kind of [[conductor]] there is."""

from __future__ import annotations

from abc import abstractmethod
from typing import TYPE_CHECKING, Annotated, Literal, Self, Union

from pydantic import Field, model_validator

from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.plane.shapes import Shape

from .bundles import BundleConductor
from .conductors import BY_SHAPE, ConductorTable
from .drawings import Found, from_drawing, from_mesh
from .entries import Length, RegionName, Sample, Scale, Unit, fault

MOST_CONDUCTORS = 1000  # of a section, copies counted; more are beyond what is solved


class FileConductor(ConductorTable):
    """Outlines out of a file; several make name.1, name.2, ..., from left to right, then from the bottom up."""

    file: str
    unit: Annotated[
        Unit | None, Sample('"mm"', "of the file, where it does not say")
    ] = None
    scale: Annotated[Scale, Sample("1", "a factor on all lengths")] = 1.0

    @abstractmethod
    def found(self) -> Found:
        """What the file gives."""

    @model_validator(mode="after")
    def _readable(self) -> Self:
        try:
            self.found()
        except DrawingError as error:
            raise fault(error.expected, f"{error.found} ({error.file})", error.hint) from None
        if (count := len(self.found().shapes) * (self.repeat.count if self.repeat else 1)) > MOST_CONDUCTORS:
            hint = "repeat it less often, or put fewer parts into the layer"
            raise fault(f"at most {MOST_CONDUCTORS} conductors, copies counted", f"{count}", hint)
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


class DrawingConductor(FileConductor):
    """The closed outlines of one layer of a drawing."""

    summary = "the closed outlines of a DXF or SVG drawing; its origin comes to lie on centre"
    height_of_sample = 25
    drawing = """\
 ┌─ profile.dxf ──┐
 │  ╭──╮     ╭──╮ │ layer
 │  │▒▒╰─────╯▒▒│ │
 │  ╰───────────╯ │
 +────────────────┘
 origin: centre"""
    shape: Literal["drawing"]
    file: Annotated[
        str, Sample('"profile.dxf"', "beside the case file; several outlines become NAME.1, NAME.2, ...")
    ]
    layer: Annotated[str | None, Sample('"busbar"', "needed where several hold outlines")] = None
    gap: Annotated[Length | None, Sample('"0.01 mm"', "widest gap between ends that is closed")] = None

    def found(self) -> Found:
        """What the drawing gives."""
        return from_drawing(self.file, self.layer, self.unit, self.scale, self.gap)


class MeshConductor(FileConductor):
    """The outlines of one region of a finished mesh."""

    summary = "the outline of a region of a finished triangle mesh, meshed afresh; its origin comes to lie on centre"
    height_of_sample = 25
    drawing = """\
 ┌─ section.vtu ──┐
 │ ╱╲▒╱╲▒╱╲▒╱╲▒╱╲ │ region
 │ ▒╲╱▒╲╱▒╲╱▒╲╱▒╲ │
 +────────────────┘
 origin: centre"""
    shape: Literal["mesh"]
    file: Annotated[str, Sample('"section.vtu"', "beside the case file, of any common mesh format")]
    region: Annotated[
        RegionName | None, Sample('"3"', "name or number of the tag; needed where there are several")
    ] = None

    def found(self) -> Found:
        """What the mesh gives."""
        return from_mesh(self.file, self.region, self.unit, self.scale)


MODELS: dict[str, type[ConductorTable]] = {
    **BY_SHAPE, "bundle": BundleConductor, "drawing": DrawingConductor, "mesh": MeshConductor
}  # fmt: skip

if TYPE_CHECKING:
    AnyConductor = ConductorTable
else:
    AnyConductor = Annotated[Union[tuple(MODELS.values())], Field(discriminator="shape")]  # noqa: UP007
