"""The best design inside the limits from one start: sequential quadratic programming with slopes from the field."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from crosscurrent.casefile.varied import Value
from crosscurrent.geometries.arrays import FloatArray

from .design import Design
from .plan import Question, Range
from .trial import FIGURES, Source, Trial, tried

MOST = 15  # steps of a search
ENOUGH = 1e-5  # of what is wanted: a step that gains less is the last
FIRST = 0.25  # of a range: how far the first step goes
INSIDE = 1e-4  # of a limit, by which a search keeps below it
DIGITS = 9  # of a share of a range
STEP = 0.01  # of a range, where a slope is taken from two solves


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
    start: tuple[float, ...]
    below: Mapping[str, float] = field(default_factory=dict)


class _NoWayOn(Exception):
    """A design on the way has no figures."""


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
    from scipy.optimize import minimize

    path = _Path(search)
    try:
        first = path.begin(np.array(search.start))
        constraints = [
            {
                "type": "ineq",
                "fun": lambda x, k=key: -path.excess(x, k),
                "jac": lambda x, k=key: -path.slope(x, k),
            }
            for key in (*(f"margin {limit}" for limit in first.margins), *(FIGURES[aim] for aim in search.below))
        ]
        minimize(  # type: ignore[call-overload]
            lambda x: path.excess(x, path.figure),
            np.array(search.start),
            jac=lambda x: path.slope(x, path.figure),
            bounds=[(0.0, 1.0)] * len(search.ranges),
            constraints=constraints,
            method="SLSQP",
            options={"maxiter": MOST, "ftol": ENOUGH * abs(path.excess(np.array(search.start), path.figure))},
        )
    except _NoWayOn:
        pass
    return tuple(path.designs.values())


class _Path:
    """What has been tried on the way, each place once."""

    def __init__(self, search: Search) -> None:
        self.search = search
        self.figure = FIGURES[search.aim]
        self.designs: dict[tuple[float, ...], Design] = {}
        self.scale = 1.0

    def at(self, x: FloatArray) -> Design:
        """The design at shares of the ranges."""
        place = tuple(float(v) for v in np.clip(np.round(x, DIGITS), 0.0, 1.0))
        if place not in self.designs:
            s = self.search
            values = {r.key: r.at(share) for r, share in zip(s.ranges, place, strict=True)}
            along = tuple(r.key for r in s.ranges)
            self.designs[place] = tried(Trial(s.source, {**s.fixed, **values}, s.question, along))
        found = self.designs[place]
        if found.fault or self.figure not in found.figures:
            raise _NoWayOn
        return found

    def begin(self, x: FloatArray) -> Design:
        """The first design; the figure is scaled so that the first step goes as far as it should."""
        found = self.at(x)
        self.scale = float(np.abs(self.slope(x, self.figure)).max()) / FIRST or 1.0
        return found

    def excess(self, x: FloatArray, key: str) -> float:
        """The figure to scale; how far another one lies beyond what it may be."""
        found = self.at(x)
        if key.startswith("margin "):
            return found.margins[key.removeprefix("margin ")] + INSIDE
        if key == self.figure:
            return found.figures[key] / self.scale
        return found.figures[key] / self._allowed(key) - 1

    def slope(self, x: FloatArray, key: str) -> FloatArray:
        """Its slope over the shares."""
        found, shares = self.at(x), np.clip(x, 0.0, 1.0)
        per = self.scale if key == self.figure else 1.0 if key.startswith("margin ") else self._allowed(key)
        known = found.slopes.get(key)
        if known is not None:
            each = zip(self.search.ranges, shares, strict=True)
            return np.array([known[r.key] * r.per_share(float(share)) / per for r, share in each])
        here, slopes = self.excess(x, key), []
        for k, share in enumerate(shares):
            step = STEP if share + STEP <= 1.0 else -STEP
            there = shares.copy()
            there[k] += step
            slopes.append((self.excess(there, key) - here) / step)
        return np.array(slopes)

    def _allowed(self, key: str) -> float:
        return next(limit for aim, limit in self.search.below.items() if FIGURES[aim] == key)

