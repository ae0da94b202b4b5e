"""Heat in time as every output says it."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from ..geometries.outline import FloatArray
from ..solver.duty import MELTED, Cycle
from ..solver.problem import Conductor
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
    why: str = ""

    def failed(self, why: str) -> Course:
        """Without an answer, and the reason."""
        return replace(self, why=why)

    def heated_once(self, start: FloatArray, end: FloatArray) -> Course:
        """From temperatures to temperatures (conductors,) [degC] without losing heat."""
        return replace(self, start=start, end=end)

    def cycling(self, cycle: Cycle) -> Course:
        """In a cycle that repeats itself."""
        return replace(self, start=cycle.temperature.min(axis=0), end=cycle.temperature.max(axis=0), cycle=cycle)

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
        rows[c.name] = {n: _finite(float(t[k])) for n, t in zip(names, (course.start, course.end), strict=True)}
        if course.cycle is not None:
            rows[c.name]["time_constant_s"] = float(course.cycle.constant[k])
    return head | {"conductors": rows}


def _finite(value: float) -> float | None:
    return value if value <= MELTED else None


def table(course: Course) -> TextTable:
    """One line per conductor."""
    assert course.start is not None
    assert course.end is not None
    once = course.cycle is None
    columns = ("conductor", "before", "after") if once else ("conductor", "lowest", "highest", "settles in")
    rows = []
    for k, c in enumerate(course.conductors):
        row = (c.name, f"{course.start[k]:.1f}", _warm(float(course.end[k])))
        rows.append(row if course.cycle is None else (*row, duration(3 * float(course.cycle.constant[k]), 2)))
    at = concise(course.frequency, "Hz")
    return TextTable(
        f"{course.name}: {concise(course.current, 'A', 4)} at {at}, {course.times} (degC)", columns, tuple(rows)
    )


def _warm(value: float) -> str:
    return f"{value:.1f}" if value <= MELTED else "melts"


def sentence(course: Course) -> str:
    """Which conductor gets the hottest."""
    head = f"{course.name} at {concise(course.frequency, 'Hz')}"
    if course.start is None or course.end is None:
        return f"{head}: {course.why}"
    k = int(course.end.argmax())
    name = course.conductors[k].name
    if course.cycle is not None:
        return (
            f"{head}: with {course.times}, {name} swings between {course.start[k]:.1f} and {course.end[k]:.1f} degC; "
            f"it covers 63 % of a change in {duration(float(course.cycle.constant[k]), 2)}"
        )
    if course.end[k] > MELTED:
        return f"{head}: {name} melts"
    return f"{head}: {name} goes from {course.start[k]:.1f} to {course.end[k]:.1f} degC in {duration(course.on)}"


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
    return found


def _uneven(conductor: Conductor, seconds: float) -> bool:
    """Whether heat has no time to cross half the thickness."""
    metal = conductor.material
    if not (metal.density and metal.heat_capacity):
        return False
    diffusivity = metal.conduction / (metal.density * metal.heat_capacity)
    return seconds * diffusivity < conductor.part.shape.outer.inscribed_radius**2


def measured(found: Sequence[Course]) -> tuple[Measured, ...]:
    """The highest temperature of every conductor in any course."""
    rows: dict[str, Measured] = {}
    for course in found:
        if course.start is None or course.end is None:
            continue
        for k, c in enumerate(course.conductors):
            value = min(float(course.end[k]), MELTED)
            if c.name not in rows or rows[c.name].value < value:
                rows[c.name] = Measured(value, BAND * (value - float(course.start.min())), "degC", c.name)
    return tuple(rows.values())


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
