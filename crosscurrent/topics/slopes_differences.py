"""The chapter "slopes by differences": temperature, force and water, from cases with a little less and more."""

from __future__ import annotations

from collections.abc import Sequence

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.tables.slopes import Differing
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import Variable
from crosscurrent.casefile.varied import varied
from crosscurrent.geometries.errors import CrosscurrentError, RunStopped
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.topics.slopes_differences import (
    DifferencesAnswer,
    FigureSlope,
    record,
    sentences,
    tables,
)
from crosscurrent.solved import SolvedCase

from .limits_changes import PHYSICS, Resolve, bare
from .limits_figures import forces_in_service, measured_by
from .slopes_asked import FREQUENCY, figures_of

STEP = 0.02  # of a figure, less and more
ASIDE = 0.004  # of the section: of positions and of what is nothing
SURER = 0.1  # of the bound that the case asks for: the difference of two figures shows what each is off

Figures = dict[tuple[str, str, str, float], Measured]  # by kind, what it is, whose, and frequency


def chapter(solved: SolvedCase, resolve: Resolve) -> Chapter | None:
    """Where [slopes] lists differences; `resolve` answers a changed case."""
    asked = solved.case.data.slopes
    if asked is None or not asked.differences or not solved.asked:
        return None
    plain = _plain(solved)
    here, found, without = _figures(resolve(plain), asked.differences), [], {}
    for one in figures_of(solved.case):
        if asked.of is None or one.key in asked.of:
            step = _step(solved, one)
            try:
                less, more = (_figures(resolve(_moved(plain, one, way)), asked.differences) for way in (-step, step))
            except RunStopped:
                raise
            except CrosscurrentError as error:  # parts that would overlap, a metal that would melt
                without[one.key] = next(iter(str(error).splitlines()), "")
                continue
            found += _differences(one, (less, here, more), step, plain)
    if asked.of is None or FREQUENCY in asked.of:
        found += _over_frequency(plain, here, resolve, asked.differences)
    answer = DifferencesAnswer(tuple(found), without, STEP)
    return Chapter(
        "slopes_by_differences", "Slopes by differences", record(answer), tuple(tables(answer)),
        tuple(sentences(answer)),
    )  # fmt: skip


def _plain(solved: SolvedCase) -> Case:
    """The case with no more questions than these figures need, each solved ten times as well."""
    case = solved.case
    air = case.data.cooling and case.data.cooling.model_copy(update={"temperature_limit": None})
    accuracy = case.data.accuracy.model_copy(update={"resistance": SURER * case.accuracy})
    frequency = case.data.frequency.model_copy(update={"sweep": None})
    data = bare(case.data, {*PHYSICS, "named"}).model_copy(
        update={"cooling": air, "accuracy": accuracy, "frequency": frequency}
    )
    return Case(data, case.source, case.path)


def _step(solved: SolvedCase, one: Variable) -> float:
    size = solved.case.problem().section.size if one.dimension in ("length", "position", "radius") else 1.0
    return ASIDE * size if one.dimension == "position" or not one.value else STEP * abs(one.value)


def _moved(plain: Case, one: Variable, step: float) -> Case:
    """A figure is so much more: of a case without other questions, as its file says it."""
    changed = varied(Case(plain.data, plain.source, plain.path), {one.key: one.value + step})
    kept = {key: getattr(plain.data, key) for key in type(plain.data).model_fields if key not in PHYSICS}
    kept |= {"accuracy": plain.data.accuracy, "cooling": changed.data.cooling}
    if changed.data.cooling is not None:
        kept["cooling"] = changed.data.cooling.model_copy(update={"temperature_limit": None})
    return Case(changed.data.model_copy(update=kept), changed.source, changed.path)


def _figures(found: tuple[SolvedCase, Sequence[Chapter]], wanted: Sequence[Differing]) -> Figures:
    solved, chapters = found
    measured, rows = measured_by(chapters), Figures()
    for f in solved.asked:
        warm = [m for m in measured.get("temperature", []) if m.frequency == f and m.known]
        if warm and "temperature" in wanted:
            rows["temperature", "hottest conductor", "", f] = max(warm, key=lambda m: m.value)
        for m in forces_in_service(solved) if "force" in wanted else ():
            if m.frequency == f:
                rows["force", "peak force", m.of, f] = m
        for key, word in (("water_rise", "rise of the water"), ("wall_temperature", "wetted wall")):
            for m in measured.get(key, []) if "water" in wanted else ():
                if m.frequency == f and m.known:
                    rows["water", word, m.of, f] = m
    return rows


def _differences(one: Variable, found: tuple[Figures, Figures, Figures], step: float, case: Case) -> list[FigureSlope]:
    """Central ones; the bar is how far the two halves lie from them, and what the solves leave open."""
    less, here, more = found
    unit = DIMENSIONS[one.dimension].si if one.dimension in DIMENSIONS else ""
    rows = []
    for key, now in here.items():
        if key in less and key in more:
            low, high = less[key].value, more[key].value
            rest = case.data.ambient if now.unit == "degC" else 0.0  # of temperatures the rise is what is solved for
            open_ = case.accuracy * (abs(low - rest) + abs(high - rest))
            error = (abs(high - 2 * now.value + low) + open_) / (2 * step)
            rows.append(
                FigureSlope(one.key, one.value, unit, *key[1:], now.unit, now.value, (high - low) / (2 * step), error)
            )
    return rows


def _over_frequency(
    plain: Case, here: Figures, resolve: Resolve, wanted: Sequence[Differing]
) -> list[FigureSlope]:
    found = []
    for f in plain.data.frequency.at:
        if not f:
            continue
        sides = []
        for factor in (1 - STEP, 1 + STEP):
            at = plain.data.frequency.model_copy(update={"at": (factor * f,)})
            other = Case(plain.data.model_copy(update={"frequency": at}), plain.source, plain.path)
            rows = _figures(resolve(other), wanted)
            sides.append({(*key[:3], f): m for key, m in rows.items()})
        own = {key: m for key, m in here.items() if key[3] == f}
        one = Variable(FREQUENCY, (FREQUENCY,), f, "frequency")
        found += _differences(one, (sides[0], own, sides[1]), STEP * f, plain)
    return found
