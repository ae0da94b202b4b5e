"""Where current enters a section: groups of conductors with one voltage, and the patterns of current driven in them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.outline import FloatArray
from .field import ComplexArray
from .problem import Circuit, Problem


@dataclass(frozen=True, eq=False)
class Ports:
    """Groups of conductors that share one voltage, and patterns of current in the groups.

    Attributes
    ----------
    member : (conductors, groups) float
        1 where a conductor belongs to a group.
    pattern : (groups, patterns) float
        Current in every group per unit of each pattern.
    matrix : bool
        Whether every conductor is a group with a pattern of its own, so that any circuits can drive them.
    """

    member: FloatArray
    pattern: FloatArray
    matrix: bool = False


def ports_of(problem: Problem, *, matrix: bool = False) -> Ports:
    """A pattern for each circuit; or, for the whole impedance matrix, every conductor a port of its own.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Conductor
    >>> wire = round_bar(0.001)
    >>> wires = [Conductor(Part(f"w{k}", wire.placed((0.002 * k, 0))), MATERIALS["copper"]) for k in range(9)]
    >>> names = tuple(w.name for w in wires)
    >>> ports_of(Problem(tuple(wires), (Circuit("feed", 1.0, names[:4], names[4:]),))).pattern.tolist()
    [[1.0], [-1.0]]
    """
    if matrix:
        each = np.eye(len(problem.conductors))
        return Ports(each, each, matrix=True)
    sharing = Sharing.of(problem)
    return Ports(sharing.member, sharing.pattern)


@dataclass(frozen=True, eq=False)
class Sharing:
    """How the circuits of a problem join its conductors.

    Attributes
    ----------
    member : (conductors, groups) float
        Groups joined in parallel; transposed and idle conductors are groups of their own.
    pattern : (groups, circuits) float
        Current in every group per ampere of each circuit.
    currents : (circuits,) complex
        [A rms]
    """

    member: FloatArray
    pattern: FloatArray
    currents: ComplexArray

    @classmethod
    def of(cls, problem: Problem) -> Sharing:
        """Read it off the circuits."""
        names = {c.name: k for k, c in enumerate(problem.conductors)}
        rows: list[list[int]] = []
        parts: list[tuple[int, float]] = []  # circuit and share of every group
        for number, circuit in enumerate(problem.circuits):
            for side, sign in ((circuit.out, 1.0), (circuit.back, -1.0)):
                own = [names[m] for m in side]
                if not own:
                    continue
                if circuit.sharing == "equal":
                    rows += [[k] for k in own]
                    parts += [(number, sign / len(own))] * len(own)
                else:
                    rows.append(own)
                    parts.append((number, sign))
        used = {k for group in rows for k in group}
        rows += [[k] for k in range(len(names)) if k not in used]
        member, pattern = np.zeros((len(names), len(rows))), np.zeros((len(rows), len(problem.circuits)))
        for g, group in enumerate(rows):
            member[group, g] = 1.0
        for g, (circuit_number, share) in enumerate(parts):
            pattern[g, circuit_number] = share
        return cls(member, pattern, np.array([c.current for c in problem.circuits], dtype=complex))

    @cached_property
    def group_currents(self) -> ComplexArray:
        """Prescribed current of every group, (groups,) [A rms]."""
        return np.asarray(self.pattern @ self.currents)

    def shared(self, impedance: ComplexArray) -> ComplexArray:
        """Current of every conductor for impedance matrices (m, n, n) [ohm/m], (m, n) [A rms]."""
        count, groups = self.member.shape
        if groups == count:
            return np.broadcast_to(self.member @ self.group_currents, impedance.shape[:2])
        scale = np.abs(impedance).max(axis=(1, 2), keepdims=True)
        system = np.zeros((len(impedance), count + groups, count + groups), dtype=complex)
        system[:, :count, :count] = impedance / scale
        system[:, :count, count:], system[:, count:, :count] = -self.member, self.member.T
        right = np.concatenate((np.zeros(count), self.group_currents))
        currents = np.linalg.solve(system, np.broadcast_to(right, system.shape[:2])[..., None])[:, :count, 0]
        single = self.member.sum(axis=0) == 1
        currents[:, self.member[:, single].argmax(axis=0)] = self.group_currents[single]
        return np.asarray(currents)


def terminal(circuit: Circuit, problem: Problem) -> FloatArray:
    """Weights (conductors,) that turn the conductors' voltages into a circuit's terminal voltage."""
    names = {c.name: k for k, c in enumerate(problem.conductors)}
    weight = np.zeros(len(names))
    for side, sign in ((circuit.out, 1.0), (circuit.back, -1.0)):
        for m in side:
            weight[names[m]] += sign / len(side)
    return weight
