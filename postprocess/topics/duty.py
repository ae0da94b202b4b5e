"""Heat in time as every output says it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from ..geometries.outline import FloatArray
from ..solver.balance import CEILING
from ..solver.duty import MELTED, Cycle
from ..solver.problem import Conductor
from .beyond import beyond, bound_warnings
from .chapter import Measured
from .tables import TextTable
from .units import concise

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SHORT = 5.0  # seconds up to which the heat given away is left out: IEC 60364-4-43, IEC 60865-1
BAND = 0.05  # of a rise without losses: heat capacity and resistivity of what is bought; common practice, no source


@dataclass(frozen=True, eq=False)
class Course:
    """One duty at one frequency [Hz]: the current [A] of the largest circuit, on and off [s], and what came of it."""

    name: str
    frequency: float
    conductors: tuple[Conductor, ...]
    current: float
    on: float
    off: float | None
    start: FloatArray | None = None
    end: FloatArray | None = None
    cycle: Cycle | None = None
    band: tuple[FloatArray, FloatArray] | None = None  # of `end` in a cycle, at the best and the worst cooling
    doubt: FloatArray | None = None  # of the start of a short time [K]
    begins: str = ""  # what that start is
    why: str = ""
    runaway: frozenset[str] = frozenset()  # conductors that have no end
    unknown: frozenset[str] = frozenset()  # conductors whose water would get warmer than computed

    def failed(self, why: str, runaway: frozenset[str] = frozenset()) -> Course:
        """Without an answer, and the reason."""
        return replace(self, why=why, runaway=runaway)

    def heated_once(self, start: FloatArray, end: FloatArray, doubt: FloatArray, begins: str) -> Course:
        """From temperatures to temperatures (conductors,) [degC] without losing heat."""
        return replace(self, start=start, end=end, doubt=doubt, begins=begins)

    def cycling(
        self, cycle: Cycle, inside: FloatArray, band: tuple[FloatArray, FloatArray], unknown: frozenset[str]
    ) -> Course:
        """In a cycle that repeats itself; `inside`: of the hottest point above the mean (conductors,) [K]."""
        coldest, hottest = (edge + inside for edge in band)
        lowest, highest = cycle.temperature.min(axis=0), cycle.temperature.max(axis=0) + inside
        return replace(self, start=lowest, end=highest, cycle=cycle, band=(coldest, hottest), unknown=unknown)

    @property
    def load(self) -> str:
        """What a limit on it speaks of."""
        return f"{'after' if self.off is None else 'peak of'} {self.name}, {concise(self.frequency, 'Hz')}"

    def figure(self, k: int) -> Measured:
        """The highest temperature of a conductor."""
        name = self.conductors[k].name
        if self.start is None or self.end is None or name in self.unknown:
            error = 0.0 if name in self.runaway else math.inf
            return Measured(math.inf, error, "degC", name, self.load)
        value = float(self.end[k])
        if not value <= MELTED:
            return Measured(math.inf, 0.0, "degC", name, self.load)
        if self.band is None:
            doubt = 0.0 if self.doubt is None else float(self.doubt[k])
            return Measured(value, doubt + BAND * (value - float(self.start[k])), "degC", name, self.load)
        hottest = float(self.band[1][k])
        hottest = hottest if math.isfinite(hottest) else max(CEILING, value)
        error = max(hottest - value, value - float(self.band[0][k]))
        return Measured(value, error, "degC", name, self.load)

    @property
    def stem(self) -> str:
        """For a file's name."""
        return re.sub(r"[^A-Za-z0-9]+", "-", f"{self.name}-{concise(self.frequency, 'Hz').replace(' ', '')}").strip("-")

    @property
    def times(self) -> str:
        """On and off in words."""
        on = duration(self.on)
        return f"{on} once" if self.off is None else f"{on} on, {duration(self.off)} off"


def duration(seconds: float, digits: int = 4) -> str:
    """A time in the unit that suits it.

    Examples
    --------
    >>> duration(0.2), duration(90.0), duration(1800.0)
    ('200 ms', '90 s', '30 min')
    """
    for unit, size, least in (("h", 3600.0, 7200.0), ("min", 60.0, 120.0)):
        if seconds >= least:
            return f"{float(f'{seconds / size:.{digits}g}'):g} {unit}"
    return concise(seconds, "s", digits)


def record(course: Course) -> dict[str, Any]:
    """The numbers of one course."""
    head: dict[str, Any] = {
        "name": course.name,
        "frequency_hz": course.frequency,
        "current_a": course.current,
        "on_s": course.on,
        "off_s": course.off,
    }
    if course.start is None or course.end is None:
        return head | {"reason": course.why, "conductors": {}}
    names = ("start_degc", "end_degc") if course.cycle is None else ("lowest_degc", "highest_degc")
    rows: dict[str, Any] = {}
    for k, c in enumerate(course.conductors):
        if c.name in course.unknown:
            rows[c.name] = dict.fromkeys(names)
            continue
        rows[c.name] = {n: finite(float(t[k])) for n, t in zip(names, (course.start, course.end), strict=True)}
        if course.cycle is not None and course.band is not None:
            rows[c.name]["time_constant_s"] = float(course.cycle.constant[k])
            bounds = ("highest_degc_low", "highest_degc_high")
            rows[c.name] |= {n: finite(float(edge[k])) for n, edge in zip(bounds, course.band, strict=True)}
        past = beyond(c, float(course.end[k]))
        rows[c.name]["does_not_hold"] = past.words if past else None
    return head | {"start": course.begins or None, "conductors": rows}


