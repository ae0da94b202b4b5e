"""Reference levels (rms) for people in magnetic fields.

ICNIRP, Guidelines for limiting exposure to time-varying electric and magnetic fields (1 Hz to
100 kHz), Health Phys. 99, 818-836, 2010, tables 3 and 4, whose levels against nerve stimulation go on to 10 MHz; and
ICNIRP, Guidelines for limiting exposure to electromagnetic fields (100 kHz to 300 GHz), Health Phys. 118, 483-524,
2020, table 5, the mean over the whole body and 30 minutes (all from
memory). Between 100 kHz and 10 MHz both hold. The levels of 2020 for a part of the body over 6 minutes (table 6) are
2.2 times as high and are not used.
"""

from __future__ import annotations

from dataclasses import dataclass

from crosscurrent.solver.metals.depth import MU0

PUBLIC = "general public"
INSTANT, BODY = "at any instant", "whole body, mean over 30 minutes"


@dataclass(frozen=True)
class Level:
    """A reference level for the flux density; `mean` says what it is a mean of."""

    who: str
    source: str
    mean: str
    flux_density: float  # rms [T]

    @property
    def public(self) -> bool:
        """Whether it is for the general public; else for people at work."""
        return self.who == PUBLIC


def reference_levels(frequency: float) -> tuple[Level, ...]:
    """The levels of both guidelines that exist at a frequency [Hz].

    Examples
    --------
    >>> [(level.who, level.source, round(level.flux_density * 1e6, 3)) for level in reference_levels(85e3)]
    [('general public', 'ICNIRP 2010', 27.0), ('occupational', 'ICNIRP 2010', 100.0)]
    >>> [round(level.flux_density * 1e6, 4) for level in reference_levels(13.56e6)]
    [0.2039, 0.4541]
    """
    found = []
    if 1 <= frequency <= 10e6:
        found += [
            Level(PUBLIC, "ICNIRP 2010", INSTANT, _public_2010(frequency)),
            Level("occupational", "ICNIRP 2010", INSTANT, _occupational_2010(frequency)),
        ]
    if 100e3 <= frequency <= 400e6:
        megahertz = frequency / 1e6
        public, worker = (2.2 / megahertz, 4.9 / megahertz) if megahertz <= 30 else (0.073, 0.16)
        found += [
            Level(PUBLIC, "ICNIRP 2020", BODY, MU0 * public),
            Level("occupational", "ICNIRP 2020", BODY, MU0 * worker),
        ]
    return tuple(found)


def _public_2010(f: float) -> float:
    for end, level in ((8, 4e-2 / f**2), (25, 5e-3 / f), (400, 2e-4), (3e3, 8e-2 / f)):
        if f < end:
            return level
    return 2.7e-5


def _occupational_2010(f: float) -> float:
    for end, level in ((8, 0.2 / f**2), (25, 2.5e-2 / f), (300, 1e-3), (3e3, 0.3 / f)):
        if f < end:
            return level
    return 1e-4
