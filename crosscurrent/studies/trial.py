"""One design of a study: the case with its values, solved, and the figures that a study looks at."""

from __future__ import annotations

import hashlib
import json
import math
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.casefile.variables import as_written
from crosscurrent.casefile.varied import Value, varied
from crosscurrent.chapters import others_of
from crosscurrent.geometries.errors import CrosscurrentError, GeometryError
from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.limits import ORDER as BY_STANDING
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.answers.noise import inductance_noise
from crosscurrent.run import solved_case
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.masses import metal_shares, weight
from crosscurrent.solver.field.slopes import Slope, sloped
from crosscurrent.solver.metals.materials import Material
from crosscurrent.topics.field_slopes import field_slopes
from crosscurrent.topics.limits_figures import figures_of, forces_in_service, in_service, measured_by
from crosscurrent.topics.limits_slopes import has_slope, rate_of
from crosscurrent.topics.limits_verdicts import verdicts

from .design import Design
from .orders import ORDER, Order, of_least, order_of, rewired_case
from .plan import FIGURES, Orders, Question

Maker = Callable[..., Case]
Source = Case | Maker
MASS = FIGURES["mass"]
HAIR = 1e-6  # of a value, by which a slope moves it
BEYOND = 10.0  # margin of a figure that has no end


@dataclass(frozen=True)
class Trial:
    """A design to be tried.

    Attributes
    ----------
    source : Case or callable
        A case, or a function that makes one from the values.
    values : mapping of str to float, int or str
        What is other than in the case.
    question : Question
    along : tuple of str
        The varied values whose slopes are wanted.
    """

    source: Source
    values: Mapping[str, Value]
    question: Question
    along: tuple[str, ...] = ()

    @cached_property
    def key(self) -> str:
        """What tells this design from all others."""
        asked: tuple[object, ...] = (self.question.frequency, self.question.circuit)
        if self.question.orders is not None:
            asked += (self.question.orders.of, self.question.orders.circuits, self.question.chosen_by)
            asked += self.question.within or ()
        text = json.dumps([_said(self.source), sorted(self.values.items()), asked], default=str)
        return hashlib.sha256(text.encode()).hexdigest()


def serves(design: Design, trial: Trial) -> bool:
    """Whether a design of a trial's values has all that the trial wants: slopes too, where it wants some."""
    return bool(design.fault) or not trial.along or design.slopes.get(MASS, {}).keys() >= set(trial.along)


def _said(source: Source) -> object:
    if isinstance(source, Case):
        return {k: v for k, v in as_written(source).items() if k not in ("vary", "study")}
    return f"{source.__module__}.{name_of(source)}"


def name_of(function: Maker) -> str:
    """What a function is called; of an object that is called, its class."""
    return str(getattr(function, "__qualname__", type(function).__qualname__))


def made(source: Source, values: Mapping[str, Value], orders: Orders | None = None) -> Case:
    """The case with these values, in the order of phases that is among them.

    Raises
    ------
    CaseError
        They make no sound one.
    """
    plain = {key: value for key, value in values.items() if key != ORDER}
    case = varied(source, plain) if isinstance(source, Case) else source(**plain)
    return case if orders is None or ORDER not in values else rewired_case(case, orders, Order.read(values[ORDER]))


def _solved(trial: Trial) -> SolvedCase:
    """In its best order, where orders are varied too."""
    asked = trial.question
    solved = solved_case(made(trial.source, trial.values), lambda what, done: None)
    if asked.orders is None:
        return solved
    within = None if asked.within is None else (FIGURES[asked.within[0]], asked.within[1])
    frequency = _at_its_own(asked, solved.case).frequency
    return of_least(solved, asked.orders, frequency, asked.circuit, FIGURES[asked.chosen_by], within)


def _at_its_own(asked: Question, case: Case) -> Question:
    """The question at the first frequency listed, where that of the case is varied."""
    return asked if asked.frequency in case.frequencies else replace(asked, frequency=_first(case))


