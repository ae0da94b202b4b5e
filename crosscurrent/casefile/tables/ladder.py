"""The table [ladder]: the band of the network and its wanted error."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from crosscurrent.postprocess.answers.units import concise

from ..entries import Frequency, Ratio, Sample, fault
from .base import Table

BOUND = 0.01  # wanted error where the case file states none


class LadderTable(Table):
    """The band [Hz] of the ladder, by default that of the sweep, and the wanted bound on R and on L."""

    start: Annotated[
        Frequency | None, Sample('"50 Hz"', "lowest frequency of the band; that of the sweep if left out")
    ] = Field(default=None, alias="from")
    to: Annotated[Frequency | None, Sample('"1 MHz"', "highest frequency of the band")] = None
    bound: Annotated[Ratio, Sample('"1 %"', "wanted bound on the error of R and of L")] = BOUND

    @model_validator(mode="after")
    def _rising(self) -> Self:
        if (self.start is None) != (self.to is None):
            raise fault("both from and to, or neither", "one of them", 'write from = "50 Hz" and to = "1 MHz"')
        if self.start is not None and self.to is not None and not 0 < self.start < self.to:
            found = f"{concise(self.start, 'Hz')} to {concise(self.to, 'Hz')}"
            hint = "exchange them" if self.start else "direct current is exact in any case"
            raise fault("a band from above 0 Hz to a higher frequency", found, hint)
        return self
