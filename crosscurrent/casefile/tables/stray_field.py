"""The table [field]: where the stray field is wanted."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import AfterValidator, model_validator

from ..entries import FluxDensity, Name, Pair, Permeability, Points, Sample, fault
from .base import Table


class FieldPoint(Table):
    """A point the field is wanted at [m]."""

    name: Annotated[Name, Sample('"walkway"', "for the answers")]
    at: Annotated[Pair, Sample('["0 mm", "600 mm"]', "where it is")]


class FieldLine(Table):
    """A line along which the field is wanted [m]."""

    name: Annotated[Name, Sample('"rail"', "for the answers")]
    start: Annotated[Pair, Sample('["-1 m", "300 mm"]', "one end")]
    end: Annotated[Pair, Sample('["1 m", "300 mm"]', "the other end")]
    points: Annotated[Points, Sample('51', "how many, evenly spaced")] = 51

    @model_validator(mode="after")
    def _long(self) -> Self:
        if self.start == self.end:
            raise fault("two different ends", "the same twice", "for one place write points = [...]")
        return self


def _low_to_high(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] >= pair[1]:
        raise fault("a low and a high permeability", f"{pair[0]:g} and {pair[1]:g}", "the lower one first")
    return pair


def file_part(name: str) -> str:
    """What of a name can stand in a file's."""
    return "".join(c if c.isalnum() else "-" for c in name)


class FieldTable(Table):
    """Where the field is wanted, and at which levels its map has contours."""

    points: Annotated[
        tuple[FieldPoint, ...], Sample('[{ name = "walkway", at = ["0 mm", "600 mm"] }]', "where the field is wanted")
    ] = ()
    lines: Annotated[
        tuple[FieldLine, ...],
        Sample('[{ name = "rail", start = ["-1 m", "300 mm"], end = ["1 m", "300 mm"] }]', "along which it is wanted"),
    ] = ()
    levels: Annotated[tuple[FluxDensity, ...], Sample('["27 uT", "100 uT"]', "contours of the map")] = ()
    permeability: Annotated[
        Annotated[tuple[Permeability, Permeability], AfterValidator(_low_to_high)] | None,
        Sample("[100, 2000]", "lowest and highest of magnetic metal, where it is not known well", apart=True),
    ] = None

    @model_validator(mode="after")
    def _told_apart(self) -> Self:
        named = {"point": [place.name for place in self.points], "line": [line.name for line in self.lines]}
        for what, names in named.items():
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise fault(f"a name of its own for every {what}", f'"{twice}" a second time', "name one of them anew")
        files: dict[str, str] = {}
        for name in named["line"]:
            if (other := files.setdefault(file_part(name).casefold(), name)) != name:
                found = f'"{other}" and "{name}"'
                raise fault("lines whose names make different file names", found, "name one of them anew")
        return self
