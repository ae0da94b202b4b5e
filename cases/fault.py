"""The table [fault] and the chapter "fault": a short-circuit current in time, its forces and its heat."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, Self

import numpy as np
from pydantic import model_validator

from ..postprocess.beyond import beyond, bound_warnings, burning
from ..postprocess.cautions import FAULT
from ..postprocess.chapter import Chapter, Measured
from ..postprocess.duty import BAND, finite, warm
from ..postprocess.fault import Fault, follow
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering, error_bar
from ..solver.duty import thermal_mass, warmed_by
from ..solver.krylov import SweepError
from ..solver.solve import SolveError
from ..solver.surge import ROOT2, Waveform, half_sine, offset, step
from .base import Table
from .driven import CircuitNames, band, named_circuits
from .duty import Service, service
from .fields import Current, Frequency, ReactanceRatio, Time, fault

if TYPE_CHECKING:
    from .case import Case
    from .run import Result

SHORT = 0.01  # periods of the current that a fault lasts at least
ABOVE = 200.0  # highest frequency of the model, in terms of the current's own
SHORTEST = 1e-5  # share of the duration that a step's model resolves
FIRST = -math.pi / 2  # angle at which a single current begins
NONE = 1e-6  # share of the fault current that counts as none
LEAST = 1e-3  # force below which nothing is said of it [N/m]


class ShortCircuit(Table):
    """A current in time in one circuit, or in several at their phases.

    `current` [A] is the rms value of the sine (of the steady part; of the sine that a half-wave is taken from), for a
    step the direct current.
    """

    circuit: CircuitNames = ()
    form: Literal["offset", "half-sine", "step"] = "offset"
    current: Current
    frequency: Frequency | None = None
    time_constant: Time | None = None
    x_over_r: ReactanceRatio | None = None
    duration: Time

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        given = [n for n in ("time_constant", "x_over_r") if getattr(self, n) is not None]
        if not self.current:
            raise fault("a fault current above 0 A", "0 A", 'write a current such as "20 kA"')
        if self.form == "step" and (self.frequency or given):
            found = "frequency" if self.frequency else given[0]
            raise fault("a step of direct current, which has a duration only", found, "leave it out")
        if self.form != "step" and not self.frequency:
            raise fault("the frequency of the fault current", "none", 'write frequency = "50 Hz"')
        if self.form == "offset" and self.duration * (self.frequency or math.inf) < SHORT:
            raise fault("a duration of at least a hundredth of a period", concise(self.duration, "s"))
        if self.form == "offset" and len(given) != 1:
            found = "both" if given else "neither"
            raise fault("either time_constant or x_over_r of the offset", found, "give exactly one of them")
        if self.form == "half-sine" and given:
            raise fault("a half-sine, which has no offset", given[0], "leave it out")
        if self.form == "half-sine" and self.duration < 0.5 / (self.frequency or 1.0):
            found = concise(self.duration, "s")
            raise fault("a duration of at least the half-wave", found, "the eddies take some time after it to die away")
        return self

    @property
    def decay(self) -> float:
        """Time constant of the offset [s]."""
        if self.x_over_r is not None and self.frequency:
            return self.x_over_r / (2 * math.pi * self.frequency)
        return self.time_constant or math.inf

    def waveform(self, angle: float) -> Waveform:
        """The current when its sine begins at an angle [rad]; the other forms begin with the circuit's sign."""
        if self.form == "step":
            return step(self.current * math.cos(angle - FIRST), self.duration)
        if self.form == "half-sine":
            return half_sine(self.current * math.cos(angle - FIRST), self.frequency or 0.0, self.duration)
        return offset(self.current, self.frequency or 0.0, self.decay, self.duration, angle=angle)

    @property
    def low(self) -> float:
        """Lowest frequency of the model [Hz]."""
        return min(self.frequency or math.inf, 1 / (2 * math.pi * self.duration))

    @property
    def high(self) -> float:
        """Highest frequency of the model [Hz]."""
        return ABOVE * self.frequency if self.frequency else 1 / (2 * math.pi * SHORTEST * self.duration)


