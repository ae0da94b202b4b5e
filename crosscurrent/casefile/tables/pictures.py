"""The table [pictures]: what the pictures show."""

from __future__ import annotations

from typing import Annotated

from ..entries import Names, Sample
from .base import Table


class PicturesTable(Table):
    """What the pictures show."""

    zoom: Annotated[
        Names,
        Sample('["outgoing"]', "goes to the largest loss of these; else of those with current that are not magnetic"),
    ] = ()
