"""The table [slopes]: how the answers change with what the case says."""

from __future__ import annotations

from typing import Annotated

from ..entries import Names, Sample
from .base import Table


class SlopesTable(Table):
    """What the case file asks of slopes: of some of its figures, or of all."""

    of: Annotated[
        Names | None,
        Sample('["outgoing.temperature"]', "names of [named], or conductor.key; all of the case if left out"),
    ] = None