def _first(case: Case) -> float:
    return float((case.data.frequency.at or case.frequencies)[0])


def _order(solved: SolvedCase, asked: Question) -> dict[str, Value]:
    return {} if asked.orders is None else {ORDER: order_of(solved.case, asked.orders).words}


def tried(trial: Trial) -> Design:
    """The design with its figures, or the fault why it has none.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> one = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["0 Hz"])
    >>> found = tried(Trial(one, {"rod.diameter": 0.05}, Question(("resistance",), 0.0, "feed"), ("rod.diameter",)))
    >>> round(found.figures["resistance_ohm_per_m"] * 1e6, 2)
    8.78
    """
    began = time.perf_counter()
    try:
        solved = _solved(trial)
        here = replace(trial, question=_at_its_own(trial.question, solved.case))
        figures, judged = _figures(solved, here.question)
        found_slopes = _slopes(solved, here, judged)
    except CaseError as error:
        return failed(trial, "; ".join(str(one) for one in error.faults), time.perf_counter() - began)
    except CrosscurrentError as error:
        return failed(trial, str(error), time.perf_counter() - began)
    except Exception as error:  # one design that nobody foresaw does not end a study of a thousand
        return failed(trial, f"{type(error).__name__}: {error}", time.perf_counter() - began)
    return Design(
        key=trial.key,
        values={**trial.values, **_order(solved, trial.question)},
        figures={FIGURES[aim]: m.value for aim, m in figures.items() if math.isfinite(m.value)},
        errors={FIGURES[aim]: m.error for aim, m in figures.items() if math.isfinite(m.value + m.error)},
        slopes=found_slopes,
        margins={key: max(map(_margin, of)) for key, of in judged.items()},
        verdict=_verdict(solved.case.data.limits, judged),
        seconds=time.perf_counter() - began,
    )


def _verdict(asked: LimitsTable | None, judged: Mapping[str, Sequence[Verdict]]) -> str:
    """The worst of all limits; a limit that nothing was computed for cannot be told."""
    if asked is None or not asked.stated:
        return "none stated"
    if asked.stated.keys() - judged.keys():
        return "cannot tell"
    return min((v.standing for of in judged.values() for v in of), key=BY_STANDING.__getitem__)


def failed(trial: Trial, fault: str, seconds: float = 0.0) -> Design:
    """The design of a trial that came to nothing, and why."""
    return Design(trial.key, trial.values, {}, {}, {}, {}, "cannot tell", fault, seconds)


def _margin(v: Verdict) -> float:
    """A figure with its bar over its limit, less one; positive where the limit is not surely kept."""
    return min(v.found.highest / v.allowed - 1, BEYOND) if v.allowed else BEYOND


def _figures(solved: SolvedCase, question: Question) -> tuple[dict[str, Measured], dict[str, list[Verdict]]]:
    """Every figure of a study that the case gives, and the limits it is judged by."""
    others = others_of(solved)
    measured = measured_by(others)
    point, nothing = solved.at(question.frequency), LimitsTable()
    circuit = point.circuits[question.circuit]
    own = point.coupled and circuit.own_resistance is not None
    found: dict[str, Measured] = {}
    loss = next(m for m in figures_of("loss", nothing, solved, measured) if m.frequency == point.frequency)
    found["loss"] = loss
    resistance, bar = (circuit.own_resistance, circuit.own_resistance_error) if own else (
        circuit.resistance, circuit.resistance_error)  # fmt: skip
    if resistance is not None:
        found["resistance"] = Measured(resistance, resistance * (bar or 0.0), "ohm/m", circuit.name)
    if (inductance := circuit.inductance) is not None:
        found["inductance"] = Measured(inductance, inductance_noise(circuit), "H/m", circuit.name)
    masses = [share.mass for share in metal_shares(next(iter(solved.solutions.values())))]
    if None not in masses and not solved.case.axial:
        found["mass"] = Measured(math.fsum(m for m in masses if m is not None), 0.0, "kg/m")
    rest = {"temperature": in_service(solved, measured), "cost": measured.get("cost", [])}
    further = ("voltage_drop", "force", "field", "waste", "leakage")
    rest |= {aim: list(figures_of(aim, nothing, solved, measured)) for aim in further}
    found |= {aim: max(of, key=lambda m: m.value) for aim, of in rest.items() if of}
    asked = solved.case.data.limits
    judged: dict[str, list[Verdict]] = {}
    for verdict in [] if asked is None else verdicts(asked, solved, others):
        judged.setdefault(verdict.limit, []).append(verdict)
    return found, judged


