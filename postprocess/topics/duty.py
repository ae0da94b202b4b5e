"""Heat in time as every output says it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.metal_limits import bound_warnings, broken_bound
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.heat.adiabatic import SCATTER, SHORT, evens_out
from crosscurrent.solver.heat.ampacity import Rating
from crosscurrent.solver.heat.balance import CEILING
from crosscurrent.solver.heat.duty import MELTED, Cycle, DutyCycle

SEEN = 0.05  # of a temperature in the figures printed [K]


@dataclass(frozen=True, eq=False)
class Course:
    """One duty at one frequency [Hz]: the current [A] of the largest circuit, on and off [s], and what came of it."""

    name: str
    frequency: float
    conductors: tuple[Conductor, ...]
    current: float
    on: float
    off: float | None
    usual: float = 0.0  # of that circuit as the case states it [A]
    start: FloatArray | None = None
    end: FloatArray | None = None
    cycle: Cycle | None = None
    band: tuple[FloatArray, FloatArray] | None = None  # of `end` in a cycle, at the best and the worst cooling
    doubt: FloatArray | None = None  # of the start of a short time [K]
    laid: FloatArray | None = None  # `end` of a short time, were groups of strands only twisted, at most
    begins: str = ""  # what that start is
    why: str = ""
    runaway: frozenset[str] = frozenset()  # conductors that have no end
    holds: tuple[Rating, ...] = ()  # with no end: the currents that keep to the limit, and that hold at all
    unknown: frozenset[str] = frozenset()  # conductors whose water would get warmer than computed
    held: frozenset[str] = frozenset()  # conductors that keep the temperature stated

    def failed(
        self, why: str, runaway: frozenset[str] = frozenset(), holds: tuple[Rating, ...] = ()
    ) -> Course:
        """Without an answer, the reason, and what currents would have one."""
        return replace(self, why=why, runaway=runaway, holds=holds)

    def heated_once(
        self, start: FloatArray, end: FloatArray, doubt: FloatArray, begins: str, laid: FloatArray | None = None
    ) -> Course:
        """From temperatures to temperatures (conductors,) [degC] without losing heat; `laid`, as bundles are laid."""
        return replace(self, start=start, end=end, doubt=doubt, begins=begins, laid=laid)

    def cycling(self, found: DutyCycle, unknown: frozenset[str]) -> Course:
        """In a cycle that repeats itself."""
        band = (found.coldest, found.hottest)
        return replace(self, start=found.lowest, end=found.highest, cycle=found.cycle, band=band, unknown=unknown)

    @property
    def sought(self) -> tuple[int, ...]:
        """Numbers of the conductors whose temperature is to be found."""
        return tuple(k for k, c in enumerate(self.conductors) if c.name not in self.held)

    @property
    def load(self) -> str:
        """What a limit on it speaks of."""
        return f"{'after' if self.off is None else 'peak of'} {self.name}, {concise(self.frequency, 'Hz')}"

    def figure(self, k: int) -> Measured:
        """The highest temperature of a conductor."""
        name = self.conductors[k].name
        if self.start is None or self.end is None or name in self.unknown:
            error = 0.0 if name in self.runaway else math.inf
            return Measured(math.inf, error, "degC", name, self.load, self.frequency)
        value = float(self.end[k])
        if not value <= MELTED:
            return Measured(math.inf, 0.0, "degC", name, self.load, self.frequency)
        if self.band is None:
            doubt = 0.0 if self.doubt is None else float(self.doubt[k])
            doubt += SCATTER * (value - float(self.start[k]))
            return Measured(value, doubt, "degC", name, self.load, self.frequency, above=self.added(k))
        hottest = float(self.band[1][k])
        hottest = hottest if math.isfinite(hottest) else max(CEILING, value)
        error = max(hottest - value, value - float(self.band[0][k]))
        return Measured(value, error, "degC", name, self.load, self.frequency)

    def added(self, k: int) -> float:
        """What groups of strands that are only twisted add at most to the temperature after a short time [K]."""
        return 0.0 if self.laid is None or self.end is None else added_by_lay(float(self.end[k]), float(self.laid[k]))

    @property
    def stem(self) -> str:
        """For a file's name."""
        return re.sub(r"[^A-Za-z0-9]+", "-", f"{self.name}-{concise(self.frequency, 'Hz').replace(' ', '')}").strip("-")

    @property
    def times(self) -> str:
        """On and off in words."""
        on = duration(self.on)
        return f"{on} once" if self.off is None else f"{on} on, {duration(self.off)} off"


def added_by_lay(value: float, laid: float) -> float:
    """From one temperature to the other [K]; infinite where only the other has no meaning any more.

    Examples
    --------
    >>> added_by_lay(90.0, 101.5), added_by_lay(90.0, 90.01), added_by_lay(900.0, 1e5)
    (11.5, 0.0, inf)
    """
    more = laid - value if laid <= MELTED else math.inf
    return more if more > SEEN else 0.0


