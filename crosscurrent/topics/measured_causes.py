"""What of a case may be other than stated, where a measured run does not match it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from math import log

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.variables import Variable
from crosscurrent.casefile.varied import varied
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import sloped
from crosscurrent.solver.meter.causes import Parameter
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.run_impedance import on_the_meter
from crosscurrent.solver.meter.swept_causes import Figure, RunOnBench

from .slopes import changes_of
from .slopes_asked import apart, figures_of

SHARE, SLACK, OF_SMALL = 0.05, 2e-4, 0.3  # usual error of a dimension: of it, at least this [m] but no more of it
ALLOYED = 0.15  # usual error of a conductivity, in its logarithm
MAGNETIC = 0.5  # the same of a permeability
SMALLER, LARGER = 0.2, 5.0  # bounds of a dimension over what is stated
POOREST, PUREST = 0.05, 1.2  # the same of a conductivity
TOLERATED = 1.0  # usual errors in a tolerance that is stated: a difference may well be larger


def run_of(
    case: Case, reading: MeterReading, circuit: str | None = None, allowed: float = 0.0
) -> RunOnBench:  # fmt: skip
    """What was measured of a case: one circuit, at the temperature of the measurement.

    Parameters
    ----------
    case : Case
    reading : MeterReading
    circuit : str, optional
        Its name; the first if left out.
    allowed : float
        For joints, already taken off the reading [ohm].
    """
    name = circuit or case.problem().circuits[0].name

    measured = partial(on_the_meter, circuit=name, temperature=reading.temperature)

    def other(values: Mapping[str, float]) -> Problem | None:
        try:
            return measured(varied(case, values).problem())
        except CrosscurrentError:
            return None

    problem = measured(case.problem())
    one = next(c for c in problem.circuits if c.name == name)
    length = 1.0 if case.axial else reading.length
    return RunOnBench(problem, one, length, tuple(figures(case)), other, case.accuracy, allowed)


def figures(case: Case) -> Iterator[Figure]:
    """Dimensions and gaps, conductivities, permeabilities, each with what is usual of it."""
    slopes = sloped(case.problem())
    for one in figures_of(case):
        parameter = _parameter(one)
        asked = apart(case, one) if parameter is not None and slopes else None
        if parameter is None or (asked is not None and asked.problem is None):
            continue
        yield Figure(
            one.key, parameter.name, parameter,
            lambda s, a=asked: changes_of(case, s, [a])[0],  # type: ignore[misc]
        )  # fmt: skip


def _parameter(one: Variable) -> Parameter | None:
    """None for figures that no measurement puts in doubt."""
    if one.value <= 0:
        return None
    name = _name(one)
    if one.dimension in ("length", "radius"):
        usual = one.tolerance * TOLERATED or max(SHARE * one.value, min(SLACK, OF_SMALL * one.value))
        return _logarithmic(name, "m", one.value, usual / one.value, SMALLER, LARGER)
    if one.path[-1] == "conductivity" or one.dimension == "conductivity":
        return _logarithmic(name, "S/m", one.value, ALLOYED, POOREST, PUREST)
    if one.path[-1] == "permeability" and one.value > 1:
        return _logarithmic(name, "", one.value, MAGNETIC, 1 / one.value, LARGER)
    return None


def _logarithmic(name: str, unit: str, value: float, width: float, low: float, high: float) -> Parameter:
    return Parameter(name, unit, width, log(low), log(high), (0.0,), nominal=value, logarithmic=True)


def _name(one: Variable) -> str:
    """As a sentence says it: "thickness of outgoing", or a name of [named]."""
    of, _, word = one.key.rpartition(".")
    return f"{word.replace('_', ' ')} of {of}" if of else one.key
