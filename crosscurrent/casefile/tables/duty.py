"""The tables [[duty]]: short overloads, and duty cycles."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from ..entries import Current, Name, Sample, Temperature, Time, fault
from .base import Table


class DutyTable(Table):
    """A current that flows for a time [s], once or again and again.

    `current` [A rms] is that of the circuit with the largest current; the others follow in proportion.
    """

    name: Annotated[Name, Sample('"inrush"', "for the answers")]
    on: Annotated[Time, Sample('"1 s"', "how long the current flows")]
    off: Annotated[
        Time | None,
        Sample('"20 min"', "then how long none flows, again and again; needs [cooling]; once if left out", apart=True),
    ] = None
    current: Annotated[
        Current | None,
        Sample('"1 kA"', "rms, of the circuit with the largest current, the others in proportion; theirs if left out"),
    ] = None
    start: Annotated[
        Temperature | None, Sample('"70 degC"', "from which it begins; that in service if left out")
    ] = None

    @model_validator(mode="after")
    def _loaded(self) -> Self:
        if self.current == 0:
            raise fault("a duty's current above 0 A", "0 A", "the time without current is off")
        return self
