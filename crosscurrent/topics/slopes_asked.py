"""The figures of a case whose slopes are wanted, each with the problem in which it is a hair larger."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.lines import LineIndex
from crosscurrent.casefile.quantities import nearest
from crosscurrent.casefile.variables import Variable, as_written, variables
from crosscurrent.casefile.varied import Varying
from crosscurrent.casefile.wording import locate
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.meshing.motion import stays
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import unsloped

from .slopes_counts import count_keys

EACH = 24  # conductors up to which each gets slopes of its own: time and memory go with their number
HAIR = 1e-6  # of a figure, or of the section where it is 0
EASED, FURTHER = 4e-4, 5.0  # of an edge radius: by that it is smaller where half a thickness leaves no slope; and again
TABLES = ("named", "conductor", "circuit", "coil", "material", "ambient")  # whose figures a field depends on
OF_HEAT = (*TABLES, "cooling", "water")  # and those that temperatures and water do
FREQUENCY = "frequency"
ON_AXIS = "it lies on the axis"


@dataclass(frozen=True, eq=False)
class Asked:
    """A figure of a case, and the problem in which it is larger by a step: or why there is none.

    Attributes
    ----------
    variable : Variable
    case : Case
        From which the problem is a hair apart: the case itself, or one that is `eased`.
    problem : Problem or None
    step : float
    why : str
    further : Asked, optional
        The same from a case eased `FURTHER` times as much: both together tell what the case itself would have.
    """

    variable: Variable
    case: Case
    problem: Problem | None
    step: float
    why: str = ""
    further: Asked | None = None


def asked(case: Case) -> tuple[Asked, ...]:
    """The figures whose slopes a case wants, each with a problem a hair apart; none without [slopes].

    Raises
    ------
    CaseError
        It wants that of a figure which it does not have.
    """
    if case.data.slopes is None:
        return ()
    known = {one.key: one for one in figures_of(case)}
    wanted = case.data.slopes.of
    every = (*known, FREQUENCY, *count_keys(case))
    for number, key in enumerate(wanted or ()):
        if key not in every:
            raise _unknown(case, number, key, every)
    reading = Varying.of(case)
    found = [apart(case, one, reading) for key, one in known.items()
             if one.path[0] in TABLES and (wanted is None or key in wanted)]  # fmt: skip
    if all(one.problem or one.why == ON_AXIS for one in found):
        return tuple(found)
    softer = [eased(case, EASED), eased(case, FURTHER * EASED)]
    return tuple(one if one.problem else _beside(softer, one) for one in found)


def keeps_factors(case: Case) -> bool:
    """Whether solves are to keep their factors, which slopes of single conductors need."""
    return case.data.slopes is not None and len(case.problem().conductors) <= EACH


def figures_of(case: Case) -> tuple[Variable, ...]:
    """What slopes can be taken over: what the field depends on, and heat and water where they are asked for."""
    slopes = case.data.slopes
    tables = OF_HEAT if slopes is not None and slopes.differences else TABLES
    return tuple(one for one in variables(case) if one.path[0] in tables and not _unchanged(one))


def _unknown(case: Case, number: int, key: str, known: Iterable[str]) -> CaseError:
    near, name = nearest(key, known), _named(case, key)
    hint = f'did you mean "{near}"?' if near else "write a name of [named], or conductor.key"
    hint = f'it is "{name}" of [named]: write that' if name else hint
    path = ("slopes", "of", number)
    place, word = locate(path, as_written(case))
    line = LineIndex(case.source.decode("utf-8-sig")).line(path) if case.path else None
    fault = Fault(line, word, "a figure of the case", f'"{key}"', hint, place)
    return CaseError([fault], case.path.name if case.path else "")


def _named(case: Case, key: str) -> str | None:
    """The name of [named] that a figure of a conductor or circuit is written by."""
    of, _, word = key.rpartition(".")
    tables = as_written(case)
    rows = [row for kind in ("conductor", "circuit") for row in tables.get(kind, []) if row.get("name") == of]
    return next((row[word] for row in rows if isinstance(row.get(word), str) and row[word] in case.data.named), None)


def _unchanged(one: Variable) -> bool:
    """Whether it is a permeability or a conductivity that nobody changes, of what is not magnetic or no conductor."""
    return (one.path[-1], one.value) in (("permeability", 1), ("conductivity", 0))


def _on_axis(case: Case, one: Variable) -> bool:
    """Whether it is how far a conductor lies from the axis that goes through it."""
    if not case.axial or one.path[0] != "conductor" or one.path[2:] != ("centre", 0):
        return False
    problem, row = case.problem(), case.data.conductor[int(one.path[1])]
    crossing = {name for name, crosses in zip(problem.names, problem.section.crosses, strict=True) if crosses}
    return not crossing.isdisjoint(row.copies)


def apart(case: Case, one: Variable, reading: Varying | None = None) -> Asked:
    """A figure of a case, and the problem in which it is a hair larger; `reading` is the case, read for many."""
    if why := unsloped(case.problem()):
        return Asked(one, case, None, 0.0, f"{why} gives no slopes")
    if _on_axis(case, one):
        return Asked(one, case, None, 0.0, ON_AXIS)
    size = case.problem().section.size if one.dimension in ("length", "position", "radius") else 1.0
    step, why = HAIR * (abs(one.value) or size), ""
    for way in (step, -step):
        try:
            problem = _at(case, {one.key: one.value + way}, reading).problem()
            for before, after in zip(case.problem().outlines, problem.outlines, strict=True):
                stays(before, after)
            return Asked(one, case, problem, way)
        except CrosscurrentError as error:
            why = why or next(iter(str(error).splitlines()), "")
    return Asked(one, case, None, step, f"a little more or less of it makes no sound case ({why})")


def _at(case: Case, values: Mapping[str, float], reading: Varying | None = None) -> Case:
    """The case with other values, at the currents that it has come to for a wanted power."""
    return (reading or Varying.of(case)).at(values).with_currents(case.scaled)


def eased(case: Case, share: float) -> Case | None:
    """The case with all edges less round by a share; None where it has none, or is not sound like that.

    Edges of exactly half a thickness leave no flat between them: a little more of the thickness opens one, and a little
    less does not hold the edges.
    """
    round_ones = [one for one in variables(case) if one.dimension == "radius" and one.value and one.path[0] in TABLES]
    try:
        return _at(case, {one.key: (1 - share) * one.value for one in round_ones}) if round_ones else None
    except CrosscurrentError:
        return None


def _beside(softer: Sequence[Case | None], one: Asked) -> Asked:
    """The same figure of the eased cases, at the values that it has there."""
    found = []
    for case in softer:
        if case is None:
            return one
        at = apart(case, next(v for v in variables(case) if v.key == one.variable.key))
        if at.problem is None:
            return one
        found.append(replace(at, variable=one.variable))
    return replace(found[0], further=found[1])
