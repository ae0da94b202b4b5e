"""The tables [[joint]]: resistances that the user allows for."""

from __future__ import annotations

from typing import Annotated

from ..entries import Count, JointResistance, Name, Sample
from .base import Table


class JointTable(Table):
    """Joints of one kind, each carrying the whole current of a circuit."""

    name: Annotated[Name, Sample('"bolted"', "for the answers")]
    circuit: Annotated[str, Sample('"feed"', "whose whole current each joint carries")]
    resistance: Annotated[JointResistance, Sample('"3 uohm"', "of one joint")]
    number: Annotated[Count, Sample('4', "of joints in the run")] = 1
