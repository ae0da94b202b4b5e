"""Voltages between the turns of a coil, their capacitances, and where the coil resonates with them by itself.

The potential of a turn is taken as even, that of its middle, along turns in series from one end of the coil, which is
earthed with all that is in no circuit. The energy of the charges then is C V^2 / 2 of one capacitor at the terminals;
with the inductance it gives the lowest resonance, roughly, as potentials are no longer even in the turns there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.plane.neighbours import finished_gap

from .problem import Circuit, Problem
from .solution import Solution

MANY = 40  # turns beyond which only those one after the other are looked at


@dataclass(frozen=True)
class TurnGap:
    """Two turns with a voltage between them: their names, the gap [m], and the voltage [V rms]."""

    one: str
    other: str
    gap: float
    voltage: float

    @property
    def field(self) -> float:
        """Mean between their surfaces, crest [V/m]."""
        return math.sqrt(2) * self.voltage / self.gap


def potentials(solution: Solution, circuit: Circuit) -> ComplexArray:
    """Of the middle of each turn of a circuit in series, from its far end on, (turns,) [V rms]."""
    names = solution.problem.names
    each = np.array([solution.fine.voltages[names.index(name)] for name in circuit.members], dtype=complex)
    each[len(circuit.out) :] *= -1
    return np.asarray(np.cumsum(each) - 0.5 * each)


def turn_gaps(solution: Solution, circuit: Circuit) -> tuple[TurnGap, ...]:
    """Between turns of a circuit in series, the strongest field first."""
    parts = {c.name: c.part for c in solution.problem.conductors}
    members, level = circuit.members, potentials(solution, circuit)
    count = len(members)
    pairs = combinations(range(count), 2) if count <= MANY else ((k, k + 1) for k in range(count - 1))
    found = [
        TurnGap(
            members[i], members[j], finished_gap(parts[members[i]], parts[members[j]]), float(abs(level[i] - level[j]))
        )
        for i, j in pairs
    ]
    return tuple(sorted(found, key=lambda gap: -gap.field))


def own_capacitance(problem: Problem, circuit: Circuit, charge: FloatArray) -> float:
    """Of a coil at its terminals, potentials rising evenly from turn to turn, one end earthed [F].

    Parameters
    ----------
    problem : Problem
    circuit : Circuit
        In series.
    charge : (conductors, conductors) float
        As of `electrostatic.charges` [F].

    Examples
    --------
    Two turns of 1 pF each to earth and 2 pF between them have their middles at 1/4 and 3/4 of the voltage:

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> from crosscurrent.solver.field.problem import Conductor
    >>> rods = tuple(Conductor(Part(k, round_bar(0.01)), MATERIALS["copper"]) for k in "ab")
    >>> coil = Circuit("coil", 1.0, ("a", "b"), sharing="series")
    >>> round(own_capacitance(Problem(rods, (coil,)), coil, np.array([[3.0, -2.0], [-2.0, 3.0]])), 3)
    1.125
    """
    rows = [problem.names.index(name) for name in circuit.members]
    share = (np.arange(len(rows)) + 0.5) / len(rows)
    return float(share @ charge[np.ix_(rows, rows)] @ share)


def own_resonance(inductance: float, capacitance: float) -> float:
    """1 / (2 pi sqrt(L C)) [Hz].

    Examples
    --------
    >>> round(own_resonance(1e-6, 1e-12) / 1e6, 2)
    159.15
    """
    return 1 / (2 * math.pi * math.sqrt(inductance * capacitance))