def _slopes(
    solved: SolvedCase, trial: Trial, judged: Mapping[str, Sequence[Verdict]]
) -> dict[str, dict[str, float]]:
    """How figures and margins change with each varied value: of the mass always, of fields at fixed temperatures."""
    case, asked, changes = solved.case, trial.question, []
    if not trial.along:
        return {}
    for key in trial.along:
        value = float(trial.values[key])
        step = HAIR * abs(value)
        moved = {**trial.values, **_order(solved, asked), key: value + step}
        at = made(trial.source, moved, asked.orders).with_currents(case.scaled)
        changes.append(Change(key, at.problem(), step, _first(at) - _first(case)))
    prices = {name: price.per_kg for name, price in (case.data.prices or {}).items()}
    worths: dict[str, Callable[[Material], float]] = {} if case.axial else {MASS: lambda metal: 1.0}
    if prices:
        worths[FIGURES["cost"]] = lambda metal: prices.get(metal.name, 0.0)
    listed: dict[str, dict[str, float]] = {}
    for figure, worth in worths.items():
        here = weight(case.problem(), worth)
        listed[figure] = {c.key: (weight(c.problem, worth) - here) / c.step for c in changes}
    if "mass" in judged:
        listed["margin mass"] = {k: s / judged["mass"][0].allowed for k, s in listed[MASS].items()}
    solution = solved.solutions.get(asked.frequency)
    if case.data.cooling or case.data.water or solution is None or not sloped(solution.problem):
        return listed
    try:
        each = has_slope("force", case.data) and "force" in (*judged, *asked.aims)
        return listed | _of_fields(solved, asked, field_slopes(case, solution, changes, each=each), judged)
    except GeometryError:  # the sides are others: where one vanishes, or grows out of nothing
        return listed


def _of_fields(
    solved: SolvedCase, asked: Question, found: Sequence[Slope], judged: Mapping[str, Sequence[Verdict]]
) -> dict[str, dict[str, float]]:
    """Slopes of the figures that come from fields, and of the limits on them."""
    point = solved.at(asked.frequency)
    number = [c.name for c in solved.case.problem().circuits].index(asked.circuit)
    listed = {
        FIGURES["inductance"]: {s.key: float(s.inductance[number]) for s in found},
    }
    if has_slope("loss", solved.case.data):
        listed[FIGURES["loss"]] = {s.key: s.loss for s in found}
    if not point.coupled:
        listed[FIGURES["resistance"]] = {s.key: float(s.resistance[number]) for s in found}
    if pushed := _most_pushed(solved, asked):
        listed[FIGURES["force"]] = {s.key: rate_of("force", pushed, s, solved) for s in found}
    for limit in (limit for limit in judged if has_slope(limit, solved.case.data)):
        worst = max(judged[limit], key=_margin)
        if worst.found.frequency in (None, point.frequency):
            listed[f"margin {limit}"] = {
                s.key: rate_of(limit, worst.found.of, s, solved) / worst.allowed for s in found
            }
    return {figure: own for figure, own in listed.items() if all(map(math.isfinite, own.values()))}


def _most_pushed(solved: SolvedCase, asked: Question) -> str | None:
    """The conductor whose peak force is the figure, where that is wanted and has slopes at the study's frequency."""
    if "force" not in asked.aims or not has_slope("force", solved.case.data):
        return None
    worst = max(forces_in_service(solved), key=lambda m: m.value)
    return worst.of if worst.frequency == asked.frequency else None
