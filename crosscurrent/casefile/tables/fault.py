"""The table [fault]: a short-circuit current in time."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator

from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.time.excitation import Excitation, half_sine, offset, step

from ..entries import CircuitNames, Current, Frequency, ReactanceRatio, Sample, Time, fault
from .base import Table

SHORT = 0.01  # periods of the current that a fault lasts at least
ABOVE = 200.0  # highest frequency of the model, in terms of the current's own
SHORTEST = 1e-5  # share of the duration that a step's model resolves
FIRST = -math.pi / 2  # angle at which a single current begins
ROUNDING = 1e-9  # of "100 us" against half a period of "5 kHz"
Form = Literal["offset", "half-sine", "step"]


class FaultTable(Table):
    """A current in time in one circuit, or in several at their phases.

    `current` [A] is the rms value of the sine (of the steady part; of the sine that a half-wave is taken from), for a
    step the direct current; `crest` [A] is the highest value of a half-sine, in its place.
    """

    circuit: Annotated[
        CircuitNames, Sample('["feed"]', "that carry the fault, each at its phase; needed where there are several")
    ] = ()
    form: Annotated[
        Form, Sample('"offset"', "a sine with a falling offset, one half-wave, or direct current at once")
    ] = "offset"
    current: Annotated[
        Current | None,
        Sample('"5 kA"', "rms of the steady part, of the sine of a half-wave; of a step the direct current"),
    ] = None
    crest: Annotated[
        Current | None,
        Field(validate_default=True),
        Sample('"7 kA"', "highest value of a half-sine, instead of its rms current", apart=True),
    ] = None
    frequency: Annotated[
        Frequency | None, Field(validate_default=True), Sample('"50 Hz"', "of the sine; a step has none")
    ] = None
    time_constant: Annotated[
        Time | None, Sample('"40 ms"', "with which the offset falls; it or x_over_r", apart=True)
    ] = None
    x_over_r: Annotated[
        ReactanceRatio | None, Sample('12', "reactance over resistance of what feeds the fault; it or time_constant")
    ] = None
    duration: Annotated[Time, Sample('"100 ms"', "until it is cleared; of a half-sine until the eddies have died away")]

    # Of single keys, though they look at others: so they are told together with what is wrong elsewhere in the table.
    @field_validator("crest")
    @classmethod
    def _one_current(cls, crest: float | None, info: ValidationInfo) -> float | None:
        if "current" not in info.data or "form" not in info.data:
            return crest  # at fault themselves
        current, form = info.data["current"], info.data["form"]
        if crest is not None and form != "half-sine":
            hint = f"write current, {'the direct current' if form == 'step' else 'the rms of the steady part'}"
            raise fault('crest only with form = "half-sine"', f'form = "{form}"', hint)
        if (current is None) == (crest is None):
            found = "neither" if crest is None else "both"
            raise fault("either current, which is rms, or the crest of a half-sine", found, "give exactly one of them")
        if 0 in (current, crest):
            raise fault("a fault current above 0 A", "0 A", 'write a current such as "20 kA"')
        return crest

    @field_validator("frequency")
    @classmethod
    def _sine(cls, frequency: float | None, info: ValidationInfo) -> float | None:
        if not frequency and info.data.get("form", "step") != "step":
            raise fault("the frequency of the fault current", "none", 'write frequency = "50 Hz"')
        return frequency

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        given = [n for n in ("time_constant", "x_over_r") if getattr(self, n) is not None]
        if self.form == "step" and (self.frequency or given):
            found = "frequency" if self.frequency else given[0]
            raise fault("a step of direct current, which has a duration only", found, "leave it out")
        if self.form == "offset" and self.duration * (self.frequency or math.inf) < SHORT:
            raise fault("a duration of at least a hundredth of a period", concise(self.duration, "s"), "make it longer")
        if self.form == "offset" and len(given) != 1:
            found = "both" if given else "neither"
            raise fault("either time_constant or x_over_r of the offset", found, "give exactly one of them")
        if self.form == "half-sine" and given:
            raise fault("a half-sine, which has no offset", given[0], "leave it out")
        if self.form == "half-sine" and self.duration < 0.5 / (self.frequency or 1.0) * (1 - ROUNDING):
            found = concise(self.duration, "s")
            raise fault("a duration of at least the half-wave", found, "the eddies take some time after it to die away")
        return self

    @property
    def rms(self) -> float:
        """The current as an rms value, however it is given; of a step the direct current [A]."""
        return self.current if self.current is not None else (self.crest or math.nan) / math.sqrt(2)

    @property
    def decay(self) -> float:
        """Time constant of the offset [s]."""
        if self.x_over_r is not None and self.frequency:
            return self.x_over_r / (2 * math.pi * self.frequency)
        return self.time_constant or math.inf

    def excitation(self, angle: float) -> Excitation:
        """The current when its sine begins at an angle [rad]; the other forms begin with the circuit's sign."""
        if self.form == "step":
            return step(self.rms * math.cos(angle - FIRST), self.duration)
        if self.form == "half-sine":
            return half_sine(self.rms * math.cos(angle - FIRST), self.frequency or 0.0, self.duration)
        return offset(self.rms, self.frequency or 0.0, self.decay, self.duration, angle=angle)

    @property
    def low(self) -> float:
        """Lowest frequency of the model [Hz]."""
        return min(self.frequency or math.inf, 1 / (2 * math.pi * self.duration))

    @property
    def high(self) -> float:
        """Highest frequency of the model [Hz]."""
        return ABOVE * self.frequency if self.frequency else 1 / (2 * math.pi * SHORTEST * self.duration)
