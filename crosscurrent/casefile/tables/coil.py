"""The tables [[coil]]: turns in series round an axis."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from ..entries import Angle, Count, Current, Name, Names, Sample, fault, some
from .base import Table


class CoilTable(Table):
    """Turns one after the other, each a ring: what a lead or a pitch adds is not in them."""

    name: Annotated[Name, Sample('"work"', "the other tables speak of it by this name, as of a circuit")]
    turns: Annotated[
        Names,
        some("name the conductors that are its turns"),
        Sample('["turn.*"]', "conductors that are its turns, in the order of the current"),
    ]
    current: Annotated[
        Current | None, Sample('"200 A"', "rms, out of the page right of the axis; it or shorted")
    ] = None
    phase: Annotated[Angle, Sample('"0 deg"', "of several coils")] = 0.0
    shorted: Annotated[
        bool, Sample("true", "its ends are joined: its current is what the others induce", apart=True)
    ] = False
    reversed: Annotated[Names, Sample('["turn.2"]', "turns that are wound the other way", apart=True)] = ()
    taps: Annotated[
        tuple[Count, ...], Sample("[1]", "turns from the start after which it is tapped: the voltage there")
    ] = ()

    @model_validator(mode="after")
    def _one_drive(self) -> Self:
        if self.shorted == (self.current is not None):
            found = "both" if self.shorted else "neither"
            raise fault("either current or shorted = true", found, 'write current = "200 A"')
        return self
