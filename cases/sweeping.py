"""The chapter "sweep": what R, L, loss and sharing do over frequency, and where the skin takes over."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from ..postprocess.chapter import Chapter
from ..postprocess.sweeping import Curves, curves_of, sweep_csv
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering, error_bar

if TYPE_CHECKING:
    from ..solver.solve import Solution
    from .run import Result

MAPS = 5
ROWS = 9  # frequencies in the table


def chapter(result: Result) -> Chapter | None:
    """Where the case asks for a sweep."""
    asked = set(result.case.data.frequency.swept)
    if not asked:
        return None
    points = [p for p in result.points if p.frequency in asked]
    problem = result.case.problem()
    curves = curves_of(points, problem.circuits, problem.conductors)
    title = result.case.title
    pictures: dict[str, Callable[[], Any]] = {
        "sweep" if len(curves) == 1 else f"sweep-{k}": _drawn(one, title) for k, one in enumerate(curves, 1)
    }
    found = result.sweep
    method = "one by one" if found is None else "through one reduced model, certified at every point"
    record = {
        "points": len(points),
        "from_hz": points[0].frequency,
        "to_hz": points[-1].frequency,
        "reduced_model": found is not None,
        "modes": None if found is None else len(found.fine.model.chain.rates),
        "circuits": [one.record() for one in curves],
    }
    words = [text for one in curves for text in one.sentences]
    words.append(f"{len(points)} frequencies, solved {method}")
    return Chapter(
        "sweep",
        "Over frequency",
        record,
        tuple(_table(one) for one in curves),
        tuple(words),
        pictures=pictures | {"sweep-maps": lambda: _maps(result)},
        files={"sweep.csv": sweep_csv(points)},
    )


def _table(curves: Curves) -> TextTable:
    """Some of the frequencies, evenly spread."""
    some = np.unique(np.linspace(0, len(curves.frequency) - 1, ROWS).round().astype(int))
    rows = []
    for k in some:
        answer = curves.points[k].circuits[curves.circuit.name]
        rows.append(
            (
                concise(float(curves.frequency[k]), "Hz", 3),
                engineering(float(curves.skin[k]), "m", 3),
                engineering(answer.resistance, "ohm/m"),
                error_bar(answer.resistance_error),
                f"{answer.resistance_ratio:.4g}",
                engineering(answer.inductance, "H/m"),
                error_bar(answer.inductance_error),
                engineering(answer.loss, "W/m"),
            )
        )
    columns = ("at", "skin", "R loop", "+-", "Rac/Rdc", "L loop", "+-", "loss")
    where = ", at the terminals" if curves.coupled else ""
    return TextTable(f"{curves.circuit.name} over frequency (rms, per metre{where})", columns, tuple(rows))


def _drawn(curves: Curves, title: str) -> Callable[[], Any]:
    def draw() -> Any:
        from ..postprocess.pictures.frequency import curves_figure

        return curves_figure(curves, title)

    return draw


def _maps(result: Result) -> Any:
    """From the reduced model at frequencies evenly spread over the sweep; without one at those that are drawn."""
    from ..postprocess.pictures.frequency import maps_figure

    solutions: list[Solution] = list(result.solutions.values())[:MAPS]
    if result.sweep is not None:
        band = result.sweep.frequency
        # round figures, so that they can be read
        inner = [float(f"{f:.1g}") for f in np.geomspace(band[0], band[-1], MAPS)[1:-1]]
        solutions = [result.sweep.solution_at(float(f)) for f in (band[0], *inner, band[-1])]
    return maps_figure(solutions, result.case.title)
