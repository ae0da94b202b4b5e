"""The table [tank]: the capacitor with which a coil resonates."""

from __future__ import annotations

from typing import Annotated, Literal

from ..entries import Name, Sample
from .base import Table


class TankTable(Table):
    """A capacitor beside a coil, chosen for resonance at the frequency of the case."""

    coil: Annotated[Name | None, Sample('"work"', "that it resonates with; the only one if left out")] = None
    joined: Annotated[
        Literal["series", "parallel"], Sample('"parallel"', "how the capacitor stands to the coil")
    ] = "parallel"
    empty: Annotated[bool, Sample("true", "also solve without the heated pieces: how far the coil is detuned")] = False
