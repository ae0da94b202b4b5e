"""The words, table and record of forces and supports: in service and at a fault, spacing and resonance."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.noise import figure
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.beams import FREQUENCY, MOMENT, Fixing
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.field.supports import NEAR, SupportLoad, quiet_span, shaken, stress_at

CAUTIONS = (
    "Supports must stand the fault, dynamics and insulators included: the figures are static. A support that resonates "
    "near twice the supply's frequency, or in a fault with an offset near the supply's own, multiplies them.",
)
FIXINGS: dict[Fixing, str] = {
    "simple": "one span on two simple supports, or two spans",
    "continuous": "three or more equal spans",
    "clamped": "both ends of a span clamped",
}


@dataclass(frozen=True)
class SupportsAnswer:
    """All conductors that bear a force, and what was asked.

    Attributes
    ----------
    loads : sequence of SupportLoad
    conductors : sequence of Conductor
        All of the case.
    fixing : "simple", "continuous" or "clamped"
    fault_current : float or None
        [A rms]
    peak_factor : float or None
    stress : float or None
        [Pa]
    spacing : float or None
        [m]
    shaking : mapping of float to mapping of float to str
        By the frequency of the case, the frequencies of the forces [Hz] with what they are, in words.
    """

    loads: Sequence[SupportLoad]
    conductors: Sequence[Conductor]
    fixing: Fixing
    fault_current: float | None = None
    peak_factor: float | None = None
    stress: float | None = None
    spacing: float | None = None
    shaking: Mapping[float, Mapping[float, str]] = field(default_factory=dict)


def record(found: SupportsAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {
        "conductors": [_load(one) for one in found.loads],
        "fault_current_a": found.fault_current,
        "peak_factor": found.peak_factor,
        "stress_pa": found.stress,
        "spacing_m": found.spacing,
        "fixing": found.fixing,
        "moment_factor": MOMENT[found.fixing],
        "frequency_factor_low": FREQUENCY[found.fixing][0],
        "frequency_factor_high": FREQUENCY[found.fixing][1],
    }


def _load(one: SupportLoad) -> dict[str, Json]:
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


def measured(found: SupportsAnswer) -> tuple[Measured, ...]:
    """The peaks as limits refer to them."""
    return tuple(
        Measured(one.worst, one.error, "N/m", one.name, load, one.frequency, _of(one))
        for one in found.loads
        for load in ("in service" if one.fault is None else "at the fault",)
    )


def table(found: SupportsAnswer) -> TextTable:
    """Forces, spacing and natural frequencies of every conductor."""
    columns = ("conductor", "at", "mean", "peak", "direction", "at the fault", "largest spacing", "swings at [Hz]")
    title = "Forces on conductors (per metre; spacing and natural frequencies between the supports)"
    return TextTable(title, columns, tuple(_row(one) for one in found.loads))


def _row(one: SupportLoad) -> tuple[str, ...]:
    angle = math.degrees(math.atan2(one.push.direction[1], one.push.direction[0]))
    bar = one.error * one.push.peak / one.worst if one.worst else one.error  # of the forces in service
    return (
        one.name if one.live else f"{one.name} (induced)",
        _at(one.frequency),
        *(
            figure(force, bar, "N/m", 3)
            for force in (math.hypot(*one.push.mean), one.push.peak)
        ),
        f"{round(angle) % 360} deg" if one.worst > one.error else "-",
        figure(one.fault, one.error, "N/m", 3),
        engineering(one.spacing, "m", 3),
        "-" if one.resonance is None else _range(one.resonance),
    )


def _at(frequency: float) -> str:
    return concise(frequency, "Hz") if frequency else "direct current"


def _of(one: SupportLoad) -> str:
    return f"{one.name} at {_at(one.frequency)}"


def _range(resonance: tuple[float, float]) -> str:
    low, high = (f"{f:.3g}" for f in resonance)
    return low if low == high else f"{low} .. {high}"


def sentences(found: SupportsAnswer) -> Iterator[str]:
    """Spacing of the supports, what is taken, what is left out."""
    for one in found.loads:
        if one.spacing is not None and found.stress is not None:
            yield (
                f"{_of(one)}: supports at most {engineering(one.spacing, 'm', 3)} apart keep what the force adds to "
                f"its bending stress ({found.fixing}; its weight left out) below {concise(found.stress, 'Pa')}"
            )
    low, high = FREQUENCY[found.fixing]
    factor = f"{low:.3g}" if low == high else f"{low:.3g} to {high:.3g} (an even load drives mostly the upper)"
    yield (
        f"taken: {found.fixing}, {FIXINGS[found.fixing]}: moment w l^2 / {MOMENT[found.fixing]:.3g}, natural frequency "
        f"g / l^2 sqrt(E I / mass) with g = {factor}"
    )
    if bundles := [c.name for c in found.conductors if c.strands]:
        yield f"{', '.join(bundles)}: the strands slide on one another, so that each bends by itself"
    loaded = {one.name for one in found.loads}
    idle = [c.name for c in found.conductors if c.name not in loaded]
    if idle:
        yield f"left out, since no force on them stands out from the error bar: {', '.join(idle)}"


def warnings(found: SupportsAnswer) -> Iterator[str]:
    """Supports that are too far apart, that resonate; steel that saturates."""
    for one in found.loads:
        if one.spacing is None or found.stress is None or found.spacing is None or found.spacing <= one.spacing:
            continue
        stress = stress_at(found.spacing, one.spacing, found.stress)
        yield (
            f"{_of(one)}: supports {concise(found.spacing, 'm')} apart let it bend to {concise(stress, 'Pa', 3)}, "
            f"above the stated {concise(found.stress, 'Pa')}"
        )
    for one in found.loads:
        yield from _resonances(one, found.shaking.get(one.frequency, {}))
    magnetic = [c.name for c in found.conductors if c.is_magnetic]
    if found.fault_current is not None and magnetic:
        yield (
            f"a fault current saturates steel: the forces that {', '.join(magnetic)} takes and causes at the fault are "
            "those of a constant permeability"
        )


def _resonances(one: SupportLoad, shaking: Mapping[float, str]) -> Iterator[str]:
    """Where it swings near a frequency of the force, with the spacing that keeps it above all of them."""
    if one.resonance is None or one.span is None:
        return
    near = [f"{shaking[f]} ({concise(f, 'Hz')})" for f in shaken(one.resonance, shaking)]
    if near:
        enough = quiet_span(one.span, one.resonance[0], shaking)
        yield (
            f"{_of(one)}: supports {engineering(one.span, 'm', 3)} apart let it swing at {_range(one.resonance)} Hz, "
            f"close to {' and to '.join(near)}: {engineering(enough, 'm', 3)} or less keeps it "
            f"{100 * NEAR:.0f} % above"
        )
