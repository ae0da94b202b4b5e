"""The table [supports]: fault current and supports of the run."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import model_validator

from crosscurrent.solver.field.beams import (
    Fixing,
)

from ..entries import BareNumber, Current, Length, Name, Sample, Stress, fault
from .base import Table

PeakFactor = Annotated[float, BareNumber("a peak factor, a bare number from 1 to 2", 1, 2)]


class SupportsTable(Table):
    """Fault current and supports of the run.

    fault_current is the initial symmetrical current [A rms] of `circuit` (the first one if left out); all other
    currents grow with it. peak_factor: peak over sqrt(2) times that current.
    """

    fault_current: Annotated[
        Current | None, Sample('"5 kA"', "initial symmetrical, rms, of circuit; all other currents grow with it")
    ] = None
    peak_factor: Annotated[
        PeakFactor | None, Sample('1.8', "peak over the crest of that current; 1.8 is common far from large machines")
    ] = None
    circuit: Annotated[Name | None, Sample('"feed"', "whose current that is; the first one if left out")] = None
    stress: Annotated[Stress | None, Sample('"80 MPa"', "that the metal may stand: gives the largest spacing")] = None
    spacing: Annotated[Length | None, Sample('"400 mm"', "of the supports: gives stress and resonance")] = None
    fixing: Annotated[
        Fixing, Sample('"continuous"', "of a span: continuous (three spans or more), simple (one or two), clamped")
    ] = "continuous"

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.fault_current is None) != (self.peak_factor is None):
            missing = "peak_factor" if self.peak_factor is None else "fault_current"
            hint = "1.8 is common far from large machines (common practice)" if missing == "peak_factor" else ""
            raise fault("fault_current and peak_factor together", f"no {missing}", hint)
        return self
