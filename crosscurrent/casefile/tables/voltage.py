"""The table [voltage]: resonance, supply, and what the gap may stand."""

from __future__ import annotations

from typing import Annotated

from ..entries import FieldStrength, Permittivity, Quality, Sample, Voltage
from .base import Table


class VoltageTable(Table):
    """What the case file says of voltage: a resonant circuit's quality, its supply, what the gap may stand."""

    quality: Annotated[Quality | None, Sample('30', "of the resonant circuit that the run is part of")] = None
    supply: Annotated[
        Voltage | None, Sample('"70 V"', "that feeds it, rms; what the resistance drops if left out")
    ] = None
    field_limit: Annotated[FieldStrength | None, Sample('"300 V/mm"', "that the gap may stand, peak")] = None
    relative_permittivity: Annotated[Permittivity, Sample('1', "of what fills the gap")] = 1.0
