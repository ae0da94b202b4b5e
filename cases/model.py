"""What a case file may say: one frozen model for each table, text with units in, SI numbers inside.

The contract's words are the field names. Checks that need two tables are in `checks`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated, Any, ClassVar, Literal, Self

import numpy as np
from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Discriminator, Field, Tag, model_validator

from ..geometries import shapes
from ..geometries.outline import Outline
from ..geometries.shapes import SHAPES, Shape
from ..solver.materials import Material
from .fields import (
    Angle, Bulge, Coefficient, Conductivity, Count, Current, Frequency, Length, Name, Names, Pair, Permeability, Points,
    Position, Radius, Ratio, Resistivity, Temperature, fault, some,
)
from .quantities import engineering


class Table(BaseModel):
    """A table of the case file: unknown keys are faults, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Sweep(Table):
    """Frequencies [Hz] spaced evenly on a logarithmic scale, both ends included."""

    start: Frequency = Field(alias="from")
    to: Frequency
    points: Points

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.start == 0:
            hint = 'a logarithmic scale has no 0: write at = ["0 Hz"] beside the sweep'
            raise fault("a sweep from above 0 Hz", '"0 Hz"', hint)
        if self.start >= self.to:
            found = f"{engineering(self.start, 'Hz')} to {engineering(self.to, 'Hz')}"
            hint = "exchange them" if self.start > self.to else "for one frequency write at = [...]"
            raise fault("a sweep from a lower to a higher frequency", found, hint)
        return self


class Frequencies(Table):
    """The frequencies to solve at."""

    at: tuple[Frequency, ...] = ()
    sweep: Sweep | None = None

    @model_validator(mode="after")
    class Circuit(Table):
    """A current [A rms] that goes out through some conductors and comes back through others."""

    name: Name
    current: Current
    phase: Angle = 0.0
    out: Annotated[Names, some("name the conductors that carry the current out")]
    back: Names = ()
    sharing: Literal["free", "equal"] = "free"


class CaseData(Table):
    """The whole case file."""

    title: str = ""
    length: Length | None = None
    ambient: Temperature = 20.0
    frequency: Frequencies
    accuracy: Accuracy = Accuracy()
    material: dict[str, OwnMaterial] = {}
    conductor: Annotated[tuple[Conductor, ...], some("add a table [[conductor]] for each conductor")]
    circuit: tuple[Circuit, ...] = ()
