"""The table [supports] and its chapter: forces in service and at a fault, spacing and resonance of the supports."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Self

from pydantic import model_validator

from ..postprocess.chapter import Chapter, Measured
from ..postprocess.supports import (
    FREQUENCY,
    MOMENT,
    Bending,
    Fixing,
    Push,
    bending,
    courses,
    is_steady,
    largest_spacing,
    natural_frequencies,
    peak_errors,
    pushes,
)
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering
from ..solver.solve import Solution
from .base import Table
from .fields import Current, Length, Name, Stress, fault, number

if TYPE_CHECKING:
    from .run import Result

NEAR = 0.3  # within this part of a force's frequency a support resonates
MAGNETIC = 1.5  # relative permeability from which on a metal saturates
CAUTIONS = (
    "Supports must stand the fault, dynamics and insulators included: the figures are static. A support that resonates "
    "near twice the supply's frequency, or in a fault with an offset near the supply's own, multiplies them.",
)
FIXINGS: dict[Fixing, str] = {
    "simple": "one span on two simple supports, or two spans",
    "continuous": "three or more equal spans",
    "clamped": "both ends of a span clamped",
}
PeakFactor = Annotated[float, number("a peak factor, a bare number from 1 to 2", 1, 2)]


class Supports(Table):
    """Fault current and supports of the run.

    fault_current is the initial symmetrical current [A rms] of `circuit` (the first one if left out); all other
    currents grow with it. peak_factor: peak over sqrt(2) times that current.
    """

    fault_current: Current | None = None
    peak_factor: PeakFactor | None = None
    circuit: Name | None = None
    stress: Stress | None = None
    spacing: Length | None = None
    fixing: Fixing = "continuous"

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.fault_current is None) != (self.peak_factor is None):
            missing = "peak_factor" if self.peak_factor is None else "fault_current"
            hint = "1.8 is common far from large machines (common practice)" if missing == "peak_factor" else ""
            raise fault("fault_current and peak_factor together", f"no {missing}", hint)
        return self


@dataclass(frozen=True)
class Loaded:
    """A conductor with its forces; `worst` is the peak that the supports must stand [N/m]."""

    name: str
    frequency: float
    push: Push
    fault: float | None
    worst: float
    error: float
    beam: Bending
    spacing: float | None  # largest [m]
    span: float | None  # stated, else the largest [m]
    resonance: tuple[float, float] | None  # lowest and highest [Hz]
    live: bool


def chapter(result: Result) -> Chapter | None:
    """At every frequency whose field is at hand."""
    asked = result.case.data.supports
    if asked is None:
        return None
    loaded = [one for f, solution in result.solutions.items() for one in _loaded(asked, f, solution)]
    columns = ("conductor", "at", "mean", "peak", "direction", "at the fault", "largest spacing", "swings at [Hz]")
    rows = tuple(_row(one) for one in loaded)
    title = "Forces on conductors (per metre; spacing and natural frequencies between the supports)"
    sentences, warnings = _words(asked, loaded)
    warnings += [text for one in loaded for text in _resonances(one, _shaking(result, one.frequency))]
    warnings += _saturated(asked, result)
    sentences += [_taken(asked), *_left_out(result, loaded)]
    return Chapter(
        "supports",
        "Forces and supports",
        {"conductors": [_record(one) for one in loaded], **_conditions(asked)},
        (TextTable(title, columns, rows),),
        tuple(sentences),
        tuple(warnings),
        CAUTIONS,
        measured={
            "force": tuple(
                Measured(
                    one.worst,
                    one.error,
                    "N/m",
                    f"{one.name} at {_at(one.frequency)}",
                    "in service" if one.fault is None else "at the fault",
                )
                for one in loaded
            ),
        },
    )


def _loaded(asked: Supports, frequency: float, solution: Solution) -> list[Loaded]:
    found = []
    problem, forces, through = solution.problem, pushes(solution.fine), courses(solution.fine)
    errors, steady = peak_errors(solution), is_steady(solution.fine)
    ratio = None
    if asked.fault_current is not None and asked.peak_factor is not None:
        circuit = next((c for c in problem.circuits if c.name == asked.circuit), problem.circuits[0])
        if circuit.current:
            ratio = asked.peak_factor * asked.fault_current / abs(circuit.current)
    live = {name for c in problem.circuits for name in (*c.out, *c.back)}
    for number_, (conductor, push) in enumerate(zip(problem.conductors, forces, strict=True)):
        error = float(errors[number_])
        if conductor.name not in live and push.peak <= error:
            continue
        # the peak of the fault stands sqrt(2) kappa above the rms current; the peak in service sqrt(2)
        struck = None if ratio is None else push.peak * ratio**2 * (2.0 if steady else 1.0)
        worst = push.peak if struck is None else struck
        scale = worst / push.peak if push.peak else 0.0
        beam = bending(solution.fine, number_, through[number_])
        spacing = None
        if asked.stress is not None and worst > error * scale:
            spacing = largest_spacing(worst, beam.section_modulus, asked.stress, asked.fixing)
        span = asked.spacing if asked.spacing is not None else spacing
        resonance = None
        if span is not None and math.isfinite(span) and beam.stiffness and beam.mass:
            resonance = natural_frequencies(span, beam.stiffness, beam.mass, asked.fixing)
        bar = error * scale
        is_live = conductor.name in live
        found.append(
            Loaded(conductor.name, frequency, push, struck, worst, bar, beam, spacing, span, resonance, is_live)
        )
    return found


def _at(frequency: float) -> str:
    return concise(frequency, "Hz") if frequency else "direct current"


def _row(one: Loaded) -> tuple[str, ...]:
    angle = math.degrees(math.atan2(one.push.direction[1], one.push.direction[0]))
    return (
        one.name if one.live else f"{one.name} (induced)",
        _at(one.frequency),
        engineering(math.hypot(*one.push.mean), "N/m", 3),
        engineering(one.push.peak, "N/m", 3),
        f"{round(angle) % 360} deg" if one.worst > one.error else "-",
        engineering(one.fault, "N/m", 3),
        engineering(one.spacing, "m", 3),
        "-" if one.resonance is None else _range(one.resonance),
    )


def _words(asked: Supports, loaded: list[Loaded]) -> tuple[list[str], list[str]]:
    sentences, warnings = [], []
    for one in loaded:
        if one.spacing is not None and asked.stress is not None:
            apart = f"supports at most {engineering(one.spacing, 'm', 3)} apart"
            sentences.append(
                f"{one.name} at {_at(one.frequency)}: {apart} keep what the force adds to its bending stress "
                f"({asked.fixing}; its weight left out) below {concise(asked.stress, 'Pa')}"
            )
            if asked.spacing is not None and asked.spacing > one.spacing:
                stress = asked.stress * (asked.spacing / one.spacing) ** 2
                apart = f"supports {concise(asked.spacing, 'm')} apart"
                warnings.append(
                    f"{one.name} at {_at(one.frequency)}: {apart} let the bar bend to "
                    f"{concise(stress, 'Pa', 3)}, above the stated {concise(asked.stress, 'Pa')}"
                )
    return sentences, warnings


def _range(resonance: tuple[float, float]) -> str:
    low, high = (f"{f:.3g}" for f in resonance)
    return low if low == high else f"{low} .. {high}"


def _shaking(result: Result, frequency: float) -> dict[float, str]:
    """The frequencies [Hz] of the forces at a frequency of the case and in its faults, in words."""
    found = {2 * frequency: "twice the supply's"} if frequency else {}
    asked, struck = result.case.data.supports, result.case.data.fault
    offset = "the supply's own, at which the offset of a fault shakes"
    if frequency and asked is not None and (asked.peak_factor or 1.0) > 1:
        found[frequency] = offset
    if struck is not None and struck.frequency:
        found |= {2 * struck.frequency: "twice that of [fault]"}
        found |= {struck.frequency: "that of [fault], at which its offset shakes"} if struck.form == "offset" else {}
    return found


def _resonances(one: Loaded, shaking: dict[float, str]) -> Iterator[str]:
    """Where the bar swings near a frequency of the force, with the spacing that keeps it above all of them."""
    if one.resonance is None or one.span is None:
        return
    low, high = one.resonance
    near = [
        f"{what} ({concise(frequency, 'Hz')})"
        for frequency, what in sorted(shaking.items())
        if low < (1 + NEAR) * frequency and high > (1 - NEAR) * frequency
    ]
    if near:
        enough = one.span * math.sqrt(low / ((1 + NEAR) * max(shaking)))
        yield (
            f"{one.name} at {_at(one.frequency)}: supports {engineering(one.span, 'm', 3)} apart let it swing at "
            f"{_range(one.resonance)} Hz, close to {' and to '.join(near)}: {engineering(enough, 'm', 3)} or less "
            f"keeps it {100 * NEAR:.0f} % above"
        )


def _saturated(asked: Supports, result: Result) -> list[str]:
    conductors = result.case.problem().conductors
    magnetic = [c.name for c in conductors if any(m.permeability > MAGNETIC for m in c.metals)]
    if asked.fault_current is None or not magnetic:
        return []
    return [
        f"a fault current saturates steel: the forces that {', '.join(magnetic)} takes and causes at the fault are "
        "those of a constant permeability"
    ]


def _taken(asked: Supports) -> str:
    low, high = FREQUENCY[asked.fixing]
    factor = f"{low:.3g}" if low == high else f"{low:.3g} to {high:.3g} (an even load drives mostly the upper)"
    return (
        f"taken: {asked.fixing}, {FIXINGS[asked.fixing]}: moment w l^2 / {MOMENT[asked.fixing]:.3g}, natural frequency "
        f"g / l^2 sqrt(E I / mass) with g = {factor}"
    )


def _left_out(result: Result, loaded: list[Loaded]) -> list[str]:
    """Conductors in no circuit that bear a force, and those that bear none to speak of."""
    names = {one.name for one in loaded}
    idle = [c.name for c in result.case.problem().conductors if c.name not in names]
    return [f"left out, since no force on them stands out from the error bar: {', '.join(idle)}"] if idle else []


def _conditions(asked: Supports) -> dict[str, Any]:
    return {
        "fault_current_a": asked.fault_current,
        "peak_factor": asked.peak_factor,
        "stress_pa": asked.stress,
        "spacing_m": asked.spacing,
        "fixing": asked.fixing,
        "moment_factor": MOMENT[asked.fixing],
        "frequency_factor_low": FREQUENCY[asked.fixing][0],
        "frequency_factor_high": FREQUENCY[asked.fixing][1],
    }


def _record(one: Loaded) -> dict[str, Any]:
    return {
        "name": one.name,
        "frequency_hz": one.frequency,
        "mean_force_n_per_m": list(one.push.mean),
        "peak_force_n_per_m": one.push.peak,
        "peak_direction": list(one.push.direction),
        "fault_peak_force_n_per_m": one.fault,
        "force_error_n_per_m": one.error,
        "section_modulus_m3": one.beam.section_modulus,
        "bending_stiffness_n_m2": one.beam.stiffness,
        "mass_kg_per_m": one.beam.mass,
        "largest_spacing_m": one.spacing,
        "natural_frequency_hz": None if one.resonance is None else one.resonance[0],
        "natural_frequency_high_hz": None if one.resonance is None else one.resonance[1],
        "in_a_circuit": one.live,
    }
