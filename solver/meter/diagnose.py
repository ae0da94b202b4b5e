"""From a reading and what was calculated for it to a diagnosis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray

from .causes import CONTACT, Parameter, PhysicalCause
from .diagnosis import Amount, Diagnosis, Explained, Explanation, HeldBand, Verdict
from .doubt import Doubted, doubted, stretched
from .fit import Differing, Fit, fitted
from .floor import at_a_short, drowned, floor_taken
from .judge import BENT, SURE, Ranked, Solved, ranked
from .reading import MeterReading
from .section_causes import SectionCause
from .separate import Bench, separation
from .uncertainty import Uncertainty

BAR = np.sqrt(3)  # a bound on an error over its standard uncertainty (GUM, JCGM 100:2008, 4.3.7)
WITHIN = 2.0  # standard uncertainties: what counts as explained
PART = 0.3  # of the rows: the least part of a band that is worth a word
TURNS, RUNG = 2, 2.0  # times that curvature is looked for; ratio of the places where it is
NOTHING = 0.3  # of those rows that need no cause: then it explains little
NEAREST = 3  # explanations that are shown where none holds


@dataclass(frozen=True, eq=False)
class Calculated:
    """The run as the case says it, at the frequencies that were measured and beyond them.

    Attributes
    ----------
    frequencies : (m,) float
        Rising, above 0 [Hz]; those of the reading among them.
    impedance : (m,) complex
        Of the whole run [ohm].
    resistance_bar, reactance_bar : (m,) float
        Bounds on their errors [ohm].
    causes : tuple of PhysicalCause
        Those that may be tried.
    solved : callable
        The impedance with other figures of the section, by key; None where it cannot be made.
    warming : PhysicalCause or None
        What a higher temperature of all metals does.
    """

    frequencies: FloatArray
    impedance: ComplexArray
    resistance_bar: FloatArray
    reactance_bar: FloatArray
    causes: tuple[PhysicalCause, ...]
    solved: Solved
    warming: PhysicalCause | None = None


def diagnose(reading: MeterReading, calculated: Calculated) -> Diagnosis:
    """What the difference of a reading from what was calculated says.

    That no cause fits is said only where none does either with a scatter whose shape over frequency is left open.

    Parameters
    ----------
    reading : MeterReading
    calculated : Calculated
    """
    found = _diagnosed(reading, calculated)
    if found.verdict == "none" and (opened := reading.opened()) is not None:
        again = _diagnosed(opened, calculated)
        return found if again.verdict == "none" else again
    return found


def _diagnosed(reading: MeterReading, calculated: Calculated) -> Diagnosis:
    rows = np.isin(calculated.frequencies, reading.frequencies)
    bars = (calculated.resistance_bar[rows] / BAR, calculated.reactance_bar[rows] / BAR)
    given = Differing(
        calculated.frequencies, calculated.impedance, reading.impedance, rows, Uncertainty.of(reading, *bars)
    )  # fmt: skip
    causes = [_bent(given, one, calculated.solved) for one in calculated.causes]
    found = ranked(given, causes, calculated.solved)
    told = [(doubted(given, causes, one), share) for one, share in found.left]
    bench = Bench(reading, calculated.frequencies, calculated.warming)
    contact = next((one for one in causes if one.key == CONTACT), None)
    floor = floor_taken(given, found.bare.fit, contact)
    return _diagnosis(given, found, told, bench, calculated.solved, floor)


def _bent(given: Differing, cause: PhysicalCause, solved: Solved) -> PhysicalCause:
    """A cause of the section whose curvature is that at the amount which would explain most."""
    if not isinstance(cause, SectionCause):
        return cause
    for _ in range(TURNS):
        value = float(fitted(given, [cause]).values[0])
        if abs(value) < BENT:
            break
        cause = _curved(given, cause, value, solved)
    return cause


def _curved(given: Differing, cause: SectionCause, value: float, solved: Solved) -> SectionCause:
    """Solved for at the place nearest to the amount, of some that are fixed, so that they serve again."""
    (one,) = cause.parameters
    rung = max(round(float(np.log(abs(value) / one.width) / np.log(RUNG))), 0)
    place = float(np.clip(np.copysign(one.width * RUNG**rung, value), one.lower, one.upper))
    exact = solved({cause.key: one.amount(place)})
    return cause if exact is None else cause.curved(cause.bend.through(given.calculated, {place: exact}))


def _diagnosis(
    given: Differing, found: Ranked, told: Sequence[tuple[Doubted, float]], bench: Bench, solved: Solved,
    floor: Explained | None,
) -> Diagnosis:  # fmt: skip
    kept = list(told) or [(stretched(one), 0.0) for one in found.others[:NEAREST]]
    resistance_error, reactance_error = np.split(given.uncertainty.each, 2)
    explanations = tuple(_with_floor(given, _explanation(given, one, share, solved), floor) for one, share in kept)
    apart = None
    if told and len(kept) > 1:
        pair = separation(bench, kept[0][0].rated.fit, kept[1][0].rated.fit)
        apart = (floor and at_a_short(floor, explanations[:2])) or pair
    return Diagnosis(
        verdict=verdict(found),
        explanations=explanations,
        rejected=_reach(given, found, solved),
        separation=apart,
        frequencies=given.frequencies,
        rows=np.flatnonzero(given.rows),
        measured_resistance=given.measured.real,
        measured_reactance=given.measured.imag,
        resistance_uncertainty=resistance_error,
        reactance_uncertainty=reactance_error,
        resistance=given.calculated.real,
        reactance=given.calculated.imag,
        bare=_with_floor(given, _explanation(given, stretched(found.bare), 0.0, solved), floor),
        tried=found.tried,
        scatter_freedom=given.uncertainty.freedom,
        drowned=drowned(bench.reading, explanations[0].causes),
        floor_stated=bench.reading.floor_stated,
    )


def _with_floor(given: Differing, one: Explanation, floor: Explained | None) -> Explanation:
    """Where no cause is needed, with what the floor of the meter takes of the difference."""
    if one.causes or floor is None:
        return one
    each = np.split(given.uncertainty.each, 2)
    return replace(
        one, causes=(floor,), correlations=np.eye(1), resistance=one.resistance + floor.resistance,
        reactance=one.reactance + floor.reactance,
        left_resistance=one.left_resistance - floor.resistance[given.rows] / each[0],
        left_reactance=one.left_reactance - floor.reactance[given.rows] / each[1],
    )  # fmt: skip


def verdict(found: Ranked) -> Verdict:
    """In one word."""
    if not found.left:
        return "none"
    best, share = found.left[0]
    if not best.fit.causes:
        return "within"
    return "named" if share >= SURE else "undecided"


def _explanation(given: Differing, told: Doubted, share: float, solved: Solved) -> Explanation:
    one, fit = told.rated, told.rated.fit
    first = [fit.of(cause).start for cause in fit.causes]
    covariance = fit.covariance[np.ix_(first, first)]
    spread = np.sqrt(np.diag(covariance))
    left, each = given.measured - fit.impedance[given.rows], np.split(fit.uncertainty.each, 2)
    return Explanation(
        tuple(_explained(given, told, cause, solved) for cause in fit.causes), fit.misfit, fit.freedom, one.chance,
        one.streak, share, covariance / np.outer(spread, spread), fit.impedance.real, fit.impedance.imag,
        left.real / each[0],
        left.imag / each[1],
    )  # fmt: skip


def _explained(given: Differing, told: Doubted, cause: PhysicalCause, solved: Solved) -> Explained:
    fit, where = told.rated.fit, told.rated.fit.of(cause)
    added = fit.impedance - fit.without(cause)
    amount, *shapes = (
        _amount(cause, p, float(v), float(s))
        for p, v, s in zip(cause.parameters, fit.values[where], told.spread[where], strict=True)
    )
    alike = tuple(_instead(given, told, cause, other, solved) for other in cause.alike)
    return Explained(cause.key, cause.name, amount, tuple(shapes), alike, added.real, added.imag)


def _instead(given: Differing, told: Doubted, cause: PhysicalCause, other: PhysicalCause, solved: Solved) -> Amount:
    """The amount of another cause that would do the same, known no better."""
    fit, place = told.rated.fit, told.rated.fit.of(cause).start
    some = [*(c for c in fit.causes if c is not cause), other]
    free = frozenset(c.key for c in some) if fit.free else frozenset()
    again = fitted(given, some, free=free)
    value = float(again.values[again.of(other)][0])
    if isinstance(other, SectionCause) and abs(value) > BENT:
        some[-1] = other = _curved(given, other, value, solved)
        again = fitted(given, some, free=free)
    where = again.of(other).start
    spread = np.sqrt(again.covariance[where, where] / fit.covariance[place, place]) * told.spread[place]
    return _amount(other, other.parameters[0], float(again.values[where]), float(spread))


def _amount(cause: PhysicalCause, p: Parameter, value: float, spread: float) -> Amount:
    return Amount(cause.key, p.name, p.unit, p.amount(value), p.error(value, spread), p.amount(0.0))


def _reach(given: Differing, found: Ranked, solved: Solved) -> HeldBand | None:
    """The one cause that does not hold but explains the largest part of the band, from one of its ends."""
    best, rows = None, PART * int(given.rows.sum())
    bare = _fine(given, fitted(given, ()))
    for one in found.others:
        if len(one.fit.causes) != 1 or one.holds:
            continue
        fine = _fine(given, one.fit)
        upper, lower = _run(fine[::-1]), _run(fine)
        upper, lower = (
            0 if bare[end].sum() > NOTHING * count else count
            for end, count in ((slice(len(bare) - upper, None), upper), (slice(0, lower), lower))
        )
        if rows < max(upper, lower) < len(fine):
            best, rows = (one, upper, lower), max(upper, lower)
    if best is None:
        return None
    one, upper, lower = best
    measured = given.frequencies[given.rows]
    explanation = _explanation(given, stretched(one), 0.0, solved)
    if upper >= lower:
        return HeldBand(explanation, float(measured[len(measured) - upper]), None)
    return HeldBand(explanation, None, float(measured[lower - 1]))


def _fine(given: Differing, fit: Fit) -> BoolArray:
    """Rows at which R and X are both explained."""
    left, each = given.measured - fit.impedance[given.rows], np.split(fit.uncertainty.each, 2)
    return np.asarray((np.abs(left.real) < WITHIN * each[0]) & (np.abs(left.imag) < WITHIN * each[1]))


def _run(fine: BoolArray) -> int:
    """How many are true from the first on."""
    return int(np.argmin(fine)) if not fine.all() else len(fine)
