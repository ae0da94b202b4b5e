"""A whole study: its designs spread over what varies, the best of them looked for, and what the best is worth."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.varied import Value
from crosscurrent.extras import extra
from crosscurrent.run import solved_case
from crosscurrent.solver.field.solution import DirectSolution

from .design import Design
from .front import SOUND, front, levels
from .orders import ORDER, every_order
from .plan import FIGURES, Alternative, Orders, Plan, Question, Range
from .promise import promising
from .search import Search, Way
from .trial import Source, Trial, failed, name_of
from .ways import Ways

if TYPE_CHECKING:
    from pandas import DataFrame

FEW = 16  # designs of an alternative, up to which their slopes are worth their time
EDGE = 1e-3  # of a range, as near to its end as that a best design lies at it
NEARBY = 0.1  # by which values are changed to say how flat the best is


class Kept(Protocol):
    """What keeps designs as they come."""

    def put(self, design: Design) -> None:
        """Keep one."""

    def __iter__(self) -> Iterator[Design]:
        """All of them, in the order in which they came, as often as wanted."""

    def in_order(self) -> Iterable[Design]:
        """All of them, by what was varied, as often as wanted."""


Results = Callable[[Iterable[Trial], Callable[[Design], object]], None]


@dataclass(frozen=True)
class Study:
    """What a study found.

    Attributes
    ----------
    source : Case or callable
    plan : Plan
    designs : iterable of Design
        All that were tried, by what was varied: whatever came first, two runs have the same order.
    best : Design or None
        The least of the first aim that keeps to all limits; None where no design does.
    front : tuple of Design
        With two aims: those that no other design beats in both.
    edges : mapping of str to str
        Ranges at whose end the best lies, and which: "low" or "high".
    nearby : mapping of str to (Design, Design)
        The best with a tenth less and a tenth more of each range, where that lies inside it.
    searches : int
        From how many starts the best was looked for.
    ways : mapping of str to tuple of tuple of Design
        By aim: the designs that each search went by, in their order.
    """

    source: Source
    plan: Plan
    designs: Iterable[Design]
    best: Design | None
    front: tuple[Design, ...] = ()
    edges: Mapping[str, str] = field(default_factory=dict)
    nearby: Mapping[str, tuple[Design | None, Design | None]] = field(default_factory=dict)
    searches: int = 0
    ways: Mapping[str, tuple[tuple[Design, ...], ...]] = field(default_factory=dict)

    def __repr__(self) -> str:
        found = f"best {dict(self.best.values)}" if self.best else "no design keeps to the limits"
        made_by = self.source if isinstance(self.source, Case) else name_of(self.source)
        return f"<Study of {made_by}: {found}>"

    def to_dataframe(self) -> DataFrame:
        """One row per design: varied values, figures, their error bars, verdict and fault.

        Raises
        ------
        MissingExtra
            pandas is not installed.
        """
        with extra("data"):
            import pandas
        return pandas.DataFrame(
            {**d.values, **d.figures, **{f"{k}_error": v for k, v in d.errors.items()}, "verdict": d.verdict,
             "fault": d.fault}
            for d in self.designs
        )  # fmt: skip


def given_up(trial: Trial) -> Design:
    """What a trial comes to that ends the worker it runs in."""
    return failed(trial, "it ended the process that solved it, twice")


def studied(source: Source, plan: Plan, results: Results, kept: Kept) -> Study:
    """Try the designs that a plan spans, look for the best, and see how flat it is.

    Parameters
    ----------
    source : Case or callable
    plan : Plan
    results : callable
        Solves trials, in any order, keeps each design, and hands it to the function.
    kept : Kept
        Where designs are kept.
    """
    aims = plan.question.aims
    if plan.orders is not None and isinstance(source, Case):
        for design in ordered(source, plan.orders, plan.question):
            kept.put(design)
        best = best_of(kept, plan.question)
        return Study(source, plan, kept.in_order(), best, front(kept, aims) if len(aims) == 2 else ())
    results(spread(source, plan), _nothing)
    ways = _gone([s for aim in aims for s in _searches(source, plan, aim, kept)], results) if plan.ranges else ()
    if len(aims) == 2 and plan.ranges:
        _gone(_between(source, plan, kept), results)
    best = best_of(kept, plan.question)
    nearby = _nearby(source, plan, best, results) if best and plan.ranges else {}
    return Study(
        source, plan, kept.in_order(), best, front(kept, aims) if len(aims) == 2 else (),
        {} if best is None else _edges(plan, best), nearby, len(ways),
        {aim: tuple(way.designs for way in ways if way.search.aim == aim) for aim in aims},
    )  # fmt: skip


def ordered(case: Case, asked: Orders, question: Question) -> Iterator[Design]:
    """Every order of phases as a design, from one solve."""
    solution = solved_case(case, lambda what, done: None).solutions[question.frequency]
    assert isinstance(solution, DirectSolution)  # of a frequency asked for by itself
    for one in every_order(case, solution, asked, question.circuit):
        values = {ORDER: one.order.words}
        yield Design(Trial(case, values, question).key, values, one.figures, one.errors, {}, {}, "none stated")


def _gone(searches: Iterable[Search], results: Results) -> Sequence[Way]:
    """Searches at their ends."""
    ways = Ways(searches)
    results(ways, ways.take)
    return ways.each


def _nothing(design: Design) -> None:
    pass


def best_of(designs: Iterable[Design], question: Question) -> Design | None:
    """The least of the first aim among those that surely keep to all limits; None where none does."""
    figure = FIGURES[question.aims[0]]
    sound = (d for d in designs if figure in d.figures and d.verdict in SOUND)
    return min(sound, key=lambda d: d.figures[figure], default=None)


def spread(source: Source, plan: Plan) -> Iterator[Trial]:
    """Designs spread evenly over everything that varies: in steps over one or two ranges, else as a fill."""
    places = plan.shares()
    along = tuple(r.key for r in plan.ranges) if len(places) <= FEW else ()
    questions = dict.fromkeys(plan.question.in_order_of(aim) for aim in plan.question.aims)
    for alternatives in plan.combinations():
        fixed = together(alternatives)
        for shares in places:
            values = {r.key: r.at(share) for r, share in zip(plan.ranges, shares, strict=True)}
            for question in questions:
                yield Trial(source, {**fixed, **values}, question, along)


def together(alternatives: Sequence[Alternative]) -> dict[str, Value]:
    """All values that some alternatives set."""
    return {key: value for one in alternatives for key, value in one.values.items()}


def _searches(source: Source, plan: Plan, aim: str, kept: Iterable[Design]) -> Iterator[Search]:
    """From where the designs so far promise the least, each in its best order for the aim."""
    question = plan.question.in_order_of(aim)
    for alternatives in plan.combinations():
        fixed = together(alternatives)
        own = least_of_each((d for d in kept if all(d.values.get(k) == v for k, v in fixed.items())), aim)
        for start in promising(own, plan.ranges, FIGURES[aim], plan.starts):
            yield Search(source, fixed, plan.ranges, question, aim, start)


def least_of_each(designs: Iterable[Design], aim: str) -> list[Design]:
    """Of designs that only their order of phases tells apart, those with the least of an aim."""
    found: dict[tuple[tuple[str, Value], ...], Design] = {}
    figure = FIGURES[aim]
    for design in designs:
        place = tuple((key, value) for key, value in design.values.items() if key != ORDER)
        known = found.get(place)
        if known is None or design.figures.get(figure, math.inf) < known.figures.get(figure, math.inf):
            found[place] = design
    return list(found.values())


def _between(source: Source, plan: Plan, designs: Iterable[Design]) -> Iterator[Search]:
    """The least of the first aim below each of some levels of the second, begun at the nearest design."""
    first, second = plan.question.aims
    for alternatives in plan.combinations():
        fixed = together(alternatives)
        own = [d for d in designs if not d.fault and all(d.values.get(k) == v for k, v in fixed.items())]
        for start, level in levels(front(own, (first, second)), FIGURES[second], plan.levels):
            shares = tuple(r.share(float(start.values[r.key])) for r in plan.ranges)
            question = plan.question.below(second, level)
            yield Search(source, fixed, plan.ranges, question, first, shares, {second: level})


def _edges(plan: Plan, best: Design) -> dict[str, str]:
    shares = {r.key: r.share(float(best.values[r.key])) for r in plan.ranges}
    return {key: "low" if s < 0.5 else "high" for key, s in shares.items() if min(s, 1 - s) <= EDGE}


def _nearby(
    source: Source, plan: Plan, best: Design, results: Results
) -> dict[str, tuple[Design | None, Design | None]]:
    """The best with a tenth less and more of each range alone."""
    plain = {key: value for key, value in best.values.items() if key != ORDER}
    wanted: dict[tuple[str, int], Trial] = {}
    for r in plan.ranges:
        for side in (-1, 1):
            value = float(best.values[r.key]) * (1 + side * NEARBY)
            if r.low <= value <= r.high:
                wanted[r.key, side] = Trial(source, {**plain, r.key: value}, plan.question)
    found: dict[str, Design] = {}
    results(wanted.values(), lambda design: found.__setitem__(design.key, design))

    def one(r: Range, side: int) -> Design | None:
        return found[wanted[r.key, side].key] if (r.key, side) in wanted else None

    return {r.key: (one(r, -1), one(r, 1)) for r in plan.ranges}
