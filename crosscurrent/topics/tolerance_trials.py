"""The causes of a spread, and cases in which they are elsewhere within their tolerances, each solved once."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.variables import Variable, variables
from crosscurrent.casefile.varied import varied
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError, RunStopped

from .limits_changes import NEEDED, PHYSICS, Resolve, bare
from .tolerance_figures import FigureKey, figures, judged
from .tolerance_slopes import by_slopes


def causes_of(case: Case) -> tuple[Variable, ...]:
    """The figures of a case that have a tolerance.

    Examples
    --------
    >>> from crosscurrent.casefile.case import checked_case
    >>> rod = {"name": "rod", "shape": "round", "material": "copper", "diameter": "25 mm +- 0.1 mm"}
    >>> circuit = {"name": "feed", "current": "1 A", "out": ["rod"]}
    >>> one = checked_case({"frequency": {"at": ["100 kHz"]}, "conductor": [rod], "circuit": [circuit]})
    >>> [(cause.key, cause.tolerance) for cause in causes_of(one)]
    [('rod.diameter', 0.0001)]
    """
    return tuple(one for one in variables(case) if one.tolerance)


@dataclass(eq=False)
class Trials:
    """What changed cases come to.

    Parameters
    ----------
    case : Case
    causes : sequence of Variable
    resolve : callable
        Solves a changed case and answers its questions.
    accuracy : float
        Wanted of every solve: that of the case, or a better one.

    Attributes
    ----------
    found : dict of tuple of float to dict of FigureKey to float
        By place in tolerances, as `tolerance_response` counts it.
    slopes : dict of tuple of float to mapping of FigureKey to (causes,) float
        What each cause would add, over its tolerance, at the places where that was asked for.
    refused : dict of tuple of float to str
        Places at which there is no sound case, and why.
    """

    case: Case
    causes: Sequence[Variable]
    resolve: Resolve
    accuracy: float
    found: dict[tuple[float, ...], dict[FigureKey, float]] = field(default_factory=dict)
    slopes: dict[tuple[float, ...], Mapping[FigureKey, FloatArray]] = field(default_factory=dict)
    refused: dict[tuple[float, ...], str] = field(default_factory=dict)

    def at(self, place: FloatArray, *, sloped: bool = False) -> dict[FigureKey, float] | None:
        """The figures at a place, once with their slopes if wanted; None where there is no sound case."""
        key = tuple(place.tolist())
        if key not in self.found and key not in self.refused:
            there = [replace(c, value=c.value + u * c.tolerance) for c, u in zip(self.causes, key, strict=True)]
            try:
                changed = varied(self.case, {one.key: one.value for one in there})
                other, chapters = self.resolve(plain(changed, self.accuracy))
                if sloped:
                    self.slopes[key] = by_slopes(other, there, stated_limits(self.case)).added
            except RunStopped:
                raise
            except CrosscurrentError as error:  # parts that would overlap, a metal that would melt
                self.refused[key] = next(iter(str(error).splitlines()), "")
                return None
            own = {k: m.value for k, m in figures(other, chapters).items()}
            limits = {k: v.found.value for k, v in judged(self.case.data.limits, other, chapters).items()}
            self.found[key] = own | limits
        return self.found.get(key)


def stated_limits(case: Case) -> Collection[str]:
    """The keys of its limits."""
    return case.data.limits.stated if case.data.limits else ()


def plain(case: Case, accuracy: float) -> Case:
    """The case with no more questions than its bands need."""
    data = case.data
    stated = data.limits.stated if data.limits else {}
    kept = {*PHYSICS, *(table for limit in stated for table in NEEDED.get(limit, ()))}
    if data.cooling or any(limit.startswith("temperature") for limit in stated):
        kept |= {"duty", "waveform"}
    air = data.cooling and data.cooling.model_copy(update={"temperature_limit": None})
    frequency = data.frequency.model_copy(update={"sweep": None})
    wanted = data.accuracy.model_copy(update={"resistance": accuracy})
    left = bare(data, kept).model_copy(update={"cooling": air, "frequency": frequency, "accuracy": wanted})
    return replace(case, data=left)
