"""The tables [[circuit]]: a current, and the conductors that carry it."""

from __future__ import annotations

from typing import Annotated, Literal

from ..entries import Angle, Current, Name, Names, Sample, some
from .base import Table


class CircuitTable(Table):
    """A current [A rms] that goes out through some conductors and comes back through others."""

    name: Annotated[Name, Sample('"feed"', "the other tables speak of it by this name")]
    current: Annotated[Current, Sample('"100 A"', "rms, out of the page")]
    phase: Annotated[Angle, Sample('"0 deg"', "of three phases 0, -120 and 120 deg")] = 0.0
    out: Annotated[
        Names,
        some("name the conductors that carry the current out"),
        Sample('["outgoing"]', "conductors that carry the current out; several are joined in parallel at both ends"),
    ]
    back: Annotated[
        Names,
        Sample('["return"]', "conductors that carry it back, which circuits may share; left out if it returns outside"),
    ] = ()
    sharing: Annotated[
        Literal["free", "equal", "series"],
        Sample(
            '"free"',
            'in parallel: "free" as their impedances say, "equal" if they are transposed; round an axis also "series"',
        ),
    ] = "free"
