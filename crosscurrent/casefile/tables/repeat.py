"""The table `repeat` of a conductor."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from ..entries import Copies, Length, Pair, Sample, fault
from .base import Table


class RepeatTable(Table):
    """Copies of a conductor, the first at its centre, each further one a step [m] or a gap on."""

    count: Annotated[Copies, Sample('2', "of copies, the first included")]
    step: Annotated[Pair | None, Sample('["60 mm", "0 mm"]', "from one to the next")] = None
    gap: Annotated[Length | None, Sample('"10 mm"', "between finished faces, instead of step", apart=True)] = None
    along: Annotated[Literal["x", "y"], Sample('"x"', "direction of the gap", apart=True)] = "x"
    split: Annotated[
        str | None, Sample('"width"', "a dimension that the copies share: each has its part of it", apart=True)
    ] = None

    @model_validator(mode="after")
    def _moves(self) -> Self:
        if (self.step is None) == (self.gap is None):
            found = "neither" if self.step is None else "both"
            raise fault("either step or gap", found, 'write step = ["0 mm", "12 mm"], or gap = "6 mm"')
        if self.step == (0.0, 0.0) and self.count > 1:
            raise fault("a step that moves the copies apart", '["0 mm", "0 mm"]', "all copies would lie on one another")
        return self
