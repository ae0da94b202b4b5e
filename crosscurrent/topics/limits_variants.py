"""A case with a tenth less or more of one thing: less current, a wider gap, larger conductors."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.conductors import ConductorTable
from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.tables.duty import DutyTable
from crosscurrent.geometries.plane.distance import closest_sides
from crosscurrent.postprocess.answers.few_names import few

STEP = 0.1  # every change is a tenth
LESS = "10 % less"
MORE = "10 % more"
SAME = 1e-9  # gaps that differ by rounding: the first is named
DIMENSIONS = ("width", "thickness", "height", "wall", "diameter")


def tried(case: Case) -> tuple[str, ...]:
    """The kinds of change that `changed` makes: currents where they are stated, gaps, sizes but with steel in coils."""
    scaled = case.data.power is not None and case.data.power.wanted is not None
    current = () if scaled else ("a tenth less current",)
    return current if _slow(case) else (*current, "more gap", "larger conductors")


def lighter(case: Case, plain: CaseData) -> Iterator[tuple[str, CaseData]]:
    """A tenth less of every dimension of the conductors in circuits, the gaps between them kept."""
    live = _live(case)
    for key in DIMENSIONS:
        rows = {row.name for row in plain.conductor if row.name in live and isinstance(getattr(row, key, None), float)}
        if rows:
            yield f"{LESS} {_dimension(plain, key, rows, live)}", _grown(plain, key, rows, -STEP)


def _slow(case: Case) -> bool:
    """Whether a changed section takes long: coils with steel whose permeability goes with its field."""
    return case.axial and any(c.is_saturable for c in case.problem().conductors)


def changed(case: Case, plain: CaseData, step: float = STEP) -> Iterator[tuple[str, CaseData]]:
    """A tenth less current, a tenth more gap, a tenth more of every dimension of the conductors in circuits.

    `plain` is the case with no more questions than wanted; larger conductors keep the gaps between them. Another `step`
    makes the same changes smaller, under the same names. Round an axis pieces in no circuit keep their radius.
    """
    if plain.circuit or plain.coil:
        less = tuple(c.model_copy(update={"current": (1 - step) * c.current}) for c in plain.circuit)
        duty = tuple(_less_again(d, step) for d in plain.duty)
        coils = tuple(
            c if c.current is None else c.model_copy(update={"current": (1 - step) * c.current}) for c in plain.coil
        )
        if plain.power is None or plain.power.wanted is None:  # else the currents are those of that power
            yield f"{LESS} current", plain.model_copy(update={"circuit": less, "coil": coils, "duty": duty})
    if _slow(case):
        return
    live = _live(case)
    wider = _wider_gap(case, step)
    if wider is not None:
        between, axis, factor = wider
        which = f" {' to '.join(between)}" if len(case.problem().conductors) > len(between) else ""
        yield f"{MORE} gap{which}", _spread(plain, axis, factor, live)
    for key in DIMENSIONS:
        rows = {row.name for row in plain.conductor if row.name in live and isinstance(getattr(row, key, None), float)}
        if rows:
            larger = _grown(plain, key, rows, step)
            if _narrowest(larger) >= (1 - 1e-6) * _narrowest(plain):  # else askew parts would come closer
                yield f"{MORE} {_dimension(plain, key, rows, live)}", larger


def _dimension(data: CaseData, key: str, rows: Collection[str], live: Collection[str]) -> str:
    """A dimension, and whose it is unless all parts in circuits have it alike."""
    sizes = {getattr(row, key) for row in data.conductor if row.name in rows}
    if len(sizes) == 1 and len(rows) == len(live):
        return key
    return f"{key} of {few([row.name for row in data.conductor if row.name in rows])}"


def _less_again(duty: DutyTable, step: float) -> DutyTable:
    """With less current if it is one of service; what flows once is the network's."""
    if duty.current is None:
        return duty
    return duty if duty.off is None else duty.model_copy(update={"current": (1 - step) * duty.current})


def _live(case: Case) -> set[str]:
    """Names of the rows whose copies are in circuits."""
    named = case.problem().live
    return {row.name for row in case.data.conductor if named & row.copies.keys()}


def _grown(data: CaseData, key: str, names: set[str], step: float) -> CaseData:
    """Larger conductors, moved apart so that no gap along an axis between parts that face each other gets narrower."""
    larger = data.model_copy(
        update={
            "conductor": tuple(
                row.model_copy(update={key: (1 + step) * getattr(row, key)}) if row.name in names else row
                for row in data.conductor
            )
        }
    )
    for axis in (0, 1):
        larger = _spread(larger, axis, _room(data, larger, axis), names)
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


def _spread(data: CaseData, axis: int, factor: float, live: Collection[str]) -> CaseData:
    """All centres along an axis times a factor, about their middle; of radii those of rows in circuits only."""
    radii = data.symmetry == "axial" and axis == 0
    places = [0.0] if radii else [centre[axis] for row in data.conductor for centre in row.copies.values()]
    middle = 0.5 * (min(places) + max(places))

    def moved(row: ConductorTable) -> ConductorTable:
        if radii and row.name not in live:
            return row
        centre = list(row.centre)
        centre[axis] = middle + factor * (centre[axis] - middle)
        update: dict[str, object] = {"centre": tuple(centre)}
        if row.repeat is not None and row.repeat.step is not None:
            step = list(row.repeat.step)
            step[axis] *= factor
            update["repeat"] = row.repeat.model_copy(update={"step": tuple(step)})
        return row.model_copy(update=update)

    return data.model_copy(update={"conductor": tuple(moved(row) for row in data.conductor)})


def _wider_gap(case: Case, step: float) -> tuple[tuple[str, str], int, float] | None:
    """The conductors of circuits with the smallest gap; axis and factor on centres that widen it by a step."""
    named = case.problem().live
    centres = {name: centre for row in case.data.conductor for name, centre in row.copies.items()}
    parts = [c.part for c in case.problem().conductors if c.name in named]
    best, found = np.inf, None
    for k, one in enumerate(parts):
        for other in parts[k + 1 :]:
            distance, _, _, here, there = closest_sides(one.shape.outer, other.shape.outer)
            if 0 < distance < (1 - SAME) * best:
                axis = int(np.abs(there - here).argmax())
                apart = abs(centres[other.name][axis] - centres[one.name][axis])
                # one inside the other, or both of one drawing: centres cannot widen the gap
                pair = one.name, other.name
                best, found = distance, (pair, axis, 1 + step * distance / apart) if apart > distance else None
    return found
