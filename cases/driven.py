"""What the questions about currents over time and frequency share: the circuits they name, and a reduced model."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Annotated, Any

import numpy as np
from pydantic import BeforeValidator

from ..solver.problem import Problem
from ..solver.sweep import Sweep, sweep
from .faults import Fault
from .fields import Names
from .lines import Path
from .names import value
from .quantities import nearest

if TYPE_CHECKING:
    from .case import Case
    from .checks import Draft
    from .run import Result

TABLES = ("fault", "waveform")
PER_DECADE = 10  # frequencies at which a band is watched


def _listed(written: Any) -> Any:
    return [written] if isinstance(written, str) else written


CircuitNames = Annotated[Names, BeforeValidator(_listed)]  # one name or a list of names


def named_circuits(case: Case, names: Names) -> tuple[str, ...]:
    """The circuits that a table names; the only one of the case where it names none."""
    return names or tuple(c.name for c in case.problem().circuits)


def problem_of(result: Result) -> Problem:
    """The conductors as they are in service: at the first frequency's temperatures, where these follow the losses."""
    return next(iter(result.solutions.values())).problem


def band(result: Result, low: float, high: float) -> Sweep:
    """A reduced model of a band [Hz], that of the case's sweep where it reaches as far."""
    case, known = result.case, result.sweep
    if known is not None and known.frequency.min() <= low and high <= known.frequency.max():
        return known
    count = max(3, round(PER_DECADE * np.log10(high / low)))
    frequencies = [float(f) for f in np.geomspace(low, high, count)]
    return sweep(problem_of(result), frequencies, accuracy=case.accuracy)


def drives(draft: Draft) -> Iterator[Fault]:
    """[fault] and [waveform] name circuits of the case, each once, and must where there are several."""
    known = [name for row in draft.rows("circuit") if isinstance(name := value(row, "name"), str)]
    for table in TABLES:
        written = draft.data.get(table)
        if written is None or not known:
            continue
        if (names := value(written, "circuit")) is None or names == ():
            if len(known) > 1:
                hint = f'write circuit = "{known[0]}", or a list of those that carry it together'
                yield draft.fault((table,), "the circuits that carry the current", "none", hint)
            continue
        alone = isinstance(names, str)
        for k, name in enumerate([names] if alone else names if isinstance(names, (list, tuple)) else ()):
            path: Path = (table, "circuit") if alone or not isinstance(written, Mapping) else (table, "circuit", k)
            if isinstance(name, str) and name not in known:
                near = nearest(name, known)
                hint = f'did you mean "{near}"?' if near else f"the circuits are {', '.join(known)}"
                yield draft.fault(path, "the name of a circuit", f'"{name}"', hint)
            elif not alone and name in list(names)[:k]:
                yield draft.fault(path, "each circuit once", f'"{name}" a second time', "leave one of them out")
