"""What a study varies and what it wants, read off a case."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.quantities import nearest
from crosscurrent.casefile.variables import NUMBER
from crosscurrent.casefile.varied import Value

ON_A_CURVE, ON_A_SIDE, PER_RANGE = 25, 11, 32  # designs over one range; over each of two; for each of more
SOLVES = 6  # of a search from one start, about
LEVELS = 9  # of a trade-off, between the least of either
SEED = 0
OF_ORDERS = ("loss", "resistance", "inductance")  # what an order of phases can be chosen by
WIDE = 10.0  # ends of a range further apart than this are gone through by ratios


FIGURES = {
    "loss": "loss_w_per_m",
    "resistance": "resistance_ohm_per_m",
    "inductance": "inductance_h_per_m",
    "mass": "mass_kg_per_m",
    "cost": "cost_per_m",
    "temperature": "temperature_degc",
    "voltage_drop": "voltage_drop_v",
    "force": "force_n_per_m",
    "field": "field_t",
    "waste": "waste",
    "leakage": "leakage",
}


@dataclass(frozen=True)
class Range:
    """A figure between two ends.

    Attributes
    ----------
    key : str
        As of `variables`.
    low, high : float
        In SI units.
    dimension : str
    """

    key: str
    low: float
    high: float
    dimension: str

    @property
    def by_ratios(self) -> bool:
        """Whether it is gone through evenly on a logarithmic scale."""
        return self.low > 0 and self.high / self.low >= WIDE

    def at(self, share: float) -> float:
        """The value at a share of the way from end to end.

        Examples
        --------
        >>> Range("gap", 0.001, 0.1, "length").at(0.5), Range("thick", 0.002, 0.006, "length").at(0.5)
        (0.01, 0.004)
        """
        if self.by_ratios:
            return float(np.clip(self.low * (self.high / self.low) ** share, self.low, self.high))
        return (1 - share) * self.low + share * self.high

    def per_share(self, share: float) -> float:
        """By how much the value grows per share of the way."""
        return self.at(share) * float(np.log(self.high / self.low)) if self.by_ratios else self.high - self.low

    def share(self, value: float) -> float:
        """Where a value lies between the ends."""
        if self.by_ratios:
            return float(np.log(value / self.low) / np.log(self.high / self.low))
        return (value - self.low) / (self.high - self.low)


@dataclass(frozen=True)
class Alternative:
    """One of several: what it is called, and the values that it sets."""

    label: str
    values: Mapping[str, Value]


@dataclass(frozen=True)
class Choice:
    """Alternatives, of which a design has one."""

    key: str
    options: tuple[Alternative, ...]


@dataclass(frozen=True)
class Orders:
    """Copies of a conductor that circuits share evenly, in every order."""

    of: str
    circuits: tuple[str, ...]


@dataclass(frozen=True)
class Question:
    """What of a design is wanted."""

    aims: tuple[str, ...]
    frequency: float  # [Hz]
    circuit: str
    orders: Orders | None = None  # each design is taken in the best of them
    currency: str = ""  # of costs
    ordered_by: str = ""  # aim that chooses the order, where it is not the first
    within: tuple[str, float] | None = None  # aim that no order may exceed, if any keeps to it, and its level
    axial: bool = False  # round an axis: figures of all turns in total

    @property
    def chosen_by(self) -> str:
        """By which aim the best order is chosen."""
        return self.ordered_by or (self.aims[0] if self.aims[0] in OF_ORDERS else "loss")

    def in_order_of(self, aim: str) -> Question:
        """The same, each design in its best order for an aim."""
        if self.orders is None or aim not in OF_ORDERS or aim == self.chosen_by:
            return self
        return replace(self, ordered_by=aim)

    def below(self, aim: str, level: float) -> Question:
        """The same, each design in an order that keeps to a level of an aim."""
        return replace(self, within=(aim, level)) if self.orders is not None and aim in OF_ORDERS else self


@dataclass(frozen=True)
class Plan:
    """A whole study: what varies, and what is wanted; `orders` where nothing else varies."""

    ranges: tuple[Range, ...]
    choices: tuple[Choice, ...]
    orders: Orders | None
    question: Question
    designs: int | None
    starts: int
    dimensions: Mapping[str, str] = field(default_factory=dict)  # of every varied value that has one

    @property
    def levels(self) -> int:
        """Of a trade-off, between the least of either."""
        return min(LEVELS, self.designs or LEVELS)

    @property
    def size(self) -> int:
        """About how many designs it takes."""
        each = math.prod(len(choice.options) for choice in self.choices)
        if not self.ranges:
            return each
        aims = len(self.question.aims)
        return each * (len(self.shares()) + SOLVES * (self.starts * aims + self.levels * (aims - 1)))

    def shares(self) -> Sequence[tuple[float, ...]]:
        """Where in the ranges designs are spread: in steps over one or two of them, else as a fill."""
        count = len(self.ranges)
        if count > 2:
            return fill(self.designs or PER_RANGE * count, count)
        side = {0: 1, 1: self.designs or ON_A_CURVE, 2: round((self.designs or ON_A_SIDE**2) ** 0.5)}[count]
        steps = [k / max(side - 1, 1) for k in range(side)]
        return list(itertools.product(steps, repeat=count))

    def combinations(self) -> Iterator[tuple[Alternative, ...]]:
        """Every choice of one alternative each."""
        return itertools.product(*(choice.options for choice in self.choices))


def currency_of(case: Case) -> str:
    """In which a case has its prices; empty where it has none."""
    return next((price.currency for price in (case.data.prices or {}).values()), "")


def plan_over(
    make: Callable[..., Case],
    over: Mapping[str, Sequence[Value]],
    aims: tuple[str, ...],
    designs: int | None,
    starts: int,
) -> Plan:
    """The study of a Python function over ranges (a pair of numbers) and values (a list).

    Raises
    ------
    CaseError
        Nothing is varied, a range does not go from a lower to a higher number, or there are no such aims.
    """
    _check(aims)
    ranges, choices = [], []
    for key, span in over.items():
        if isinstance(span, tuple) and len(span) == 2 and all(isinstance(v, (int, float)) for v in span):
            low, high = float(span[0]), float(span[1])
            if not low < high:
                hint = "give a pair (low, high), or a list of values"
                raise CaseError([Fault(None, key, "a range from a lower to a higher number", f"{span}", hint)])
            ranges.append(Range(key, low, high, NUMBER))
        else:
            choices.append(Choice(key, tuple(Alternative(str(value), {key: value}) for value in span)))
    if not over:
        raise CaseError([Fault(None, "over", "something that varies", "nothing", 'over={"gap": (1.0, 9.0)}')])
    middle = {r.key: r.at(0.5) for r in ranges} | {k: v for c in choices for k, v in c.options[0].values.items()}
    case = make(**middle)
    listed = case.data.frequency.at or case.frequencies
    question = Question(
        aims, listed[0], case.problem().circuits[0].name, currency=currency_of(case), axial=case.axial
    )
    return Plan(tuple(ranges), tuple(choices), None, question, designs, starts)


def _check(aims: tuple[str, ...]) -> None:
    if unknown := [aim for aim in aims if aim not in FIGURES]:
        near = nearest(unknown[0], FIGURES)
        hint = f'did you mean "{near}"?' if near else f"choose of {', '.join(FIGURES)}"
        raise CaseError([Fault(None, "least", "what a design can have least", f'"{unknown[0]}"', hint)])
    if not 1 <= len(aims) == len(set(aims)) <= 2:
        raise CaseError([Fault(None, "least", "one aim, or two different ones", f"{', '.join(aims)}", 'least="loss"')])


def fill(count: int, dimensions: int, seed: int = SEED) -> Sequence[tuple[float, ...]]:
    """Points that fill a box evenly, (count) times (dimensions) from 0 to 1: a scrambled Sobol sequence.

    Examples
    --------
    >>> len(fill(5, 2)), min(min(fill(16, 3))) >= 0
    (5, True)
    """
    from scipy.stats import qmc

    if count < 1:
        return []
    power = int(np.ceil(np.log2(count)))
    points = qmc.Sobol(dimensions, rng=seed).random_base2(power)[:count]
    return [tuple(float(v) for v in row) for row in points]
