"""The table [waveform]: a current of many harmonics."""

from __future__ import annotations

import cmath
from typing import Annotated, Self

import numpy as np
from pydantic import Field, ValidationInfo, field_validator, model_validator

from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.time.spectrum import (
    Spectrum,
)

from ..entries import Angle, CircuitNames, Count, Current, Frequency, Sample, fault
from .base import Table


class HarmonicTable(Table):
    """A sine of the current [A rms], by its order or its frequency."""

    order: Annotated[Count | None, Sample('5', "times the frequency of the waveform; it or frequency")] = None
    frequency: Annotated[Frequency | None, Sample('"250 Hz"', "its own, instead of order", apart=True)] = None
    current: Annotated[Current, Sample('"20 A"', "rms")]
    phase: Annotated[Angle, Sample('"0 deg"', "of its sine")] = 0.0

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.order is None) == (self.frequency is None):
            found = "neither" if self.order is None else "both"
            raise fault("either order or frequency", found, 'write order = 3 or frequency = "255 kHz"')
        return self


class WaveformTable(Table):
    """The current of one or several circuits: harmonics, or a file with one period."""

    circuit: Annotated[CircuitNames, Sample('["feed"]', "that carry it; needed where there are several")] = ()
    harmonics: Annotated[
        tuple[HarmonicTable, ...],
        Sample('[{ order = 1, current = "100 A" }, { order = 5, current = "20 A" }]', "its sines; they or a file"),
    ] = ()
    file: Annotated[
        str | None, Sample('"current.csv"', "one period beside the case file: columns of time and current", apart=True)
    ] = None
    frequency: Annotated[
        Frequency | None, Field(validate_default=True), Sample('"50 Hz"', "with which the current repeats")
    ] = None

    # Of one key, though it looks at others: so it is told together with what is wrong elsewhere in the table.
    @field_validator("frequency")
    @classmethod
    def _repeats(cls, frequency: float | None, info: ValidationInfo) -> float | None:
        if not frequency and (info.data.get("file") or any(h.order for h in info.data.get("harmonics", ()))):
            raise fault("the frequency with which the current repeats", "none", 'write frequency = "85 kHz"')
        return frequency

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if bool(self.harmonics) == (self.file is not None):
            found = "both" if self.harmonics else "neither"
            raise fault("either harmonics or a file", found, 'write harmonics = [...] or file = "current.csv"')
        places = [h.frequency if h.order is None else h.order * (self.frequency or 0.0) for h in self.harmonics]
        if len(set(places)) < len(places):
            twice = next(p for p in places if places.count(p) > 1)
            raise fault("each harmonic once", f"{concise(twice or 0.0, 'Hz')} a second time", "add them up")
        if self.harmonics and not any(h.current for h in self.harmonics):
            raise fault("a current above 0 A in at least one harmonic", "0 A in all", 'write a current such as "10 A"')
        return self

    @property
    def given(self) -> Spectrum:
        """The harmonics of the list, rising."""
        rows = [
            (h.frequency if h.order is None else h.order * (self.frequency or 0.0), cmath.rect(h.current, h.phase))
            for h in self.harmonics
        ]
        rows.sort(key=lambda row: row[0] or 0.0)
        places, phasors = np.array([f or 0.0 for f, _ in rows]), np.array([i for _, i in rows])
        return Spectrum(places, phasors, repeats=self.frequency or 0.0)
