"""The first screen of a solved case, from its answers and the chapters."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Literal

from crosscurrent.geometries.plane.neighbours import Neighbours, neighbouring_parts
from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.bundles import NAMED
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.limits import ORDER, Standing
from crosscurrent.postprocess.answers.noise import loss_noise
from crosscurrent.postprocess.answers.summary import (
    CircuitSummary,
    HoldingCurrent,
    Hottest,
    SectionLoss,
    SharedConductor,
    Summary,
)
from crosscurrent.postprocess.answers.units import frequency_words
from crosscurrent.postprocess.topics.waveform import WaveformAnswer, rms
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.heat.ampacity import Unstable
from crosscurrent.solver.heat.balance import CEILING

from .duty import always_on
from .limits_figures import in_service, losses, measured_by
from .work_pieces import heated_pieces

BEFORE = ("temperature", "duty", "water", "voltage", "limits")  # chapters that warn of what burns, boils or breaks down
SPEAKS_OF_ACCURACY = "accuracy"  # how kinds of warnings begin that concern every figure


def summary_of(solved: SolvedCase, chapters: Sequence[Chapter]) -> Summary:
    """What stands first in every output; `chapters` are all of the case, its verdict among them."""
    measured = measured_by(chapters)
    figures = in_service(solved, measured)
    runs_away = tuple(dict.fromkeys(m.of for m in figures if m.endless))
    first, *others = shown(solved)
    warm = [c.temperature for c in first.conductors.values() if c.temperature is not None]
    warnings = [*_accuracy(solved), *_of(chapters, BEFORE), *solved.warnings, *_of(chapters)]
    standing, words = _verdict(chapters)
    return Summary(
        verdict=standing,
        verdict_words=words,
        losses=tuple(_losses(solved, [first, *others], losses(solved, measured))),
        hottest=None if runs_away else _hottest(solved, figures),
        holds=tuple(holding_currents(solved)) if runs_away else (),
        runs_away=runs_away,
        temperature_low=min(warm),
        temperature_high=max(warm),
        taken=() if figures else tuple(name for row in solved.case.data.conductor if row.temperature is None
                                       for name in row.copies),
        circuits=tuple(_circuit(p, c) for p in (first, *others) for c in p.circuits.values()),
        shared=tuple(_shared(first, solved.waveform)),
        sequences=_sequences(solved, first),
        gaps=tuple(sorted(_gaps(solved), key=lambda one: round(one.gap, 9))),
        bands=tuple(band for chapter in chapters for band in chapter.bands),
        worst_warning=next(iter(warnings), None),
        warnings=len(dict.fromkeys((*solved.warnings, *_of(chapters)))),
        axial=solved.case.axial,
        heated=heated_pieces(solved),
        heating=_hottest(solved, measured.get("piece_temperature", ())),
    )


def shown(solved: SolvedCase) -> list[Answers]:
    """The first and the last frequency asked for one by one, or of the sweep."""
    listed = solved.case.data.frequency.at or solved.case.frequencies
    return [solved.at(f) for f in dict.fromkeys((listed[0], listed[-1]))]


def _verdict(chapters: Sequence[Chapter]) -> tuple[Standing | Literal["none stated"], str]:
    for chapter in chapters:
        if chapter.key == "limits":
            return next(s for s in ORDER if s == chapter.record["verdict"]), chapter.sentences[0]
    return "none stated", "none stated, so nothing is judged"


def _of(chapters: Sequence[Chapter], keys: Collection[str] | None = None) -> Iterator[str]:
    """Warnings of chapters, of all if no keys are given."""
    return (text for c in chapters if keys is None or c.key in keys for text in c.warnings)


def _accuracy(solved: SolvedCase) -> Iterator[str]:
    """Figures that missed the wanted bound."""
    for frequency, solution in solved.solutions.items():
        for warning in solution.warnings:
            if warning.kind.startswith(SPEAKS_OF_ACCURACY):
                yield f"{frequency_words(frequency)}: {warning.text}"


def _losses(solved: SolvedCase, points: Sequence[Answers], figures: Sequence[Measured]) -> Iterator[SectionLoss]:
    length = solved.case.length
    found = solved.waveform
    if isinstance(found, WaveformAnswer):
        total = None if length is None else found.loss.total * length
        yield SectionLoss("with the waveform", found.loss.total, found.loss.error, total)
    errors = {m.frequency: m.error for m in figures}
    for point in points:
        total = None if length is None else point.total_loss * length
        yield SectionLoss(f"at {frequency_words(point.frequency)}", point.total_loss, errors[point.frequency], total)


def _hottest(solved: SolvedCase, figures: Sequence[Measured]) -> Hottest | None:
    known = [m for m in figures if m.known]
    if not known:
        return None
    worst = max(known, key=lambda m: m.value)
    stated = next((row.temperature for row in solved.case.data.conductor if worst.of in row.copies), None)
    return Hottest(worst.of, worst.value, worst.error, worst.load, stated)


def holding_currents(solved: SolvedCase) -> Iterator[HoldingCurrent]:
    """Of the frequency and the duty that leave least: for the limit, and for a stable temperature at all."""
    steady = solved.states.items() if always_on(solved.case) else ()
    states = [(f, None, r) for f, s in steady if isinstance(s, Unstable) for r in (s.within, s.largest)]
    cycles = [(course.frequency, course.name, r) for course in solved.courses for r in course.holds]
    found = [(r, f, duty) for f, duty, r in (*states, *cycles) if r is not None]
    for kind in (True, False):
        ratings = [each for each in found if (each[0].limit < CEILING) == kind]
        if ratings:
            rating, frequency, duty = min(ratings, key=lambda each: each[0].factor)
            currents = {c.name: abs(c.current) * rating.factor for c in solved.at(frequency).circuits.values()}
            yield HoldingCurrent(rating.limit if kind else None, rating.factor, currents, duty)


def _circuit(point: Answers, c: CircuitAnswer) -> CircuitSummary:
    of: Literal["loop", "own conductors", "shared conductors"] = "loop"
    figures = c.resistance, c.resistance_error, c.resistance_ratio
    if point.coupled and c.own_dc_resistance:
        of, figures = "own conductors", (c.own_resistance, c.own_resistance_error, c.own_ratio)
    elif point.coupled:
        of, figures = "shared conductors", (None, None, None)
    return CircuitSummary(
        name=c.name,
        frequency=point.frequency,
        size=abs(c.current),
        resistance=figures[0],
        resistance_error=figures[1],
        resistance_ratio=figures[2],
        resistance_of=of,
        inductance=c.inductance,
        inductance_error=c.inductance_error,
        drop=abs(c.voltage),
        temperature_low=c.temperature_low,
        temperature_high=c.temperature_high,
        resistance_as_laid=_as_laid(figures[0], c.lay_resistance),
    )


def _as_laid(resistance: float | None, more: float | None) -> float | None:
    """At most, where that is worth a word [ohm/m]."""
    return None if not resistance or not more or more < NAMED * resistance else resistance + more


def _shared(point: Answers, waveform: WaveformAnswer | str | None) -> Iterator[SharedConductor]:
    """The one that loses most first."""
    for conductor in sorted(whole_conductors(point), key=lambda c: -c.loss):
        name = conductor.name
        members = point.bundles[name].members if name in point.bundles else (name,)
        users = tuple(c.name for c in point.circuits.values() if members[0] in c.shared)
        if users and isinstance(waveform, WaveformAnswer) and name in waveform.shared:
            of = [waveform.names.index(member) for member in members]
            loss, error = (float(each[:, of].sum()) for each in (waveform.loss.losses, waveform.loss.errors))
            yield SharedConductor(name, users, rms(waveform.shared[name]), loss, error, "with the waveform")
        elif users:
            size = 0.0 if conductor.loss_ratio is None else abs(conductor.current)
            yield SharedConductor(name, users, size, conductor.loss, loss_noise(conductor, point))


def _sequences(solved: SolvedCase, point: Answers) -> dict[str, complex]:
    """Without a return the zero sequence is no property of the section, and left to the tables."""
    found = point.sequences
    if found is None:
        return {}
    both = {"positive": found.positive, "negative": found.negative}
    return both | {"zero": found.zero} if any(c.back for c in solved.case.problem().circuits) else both


def _gaps(solved: SolvedCase) -> tuple[Neighbours, ...]:
    return neighbouring_parts(solved.case.envelopes)
