"""Small changes of a design, each solved anew, to see which would bring a figure down most."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np

from ..geometries.distance import closest_sides
from ..geometries.errors import CrosscurrentError
from ..postprocess.verdict import Verdict
from .case import Case
from .chapters import others_of
from .limits import Limits, verdicts
from .model import CaseData, Common

if TYPE_CHECKING:
    from .run import Result

STEP = 0.1  # every change is a tenth
ACROSS = {"width": 0, "thickness": 1, "height": 1}  # the direction a dimension counts in, for a part that is not turned
DIMENSIONS = ("width", "thickness", "height", "wall", "diameter")
# tables that change the solution itself, and those that a limit's figure comes from
PHYSICS = ("title", "length", "ambient", "accuracy", "material", "conductor", "circuit", "cooling", "water")
NEEDED = {"field": ("field",), "force": ("supports", "fault"), "voltage_drop": ("voltage",), "mass": ("prices",)}


def helpful(result: Result, asked: Limits, tightest: Verdict) -> list[tuple[str, float]]:
    """How much each change moves the figure of a limit, the most helpful first.

    Returns
    -------
    list of (str, float)
        What is changed, and by how much the figure changes, in its own unit.
    """
    from .run import solve_case

    found = []
    for what, data in _changed(result.case, _plain(result, tightest.limit)):
        try:
            other = solve_case(Case(data, result.case.source, result.case.path))
            value = _same_figure(verdicts(asked, other, others_of(other)), tightest)
        except CrosscurrentError:  # parts that would overlap, a metal that would melt
            continue
        if value is not None:
            found.append((what, value - tightest.found.value))
    return sorted(found, key=lambda change: change[1])


def _same_figure(found: list[Verdict], tightest: Verdict) -> float | None:
    return next((v.found.value for v in found if (v.limit, v.found.of) == (tightest.limit, tightest.found.of)), None)


def _plain(result: Result, limit: str) -> CaseData:
    """The case with no more questions than the figure of a limit needs."""
    data = result.case.data
    kept = {*PHYSICS, *NEEDED.get(limit, ())}
    bare = {
        key: info.get_default(call_default_factory=True)
        for key, info in CaseData.model_fields.items()
        if key not in kept and not info.is_required()
    }
    at = data.frequency.model_copy(update={"at": tuple(result.solutions), "sweep": None})
    return data.model_copy(update={**bare, "frequency": at})


def _changed(case: Case, plain: CaseData) -> Iterator[tuple[str, CaseData]]:
    """A tenth less current, a tenth more gap, a tenth more of every dimension of the conductors in circuits."""
    if plain.circuit:
        less = tuple(c.model_copy(update={"current": (1 - STEP) * c.current}) for c in plain.circuit)
        yield "10 % less current", plain.model_copy(update={"circuit": less})
    gap = _smallest_gap(case)
    if gap is not None:
        axis, size = gap
        yield "10 % more gap", _spread(plain, axis, STEP * size, {})
    live = _live(case)
    for key in DIMENSIONS:
        rows = [row for row in plain.conductor if row.name in live and isinstance(getattr(row, key, None), float)]
        if rows:
            grown = {row.name: row.model_copy(update={key: (1 + STEP) * getattr(row, key)}) for row in rows}
            growth = STEP * max(getattr(row, key) for row in rows)
            yield f"10 % more {key}", _grown(plain, key, growth, grown)


def _live(case: Case) -> set[str]:
    """Names of the rows whose copies are in circuits."""
    named = {name for c in case.problem().circuits for name in (*c.out, *c.back)}
    return {row.name for row in case.data.conductor if named & row.copies.keys()}


def _grown(data: CaseData, key: str, growth: float, grown: Mapping[str, Common]) -> CaseData:
    """Larger conductors, moved apart so that the gaps between them stay."""
    if key == "wall":
        return data.model_copy(update={"conductor": tuple(grown.get(row.name, row) for row in data.conductor)})
    axes = (0, 1) if key == "diameter" else (ACROSS[key],)
    for axis in axes:
        turned = [round(row.turn / (np.pi / 2)) % 2 for row in grown.values()]
        data = _spread(data, 1 - axis if all(turned) else axis, growth, grown)
        grown = {row.name: row for row in data.conductor if row.name in grown}
    return data


def _spread(data: CaseData, axis: int, extra: float, grown: Mapping[str, Common]) -> CaseData:
    """Centres along an axis pulled apart so that the smallest distance between neighbours grows by `extra` [m]."""
    places = sorted({round(centre[axis], 12) for row in data.conductor for centre in row.copies.values()})
    steps = np.diff(places)
    factor = 1 + extra / float(steps.min()) if len(steps) else 1.0
    middle = 0.5 * (places[0] + places[-1])

    def moved(row: Common) -> Common:
        row = grown.get(row.name, row)
        centre = list(row.centre)
        centre[axis] = middle + factor * (centre[axis] - middle)
        update: dict[str, object] = {"centre": tuple(centre)}
        if row.repeat is not None:
            step = list(row.repeat.step)
            step[axis] *= factor
            update["repeat"] = row.repeat.model_copy(update={"step": tuple(step)})
        return row.model_copy(update=update)

    return data.model_copy(update={"conductor": tuple(moved(row) for row in data.conductor)})


def _smallest_gap(case: Case) -> tuple[int, float] | None:
    """The axis and size [m] of the smallest gap between conductors of circuits."""
    named = {name for c in case.problem().circuits for name in (*c.out, *c.back)}
    outlines = [c.part.shape.outer for c in case.problem().conductors if c.name in named]
    best: tuple[int, float] | None = None
    for k, one in enumerate(outlines):
        for other in outlines[k + 1 :]:
            distance, _, _, here, there = closest_sides(one, other)
            if distance > 0 and (best is None or distance < best[1]):
                best = int(np.abs(there - here).argmax()), distance
    return best
