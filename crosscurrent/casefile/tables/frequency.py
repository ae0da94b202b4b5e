"""The tables [frequency] and [accuracy]."""

from __future__ import annotations

from typing import Annotated, Self

import numpy as np
from pydantic import Field, model_validator

from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.metals.roughness import Model

from ..entries import (
    Frequency,
    Points,
    Ratio,
    Sample,
    fault,
)
from .base import Table


class SweepTable(Table):
    """Frequencies [Hz] spaced evenly on a logarithmic scale, both ends included."""

    start: Annotated[Frequency, Sample('"50 Hz"', "lowest frequency, above 0 Hz")] = Field(alias="from")
    to: Annotated[Frequency, Sample('"1 MHz"', "highest frequency")]
    points: Annotated[Points, Sample('40', "how many, both ends included")]

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


class FrequencyTable(Table):
    """The frequencies to solve at."""

    at: Annotated[
        tuple[Frequency, ...],
        Sample('["50 Hz", "85 kHz"]', 'frequencies with everything told about each; "0 Hz" is direct current'),
    ] = ()
    sweep: Annotated[
        SweepTable | None,
        Sample('{ from = "50 Hz", to = "1 MHz", points = 40 }', "a band with curves over it", apart=True),
    ] = None

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


class AccuracyTable(Table):
    """Wanted relative bound on the error of every loss and resistance, and the model of rough surfaces."""

    resistance: Annotated[Ratio, Sample('"0.1 %"', "wanted bound on the error of every loss and resistance")] = 1e-3
    roughness: Annotated[Model, Sample('"gradient"', "model of rough surfaces")] = "gradient"
