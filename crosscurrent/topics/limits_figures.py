"""The figures that each limit is set on: those that chapters measured, and those of the answers themselves."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundle_sums import loss_by_lay, share_by_lay, shares_by_lay
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.metal_limits import IN_SERVICE
from crosscurrent.postprocess.answers.noise import inductance_noise
from crosscurrent.postprocess.answers.units import frequency_words
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.beams import peak_errors, pushes
from crosscurrent.solver.field.masses import AREA_ERROR, metal_shares
from crosscurrent.solver.heat.loss_slope import loss_slope

from .cooling import cooling_of
from .duty import always_on
from .limits_fields import axial_forces, flux_densities, hoop_stresses
from .limits_kinds import KINDS, kinds_of
from .temperatures import held_in

Found = Mapping[str, Sequence[Measured]]
Figures = Callable[[SolvedCase, LimitsTable, Found], Sequence[Measured]]


def figures_of(limit: str, asked: LimitsTable, solved: SolvedCase, measured: Found) -> Sequence[Measured]:
    """Every figure that a limit is set on; none where nothing was computed for it."""
    own = _FIGURES.get(limit)
    return measured.get(limit, []) if own is None else own(solved, asked, measured)


def measured_by(others: Sequence[Chapter]) -> dict[str, list[Measured]]:
    """What all chapters measured, by its key."""
    found: dict[str, list[Measured]] = {}
    for chapter in others:
        for key, values in chapter.measured.items():
            found.setdefault(key, []).extend(values)
    return found


def in_service(solved: SolvedCase, measured: Found) -> list[Measured]:
    """Temperatures that arise in service: without the steady one of currents that come and go."""
    keys = [key for key in IN_SERVICE if key != "temperature" or always_on(solved.case)]
    return [
        m if key == "water_temperature" else _as_laid(solved, m, measured[key])
        for key in keys
        for m in measured.get(key, [])
    ]


def _as_laid(solved: SolvedCase, m: Measured, beside: Sequence[Measured]) -> Measured:
    """A temperature in air with what groups of strands that are only twisted add to it at most.

    To first order: the rise of the band's high end above the air grows by the largest share that the lay may add to
    the loss of a bundle of the section, since no loss of the section grows by more; nor by more than the sum of what
    each bundle adds to its own rise, for its heat warms nothing more than itself. What the loss grows with the further
    warmth is left out. What water cools warms by its own loss alone.
    """
    points = [p for p in solved.points if m.frequency in (None, p.frequency)]
    most = max((share_by_lay(p) for p in points), default=1.0)
    cooling = cooling_of(solved.case) if most > 1 else None
    if cooling is None or not m.known:
        return m
    own = [each for each in beside if each.frequency == m.frequency]
    rises = {each.of: max(each.value + each.error - cooling.air, 0.0) for each in own}
    added = max(sum(_added(rises, *one) for one in shares_by_lay(p)) for p in points)
    return replace(m, above=min(rises[m.of] * (most - 1), added))


def _added(rises: Mapping[str, float], names: Sequence[str], share: float) -> float:
    """What the lay of a bundle adds to its own rise [K]; no end where that is not known."""
    known = [rises[name] for name in names if name in rises]
    return (share - 1) * max(known) if known else math.inf


def _temperatures(kind: str) -> Figures:
    def of_kind(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
        names = [name for name, kinds in kinds_of(solved.case, asked).items() if kind in kinds]
        known = [m for m in in_service(solved, measured) if m.of in names]
        lacking = set(names) - {m.of for m in known} - held_in(solved.case) if known else set()
        unknown = (Measured(math.inf, math.inf, "degC", name, "not computed") for name in names if name in lacking)
        return [*known, *unknown]

    return of_kind


def losses(solved: SolvedCase, measured: Found) -> list[Measured]:
    """Loss of the section at every frequency, its bar with what the bands of the temperatures found leave open."""
    found = []
    for p in solved.points:
        error = sum(c.loss * c.loss_error for c in p.conductors.values()) + p.total_loss * _warmth(solved, measured, p)
        unit, words = unit_of(solved, "W/m"), frequency_words(p.frequency)
        found.append(Measured(p.total_loss, error, unit, frequency=p.frequency, words=words, above=loss_by_lay(p)))
    return found


def _loss(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    return losses(solved, measured)


def _warmth(solved: SolvedCase, measured: Found, point: Answers) -> float:
    """What the bands of the temperatures found leave open of all losses together, relative."""
    open_ = 0.0
    figures = [m for key in ("temperature", "water_temperature") for m in measured.get(key, []) if m.known]
    solution = solved.solutions.get(point.frequency)
    for conductor in solution.problem.conductors if solution is not None else ():
        own = [m for m in figures if m.of == conductor.name and m.frequency == point.frequency]
        error = max((m.error for m in own), default=0.0)
        open_ += point.conductors[conductor.name].loss * loss_slope(conductor) * error
    return open_ / point.total_loss if point.total_loss else 0.0


def _inductance(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    return [
        _at(p, c.name, c.inductance, inductance_noise(c), unit_of(solved, "H/m"))
        for p in solved.points
        for c in p.circuits.values()
        if c.inductance is not None
    ]


def _resistance(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    unit = unit_of(solved, "ohm/m")
    return [
        replace(
            _at(p, c.name, c.resistance, abs(c.resistance) * (c.resistance_error or 0.0), unit),
            above=c.lay_resistance or 0.0,
        )
        for p in solved.points
        for c in p.circuits.values()
        if c.resistance is not None
    ]


def _drop(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    length = solved.case.length
    return [] if length is None else list(_drops(solved, measured, length))


def _drops(solved: SolvedCase, measured: Found, length: float) -> Iterator[Measured]:
    for p in solved.points:
        warmth = _warmth(solved, measured, p)
        for c in p.circuits.values():
            size, resistive = abs(c.voltage), abs(c.current) * abs(c.resistance or 0.0)
            warmer = resistive**2 / size if size else 0.0
            if p.coupled:  # what others induce at the terminals may hide what warms
                shared = (p.conductors[name] for name in c.shared)
                warmer = (c.own_resistance or 0.0) * abs(c.current)
                warmer += sum(n.loss / abs(n.current) for n in shared if n.loss_ratio is not None)
            error = c.voltage_error + warmth * warmer
            yield _at(p, c.name, size * length, error * length, "V")


def _force(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    """Peak force: that of [fault], and of [supports] with its fault current if it states one; else in service."""
    if solved.case.axial:
        return axial_forces(solved)
    struck = [replace(m, words=f"{m.label} in [fault]") for m in measured.get("fault_force", [])]
    if struck or measured.get("force"):
        return [*struck, *measured.get("force", [])]
    return forces_in_service(solved)


def forces_in_service(solved: SolvedCase) -> list[Measured]:
    """Peak force on every conductor at every frequency that is drawn."""
    return [
        _at(solved.at(frequency), c.name, push.peak, float(error), "N/m")
        for frequency, s in solved.solutions.items()
        for c, push, error in zip(s.problem.conductors, pushes(s.fine), peak_errors(s), strict=True)
    ]


def _hoop_stress(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    return hoop_stresses(solved)


def _flux_density(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    return flux_densities(solved)


def _piece_power(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    power = solved.case.data.power
    meant = solved.case.heated if power is not None and power.into else ()
    return [m for m in measured.get("piece_power", []) if m.of not in meant]


def unit_of(solved: SolvedCase, per_metre: str) -> str:
    """The unit of a figure of straight runs, round an axis in total."""
    return per_metre.removesuffix("/m") if solved.case.axial else per_metre


def _mass(solved: SolvedCase, asked: LimitsTable, measured: Found) -> list[Measured]:
    """Of all metals together, where the density of each is known."""
    masses = [share.mass for share in metal_shares(next(iter(solved.solutions.values())))]
    known = [mass for mass in masses if mass is not None]
    mass = math.fsum(known)
    return [Measured(mass, AREA_ERROR * mass, "kg/m")] if len(known) == len(masses) else []


def _at(point: Answers, name: str, value: float, error: float, unit: str) -> Measured:
    words = f"{name} at {frequency_words(point.frequency)}"
    return Measured(value, error, unit, name, frequency=point.frequency, words=words)


_FIGURES: dict[str, Figures] = {
    **{f"temperature_{kind}": _temperatures(kind) for kind in KINDS},
    "loss": _loss,
    "inductance": _inductance,
    "voltage_drop": _drop,
    "resistance": _resistance,
    "force": _force,
    "hoop_stress": _hoop_stress,
    "flux_density": _flux_density,
    "piece_power": _piece_power,
    "mass": _mass,
}
