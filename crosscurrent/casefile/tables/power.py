"""The table [power]: which pieces are heated on purpose, and how much is wanted in them."""

from __future__ import annotations

from typing import Annotated

from ..entries import Names, Power, Sample
from .base import Table


class PowerTable(Table):
    """Pieces that are heated, and the power wanted in them: all currents are scaled until it is there."""

    into: Annotated[
        Names, Sample('["billet"]', "pieces that are heated on purpose; all in no circuit if left out")
    ] = ()
    wanted: Annotated[
        Power | None, Sample('"5 kW"', "in them together: all currents are then scaled by one factor")
    ] = None
