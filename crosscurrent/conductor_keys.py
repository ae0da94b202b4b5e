"""Keys of a conductor, for the constructors of the shapes and for `conductor`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, Required, TypedDict

Pair = Sequence[str]
Entry = Pair | Mapping[str, object]


class Further(TypedDict, total=False):
    """What every conductor takes beside its dimensions; see `conductor`."""

    material: Required[str]
    centre: Pair
    place: Mapping[str, str]
    mirrored: Literal["left-right", "top-bottom"]
    turn: str
    temperature: str
    plating: Sequence[Mapping[str, str]]
    plating_inside: Sequence[Mapping[str, str]]
    roughness: str
    finish: Literal["bright", "dull", "oxidised", "painted"]
    emissivity: float
    closed: bool
    clad: Sequence[Mapping[str, object]]
    repeat: Mapping[str, object]


class ConductorKeys(Further, total=False):
    """Every key of a conductor; each shape takes its own."""

    width: str | None
    height: str
    thickness: str | None
    diameter: str | None
    wall: str | None
    bore: str | None
    inner_width: str | None
    inner_thickness: str | None
    edge_radius: str | None
    inner_radius: str | None
    points: Sequence[Entry]
    holes: Sequence[Sequence[Entry]] | None
    file: str | None
    layer: str | None
    region: str | int | None
    unit: str | None
    scale: float | None
    gap: str | None
    strands: int | str | None
    strand_diameter: str
    insulated_diameter: str | None
    enamel: Literal["grade 1", "grade 2"] | None
    outer_diameter: str | None
    pitch: str | None
    layout: Literal["hexagonal", "square", "rings"] | None
    serving: str | None
    construction: str | None
    lay: Literal["transposed", "concentric", "straight"] | None
    lay_length: str | None
    take_up: float | None
    sharing: Literal["equal", "free"] | None