@dataclass(frozen=True, eq=False)
class Followed:
    """A fault with the case it belongs to."""

    case: Case
    table: ShortCircuit
    fault: Fault
    before: Service

    @property
    def names(self) -> list[str]:
        """Of the conductors."""
        return [c.name for c in self.case.problem().conductors]

    @cached_property
    def temperatures(self) -> list[float]:
        """Of the conductors afterwards, no heat given away [degC]; nan where their data are lacking."""
        conductors = self.fault.steady.problem.conductors
        mass = thermal_mass(self.fault.steady.fine.model.discretisation.elements, conductors)
        rises = zip(conductors, self.fault.energy / mass, self.before.temperature, strict=True)
        return [warmed_by(c, float(rise), float(start)) for c, rise, start in rises]

    @property
    def figures(self) -> list[Measured]:
        """The same as limits refer to it."""
        return [self._figure(name, k) for k, name in enumerate(self.names)]

    def _figure(self, name: str, k: int) -> Measured:
        value, start, load = self.temperatures[k], float(self.before.temperature[k]), "after [fault]"
        if math.isnan(value):
            return Measured(math.inf, math.inf, "degC", name, load)
        if finite(value) is None:
            return Measured(math.inf, 0.0, "degC", name, load)
        error = float(self.before.error[k]) + (BAND + self.fault.worst.error) * (value - start)
        return Measured(value, error, "degC", name, load)

    @property
    def peak(self) -> float:
        """Largest momentary current of the circuits [A]."""
        return float(self.fault.peak_drive.max())


def chapter(result: Result) -> Chapter | None:
    """Where the case file has a table [fault]."""
    case, table = result.case, result.case.data.fault
    if table is None:
        return None
    circuits = named_circuits(case, table.circuit)
    try:
        model = band(result, table.low, table.high)
        followed = follow(model, circuits, table.waveform, table.current, table.frequency or 0.0)
        found = Followed(case, table, followed, service(result))
    except (SweepError, SolveError) as error:
        return Chapter("fault", "Fault current", {"peak_current_a": None}, warnings=(f"no fault: {error}",))
    return Chapter(
        "fault",
        "Fault current",
        _record(found),
        (_by_conductor(found),),
        tuple(_sentences(found)),
        tuple(_warnings(found)),
        (*FAULT, *burning(found.figures)),
        pictures=_pictures(found),
        measured=_measured(found),
    )


def _pictures(found: Followed) -> dict[str, Callable[[], Any]]:
    def course() -> Any:
        from ..postprocess.pictures.fault import course_plot

        return course_plot(found.fault, found.case.title)

    def maps() -> Any:
        from ..postprocess.pictures.fault import density_row

        return density_row(found.fault, found.case.title)

    return {"fault": course, "fault-density": maps}


def _measured(found: Followed) -> dict[str, tuple[Measured, ...]]:
    f, history = found.fault, found.fault.worst
    bar = history.force_error * float(f.peak_force.max())
    rows = zip(found.names, f.peak_force, f.energy, strict=True)
    forces, energies = [], []
    for name, force, energy in rows:
        forces.append(Measured(float(force), bar, "N/m", name))
        energies.append(Measured(float(energy), float(energy) * history.error, "J/m", name))
    return {
        "fault_force": tuple(forces),
        "fault_energy": tuple(energies),
        "fault_temperature": tuple(found.figures),
    }


def _record(found: Followed) -> dict[str, Any]:
    f, table, history = found.fault, found.table, found.fault.worst
    crowding, places = history.hot_spots
    named = [c.name for c in found.case.problem().circuits]
    before, after, conductors = found.before.temperature, found.temperatures, found.case.problem().conductors
    past = [beyond(c, t) for c, t in zip(conductors, after, strict=True)]
    return {
        "form": table.form,
        "circuits": list(f.circuits),
        "current_a": table.current,
        "frequency_hz": f.frequency,
        "time_constant_s": table.decay if table.form == "offset" else None,
        "duration_s": table.duration,
        "making_angle_deg": math.degrees(f.worst_angle) if table.form == "offset" else None,
        "peak_current_a": found.peak,
        "joule_integral_a2s": {n: float(v) for n, v in zip(named, f.joule_integral, strict=True) if n in f.circuits},
        "energy_error": history.error,
        "force_error": history.force_error,
        "start": found.before.words,
        "conductors": {
            name: {
                "peak_current_a": float(f.peak_current[k]),
                "peak_force_n_per_m": float(f.peak_force[k]),
                "energy_j_per_m": float(f.energy[k]),
                "steady_force_n_per_m": float(f.steady_force[k]),
                "steady_energy_j_per_m": float(f.steady_energy[k]),
                "temperature_before_degc": float(before[k]),
                "temperature_after_degc": finite(after[k]),
                "does_not_hold": bound.words if (bound := past[k]) else None,
                "hot_spot_ratio": float(crowding[k]),
                "hot_spot_m": places[k].tolist(),
            }
            for k, name in enumerate(found.names)
        },
    }


