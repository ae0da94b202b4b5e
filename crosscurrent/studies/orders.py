"""All orders of phases among the copies of a conductor, from one impedance matrix: only the currents change places."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.casefile.variables import as_written
from crosscurrent.casefile.written import as_toml
from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.field.circuits import Connections
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.field.solution import DirectSolution

from .design import Design
from .plan import Orders, Question
from .trial import FIGURES, Trial

ORDER = "order"  # name of what varies


@dataclass(frozen=True)
class Order:
    """Which circuit each copy belongs to, in the order of the copies."""

    circuits: tuple[str, ...]

    @property
    def words(self) -> str:
        """The circuits in a row."""
        return " ".join(self.circuits)


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
    copies = [n for row in case.data.conductor if row.name == asked.of for n in row.copies]
    for row in data["circuit"]:
        if row["name"] in asked.circuits:
            row["out"] = [n for n, to in zip(copies, order.circuits, strict=True) if to == row["name"]]
    return checked_case(data, source=as_toml(data).encode(), path=case.path)


def ordered(case: Case, solution: DirectSolution, asked: Orders, question: Question) -> Iterator[Design]:
    """Loss of the section and the largest current of a copy, in every order, from the solution of one.

    Parameters
    ----------
    case : Case
    solution : Solution
        Of its own order.
    asked : Orders
    question : Question
    """
    problem = solution.problem
    names = [c.name for c in problem.conductors]
    copies = [n for row in case.data.conductor if row.name == asked.of for n in row.copies]
    among = [names.index(n) for n in copies]
    flows = (solution.fine, solution.coarse)
    for order in orders_of(asked, len(copies)):
        joined = Connections.of(names, rewired(problem.circuits, order, copies))
        (loss, currents), (before, _) = (_shared(joined, flow.fields.impedance) for flow in flows)
        figures = {FIGURES["loss"]: loss, "largest_current_a": float(np.abs(currents[among]).max())}
        values = {ORDER: order.words}
        error = max(2 * solution.left * abs(loss - before), float(solution.loss_errors.max()) * loss)
        key = Trial(case, values, question).key
        yield Design(key, values, figures, {FIGURES["loss"]: error}, {}, {}, "none stated")


def _shared(joined: Connections, impedance: ComplexArray) -> tuple[float, ComplexArray]:
    """Loss of the section [W/m], and the currents (conductors,) [A rms]."""
    currents = joined.shared(impedance[None])[0]
    return float((np.conj(currents) @ impedance @ currents).real), currents
