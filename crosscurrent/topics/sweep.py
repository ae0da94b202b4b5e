"""The chapter "sweep": what R, L, loss and sharing do over frequency, and where the skin takes over."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.sweep import SweepAnswer, record, sentences, sweep_csv, table
from crosscurrent.postprocess.topics.sweep_curves import SweepCurves, curves_of
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.field.solution import Solution

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MAPS = 5  # pictures in the row of maps


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case asks for a sweep."""
    asked = set(solved.case.data.frequency.swept)
    if not asked:
        return None
    points, model, title = [p for p in solved.points if p.frequency in asked], solved.sweep, solved.case.title
    problem = solved.case.problem()
    curves = curves_of(points, problem.circuits, problem.conductors)
    found = SweepAnswer(points, curves, None if model is None else len(model.fine.model.foster.rates))
    pictures = {
        "sweep" if len(curves) == 1 else f"sweep-{k}": partial(_curves_drawn, one, title)
        for k, one in enumerate(curves, 1)
    }
    solutions = list(solved.solutions.values())[:MAPS]
    return Chapter(
        "sweep",
        "Over frequency",
        record(found),
        tuple(table(one) for one in curves),
        tuple(sentences(found)),
        pictures=pictures | {"sweep-maps": partial(_maps_drawn, solutions, model, title)},
        files={"sweep.csv": sweep_csv(points)},
    )


def _curves_drawn(curves: SweepCurves, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.sweep import curves_figure

    return curves_figure(curves, title)


def _maps_drawn(solutions: Sequence[Solution], sweep: Sweep | None, title: str) -> Figure:
    """From the reduced model at frequencies evenly spread over the sweep; without one at those that are drawn."""
    from crosscurrent.postprocess.pictures.sweep import maps_figure

    if sweep is not None:
        band = sweep.frequency
        # round figures, so that they can be read
        inner = [float(f"{f:.1g}") for f in np.geomspace(band[0], band[-1], MAPS)[1:-1]]
        solutions = [sweep.solution_at(float(f)) for f in (band[0], *inner, band[-1])]
    return maps_figure(solutions, title)
