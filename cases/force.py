"""The table [supports] and its chapter: forces in service and at a fault, spacing and resonance of the supports."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

from pydantic import model_validator

from ..postprocess.chapter import Chapter, Measured
from ..postprocess.supports import (
    Bending,
    Push,
    bending,
    courses,
    is_steady,
    largest_spacing,
    natural_frequency,
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

NEAR = 0.3  # within this part of twice the supply's frequency a support resonates
CAUTIONS = (
    "Supports must stand the fault, dynamics and insulators included: the figures are static. A support that resonates "
    "near twice the supply's frequency multiplies them.",
)
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
    fixing: Literal["simple", "continuous", "clamped"] = "continuous"

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
    spacing: float | None
    resonance: float | None


def chapter(result: Result) -> Chapter | None:
    """At every frequency whose field is at hand."""
    asked = result.case.data.supports
    if asked is None:
        return None
    loaded = [one for f, solution in result.solutions.items() for one in _loaded(asked, f, solution)]
    columns = ("conductor", "at", "mean", "peak", "direction", "at the fault", "largest spacing", "resonance")
    rows = tuple(_row(one) for one in loaded)
    title = "Forces on conductors (per metre; spacing and resonance of the supports)"
    sentences, warnings = _words(asked, loaded)
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
                Measured(one.worst, one.error, "N/m", f"{one.name} at {_at(one.frequency)}") for one in loaded
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
        if conductor.name not in live:
            continue
        error = float(errors[number_])
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
            resonance = natural_frequency(span, beam.stiffness, beam.mass, asked.fixing)
        found.append(Loaded(conductor.name, frequency, push, struck, worst, error * scale, beam, spacing, resonance))
    return found


def _at(frequency: float) -> str:
    return concise(frequency, "Hz") if frequency else "direct current"


def _row(one: Loaded) -> tuple[str, ...]:
    angle = math.degrees(math.atan2(one.push.direction[1], one.push.direction[0]))
    return (
        one.name,
        _at(one.frequency),
        engineering(math.hypot(*one.push.mean), "N/m", 3),
        engineering(one.push.peak, "N/m", 3),
        f"{round(angle) % 360} deg" if one.worst > one.error else "-",
        engineering(one.fault, "N/m", 3),
        engineering(one.spacing, "m", 3),
        "-" if one.resonance is None else f"{one.resonance:.3g} Hz",
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
        if one.resonance is not None and one.frequency:
            twice = 2 * one.frequency
            if abs(one.resonance / twice - 1) < NEAR:
                warnings.append(
                    f"{one.name}: its natural frequency between supports is {one.resonance:.3g} Hz, close to twice the "
                    f"supply's ({concise(twice, 'Hz')}): change the spacing"
                )
    return sentences, warnings


def _conditions(asked: Supports) -> dict[str, Any]:
    return {
        "fault_current_a": asked.fault_current,
        "peak_factor": asked.peak_factor,
        "stress_pa": asked.stress,
        "spacing_m": asked.spacing,
        "fixing": asked.fixing,
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
        "natural_frequency_hz": one.resonance,
    }
