"""The table `place` of a conductor: where it stands beside another one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal, Self

from pydantic import model_validator
from pydantic_core import PydanticCustomError

from ..entries import Length, Position, Sample, fault, faults
from .base import Table

Side = Literal["left", "right", "top", "bottom"]
Relation = Literal["above", "below", "left_of", "right_of", "around", "inside"]
RELATIONS: tuple[Relation, ...] = ("above", "below", "left_of", "right_of", "around", "inside")


class PlaceTable(Table):
    """Beside another conductor, at the gap of their finished faces; lines and sizes take in all coats."""

    above: Annotated[str | None, Sample('"return"', "the conductor it stands above", apart=True)] = None
    below: Annotated[str | None, Sample('"return"', "the one it stands below; a copy, or all copies together")] = None
    left_of: Annotated[str | None, Sample('"return"', "the one it stands to the left of", apart=True)] = None
    right_of: Annotated[str | None, Sample('"return"', "the one it stands to the right of", apart=True)] = None
    around: Annotated[str | None, Sample('"return"', "the one it encloses", apart=True)] = None
    inside: Annotated[str | None, Sample('"trunking"', "in whose bore it stands; needs wall", apart=True)] = None
    gap: Annotated[
        Length | None,
        Sample('"3 mm"', "between finished faces; of two rounds where they are nearest; around: gives the bore"),
    ] = None
    wall: Annotated[Side | None, Sample('"bottom"', "of the bore, from which the gap counts", apart=True)] = None
    align: Annotated[
        Literal["centre", "left", "right", "top", "bottom"],
        Sample('"centre"', "what is in line with the other: the middle, or an edge across the direction of the gap"),
    ] = "centre"
    shift: Annotated[
        Position, Sample('"0 mm"', "from there, to the right or up; of around to the right")
    ] = 0.0

    @model_validator(mode="after")
    def _one_relation(self) -> Self:
        given = [key for key in RELATIONS if getattr(self, key) is not None]
        if len(given) != 1:
            found = " and ".join(given) or "none of them"
            raise fault(f"exactly one of {', '.join(RELATIONS)}", found, 'write one, such as below = "outgoing"')
        if wrong := tuple(self._wrong()):
            raise faults(wrong)
        return self

    def _wrong(self) -> Iterator[PydanticCustomError]:
        """What does not go with the relation, each at its key where that is written."""
        relation = self.relation
        if self.gap is None and relation != "around":
            yield fault("the gap of the finished faces", "no gap", 'add gap = "3 mm"')
        if (self.wall is None) == (relation == "inside"):
            found, key = ("none", "") if self.wall is None else (f'"{self.wall}" without inside', "wall")
            hint = 'write inside = "box", wall = "bottom", gap = "10 mm"'
            yield fault("wall together with inside", found, hint, key)
            if not key:
                return  # which edges may be in line goes with the wall
        wrong = ("left", "right") if self.is_sideways else ("top", "bottom")
        if self.align in wrong or (relation == "around" and self.align != "centre"):
            right = "centre" if relation == "around" else "centre, top or bottom" if self.is_sideways else (
                "centre, left or right")
            yield fault(f"align = {right} with {relation}", f'"{self.align}"', 'leave it out for "centre"', "align")

    @property
    def relation(self) -> Relation:
        """Which of the relations is given."""
        return next(key for key in RELATIONS if getattr(self, key) is not None)

    @property
    def other(self) -> str:
        """Name of the conductor it refers to."""
        return str(getattr(self, self.relation))

    @property
    def is_sideways(self) -> bool:
        """Whether the gap lies along x."""
        return self.relation in ("left_of", "right_of") or (self.inside is not None and self.wall in ("left", "right"))
