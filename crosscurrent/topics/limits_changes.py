"""What would help: small changes of a design, by slopes or each solved anew, to see which brings a figure down most."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.model import CaseData
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.topics.limits import DesignChange
from crosscurrent.solved import SolvedCase

from .limits_slopes import by_slopes
from .limits_variants import changed, lighter
from .limits_verdicts import OF_METAL, verdicts

Resolve = Callable[[Case], tuple[SolvedCase, Sequence[Chapter]]]
MASS = "mass"  # which nothing lowers but less metal
UNCHANGED = 1e-3  # relative change of a figure that counts as none
# tables that change the solution itself, and those that a limit's figure comes from
PHYSICS = (
    "title", "symmetry", "length", "ambient", "accuracy", "material",
    "conductor", "circuit", "coil", "power", "cooling", "water",
)  # fmt: skip
NEEDED = {
    "field": ("field",), "force": ("supports", "fault"), "hoop_stress": ("supports",),
    "voltage_drop": ("voltage",),
    "fault_temperature": ("fault", "duty"), "water_rise": ("waveform",), "wall_temperature": ("waveform",),
    "tank_voltage": ("tank",), "reactive_power": ("tank",), "piece_temperature": ("heating",),
}  # fmt: skip


def helpful(
    solved: SolvedCase, found: Sequence[Verdict], tightest: Verdict, resolve: Resolve, *, steady: bool
) -> list[DesignChange]:
    """How much each change moves the figure of a limit, the most helpful first.

    Parameters
    ----------
    found : sequence of Verdict
        Of the case as it is; `tightest` is one of them.
    resolve : callable
        Solves a changed case and answers its further questions, the verdict left out.
    steady : bool
        Whether its losses are those of steady temperatures; else other figures are compared at the stated ones.

    Returns
    -------
    list of DesignChange
        Those that do not move the figure are left out.
    """
    asked, plain = solved.case.data.limits, _plain(solved, tightest, steady)
    assert asked is not None
    by_slope = by_slopes(solved, tightest, plain)
    if by_slope is not None:
        return sorted(filter(_counts, by_slope), key=lambda change: (change.by, change.to))
    place = _alike(found, tightest).index(tightest)
    changes = []
    for what, data in (lighter if tightest.limit == MASS else changed)(solved.case, plain):
        try:
            other, chapters = resolve(replace(solved.case, data=data))
            same = _alike(verdicts(asked, other, chapters), tightest)
        except CrosscurrentError:  # parts that would overlap, a metal that would melt
            continue
        if len(same) == len(_alike(found, tightest)):
            change = DesignChange(what, tightest.found.value, same[place].found.value)
            if same[place].found.known and _counts(change):
                changes.append(change)
    return sorted(changes, key=lambda change: (change.by, change.to))


def _counts(change: DesignChange) -> bool:
    """Whether it moves the figure at all."""
    return abs(change.by) > UNCHANGED * min(abs(change.before), abs(change.to))


def _alike(found: Sequence[Verdict], one: Verdict) -> list[Verdict]:
    """Those of the same limit, the same conductor, circuit or place, and the same frequency, in their order.

    Of temperatures only the worst over all frequencies is judged, which another change may move to another frequency.
    """

    def key(v: Verdict) -> tuple[str, str, float | None]:
        return v.limit, v.found.of, None if v.limit in OF_METAL else v.found.frequency

    return [v for v in found if key(v) == key(one)]


def _plain(solved: SolvedCase, tightest: Verdict, steady: bool) -> CaseData:
    """The case with no more questions than the figure of a limit needs, at its own frequency too.

    What currents a temperature allows is not asked either: that takes longer than the temperature.
    """
    data, limit = solved.case.data, tightest.limit
    of_metal = limit.startswith("temperature")
    kept = {*PHYSICS, *NEEDED.get(limit, ("duty", "waveform") if of_metal else ())} - (
        set() if steady or of_metal else {"cooling"}
    )
    own = () if tightest.found.frequency is None else (tightest.found.frequency,)
    wanted = tuple(dict.fromkeys((*solved.solutions, *own)))
    frequency = data.frequency.model_copy(update={"at": wanted, "sweep": None})
    air = data.cooling if "cooling" in kept else None
    air = None if air is None else air.model_copy(update={"temperature_limit": None})
    return bare(data, kept).model_copy(update={"frequency": frequency, "cooling": air})


def bare(data: CaseData, kept: Collection[str]) -> CaseData:
    """A case without all that need not stand in it, but for some tables."""
    left = {
        key: info.get_default(call_default_factory=True)
        for key, info in CaseData.model_fields.items()
        if key not in kept and not info.is_required()
    }
    return data.model_copy(update=left)
