"""Several searches side by side: the designs that they want, as they come to want them."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from typing import Self

from .design import Design
from .search import Search, Way
from .trial import Trial


class Ways:
    """An iterator of trials that ends for now, and has more once designs were taken.

    Parameters
    ----------
    searches : iterable of Search

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> from crosscurrent.studies.plan import Question, Range
    >>> from crosscurrent.studies.trial import tried
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> one = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["0 Hz"])
    >>> asked = Question(("resistance",), 0.0, "feed"), "resistance"
    >>> span = (Range("rod.diameter", 0.01, 0.03, "length"),)
    >>> ways = Ways([Search(one, {}, span, *asked, (0.2,)), Search(one, {}, span, *asked, (0.7,))])
    >>> for trial in ways:
    ...     ways.take(tried(trial))
    >>> [way.designs[-1].values["rod.diameter"] for way in ways.each]
    [0.03, 0.03]
    """

    def __init__(self, searches: Iterable[Search]) -> None:
        self.each = tuple(Way(search) for search in searches)
        self._next: deque[Trial] = deque()
        self._waiting: dict[str, list[Way]] = {}
        self._found: dict[str, Design] = {}
        for way in self.each:
            self._ask(way)

    def __iter__(self) -> Self:
        return self

    def __next__(self) -> Trial:
        if not self._next:
            raise StopIteration
        return self._next.popleft()

    def take(self, design: Design) -> None:
        """A design that was wanted."""
        self._found[design.key] = design
        for way in self._waiting.pop(design.key):
            way.take(design)
            if not way.waits:
                self._ask(way)

    def _ask(self, way: Way) -> None:
        """What a way wants next that no other one has found."""
        while wanted := way.wanted():
            for trial in wanted:
                if trial.key in self._found:
                    way.take(self._found[trial.key])
                else:
                    if trial.key not in self._waiting:
                        self._next.append(trial)
                    self._waiting.setdefault(trial.key, []).append(way)
            if way.waits:
                return
