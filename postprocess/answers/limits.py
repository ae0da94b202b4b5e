"""Whether a figure keeps its limit, with its error bar taken into account."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .chapter import Measured

Standing = Literal["fail", "cannot tell", "pass"]
ORDER: dict[Standing, int] = {"fail": 0, "cannot tell": 1, "pass": 2}


@dataclass(frozen=True)
class Verdict:
    """One limit and the figure it is set on."""

    limit: str  # its key in the case file
    allowed: float
    found: Measured
    at_best: Standing = "pass"  # what a metal that melts, or is no longer what was computed, leaves of it

    @property
    def standing(self) -> Standing:
        """Pass or fail, where the whole error bar lies on one side of the limit; no better than `at_best`.

        Examples
        --------
        >>> [Verdict("loss", 100.0, Measured(v, 2.0, "W/m")).standing for v in (97.0, 99.0, 103.0)]
        ['pass', 'cannot tell', 'fail']
        """
        standing: Standing = "cannot tell"
        if self.met:
            standing = "pass"
        elif self.found.value - self.found.error > self.allowed:
            standing = "fail"
        return min(standing, self.at_best, key=ORDER.__getitem__)

    @property
    def met(self) -> bool:
        """Whether the figure by itself keeps the limit, error bar included, whatever the metals come to."""
        return self.found.highest <= self.allowed

    @property
    def by_lay(self) -> bool:
        """Whether only how bundles are laid leaves it open."""
        return not self.met and self.found.value + self.found.error <= self.allowed

    @property
    def margin(self) -> float:
        """What is left below the limit, in its unit; negative beyond it."""
        return self.allowed - self.found.value

    @property
    def rank(self) -> tuple[int, float]:
        """The smaller, the more in need of a change: failed, else not certain, else the fullest, error bar included."""
        full = self.found.highest / self.allowed if self.allowed else float("inf")
        return ORDER[self.standing], -full
