"""Where current enters a section: groups of conductors with one voltage, and the patterns of current driven in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.field.circuits import Connections
from crosscurrent.solver.field.problem import Problem


@dataclass(frozen=True, eq=False)
class Ports:
    """Groups of conductors that share one voltage, and patterns of current in the groups.

    Attributes
    ----------
    member : (conductors, groups) float
        1 where a conductor belongs to a group; those closed round an axis belong to none.
    pattern : (groups, patterns) float
        Current in every group per unit of each pattern.
    matrix : bool
        Whether every conductor is a group with a pattern of its own, so that any circuits can drive them.
    drive : (patterns, circuits) float or None
        How much of each pattern an ampere of each circuit is; None where every conductor is a port. Fewer patterns than
        circuits where these share conductors so that the current of one is made of those of others.
    """

    member: FloatArray
    pattern: FloatArray
    matrix: bool = False
    drive: FloatArray | None = None

    def of_conductors(self, matrices: Numbers) -> Numbers:
        """Impedances between ports for every conductor (m, ports, ports) as those of all, (m, conductors, conductors).

        Of what is closed round an axis nothing is seen at any terminals.
        """
        member = self.member
        return matrices if member.shape[0] == member.shape[1] else np.asarray(member @ matrices @ member.T)

    def driven(self, currents: ComplexArray) -> ComplexArray:
        """What currents of the circuits (m, circuits) make of each pattern, (m, patterns) [A]."""
        return currents if self.drive is None else np.asarray(currents @ self.drive.T)


def ports_of(problem: Problem, *, matrix: bool = False) -> Ports:
    """A pattern for each circuit, without those that others make up; or a port for every conductor.

    Strands that share by their lay ask for a port for every conductor, and so does a bundle in parallel to others: its
    current is even.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> from crosscurrent.solver.field.problem import Circuit, Conductor
    >>> wire = round_bar(0.001)
    >>> wires = [Conductor(Part(f"w{k}", wire.placed((0.002 * k, 0))), MATERIALS["copper"]) for k in range(9)]
    >>> names = tuple(w.name for w in wires)
    >>> ports_of(Problem(tuple(wires), (Circuit("feed", 1.0, names[:4], names[4:]),))).pattern.tolist()
    [[1.0], [-1.0]]

    Three loops between three conductors are made of two:

    >>> loops = (("a", 0, 1), ("b", 1, 2), ("c", 2, 0))
    >>> three = tuple(Circuit(name, 1.0, names[i : i + 1], names[j : j + 1]) for name, i, j in loops)
    >>> (ports_of(Problem(tuple(wires[:3]), three)).drive.round(9) + 0.0).tolist()
    [[1.0, 0.0, -1.0], [0.0, 1.0, -1.0]]
    """
    connections = Connections.of(problem.names, problem.circuits, problem.bundles)
    if matrix or not connections.plain or _stranded_in_parallel(problem, connections):
        each = np.eye(len(problem.conductors))[:, ~np.array(problem.closed)]
        return Ports(each, np.eye(each.shape[1]), matrix=True)
    fed = fed_groups(connections, problem)
    member, pattern = fed.member, fed.pattern
    own: list[int] = []
    for k in range(pattern.shape[1]):
        if np.linalg.matrix_rank(pattern[:, [*own, k]]) > len(own):
            own.append(k)
    if len(own) == pattern.shape[1]:
        return Ports(member, pattern)
    drive: FloatArray = np.asarray(np.linalg.lstsq(pattern[:, own], pattern, rcond=None)[0], dtype=float)
    return Ports(member, pattern[:, own], drive=drive)


def fed_groups(connections: Connections, problem: Problem) -> Ports:
    """Every group of conductors and what the circuits drive in it; what is closed round an axis has no terminals."""
    ends = ~(np.array(problem.closed) @ connections.threads @ connections.member > 0)
    return Ports(connections.member[:, ends], connections.pattern[ends])


def _stranded_in_parallel(problem: Problem, connections: Connections) -> bool:
    stranded = np.array([c.strands is not None for c in problem.conductors])
    together = connections.member.sum(axis=0) > 1
    return bool((stranded @ (connections.threads > 0) @ connections.member)[together].any())
