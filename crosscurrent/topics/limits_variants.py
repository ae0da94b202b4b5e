"""Small changes of a design, each solved anew, to see which would bring a figure down most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from ..geometries.distance import closest_sides
from ..geometries.errors import CrosscurrentError
from ..postprocess.verdict import Verdict
from .case import Case
from .chapters import others_of
from .duty import Duty
from .judged import at, verdicts
from .limits import Limits
from .model import CaseData, Common

if TYPE_CHECKING:
    from .run import Result

STEP = 0.1  # every change is a tenth
UNCHANGED = 1e-3  # relative change of a figure that counts as none
DIMENSIONS = ("width", "thickness", "height", "wall", "diameter")
# tables that change the solution itself, and those that a limit's figure comes from
PHYSICS = ("title", "length", "ambient", "accuracy", "material", "conductor", "circuit", "cooling", "water")
NEEDED = {
    "field": ("field",), "force": ("supports", "fault"), "voltage_drop": ("voltage",), "mass": ("prices",),
    "fault_temperature": ("fault", "duty"), "water_rise": ("waveform",), "wall_temperature": ("waveform",),
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """What was changed, and the figure it leads from and to."""

    what: str
    before: float
    to: float

    @property
    def by(self) -> float:
        """In the figure's own unit; infinite where it had no end before."""
        return self.to - self.before


def helpful(
    result: Result, asked: Limits, found: Sequence[Verdict], tightest: Verdict, *, steady: bool
) -> list[Change]:
    """How much each change moves the figure of a limit, the most helpful first.

    Parameters
    ----------
    found : sequence of Verdict
        Of the case as it is; `tightest` is one of them.
    steady : bool
        Whether its losses are those of steady temperatures; else other figures are compared at the stated ones.

    Returns
    -------
    list of Change
        Those that do not move the figure are left out.
    """
    from .run import solve_case

    place = _alike(found, tightest).index(tightest)
    changes = []
    for what, data in changed(result.case, _plain(result, tightest, steady)):
        try:
            other = solve_case(Case(data, result.case.source, result.case.path))
            same = _alike(verdicts(asked, other, others_of(other)), tightest)
        except CrosscurrentError:  # parts that would overlap, a metal that would melt
            continue
        if len(same) == len(_alike(found, tightest)):
            change = Change(what, tightest.found.value, same[place].found.value)
            if not same[place].found.known or not abs(change.by) > UNCHANGED * min(abs(change.before), abs(change.to)):
                continue
            changes.append(change)
    return sorted(changes, key=lambda change: (change.by, change.to))


def _alike(found: Sequence[Verdict], one: Verdict) -> list[Verdict]:
    """Those of the same limit and the same conductor, circuit or place, at all frequencies, in their order."""
    return [v for v in found if (v.limit, v.found.of) == (one.limit, one.found.of)]


def _plain(result: Result, tightest: Verdict, steady: bool) -> CaseData:
    """The case with no more questions than the figure of a limit needs, at its own frequency too."""
    data, limit, of = result.case.data, tightest.limit, tightest.found.of
    of_metal = limit.startswith("temperature")
    kept = {*PHYSICS, *NEEDED.get(limit, ("duty", "waveform") if of_metal else ())} - (
        set() if steady or of_metal else {"cooling"}
    )
    bare = {
        key: info.get_default(call_default_factory=True)
        for key, info in CaseData.model_fields.items()
        if key not in kept and not info.is_required()
    }
    own = [p.frequency for p in result.points if of == at(p.frequency) or of.endswith(f" at {at(p.frequency)}")]
    wanted = tuple(dict.fromkeys((*result.solutions, *own)))
    frequency = data.frequency.model_copy(update={"at": wanted, "sweep": None})
    return data.model_copy(update={**bare, "frequency": frequency})


def changed(case: Case, plain: CaseData) -> Iterator[tuple[str, CaseData]]:
    """A tenth less current, a tenth more gap, a tenth more of every dimension of the conductors in circuits.

    `plain` is the case with no more questions than wanted; larger conductors keep the gaps between them.
    """
    if plain.circuit:
        less = tuple(c.model_copy(update={"current": (1 - STEP) * c.current}) for c in plain.circuit)
        duty = tuple(_less_again(d) for d in plain.duty)
        yield "10 % less current", plain.model_copy(update={"circuit": less, "duty": duty})
    wider = _wider_gap(case)
    if wider is not None:
        yield "10 % more gap", _spread(plain, *wider)
    live = _live(case)
    for key in DIMENSIONS:
        rows = {row.name for row in plain.conductor if row.name in live and isinstance(getattr(row, key, None), float)}
        if rows:
            larger = _grown(plain, key, rows)
            if _narrowest(larger) >= (1 - 1e-6) * _narrowest(plain):  # else askew parts would come closer
                yield f"10 % more {key}", larger


