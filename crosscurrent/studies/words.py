"""A study in sentences and tables, the answer first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.quantities import write_quantity
from crosscurrent.casefile.variables import NUMBER
from crosscurrent.casefile.varied import in_short
from crosscurrent.postprocess.answers.noise import with_bar
from crosscurrent.postprocess.answers.per_turn import per_turn
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, frequency_words
from crosscurrent.postprocess.topics.limits import lacking
from crosscurrent.topics.limits_kinds import kinds_of
from crosscurrent.topics.tolerance_trials import causes_of

from .design import Design, Value
from .orders import ORDER, UNBALANCE
from .plan import FIGURES, Plan
from .run import NEARBY, Study, best_of

UNITS = {
    "loss": "W/m",
    "resistance": "ohm/m",
    "inductance": "H/m",
    "mass": "kg/m",
    "cost": "/m",
    "temperature": "degC",
    "voltage_drop": "V",
    "force": "N/m",
    "field": "T",
    "waste": "share",
    "leakage": "",
}
ROWS = 10  # of a table on the terminal
LENGTHS = ("length", "radius", "position")
LEAST_IN_MM = 1e-4  # of a length that is said in mm [m]


@dataclass(frozen=True)
class Said:
    """A study as the terminal prints it."""

    sentences: tuple[str, ...]
    tables: tuple[TextTable, ...]
    orders: bool


def said(study: Study) -> Said:
    """Its sentences and tables."""
    return Said(tuple(sentences(study)), tuple(tables(study)), study.plan.orders is not None)


def sentences(study: Study) -> Iterator[str]:
    """What was found, how sure it is to be the best, how flat it is, and what fell out."""
    plan, best = study.plan, study.best
    aim = plan.question.aims[0]
    if best is None:
        yield from _none(study)
    else:
        judged = "inside all limits" if best.verdict == "pass" else "no limits are stated"
        if best.verdict == "pass" and isinstance(study.source, Case) and causes_of(study.source):
            judged += ", tolerances apart: best/ tells what they do"
        yield f"Least {named(aim, plan)}: {figure(best, aim, plan)} with {values(best, plan)}; {judged}"
    if len(plan.question.aims) == 2 and len(study.front) > 1:
        other = plan.question.aims[1]
        ends = [" and ".join(figure(study.front[k], each, plan) for each in (aim, other)) for k in (0, -1)]
        yield (
            f"Trade-off of {aim} and {other}: {len(study.front)} designs that no other one beats in both, from "
            f"{ends[0]} to {ends[1]}"
        )
    for key, end in study.edges.items():
        r = next(r for r in plan.ranges if r.key == key)
        where, value = ("lower", r.low) if end == "low" else ("upper", r.high)
        at = f"the {where} end of {key} ({shown(key, value, plan)})"
        yield f"The best lies at {at}: a wider range may hold a better one"
    yield from _flat(study)
    if plan.orders is not None:
        yield from _worst_order(study)
    if plan.question.orders is not None:
        questions = dict.fromkeys(plan.question.in_order_of(aim) for aim in plan.question.aims)
        chosen = " and in that of least ".join(one.chosen_by for one in questions)
        yield f"Every design is taken in its order of phases of least {chosen}, from its own impedance matrix"
    yield counted(study)
    yield from _unjudged(study)


def _unjudged(study: Study) -> Iterator[str]:
    """Limits of a case file for which there was nothing to judge by, and why."""
    case = study.source
    if not isinstance(case, Case) or (asked := case.data.limits) is None:
        return
    solved = [design for design in study.designs if not design.fault]
    kinds = frozenset(kind for of in kinds_of(case, asked).values() for kind in of)
    for key in asked.stated:
        without = sum(key not in design.margins for design in solved)
        if without:
            some = "" if without == len(solved) else f" in {without} of {len(solved)} designs"
            yield f"[limits] {key}: nothing to judge by{some}; {lacking(key, kinds)}"


def counted(study: Study) -> str:
    """How many designs were tried, and what came of them."""
    verdicts: Counter[str] = Counter()
    faults = 0
    for design in study.designs:
        faults += bool(design.fault)
        verdicts[design.verdict] += not design.fault
    parts = [f"{sum(verdicts.values()) + faults} designs tried"]
    if study.searches:
        starts = "one start" if study.searches == 1 else f"{study.searches} starts"
        parts.append(f"the best looked for from {starts} along the slopes of the field")
    words = {"fail": "fail", "cannot tell": "cannot be told"}
    parts += [f"{verdicts[v]} {said}" for v, said in words.items() if verdicts[v]]
    if faults:
        first = next(d for d in study.designs if d.fault)
        parts.append(f"{faults} could not be solved (the first: {first.fault})")
    return ", ".join(parts)


def tables(study: Study) -> Iterator[TextTable]:
    """The best of every alternative, the trade-off, or the orders."""
    plan = study.plan
    if plan.orders is not None:
        aim = plan.question.aims[0]
        found = sorted(study.designs, key=lambda d: d.figures[FIGURES[aim]])
        shown_ones = found if len(found) <= ROWS else [*found[: ROWS // 2], *found[-(ROWS // 2) :]]
        which = "" if len(found) <= ROWS else f": the first and the last {ROWS // 2} of {len(found)}"
        yield _table(f"Orders of {plan.orders.of}, least {aim} first{which}", shown_ones, study)
    if len(plan.question.aims) == 2:
        some = sorted({round(k * (len(study.front) - 1) / (ROWS - 1)) for k in range(ROWS)})
        which = "" if len(some) == len(study.front) else f", some of {len(study.front)}"
        listed = [study.front[k] for k in some]
        yield _table(f"Trade-off: designs that no other one beats in both{which}", listed, study)
    elif plan.choices:
        yield _table("The best of every alternative", _of_alternatives(study), study)


def _of_alternatives(study: Study) -> list[Design]:
    keys = [key for choice in study.plan.choices for key in choice.options[0].values]
    groups: dict[tuple[Value, ...], list[Design]] = {}
    for design in study.designs:
        groups.setdefault(tuple(design.values[key] for key in keys), []).append(design)
    found = [best_of(of, study.plan.question) for of in groups.values()]
    aim = FIGURES[study.plan.question.aims[0]]
    return sorted((d for d in found if d is not None), key=lambda d: d.figures[aim])[:ROWS]


def _table(heading: str, designs: Iterable[Design], study: Study) -> TextTable:
    listed, plan = list(designs), study.plan
    keys = list(listed[0].values) if listed else []
    told = dict.fromkeys((*plan.question.aims, "loss", "inductance", "mass"))
    aims = [aim for aim in told if listed and all(FIGURES[aim] in d.figures for d in listed)]
    rows = []
    for d in listed:
        varied = (shown(key, d.values[key], plan) for key in keys)
        rows.append((*varied, *(figure(d, aim, plan) for aim in aims), d.verdict))
    several = isinstance(study.source, Case) and len((*study.source.data.circuit, *study.source.data.coil)) > 1
    columns = (f"{aim}{_whose(aim, plan) if several else ''}" for aim in aims)
    return TextTable(heading, (*keys, *columns, "limits"), tuple(dict.fromkeys(rows)))  # what prints alike, once


def _whose(aim: str, plan: Plan) -> str:
    """The circuit of a figure that only circuits have."""
    return f" of {plan.question.circuit}" if aim in ("resistance", "inductance") else ""


def named(aim: str, plan: Plan) -> str:
    """What is wanted, and where it is judged."""
    varied = "frequency" in plan.dimensions.values()
    at = "" if varied or aim in ("mass", "cost") else f" at {frequency_words(plan.question.frequency)}"
    return f"{aim.replace('_', ' ')}{_whose(aim, plan)}{at}"


def figure(design: Design, aim: str, plan: Plan) -> str:
    """A figure of a design in its unit, with its bar where that is known."""
    key = FIGURES[aim]
    value, error = design.figures[key], design.errors.get(key)
    if aim == "waste":
        return f"{100 * value:.4g} %"
    if aim == "leakage":
        return f"{value:.4g} (coupling factor {1 - value:.4g})"
    if aim in ("temperature", "cost"):
        return f"{value:.4g} {unit(aim, plan)}"
    return with_bar(value, error / abs(value) if error and value else None, unit(aim, plan))


def unit(aim: str, plan: Plan) -> str:
    """Of a figure; of a cost its currency over the metre."""
    if plan.question.axial:
        return per_turn(UNITS[aim])
    return f"{plan.question.currency}{UNITS[aim]}" if aim == "cost" else UNITS[aim]


def values(design: Design, plan: Plan) -> str:
    """What was varied, in words."""
    return ", ".join(f"{key} {shown(key, value, plan)}" for key, value in design.values.items())


def shown(key: str, value: Value, plan: Plan) -> str:
    """A varied value as a case file says it, to four digits."""
    dimension = next((r.dimension for r in plan.ranges if r.key == key), plan.dimensions.get(key, NUMBER))
    if isinstance(value, str):
        return in_short(value)
    rounded = float(f"{value:.4g}")
    if dimension == NUMBER:
        return f"{rounded:g}"
    if dimension in LENGTHS:
        return f"{1e3 * rounded:.4g} mm" if abs(rounded) >= LEAST_IN_MM else f"{1e6 * rounded:.4g} um"
    return write_quantity(rounded, dimension)


def _none(study: Study) -> Iterator[str]:
    """No design keeps to all limits: which comes nearest, and by what it misses."""
    known = [d for d in study.designs if d.margins]
    nearest = min(known, key=lambda d: max(d.margins.values()), default=None)
    if nearest is None:
        yield "No design could be solved"
        return
    limit, margin = max(nearest.margins.items(), key=lambda each: each[1])
    word = f"breaks {limit.replace('_', ' ')} by {100 * margin:.3g} %" if margin > 0 else "cannot be told"
    yield f"No design surely keeps to all limits; the nearest, with {values(nearest, study.plan)}, {word}"
    yield "So there is no best design to leave as a case, a result or a report"


def _flat(study: Study) -> Iterator[str]:
    """What a tenth less and more of each value alone costs."""
    key = FIGURES[study.plan.question.aims[0]]
    for name, pair in study.nearby.items():
        parts = []
        for design, word in zip(pair, ("less", "more"), strict=True):
            if design is not None and study.best is not None and key in design.figures:
                change = design.figures[key] / study.best.figures[key] - 1
                kept = "" if design.verdict in ("pass", "none stated") else " and leaves the limits"
                verb = "costs" if change >= 0 else "saves"
                parts.append(f"{100 * NEARBY:.0f} % {word} {verb} {100 * abs(change):.2g} %{kept}")
        if parts:
            yield f"{name}: {', '.join(parts)}"


def _worst_order(study: Study) -> Iterator[str]:
    """What the worst order comes to, and how unlike the circuits are in the best."""
    aim = study.plan.question.aims[0]
    key, best = FIGURES[aim], study.best
    worst = max(study.designs, key=lambda d: d.figures[key])
    if best is not None:
        more = worst.figures[key] / best.figures[key] - 1
        yield (
            f"The worst order, {worst.values[ORDER]}, has {figure(worst, aim, study.plan)}, {100 * more:.3g} % more; "
            f"all orders come from one impedance matrix at {concise(study.plan.question.frequency, 'Hz')}"
        )
        unlike = best.figures[UNBALANCE]
        yield f"In the best order the impedances of the circuits differ from their mean by at most {100 * unlike:.3g} %"
