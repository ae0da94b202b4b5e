"""All orders of phases among the copies of a conductor, from one impedance matrix: only the currents change places."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.variables import as_written
from crosscurrent.casefile.written import as_toml
from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.circuits import Connections
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.field.solution import DirectSolution, Solution
from crosscurrent.solver.field.solved_flow import SolvedFlow

from .plan import FIGURES, Orders

ORDER = "order"  # name of what varies
LOSS, RESISTANCE, INDUCTANCE = (FIGURES[aim] for aim in ("loss", "resistance", "inductance"))
ROUNDING = 1e-9  # of all currents, below which they sum to zero
LARGEST, UNBALANCE = "largest_current_a", "impedance_unbalance"


@dataclass(frozen=True)
class Order:
    """Which circuit each copy belongs to, in the order of the copies."""

    circuits: tuple[str, ...]

    @property
    def words(self) -> str:
        """The circuits in a row."""
        return " ".join(self.circuits)

    @classmethod
    def read(cls, words: object) -> Order:
        """From its words."""
        return cls(tuple(str(words).split(" ")))


def orders_of(asked: Orders, copies: int) -> Iterator[Order]:
    """Every way to give each circuit as many copies as the others.

    Examples
    --------
    >>> [order.words for order in orders_of(Orders("bar", ("L1", "L2")), 4)][:3]
    ['L1 L1 L2 L2', 'L1 L2 L1 L2', 'L1 L2 L2 L1']
    """
    each = copies // len(asked.circuits)

    def rest(places: tuple[int, ...], circuits: tuple[str, ...]) -> Iterator[dict[int, str]]:
        if not circuits:
            yield {}
            return
        for mine in itertools.combinations(places, each):
            left = tuple(place for place in places if place not in mine)
            for others in rest(left, circuits[1:]):
                yield dict.fromkeys(mine, circuits[0]) | others

    for found in rest(tuple(range(copies)), asked.circuits):
        yield Order(tuple(found[place] for place in range(copies)))


def copies_of(case: Case, asked: Orders) -> list[str]:
    """The names of the copies, in their order.

    Raises
    ------
    CaseError
        The circuits do not share them evenly.
    """
    copies = [n for row in case.data.conductor if row.name == asked.of for n in row.copies]
    sides = [c.out for c in case.problem().circuits if c.name in asked.circuits]
    if sorted(name for side in sides for name in side) != sorted(copies) or len({len(side) for side in sides}) != 1:
        hint = "each circuit names as many of the copies in out, and all of them are named"
        raise CaseError([Fault(None, "", f"copies of {asked.of} that the circuits share evenly", "others", hint)])
    return copies


def rewired(circuits: Sequence[Circuit], order: Order, copies: Sequence[str]) -> tuple[Circuit, ...]:
    """The circuits with their copies in another order."""
    return tuple(
        replace(c, out=tuple(n for n, to in zip(copies, order.circuits, strict=True) if to == c.name))
        if c.name in order.circuits
        else c
        for c in circuits
    )


def rewired_case(case: Case, asked: Orders, order: Order) -> Case:
    """The case with its circuits wired in an order."""
    data = as_written(case)
    copies = copies_of(case, asked)
    for row in data["circuit"]:
        if row["name"] in asked.circuits:
            row["out"] = [n for n, to in zip(copies, order.circuits, strict=True) if to == row["name"]]
    return checked_case(data, source=as_toml(data).encode(), path=case.path)


@dataclass(frozen=True)
class Ordered:
    """What an order comes to.

    Attributes
    ----------
    order : Order
    figures : mapping of str to float
        Loss of the section, resistance and inductance of a circuit, the largest current of a copy, and by how much the
        impedance of any of the circuits differs from their mean.
    errors : mapping of str to float
        Of the first three.
    """

    order: Order
    figures: Mapping[str, float]
    errors: Mapping[str, float]


def every_order(case: Case, solution: DirectSolution, asked: Orders, circuit: str) -> Iterator[Ordered]:
    """All orders, from the solution of one.

    Parameters
    ----------
    case : Case
    solution : DirectSolution
        Of its own order, above 0 Hz.
    asked : Orders
    circuit : str
        Whose resistance and inductance are wanted.

    Raises
    ------
    CaseError
        The circuits do not share the copies evenly.
    """
    problem, copies = solution.problem, copies_of(case, asked)
    names = [c.name for c in problem.conductors]
    among = [names.index(n) for n in copies]
    index = {name: k for k, name in enumerate(names)}
    of = {c.name: k for k, c in enumerate(problem.circuits)}
    least = float(solution.loss_errors.max())
    bars = {LOSS: least, RESISTANCE: least}
    bars[INDUCTANCE] = solution.circuit_errors(problem.circuits[of[circuit]])[1]
    for order in orders_of(asked, len(copies)):
        circuits = rewired(problem.circuits, order, copies)
        joined, found = Connections.of(names, circuits), []
        for flow in (solution.fine, solution.coarse):
            currents = joined.shared(flow.impedance[None])[0]
            along = flow.impedance @ currents
            sharing = [circuits[of[name]] for name in asked.circuits]
            own = _voltage(circuits[of[circuit]], along, index) / circuits[of[circuit]].current
            figures = {
                LOSS: float((np.conj(currents) @ along).real),
                RESISTANCE: own.real,
                INDUCTANCE: own.imag / (2 * np.pi * solution.frequency),
                LARGEST: float(np.abs(currents[among]).max()),
                UNBALANCE: _unbalance(np.array([_voltage(c, along, index) for c in sharing]), sharing),
            }
            found.append(figures)
        now, before = found
        errors = {key: max(2 * solution.left * abs(now[key] - before[key]), bar * abs(now[key]))
                  for key, bar in bars.items()}  # fmt: skip
        yield Ordered(order, now, errors)


def _voltage(circuit: Circuit, along: ComplexArray, index: Mapping[str, int]) -> complex:
    """At the terminals of a circuit [V/m]."""
    out, back = (sum(along[index[n]] for n in side) / max(len(side), 1) for side in (circuit.out, circuit.back))
    return complex(out - back)


def _unbalance(voltages: ComplexArray, circuits: Sequence[Circuit]) -> float:
    """By how much an impedance differs from their mean, over that; without a voltage that all phases share."""
    currents = np.array([c.current for c in circuits])
    if abs(currents.sum()) < ROUNDING * np.abs(currents).sum():
        voltages = voltages - voltages.mean()
    each = voltages / currents
    return float(np.abs(each / each.mean() - 1).max())


def of_least(
    solved: SolvedCase, asked: Orders, frequency: float, circuit: str, figure: str,
    within: tuple[str, float] | None = None,
) -> SolvedCase:  # fmt: skip
    """A solved case in its order of the least figure, without a further solve; its [[circuit]] tables say which.

    `within`: another figure and its level, among the orders that keep to it; where none does, that of its least.
    """
    solution = solved.solutions[frequency]
    assert isinstance(solution, DirectSolution)  # of a frequency asked for by itself
    every = list(every_order(solved.case, solution, asked, circuit))
    if within is not None:
        key, level = within
        every = [o for o in every if o.figures[key] <= level] or [min(every, key=lambda o: o.figures[key])]
    best = min(every, key=lambda one: one.figures[figure])
    case = rewired_case(solved.case, asked, best.order)
    problem = case.problem()
    solutions: dict[float, Solution] = {}
    for f, one in solved.solutions.items():
        assert isinstance(one, DirectSolution)
        fine, coarse = (SolvedFlow.of(problem, flow.fields) for flow in (one.fine, one.coarse))
        solutions[f] = replace(one, problem=problem, fine=fine, coarse=coarse)
    points = tuple(answers(solutions[f]) for f in case.frequencies)
    return replace(solved, case=case, solutions=solutions, points=points)


def order_of(case: Case, asked: Orders) -> Order:
    """The order that its circuits say."""
    of = {name: c.name for c in case.problem().circuits for name in c.out}
    return Order(tuple(of[name] for name in copies_of(case, asked)))
