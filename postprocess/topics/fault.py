"""The words, table and record of a fault: a short-circuit current in time, its forces and its heat."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.metal_limits import bound_warnings, broken_bound
from crosscurrent.postprocess.answers.noise import LEAST_LOSS, figure, within
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, error_bar
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.heat.adiabatic import SCATTER
from crosscurrent.solver.time.excitation import ROOT2
from crosscurrent.solver.time.fault import FaultCourse

from .coils import unnamed
from .duty import Service, added_by_lay, as_laid, finite, warm

NONE = 1e-6  # share of the fault current that counts as none
LEAST = 1e-3  # force below which nothing is said of it [N/m]


@dataclass(frozen=True, eq=False)
class FaultAnswer:
    """A fault that was followed, with what was asked.

    Attributes
    ----------
    problem : Problem
        The conductors and all circuits of the case.
    fault : FaultCourse
    before : Service
        The temperatures it begins from.
    after : list of float
        Mean temperatures of the conductors afterwards [degC]; nan where their data are lacking.
    laid : list of float
        The same, were groups of strands only twisted, at most: by what that adds in the steady state.
    form : "offset", "half-sine" or "step"
    current : float
        Rms; of a step the direct current [A].
    frequency : float
        [Hz], 0 for a step.
    decay : float
        Time constant of the offset [s].
    duration : float
        [s]
    past_bound : tuple of str
        What the sweep warns of.
    """

    problem: Problem
    fault: FaultCourse
    before: Service
    after: list[float]
    laid: list[float]
    form: Literal["offset", "half-sine", "step"]
    current: float
    frequency: float
    decay: float
    duration: float
    past_bound: tuple[str, ...] = ()

    @property
    def names(self) -> list[str]:
        """Of the conductors."""
        return [c.name for c in self.problem.conductors]

    @property
    def peak(self) -> float:
        """Largest momentary current of the circuits [A]."""
        return float(self.fault.peak_drive.max())

    @property
    def temperatures(self) -> tuple[Measured, ...]:
        """Those afterwards as limits refer to them."""
        return tuple(self._temperature(name, k) for k, name in enumerate(self.names))

    def _temperature(self, name: str, k: int) -> Measured:
        value, start, load = self.after[k], float(self.before.temperature[k]), "after [fault]"
        if math.isnan(value):
            return Measured(math.inf, math.inf, "degC", name, load)
        if finite(value) is None:
            return Measured(math.inf, 0.0, "degC", name, load)
        error = float(self.before.error[k]) + (SCATTER + self.fault.worst.error) * (value - start)
        return Measured(value, error, "degC", name, load, above=added_by_lay(value, self.laid[k]))


def measured(found: FaultAnswer) -> dict[str, tuple[Measured, ...]]:
    """What limits may refer to, by its key."""
    f, history = found.fault, found.fault.worst
    bar = history.force_error * float(f.peak_force.max())
    forces, energies = [], []
    for name, force, energy in zip(found.names, f.peak_force, f.energy, strict=True):
        forces.append(Measured(float(force), bar, "N/m", name))
        energies.append(Measured(float(energy), float(energy) * history.error, "J/m", name))
    return {
        "fault_force": tuple(forces),
        "fault_energy": tuple(energies),
        "fault_temperature": found.temperatures,
    }


def record(found: FaultAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    f, history, swings = found.fault, found.fault.worst, found.form == "offset"
    named = [c.name for c in found.problem.circuits]
    return {
        "form": found.form,
        "circuits": list(f.circuits),
        "current_a": found.current,
        "frequency_hz": f.frequency,
        "time_constant_s": found.decay if swings else None,
        "duration_s": found.duration,
        "making_angle_deg": math.degrees(f.worst_angle) if swings else None,
        "peak_current_a": found.peak,
        "joule_integral_a2s": {n: float(v) for n, v in zip(named, f.joule_integral, strict=True) if n in f.circuits},
        "energy_error": history.error,
        "force_error": history.force_error,
        "start": found.before.words,
        "conductors": {name: _conductor(found, k) for k, name in enumerate(found.names)},
    }


def _conductor(found: FaultAnswer, k: int) -> dict[str, Json]:
    f, (crowding, places) = found.fault, found.fault.worst.hot_spots
    past = broken_bound(found.problem.conductors[k], found.after[k])
    return {
        "peak_current_a": float(f.peak_current[k]),
        "peak_force_n_per_m": float(f.peak_force[k]),
        "energy_j_per_m": float(f.energy[k]),
        "steady_force_n_per_m": float(f.steady_force[k]),
        "steady_energy_j_per_m": float(f.steady_energy[k]),
        "temperature_before_degc": float(found.before.temperature[k]),
        "temperature_after_degc": finite(found.after[k]),
        "temperature_after_as_laid_degc": finite(found.laid[k]),
        "does_not_hold": past.words if past else None,
        "hot_spot_ratio": float(crowding[k]),
        "hot_spot_m": places[k].tolist(),
    }


def table(found: FaultAnswer) -> TextTable:
    """Current, force and heat of every conductor."""
    f, (crowding, _) = found.fault, found.fault.worst.hot_spots
    rows = tuple(
        (
            c.name,
            engineering(float(f.peak_current[k]), "A") if f.peak_current[k] > NONE * found.peak else "no net",
            _force(float(f.peak_force[k]), f),
            _force(float(f.steady_force[k]), f),
            _heat(float(f.energy[k]), f),
            f"{f.energy[k] / f.steady_energy[k]:.4g}" if f.steady_energy[k] > 0 else "-",
            f"{crowding[k]:.3g}",
            "-" if math.isnan(found.after[k]) else warm(c, found.after[k]),
        )
        for k, c in enumerate(found.problem.conductors)
    )
    columns = (
        "conductor", "peak current", "peak force", "mean force, steady", "heat", "heat/steady", "hot spot/mean",
        "degC after",
    )  # fmt: skip
    current, time = engineering(found.current, "A"), concise(found.duration, "s")
    return TextTable(f"Fault of {current} {_kind(found)} for {time} (momentary values, per metre)", columns, rows)


def _kind(found: FaultAnswer) -> str:
    if found.form == "step":
        return "direct current"
    what = f"rms at {concise(found.frequency, 'Hz')}"
    if found.form == "half-sine":
        return f"{what}, one half-wave,"
    return f"{what}, offset falling with {concise(found.decay, 's', 3)},"


def _force(value: float, f: FaultCourse) -> str:
    return figure(value, max(LEAST, within(value, f.worst.force_error)), "N/m")


def _heat(value: float, f: FaultCourse) -> str:
    return figure(value, max(LEAST_LOSS * float(f.energy.sum()), within(value, f.worst.error)), "J/m")


def sentences(found: FaultAnswer) -> Iterator[str]:
    """Peak of the current, largest force, most heat, highest temperature."""
    f = found.fault
    head = f"{', '.join(f.circuits)}: the current peaks at {engineering(found.peak, 'A')}"
    if found.form == "offset":
        head += f", {found.peak / (ROOT2 * found.current):.3f} times the crest of the steady part"
    yield head
    yield from _strongest(found)
    yield _fullest(found)
    if not np.isnan(found.after).all():
        hottest = int(np.nanargmax(found.after))
        begins = f"from {found.before.temperature[hottest]:.1f} degC ({found.before.words})"
        after = finite(found.after[hottest])
        becomes = f"goes {begins} to {after:.1f} degC on the mean, no heat given away" if after else f"melts, {begins}"
        laid = as_laid(after, added_by_lay(after, found.laid[hottest])) if after else ""
        yield f"{found.names[hottest]} {becomes}{laid}"
    if len(f.histories) > 1:
        yield (
            f"each figure is the worst of {len(f.histories)} angles at which the current may begin; largest force at "
            f"{math.degrees(f.worst_angle):.0f} deg of {f.circuits[0]}"
        )
    yield from unnamed(found.problem, f.circuits, "in the fault")


def _strongest(found: FaultAnswer) -> Iterator[str]:
    f, history = found.fault, found.fault.worst
    strongest = int(f.peak_force.argmax())
    if f.peak_force[strongest] > LEAST:
        size = np.hypot(*history.force[:, strongest].T) * history.resolved
        when = float(history.times[size.argmax()])
        mean = _force(float(f.steady_force[strongest]), f)
        share = f"; the mean in the steady state of the same rms current is {mean}"
        yield (
            f"largest force: {_force(float(f.peak_force[strongest]), f)} on {found.names[strongest]} after "
            f"{concise(when, 's', 3)} (+- {error_bar(history.force_error)}){share if f.frequency else ''}"
        )


def _fullest(found: FaultAnswer) -> str:
    f, history = found.fault, found.fault.worst
    hottest = int((f.energy / [c.part.area for c in found.problem.conductors]).argmax())
    crowding, places = history.hot_spots
    x, y = (f"{1e3 * v:.4g}" for v in places[hottest])
    return (
        f"{found.names[hottest]} takes {_heat(float(f.energy[hottest]), f)} (+- {error_bar(history.error)}) "
        f"in {concise(found.duration, 's')}; at ({x}, {y}) mm {crowding[hottest]:.3g} times the mean, before it spreads"
    )


def warnings(found: FaultAnswer) -> Iterator[str]:
    """Metals that do not stand it, steel that saturates."""
    problem = found.problem
    yield from found.past_bound
    yield from bound_warnings(problem.conductors, found.temperatures)
    magnetic = [c.name for c in problem.conductors if c.is_magnetic]
    if magnetic:
        yield (
            f"a fault current saturates steel: the forces, heat and currents that {', '.join(magnetic)} takes and "
            "causes are those of a constant permeability"
        )
