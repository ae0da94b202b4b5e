"""The rows of plating and plating_inside."""

from __future__ import annotations

from typing import Annotated

from ..entries import Length, Metal, Sample
from .base import Table


class PlatingTable(Table):
    """One plated layer."""

    material: Annotated[Metal, Sample('"silver"', "of the layer")]
    thickness: Annotated[Length, Sample('"10 um"', "of the layer")]