def _less_again(duty: Duty) -> Duty:
    """With less current if it is one of service; what flows once is the network's."""
    if duty.current is None:
        return duty
    return duty if duty.off is None else duty.model_copy(update={"current": (1 - STEP) * duty.current})


def _live(case: Case) -> set[str]:
    """Names of the rows whose copies are in circuits."""
    named = {name for c in case.problem().circuits for name in (*c.out, *c.back)}
    return {row.name for row in case.data.conductor if named & row.copies.keys()}


def _grown(data: CaseData, key: str, names: set[str]) -> CaseData:
    """Larger conductors, moved apart so that no gap along an axis between parts that face each other gets narrower."""
    larger = data.model_copy(
        update={
            "conductor": tuple(
                row.model_copy(update={key: (1 + STEP) * getattr(row, key)}) if row.name in names else row
                for row in data.conductor
            )
        }
    )
    for axis in (0, 1):
        larger = _spread(larger, axis, _room(data, larger, axis))
    return larger


def _narrowest(data: CaseData) -> float:
    """Smallest distance between two parts [m]; infinite for one part alone, zero where they would touch."""
    outlines = [part.shape.outer for row in data.conductor for part in row.parts()]
    pairs = combinations(outlines, 2)
    return min((max(float(closest_sides(one, other)[0]), 0.0) for one, other in pairs), default=float("inf"))


def _room(before: CaseData, after: CaseData, axis: int) -> float:
    """Factor on all centres along an axis that gives every gap along it at least its width before."""
    old, new = ([part.shape.outer.bounds for row in data.conductor for part in row.parts()] for data in (before, after))
    centres = [centre for row in before.conductor for centre in row.copies.values()]
    factor = 1.0
    for k, one in enumerate(old):
        for m, other in enumerate(old):
            gap, across = (float(other[0, a] - one[1, a]) for a in (axis, 1 - axis))
            apart = centres[m][axis] - centres[k][axis]
            facing = across < 0 and one[0, 1 - axis] < other[1, 1 - axis]
            if gap >= 0 and facing and apart > 0:
                lost = gap - float(new[m][0, axis] - new[k][1, axis])
                factor = max(factor, 1 + lost / apart)
    return factor


def _spread(data: CaseData, axis: int, factor: float) -> CaseData:
    """All centres along an axis times a factor, about their middle."""
    places = [centre[axis] for row in data.conductor for centre in row.copies.values()]
    middle = 0.5 * (min(places) + max(places))

    def moved(row: Common) -> Common:
        centre = list(row.centre)
        centre[axis] = middle + factor * (centre[axis] - middle)
        update: dict[str, object] = {"centre": tuple(centre)}
        if row.repeat is not None:
            step = list(row.repeat.step)
            step[axis] *= factor
            update["repeat"] = row.repeat.model_copy(update={"step": tuple(step)})
        return row.model_copy(update=update)

    return data.model_copy(update={"conductor": tuple(moved(row) for row in data.conductor)})


def _wider_gap(case: Case) -> tuple[int, float] | None:
    """Axis and factor on centres that widen the smallest gap between conductors of circuits by a step."""
    named = {name for c in case.problem().circuits for name in (*c.out, *c.back)}
    centres = {name: centre for row in case.data.conductor for name, centre in row.copies.items()}
    parts = [c.part for c in case.problem().conductors if c.name in named]
    best, found = np.inf, None
    for k, one in enumerate(parts):
        for other in parts[k + 1 :]:
            distance, _, _, here, there = closest_sides(one.shape.outer, other.shape.outer)
            if 0 < distance < best:
                axis = int(np.abs(there - here).argmax())
                apart = abs(centres[other.name][axis] - centres[one.name][axis])
                # one inside the other, or both of one drawing: centres cannot widen the gap
                best, found = distance, (axis, 1 + STEP * distance / apart) if apart > distance else None
    return found