def as_laid(value: float, added: float) -> str:
    """The end of a sentence that tells a temperature [degC].

    Examples
    --------
    >>> as_laid(90.0, 11.5), as_laid(90.0, 0.0)
    ('; as its groups of strands are laid up to 101.5 degC', '')
    """
    if not added:
        return ""
    most = f"up to {value + added:.1f} degC" if math.isfinite(added) else "it may melt"
    return f"; as its groups of strands are laid {most}"


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


def record(course: Course) -> dict[str, Json]:
    """The numbers of one course."""
    head: dict[str, Json] = {
        "name": course.name,
        "frequency_hz": course.frequency,
        "current_a": course.current,
        "on_s": course.on,
        "off_s": course.off,
    }
    if course.start is None or course.end is None:
        held: list[Json] = [_held(rating, course) for rating in course.holds]
        return head | {"reason": course.why, "holds": held, "conductors": {}}
    names = ("start_degc", "end_degc") if course.cycle is None else ("lowest_degc", "highest_degc")
    rows: dict[str, Json] = {
        c.name: dict.fromkeys(names) if c.name in course.unknown else _of_conductor(course, k, names)
        for k, c in ((k, course.conductors[k]) for k in course.sought)
    }
    return head | {"start": course.begins or None, "conductors": rows}


def _held(rating: Rating, course: Course) -> Json:
    return {
        "limit_degc": rating.limit,
        "of": None if rating.first is None else course.conductors[rating.first].name,
        "factor_on_currents": rating.factor,
        "factor_low": rating.low,
        "factor_high": rating.high,
    }


def _of_conductor(course: Course, k: int, names: tuple[str, str]) -> dict[str, Json]:
    assert course.start is not None
    assert course.end is not None
    row: dict[str, Json] = {n: finite(float(t[k])) for n, t in zip(names, (course.start, course.end), strict=True)}
    if course.cycle is not None and course.band is not None:
        row["time_constant_s"] = float(course.cycle.constant[k])
        bounds = ("highest_degc_low", "highest_degc_high")
        row |= {n: finite(float(edge[k])) for n, edge in zip(bounds, course.band, strict=True)}
    past = broken_bound(course.conductors[k], float(course.end[k]))
    row["does_not_hold"] = past.words if past else None
    if course.laid is not None:
        row["end_as_laid_degc"] = finite(float(course.laid[k]))
    return row


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
    for k in course.sought:
        c = course.conductors[k]
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
    past = broken_bound(conductor, value)
    return f"{value:.1f}{past.mark if past else ''}"


def sentence(course: Course) -> str:
    """Which conductor gets the hottest."""
    head = f"{course.name} at {concise(course.frequency, 'Hz')}"
    if course.start is None or course.end is None:
        return "; ".join((f"{head}: {course.why}", *(_holding(rating, course) for rating in course.holds)))
    known = [k for k in course.sought if course.conductors[k].name not in course.unknown]
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
    goes = f"{name} goes {begins} to {course.end[k]:.1f} degC on the mean in {duration(course.on)}"
    return f"{head}: {goes}{as_laid(float(course.end[k]), course.added(k))}"


def _holding(rating: Rating, course: Course) -> str:
    """The current while on that keeps to a limit, or that holds at all."""
    low, usual, high = (course.usual * factor for factor in (rating.low, rating.factor, rating.high))
    aim = "a cycle that repeats itself holds" if rating.limit == CEILING else f"peaks stay below {rating.limit:g} degC"
    currents = f"{engineering(usual, 'A', 3)} ({engineering(low, 'A', 3)} to {engineering(high, 'A', 3)})"
    return f"{aim} up to {currents} while on"


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
    elif course.cycle is None and not all(evens_out(c, course.on) for c in course.conductors):
        found.append(
            f"{course.name}: {duration(course.on)} is too short for the heat to even out over the section: the crowded "
            "faces get hotter than the means given"
        )
    if course.unknown:
        found.append(
            f"{course.name}: water keeps {', '.join(sorted(course.unknown))} at the temperature found for the currents "
            "of the circuits; with the larger current of this cycle it would be warmer, by how much is not computed"
        )
    return found + bound_warnings([course.conductors[k] for k in course.sought], measured([course]))


def measured(found: Sequence[Course]) -> tuple[Measured, ...]:
    """The highest temperature of every conductor in every course."""
    return tuple(course.figure(k) for course in found for k in course.sought)


def shown_times(cycle: Cycle) -> tuple[FloatArray, str]:
    """Times of a cycle in the unit that suits them, and the unit."""
    last = float(cycle.time[-1])
    unit, size = ("h", 3600.0) if last >= 7200 else ("min", 60.0) if last >= 120 else ("s", 1.0)
    return np.asarray(cycle.time / size), unit


@dataclass(frozen=True, eq=False)
class Service:
    """The highest mean temperatures of the conductors in service, from which a fault begins.

    Attributes
    ----------
    temperature, error : (conductors,) float
        [degC], [K]
    words : str
        What they are.
    """

    temperature: FloatArray
    error: FloatArray
    words: str
