"""The table [slopes]: how the answers change with what the case says."""

from __future__ import annotations

from typing import Annotated, Literal

from ..entries import Kind, Names, Sample
from .base import Table

Differing = Literal["temperature", "force", "water"]  # what temperatures that move along change


class SlopesTable(Table):
    """What the case file asks of slopes: of some of its figures, or of all."""

    of: Annotated[
        Names | None,
        Sample('["outgoing.temperature"]', "names of [named], or conductor.key; all of the case if left out"),
    ] = None
    differences: Annotated[
        tuple[Differing, ...],
        Kind("a list of temperature, force, water"),
        Sample('["temperature"]', "what else, by two further solves for each figure", apart=True),
    ] = ()
