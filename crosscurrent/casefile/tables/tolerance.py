"""The table [tolerance]: how what stands behind "+-" is to be read."""

from __future__ import annotations

from typing import Annotated, Literal

from ..entries import Sample
from .base import Table

ReadAs = Literal["bound", "two standard deviations"]


class ToleranceTable(Table):
    """How the tolerances of a case are read; without this table as bounds, wherever a figure has one."""

    read_as: Annotated[
        ReadAs,
        Sample('"two standard deviations"', 'what stands behind +-; "bound" if left out: no value lies beyond it'),
    ] = "bound"
