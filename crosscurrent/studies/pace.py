"""How far a study has come, and how long it still takes at its recent pace."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable

_SPAN = 60  # marks that the recent pace is taken from
_APART = 1.0  # between two of them [s]
_UNITS = ((86400.0, "d"), (3600.0, "h"), (60.0, "min"), (1.0, "s"))


class Pace:
    """Counts designs as they are done.

    Parameters
    ----------
    total : int or None
        How many there are; None where nobody knows.
    done : int
        How many were there already; they say nothing about the pace.
    clock : callable
        Gives the time [s].

    Examples
    --------
    >>> ticks = iter(range(100))
    >>> pace = Pace(1000, done=100, clock=lambda: 10.0 * next(ticks))
    >>> for _ in range(12):
    ...     pace.count(26)
    >>> pace.words()
    '412 of 1000 designs, about 4 min left'
    """

    def __init__(self, total: int | None, *, done: int = 0, clock: Callable[[], float] = time.monotonic) -> None:
        self.total = total
        self.done = done
        self._clock = clock
        self._marks = deque([(clock(), done)], maxlen=_SPAN)

    def count(self, more: int = 1) -> None:
        """Note that so many more are done."""
        self.done += more
        now = self._clock()
        if now - self._marks[-1][0] >= _APART:
            self._marks.append((now, self.done))

    def remaining(self) -> float | None:
        """Time that is left [s]; None where the total or the pace is not known yet."""
        (begun, before), (now, reached) = self._marks[0], self._marks[-1]
        if self.total is None or reached == before:
            return None
        return max(self.total - self.done, 0) * (now - begun) / (reached - before)

    def words(self) -> str:
        """As a line of progress: "412 of 1000 designs, about 3 min left"; a search may need more than was foreseen."""
        if self.total is not None and self.done > self.total:
            return f"{self.done} designs, more than the {self.total} foreseen"
        counted = f"{self.done} designs" if self.total is None else f"{self.done} of {self.total} designs"
        left = self.remaining()
        return counted if left is None or self.done == self.total else f"{counted}, about {rounded(left)} left"


def rounded(seconds: float) -> str:
    """A time in the largest unit of which there are two, as exactly as a forecast is.

    Examples
    --------
    >>> rounded(0.2), rounded(100.0), rounded(130.0)
    ('1 s', '100 s', '2 min')
    """
    size, unit = next((u for u in _UNITS if seconds >= 2.0 * u[0]), _UNITS[-1])
    count = max(round(seconds / size), 1)
    return f"{count} {unit}"
