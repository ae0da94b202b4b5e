"""Whether a figure keeps its limit, with its error bar taken into account."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .chapter import Measured

Standing = Literal["pass", "fail", "cannot tell"]


@dataclass(frozen=True)
class Verdict:
    """One limit and the figure it is set on."""

    limit: str  # its key in the case file
    allowed: float
    found: Measured

    @property
    def standing(self) -> Standing:
        """Pass or fail, where the whole error bar lies on one side of the limit.

        Examples
        --------
        >>> [Verdict("loss", 100.0, Measured(v, 2.0, "W/m")).standing for v in (97.0, 99.0, 103.0)]
        ['pass', 'cannot tell', 'fail']
        """
        if self.found.value + self.found.error <= self.allowed:
            return "pass"
        return "fail" if self.found.value - self.found.error > self.allowed else "cannot tell"

    @property
    def margin(self) -> float:
        """What is left below the limit, in its unit; negative beyond it."""
        return self.allowed - self.found.value

    @property
    def used(self) -> float:
        """Share of the limit that is used up; temperatures count from 0 degC."""
        return self.found.value / self.allowed if self.allowed else float("inf")
