"""The best design inside the limits from one start: sequential quadratic programming with slopes from the field.

A search solves nothing itself: it says which designs it wants, and goes on when it is given them. It is gone through
from its start each time, which costs nothing beside a solve; so it needs no memory but its designs, and one that was
interrupted comes by the same way to where it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field

import numpy as np

from crosscurrent.casefile.varied import Value
from crosscurrent.geometries.arrays import FloatArray

from .design import Design
from .plan import FIGURES, Question, Range
from .trial import Source, Trial, tried

MOST = 15  # steps of a search
ENOUGH = 1e-4  # of what is wanted: a step that promises to gain less is not gone
FIRST = 0.25  # of a range: how far the first step goes
INSIDE = 1e-4  # of a limit, by which a search keeps below it
DIGITS = 9  # of a share of a range
STEP = 0.01  # of a range, where a slope is taken from two solves
NEAR = 0.05  # of a range, within which the slope of a figure is trusted

Place = tuple[float, ...]


@dataclass(frozen=True)
class Search:
    """From where to look for the least of one figure.

    Attributes
    ----------
    source : Case or callable
    fixed : mapping of str to float, int or str
        Values of the alternative that it is looked for in.
    ranges : tuple of Range
    question : Question
    aim : str
        The figure that is to be least.
    start : tuple of float
        Share of every range to begin at.
    below : mapping of str to float
        Figures that may not be larger, by aim; for a trade-off.
    """

    source: Source
    fixed: Mapping[str, Value]
    ranges: tuple[Range, ...]
    question: Question
    aim: str
    start: Place
    below: Mapping[str, float] = field(default_factory=dict)


def searched(search: Search) -> tuple[Design, ...]:
    """All designs on the way to the least figure from one start, in their order; the last ones are the best.

    Slopes come from the field where they are exact; the others, of temperatures and forces, from a design a
    hundredth of the range away.

    Examples
    --------
    The resistance of a rod at 0 Hz is least where it is thickest:

    >>> from crosscurrent.api import case, circuit, conductor
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> one = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["0 Hz"])
    >>> question = Question(("resistance",), 0.0, "feed")
    >>> way = searched(Search(one, {}, (Range("rod.diameter", 0.01, 0.03, "length"),), question, "resistance", (0.5,)))
    >>> way[-1].values["rod.diameter"], len(way) < 6
    (0.03, True)
    """
    way = Way(search)
    while wanted := way.wanted():
        for trial in wanted:
            way.take(tried(trial))
    return way.designs


class _Unknown(Exception):
    """A design on the way has not been tried yet."""


class _AtTheEnd(Exception):
    """The way goes no further: a design has no figures, or the next promises nothing."""


class Way:
    """How far a search has come.

    Parameters
    ----------
    search : Search
    """

    def __init__(self, search: Search) -> None:
        self.search = search
        self._figure = FIGURES[search.aim]
        self._scale = 1.0
        self._known: dict[Place, Design] = {}
        self._missing: dict[Place, Trial] = {}

    @property
    def designs(self) -> tuple[Design, ...]:
        """Those it was given, in their order."""
        return tuple(self._known.values())

    @property
    def waits(self) -> bool:
        """Whether it was not given all that it wants yet."""
        return bool(self._missing)

    def wanted(self) -> tuple[Trial, ...]:
        """The designs that it needs to go on; none at its end."""
        if not self.waits:
            with suppress(_Unknown, _AtTheEnd):
                self._go()
        return tuple(self._missing.values())

    def take(self, design: Design) -> None:
        """Give it one of those that it wants."""
        place = next(place for place, trial in self._missing.items() if trial.key == design.key)
        del self._missing[place]
        self._known[place] = design

    def _go(self) -> None:
        """From the start to the end, or to the first design that is not known."""
        from scipy.optimize import minimize

        search = self.search
        start = np.array(search.start)
        first = self._begin(start)
        constraints = [
            {
                "type": "ineq",
                "fun": lambda x, k=key: -self._excess(x, k),
                "jac": lambda x, k=key: -self._slope(x, k),
            }
            for key in (*(f"margin {limit}" for limit in first.margins), *(FIGURES[aim] for aim in search.below))
        ]
        minimize(  # type: ignore[call-overload]
            lambda x: self._excess(x, self._figure),
            start,
            jac=lambda x: self._slope(x, self._figure),
            bounds=[(0.0, 1.0)] * len(search.ranges),
            constraints=constraints,
            method="SLSQP",
            options={"maxiter": MOST, "ftol": 0.1 * ENOUGH * abs(self._excess(start, self._figure))},
        )

    def _at(self, x: FloatArray) -> Design:
        """The design at shares of the ranges."""
        place = self._place(x)
        if place not in self._known and self._promises_nothing(place):
            raise _AtTheEnd
        if not self._is_known(place):
            raise _Unknown
        found = self._known[place]
        if found.fault or self._figure not in found.figures:
            raise _AtTheEnd
        return found

    def _promises_nothing(self, place: Place) -> bool:
        """Whether a design lies so near the best one that its slopes tell how little is gained by it."""
        kept = [known for known in self._known if self._keeps(self._known[known])]
        best = min(kept, key=lambda known: self._known[known].figures[self._figure], default=None)
        if best is None or max(abs(a - b) for a, b in zip(place, best, strict=True)) > NEAR:
            return False
        found = self._known[best]
        slopes = found.slopes.get(self._figure)
        if slopes is None:
            return False
        each = zip(self.search.ranges, place, strict=True)
        gained = sum(slopes[r.key] * (float(found.values[r.key]) - r.at(share)) for r, share in each)
        return gained < ENOUGH * abs(found.figures[self._figure])

    def _keeps(self, design: Design) -> bool:
        """Whether a design keeps to all limits and levels."""
        levels = ((FIGURES[aim], level) for aim, level in self.search.below.items())
        return (
            self._figure in design.figures
            and all(margin <= 0 for margin in design.margins.values())
            and all(design.figures[key] <= level for key, level in levels)
        )

    def _is_known(self, place: Place) -> bool:
        """Whether a design is; else it is wanted."""
        if place not in self._known:
            s = self.search
            values = {r.key: r.at(share) for r, share in zip(s.ranges, place, strict=True)}
            along = tuple(r.key for r in s.ranges)
            self._missing[place] = Trial(s.source, {**s.fixed, **values}, s.question, along)
        return place in self._known

    def _place(self, x: FloatArray) -> Place:
        return tuple(float(v) for v in np.clip(np.round(x, DIGITS), 0.0, 1.0))

    def _begin(self, x: FloatArray) -> Design:
        """The first design; the figure is scaled so that the first step goes as far as it should."""
        self._scale = 1.0
        found = self._at(x)
        self._scale = float(np.abs(self._slope(x, self._figure)).max()) / FIRST or 1.0
        return found

    def _excess(self, x: FloatArray, key: str) -> float:
        """The figure to scale; how far another one lies beyond what it may be."""
        found = self._at(x)
        if key.startswith("margin "):
            return found.margins[key.removeprefix("margin ")] + INSIDE
        if key == self._figure:
            return found.figures[key] / self._scale
        return found.figures[key] / self._allowed(key) - 1

    def _slope(self, x: FloatArray, key: str) -> FloatArray:
        """Its slope over the shares."""
        found, shares = self._at(x), np.clip(x, 0.0, 1.0)
        per = self._scale if key == self._figure else 1.0 if key.startswith("margin ") else self._allowed(key)
        known = found.slopes.get(key)
        if known is not None:
            each = zip(self.search.ranges, shares, strict=True)
            return np.array([known[r.key] * r.per_share(float(share)) / per for r, share in each])
        steps = np.where(shares + STEP <= 1.0, STEP, -STEP)
        beside = shares + np.diag(steps)
        there = [self._is_known(self._place(place)) for place in beside]  # all of them are wanted at once
        if not all(there):
            raise _Unknown
        here = self._excess(x, key)
        return np.array([self._excess(place, key) - here for place in beside]) / steps

    def _allowed(self, key: str) -> float:
        return next(limit for aim, limit in self.search.below.items() if FIGURES[aim] == key)
