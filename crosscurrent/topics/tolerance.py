"""The chapter "tolerance": bands that tolerances make of the answers, their causes, how many keep the limits."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.tables.tolerance import ReadAs
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import Variable, as_written
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.answers.units import frequency_tag, frequency_words
from crosscurrent.postprocess.topics.tolerance import (
    Band,
    Cause,
    Ends,
    KeptLimit,
    ToleranceAnswer,
    circuit_bands,
    in_words,
    record,
    sentences,
    tables,
    warnings,
)
from crosscurrent.solved import SolvedCase

from .limits_changes import Resolve
from .limits_slopes import has_slope
from .tolerance_figures import FigureKey, figures, judged
from .tolerance_response import draws, keeping, middle
from .tolerance_slopes import EXACT, MASS, FirstOrder, by_slopes
from .tolerance_spread import NoSpread, Spread, spread
from .tolerance_trials import Trials, causes_of, plain, stated_limits

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from crosscurrent.postprocess.pictures.study.data import CauseBand


@dataclass(frozen=True, eq=False)
class _Found:
    """The spread of a case and what its bands are made of."""

    read_as: ReadAs
    nominal: Mapping[FigureKey, Measured]
    spread: Spread
    trials: Trials
    drawn: FloatArray
    bars: Mapping[FigureKey, float]  # of the slopes that the spread comes from

    def band(self, key: FigureKey, frequencies: Sequence[float]) -> Band:
        """Of one figure."""
        response, m = self.spread.responses[key], self.nominal[key]
        units = np.eye(len(self.trials.causes))
        solved = [one[key] for one in self.trials.found.values() if np.isfinite(one.get(key, np.inf))]
        corners = [self._at(response.extreme(sign), key) for sign in (-1, 1)]
        return Band(
            key.what, m.of, None if key.number is None else frequencies[key.number], m.unit, m.value,
            m.error + self.bars.get(key, 0.0),
            (min(m.value, *corners, *solved), max(m.value, *corners, *solved)), middle(response.at(self.drawn)),
            tuple(response.shares(self.read_as).tolist()),
            tuple((float(response.at(-u)), float(response.at(u))) for u in units),
            m.words if key.what in EXACT and key.of else "",
        )  # fmt: skip

    def _at(self, place: FloatArray, key: FigureKey) -> float:
        """What was solved there, if it was."""
        solved = self.trials.found.get(tuple(place.tolist()), {})
        return solved.get(key, float(self.spread.responses[key].at(place)))

SEEN = 0.02  # of half a band: computing bars up to which its corners are looked at with the accuracy of the case
FINEST = 1e-5  # accuracy asked for at most
SHOWN = 0.005  # least share of a band that a picture shows


def chapter(solved: SolvedCase, others: Sequence[Chapter], resolve: Resolve) -> Chapter | None:
    """Where a figure of the case has "+-", or there is a table [tolerance]; `resolve` answers a changed case."""
    case, causes = solved.case, causes_of(solved.case)
    asked = case.data.tolerance
    if asked is None and not causes:
        return None
    read_as: ReadAs = asked.read_as if asked else "bound"
    said = tuple(_cause(case, one) for one in causes)
    if not causes or not case.data.frequency.at:
        why = "they belong to frequencies asked for one by one: list some in at" if causes else ""
        return _chapter(ToleranceAnswer(read_as, said, no_band=why))
    verdicts = judged(case.data.limits, solved, others)
    nominal = {key: v.found for key, v in verdicts.items()} | figures(solved, others)
    first, accuracy = _first(solved, causes, nominal, stated_limits(case)), case.accuracy
    if (sharper := _sharper(nominal, first, accuracy)) < accuracy:
        again, beside = resolve(plain(case, sharper))
        nominal |= {key: v.found for key, v in judged(case.data.limits, again, beside).items()} | figures(again, beside)
        first, accuracy = _first(again, causes, nominal, stated_limits(case)), sharper
    trials = Trials(case, causes, resolve, accuracy)
    try:
        by_ends = first.lacking
        found = spread(nominal, verdicts, first.added, by_ends, trials)
    except NoSpread as error:
        return _chapter(ToleranceAnswer(read_as, said, no_band=str(error)))
    bars = first.bars if found.order in ("first", "second by slopes") else {}
    every = _Found(read_as, nominal, found, trials, draws(len(causes), read_as), bars)
    outside = any(p.returns_outside for p in solved.points)
    answer = _answer(every, verdicts, said, case.data.frequency.at, by_ends, outside=outside)
    return _chapter(answer, _pictures(every, answer, case))


def _chapter(found: ToleranceAnswer, pictures: Mapping[str, partial[Figure]] | None = None) -> Chapter:
    return Chapter(
        "tolerance", "Tolerances", record(found), tuple(tables(found)), tuple(sentences(found)),
        tuple(warnings(found)), pictures=pictures or {}, bands=tuple(circuit_bands(found)),
    )  # fmt: skip


def _cause(case: Case, one: Variable) -> Cause:
    written: object = as_written(case)
    for word in one.path:
        written = written[word]  # type: ignore[index]
    unit = DIMENSIONS[one.dimension].si if one.dimension in DIMENSIONS else ""
    return Cause(one.key, str(written), one.value, one.tolerance, unit)


def _first(
    solved: SolvedCase, causes: Sequence[Variable], nominal: Mapping[FigureKey, Measured], limits: Collection[str]
) -> FirstOrder:
    """What slopes say of every figure; nothing, so that the ends of all causes are solved, where one has no slope."""
    data = solved.case.data
    fields = {key.what for key in nominal} - {MASS}
    if not all(has_slope(what, data) or (what in EXACT and has_slope("loss", data)) for what in fields):
        return FirstOrder({}, {}, set(range(len(causes))))
    return by_slopes(solved, causes, limits)


def _sharper(nominal: Mapping[FigureKey, Measured], first: FirstOrder, accuracy: float) -> float:
    """The accuracy at which corners can tell what is missed: computing bars hide a share of a narrow band."""
    wanted = accuracy
    for key, added in first.added.items():
        half, m = float(np.abs(added).sum()), nominal.get(key)
        if m is not None and key.what in EXACT and m.error > SEEN * half > 0:
            wanted = min(wanted, accuracy * SEEN * half / m.error)
    return max(wanted, min(accuracy, FINEST))


def _answer(
    found: _Found, verdicts: Mapping[FigureKey, Verdict], causes: tuple[Cause, ...], frequencies: Sequence[float],
    by_ends: set[int], *, outside: bool,
) -> ToleranceAnswer:  # fmt: skip
    bands = {key: found.band(key, frequencies) for key in found.spread.responses}
    checked = found.spread.checked
    own = sorted((k for k in bands if k.what in (*EXACT, "temperature")), key=lambda k: frequencies[k.number or 0])
    without = (f"{k.what.replace('_', ' ')}{f' of {k.of}' if k.of else ''}" for k in found.nominal if k not in bands)
    return ToleranceAnswer(
        found.read_as, causes, [bands[k] for k in own],
        [_kept(found, bands[k], k, verdicts[k]) for k in verdicts if k in bands],
        found.spread.order, not by_ends, len(found.trials.found),
        "" if checked is None else _of_frequency(bands[checked]), found.spread.missed,
        without=tuple(dict.fromkeys(without)), refused=tuple(dict.fromkeys(found.trials.refused.values())),
        returns_outside=outside,
    )  # fmt: skip


def _of_frequency(b: Band) -> str:
    return b.label if b.frequency is None else f"{b.label} at {frequency_words(b.frequency)}"


def _kept(found: _Found, band: Band, key: FigureKey, verdict: Verdict) -> KeptLimit:
    values = found.spread.responses[key].at(found.drawn)
    surely, perhaps = keeping(values, verdict.allowed, band.bar)
    if verdict.at_best != "pass" or (surely == 0 and perhaps == 100):
        return KeptLimit(band, verdict.allowed, "cannot tell", surely, perhaps)
    if found.read_as == "bound" and band.worst_case[1] <= verdict.allowed:
        return KeptLimit(band, verdict.allowed, "all", surely, perhaps)
    if found.read_as == "bound" and band.worst_case[0] > verdict.allowed:
        return KeptLimit(band, verdict.allowed, "none", surely, perhaps)
    return KeptLimit(band, verdict.allowed, "some", surely, perhaps)


def _pictures(found: _Found, answer: ToleranceAnswer, case: Case) -> dict[str, partial[Figure]]:
    """Of every frequency what makes the bands of loss, R and L; and how the figure that was checked is spread."""
    drawn = {}
    for frequency in dict.fromkeys(b.frequency for b in answer.bands):
        bands = [b for b in answer.bands if b.frequency == frequency and b.worst[1] > b.worst[0]]
        if bands and frequency is not None:
            order = sorted(bands, key=lambda b: ("resistance", "inductance", "temperature", "loss").index(b.what))
            drawn[f"tolerance-{frequency_tag(frequency)}"] = partial(_causes, order, answer.causes, case, frequency)
    key = found.spread.checked
    if key is not None:
        values = found.spread.responses[key].at(found.drawn)
        band = found.band(key, case.data.frequency.at)
        limits = [one for one in answer.kept if one.band == band]
        drawn["tolerance-spread"] = partial(_spread_picture, band, values, limits, case)
    return drawn


def _causes(bands: Sequence[Band], causes: Sequence[Cause], case: Case, frequency: float) -> Figure:
    from crosscurrent.postprocess.pictures.study.causes import causes_figure

    shown = [_cause_band(b, causes) for b in bands]
    return causes_figure(shown, case.title, f"What makes the bands within tolerances · {frequency_words(frequency)}")


def _cause_band(b: Band, causes: Sequence[Cause]) -> CauseBand:
    from crosscurrent.postprocess.pictures.study.data import CauseBand, CauseShare, StudyScale

    def shares() -> Iterator[CauseShare]:
        for cause, share, (low, high) in zip(causes, b.shares, b.ends, strict=True):
            if share >= SHOWN:
                yield CauseShare(cause.key, cause.words, low, high, share)

    ends: Ends = b.worst_case
    return CauseBand(StudyScale(b.label, b.unit), b.value, *ends, tuple(shares()))


def _spread_picture(b: Band, values: FloatArray, kept: Sequence[KeptLimit], case: Case) -> Figure:
    from crosscurrent.postprocess.pictures.study.data import StudyLimit, StudyScale
    from crosscurrent.postprocess.pictures.study.histogram import histogram_figure

    limits = [StudyLimit(f"{b.label} at most {in_words(one.allowed, b.unit)}", None, one.allowed) for one in kept]
    subject = f"{_of_frequency(b)} over random draws within tolerances"
    return histogram_figure(StudyScale(b.label, b.unit), values, b.value, b.within_95, limits, case.title, subject)
