"""Pieces round an axis that may be other than what was meant, told before anything is solved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crosscurrent.geometries.plane.axial import on_axis
from crosscurrent.solver.field.problem import Problem

from .conductors import BoxConductor, ConductorTable, TubeConductor


def doubtful(rows: Sequence[ConductorTable], problem: Problem) -> Iterator[str]:
    """A sentence for metal that is cut though nobody said so, and one for vessels that may be meant as pipes.

    Parameters
    ----------
    rows : sequence of ConductorTable
        Of a case whose section is the half plane beside an axis.
    problem : Problem
        The same as the solver takes it.
    """
    by_name = {name: row for row in rows for name in row.copies}
    carrying = {name for circuit in problem.circuits for name in (*circuit.out, *circuit.back)}
    cut = []
    for conductor, closed in zip(problem.conductors, problem.closed, strict=True):
        row = by_name.get(conductor.name)
        if row is None or conductor.name in carrying:
            continue
        if not closed and conductor.strands is None and "closed" not in row.model_fields_set:
            cut.append(conductor.name)
        hollow = [hole for hole in conductor.part.shape.holes if hole.points[:, 0].min() < 0]
        if hollow and isinstance(row, (BoxConductor, TubeConductor)) and on_axis(conductor.part.shape):
            yield (
                f"{conductor.name}: a {row.shape} across the axis is a closed vessel, with a wall above and below; an "
                "open pipe is a bar beside the axis with closed = true"
            )
    if cut:
        many = len(cut) > 1
        yield (
            f"{', '.join(cut)}: in no circuit and off the axis, {'these are' if many else 'this is'} taken as cut, so "
            "that no current goes all the way round; write closed = true for a whole ring or pipe, closed = false for "
            "one that is cut"
        )
