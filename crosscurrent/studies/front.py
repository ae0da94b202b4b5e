"""The trade-off between two aims: designs that no other one beats in both."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from .design import Design
from .plan import FIGURES

SOUND = ("pass", "none stated")  # verdicts of designs that may be chosen
ALIKE = 1e-9  # share of a figure that is rounding
NEAR = 1e-3  # share of a figure in which searches do not tell designs apart ...
WORTH = 10 * NEAR  # ... and by which another figure must be better to be worth that


def front(designs: Iterable[Design], aims: Sequence[str]) -> tuple[Design, ...]:
    """Those that keep to all limits and that no other one beats in both figures, the least of the first aim first.

    Between its ends, one that another beats in one figure and all but equals in the other is left out too.
    """
    one, other = (FIGURES[aim] for aim in aims)
    kept: list[Design] = []
    for design in designs:
        sound = design.verdict in SOUND and {one, other} <= design.figures.keys()
        if sound and not any(_beats(d, design, (one, other)) for d in kept):
            kept = [d for d in kept if not _beats(design, d, (one, other))] + [design]
    found = sorted(kept, key=lambda d: d.figures[one])
    inner = [d for d in found[1:-1] if not any(_all_but_beats(rival, d, (one, other)) for rival in found)]
    return (*found[:1], *inner, *found[1:][-1:])


def _beats(one: Design, other: Design, figures: Sequence[str]) -> bool:
    """Whether a design is at least as good in every figure, but for rounding."""
    return all(one.figures[key] <= other.figures[key] + ALIKE * abs(other.figures[key]) for key in figures)


def _all_but_beats(one: Design, other: Design, figures: Sequence[str]) -> bool:
    """Whether a design is clearly better in one figure and not noticeably worse in the other."""
    sizes = [abs(other.figures[key]) for key in figures]
    more = [one.figures[key] - other.figures[key] for key in figures]
    return any(more[k] < -WORTH * sizes[k] and more[1 - k] <= NEAR * sizes[1 - k] for k in (0, 1))


def levels(found: Sequence[Design], figure: str, count: int) -> Iterator[tuple[Design, float]]:
    """Levels of a figure evenly between the ends of a front, each with the design below it that is nearest."""
    if len(found) < 2:
        return
    low, high = (found[k].figures[figure] for k in (-1, 0))
    for level in np.linspace(low, high, count + 2)[1:-1]:
        below = [d for d in found if d.figures[figure] <= level]
        yield max(below, key=lambda d: d.figures[figure]), float(level)