def finite(value: float) -> float | None:
    """A temperature that still has a meaning [degC]."""
    return value if value <= MELTED else None


def table(course: Course) -> TextTable:
    """One line per conductor."""
    assert course.start is not None
    assert course.end is not None
    once = course.cycle is None
    columns = ("before", "after") if once else ("lowest", "highest", "from .. to", "settles in")
    rows: list[tuple[str, ...]] = []
    for k, c in enumerate(course.conductors):
        row: tuple[str, ...] = (c.name, f"{course.start[k]:.1f}", warm(c, float(course.end[k])))
        if c.name in course.unknown:
            row = (c.name, "not known", "not known", "-", "-")
        elif course.cycle is not None:
            row += (_peaks(course, k), duration(3 * float(course.cycle.constant[k]), 2))
        rows.append(row)
    at = concise(course.frequency, "Hz")
    return TextTable(
        f"{course.name}: {concise(course.current, 'A', 4)} at {at}, {course.times} (degC)",
        ("conductor", *columns),
        tuple(rows),
    )


def warm(conductor: Conductor, value: float) -> str:
    """A temperature in a table, marked where a metal of the conductor does not stand it."""
    if not value <= MELTED:
        return "melts"
    past = beyond(conductor, value)
    return f"{value:.1f}{past.mark if past else ''}"


def sentence(course: Course) -> str:
    """Which conductor gets the hottest."""
    head = f"{course.name} at {concise(course.frequency, 'Hz')}"
    if course.start is None or course.end is None:
        return f"{head}: {course.why}"
    known = [k for k, c in enumerate(course.conductors) if c.name not in course.unknown]
    if not known:
        return f"{head}: all conductors are in water, which the current of this cycle warms by more than is computed"
    k = max(known, key=lambda k: float(course.end[k]) if course.end is not None else 0.0)
    name = course.conductors[k].name
    if course.cycle is not None:
        return (
            f"{head}: with {course.times}, {name} swings between {course.start[k]:.1f} and {course.end[k]:.1f} degC "
            f"(peak {_peaks(course, k, ' to ')}); it covers 63 % of a change in "
            f"{duration(float(course.cycle.constant[k]), 2)}"
        )
    begins = f"from {course.start[k]:.1f} degC ({course.begins})"
    if not course.end[k] <= MELTED:
        return f"{head}: {name} melts, {begins}"
    return f"{head}: {name} goes {begins} to {course.end[k]:.1f} degC on the mean in {duration(course.on)}"


def _peaks(course: Course, k: int, between: str = " .. ") -> str:
    """The band of the peak of a cycle."""
    assert course.band is not None
    low, high = (float(edge[k]) for edge in course.band)
    return f"{low:.0f}{between}{f'{high:.0f}' if high <= MELTED else 'no end'}"


def warnings(course: Course) -> list[str]:
    """What the reader must know before using it."""
    found = []
    if course.why:
        found.append(f"{course.name}: {course.why}")
    elif course.cycle is None and course.on > SHORT:
        found.append(
            f"{course.name}: heating without any heat given away is too much for {duration(course.on)} (meant for "
            f"up to {SHORT:g} s): state off, and [cooling]"
        )
    elif course.cycle is None and any(_uneven(c, course.on) for c in course.conductors):
        found.append(
            f"{course.name}: {duration(course.on)} is too short for the heat to even out over the section: the crowded "
            "faces get hotter than the means given"
        )
    if course.unknown:
        found.append(
            f"{course.name}: water keeps {', '.join(sorted(course.unknown))} at the temperature found for the currents "
            "of the circuits; with the larger current of this cycle it would be warmer, by how much is not computed"
        )
    return found + bound_warnings(course.conductors, measured([course]))


def _uneven(conductor: Conductor, seconds: float) -> bool:
    """Whether heat has no time to cross half the thickness."""
    metal = conductor.material
    if not (metal.density and metal.heat_capacity):
        return False
    diffusivity = metal.conduction / (metal.density * metal.heat_capacity)
    return seconds * diffusivity < conductor.part.shape.outer.inscribed_radius**2


def measured(found: Sequence[Course]) -> tuple[Measured, ...]:
    """The highest temperature of every conductor in every course."""
    return tuple(course.figure(k) for course in found for k in range(len(course.conductors)))


def drawn(course: Course, title: str) -> Callable[[], Figure]:
    """What draws the temperatures over one cycle."""

    def draw() -> Figure:
        from .pictures.cycle import cycle_plot

        return cycle_plot(course, title)

    return draw


def shown_times(cycle: Cycle) -> tuple[FloatArray, str]:
    """Times of a cycle in the unit that suits them, and the unit."""
    last = float(cycle.time[-1])
    unit, size = ("h", 3600.0) if last >= 7200 else ("min", 60.0) if last >= 120 else ("s", 1.0)
    return np.asarray(cycle.time / size), unit