def _by_conductor(found: Followed) -> TextTable:
    f = found.fault
    crowding, _ = f.worst.hot_spots
    rows = tuple(
        (
            name,
            engineering(float(f.peak_current[k]), "A") if f.peak_current[k] > NONE * found.peak else "no net",
            _force(float(f.peak_force[k])),
            _force(float(f.steady_force[k])),
            engineering(float(f.energy[k]), "J/m"),
            f"{f.energy[k] / f.steady_energy[k]:.4g}" if f.steady_energy[k] > 0 else "-",
            f"{crowding[k]:.3g}",
            "-" if math.isnan(found.temperatures[k]) else warm(c, found.temperatures[k]),
        )
        for k, (name, c) in enumerate(zip(found.names, found.case.problem().conductors, strict=True))
    )
    columns = (
        "conductor", "peak current", "peak force", "mean force, steady", "heat", "heat/steady", "hot spot/mean",
        "degC after",
    )  # fmt: skip
    current, time = engineering(found.table.current, "A"), concise(found.table.duration, "s")
    return TextTable(f"Fault of {current} {_kind(found.table)} for {time} (momentary values, per metre)", columns, rows)


def _kind(table: ShortCircuit) -> str:
    if table.form == "step":
        return "direct current"
    what = f"rms at {concise(table.frequency or 0.0, 'Hz')}"
    if table.form == "half-sine":
        return f"{what}, one half-wave,"
    return f"{what}, offset falling with {concise(table.decay, 's', 3)},"


def _force(value: float) -> str:
    return engineering(value, "N/m") if value > LEAST else "0"


def _sentences(found: Followed) -> Iterator[str]:
    f, table, history = found.fault, found.table, found.fault.worst
    head = f"{', '.join(f.circuits)}: the current peaks at {engineering(found.peak, 'A')}"
    if table.form == "offset":
        head += f", {found.peak / (ROOT2 * table.current):.3f} times the crest of the steady part"
    yield head
    strongest = int(f.peak_force.argmax())
    if f.peak_force[strongest] > LEAST:
        size = np.hypot(*history.force[:, strongest].T) * history.resolved
        when = float(history.times[size.argmax()])
        share = f"; the mean in the steady state of the same rms current is {_force(float(f.steady_force[strongest]))}"
        yield (
            f"largest force: {engineering(float(f.peak_force[strongest]), 'N/m')} on {found.names[strongest]} after "
            f"{concise(when, 's', 3)} (+- {error_bar(history.force_error)}){share if f.frequency else ''}"
        )
    hottest = int((f.energy / [c.part.area for c in found.case.problem().conductors]).argmax())
    crowding, places = history.hot_spots
    x, y = (f"{1e3 * v:.4g}" for v in places[hottest])
    yield (
        f"{found.names[hottest]} takes {engineering(float(f.energy[hottest]), 'J/m')} (+- {error_bar(history.error)}) "
        f"in {concise(table.duration, 's')}; at ({x}, {y}) mm {crowding[hottest]:.3g} times the mean, before it spreads"
    )
    if not np.isnan(found.temperatures).all():
        hottest = int(np.nanargmax(found.temperatures))
        begins = f"from {found.before.temperature[hottest]:.1f} degC ({found.before.words})"
        after = finite(found.temperatures[hottest])
        becomes = f"goes {begins} to {after:.1f} degC on the mean, no heat given away" if after else f"melts, {begins}"
        yield f"{found.names[hottest]} {becomes}"
    if len(f.histories) > 1:
        yield (
            f"each figure is the worst of {len(f.histories)} angles at which the current may begin; largest force at "
            f"{math.degrees(f.worst_angle):.0f} deg of {f.circuits[0]}"
        )
    if len(f.circuits) < len(found.case.problem().circuits):
        yield "the circuits not named carry no current in the fault"


def _warnings(found: Followed) -> Iterator[str]:
    problem = found.case.problem()
    yield from bound_warnings(problem.conductors, found.figures)
    magnetic = [c.name for c in problem.conductors if any(m.permeability > 1.5 for m in c.metals)]
    if magnetic:
        yield (
            f"a fault current saturates steel: the forces, heat and currents that {', '.join(magnetic)} takes and "
            "causes are those of a constant permeability"
        )
    carried = {c.name: c for c in problem.circuits}
    if any(not carried[name].back for name in found.fault.circuits):
        total = np.abs(found.fault.worst.drive.sum(axis=1)).max()
        if total > 1e-6 * found.peak:
            yield (
                "the fault currents do not sum to zero: the rest returns far outside the section, and the forces leave "
                "out what that return does; name all circuits that carry the fault"
            )
