"""The table [study]: what is wanted of the designs that [[vary]] spans."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, model_validator

from ..entries import BareNumber, Frequency, Kind, Sample, fault
from .base import Table

Aim = Literal[
    "loss", "resistance", "inductance", "mass", "cost", "temperature", "voltage_drop", "force", "field", "waste",
    "leakage",
]
AIMS = ("loss", "resistance", "inductance", "mass", "cost", "temperature", "voltage_drop", "force", "field",
        "waste", "leakage")  # fmt: skip
Designs = Annotated[int, BareNumber("a count, a bare whole number from 2 to 1000000", 2, 1_000_000, (int,))]
Starts = Annotated[int, BareNumber("a count, a bare whole number from 1 to 100", 1, 100, (int,))]


def _listed(value: object) -> object:
    return [value] if isinstance(value, str) else value


class StudyTable(Table):
    """One thing wanted: the best design inside [limits]. Two: the trade-off between them."""

    least: Annotated[
        tuple[Aim, ...],
        BeforeValidator(_listed),
        Kind(f"one or two of {', '.join(AIMS)}"),
        Sample('["loss"]', "what is to be least, inside [limits]; two for a trade-off"),
    ] = ("loss",)
    at: Annotated[
        Frequency | None, Sample('"85 kHz"', "at which it is judged; the first of [frequency] if left out", apart=True)
    ] = None
    circuit: Annotated[
        str | None, Sample('"feed"', "whose resistance and inductance are meant; the first if left out", apart=True)
    ] = None
    designs: Annotated[Designs | None, Sample("60", "how many are tried over the ranges", apart=True)] = None
    starts: Annotated[Starts, Sample("4", "from how many the best is looked for")] = 4

    @model_validator(mode="after")
    def _one_or_two(self) -> Self:
        if len(set(self.least)) != len(self.least) or not 1 <= len(self.least) <= 2:
            raise fault("one aim, or two different ones", ", ".join(self.least) or "none", 'write least = ["loss"]')
        return self
