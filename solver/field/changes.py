"""A problem a hair apart from another, and what is different in it per unit of the change.

Walls move (`geometries.meshing.motion`), what fills the regions changes, currents and frequency do: roughness and
temperature come by the chain of `region_metals`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.meshing.motion import Walls

from .problem import Problem
from .region_metals import region_metals
from .solution import Solution


@dataclass(frozen=True, eq=False)
class Change:
    """A problem a hair apart, in which something is larger by a step.

    Attributes
    ----------
    key : str
        What it is.
    problem : Problem
        The same conductors, circuits and sides.
    step : float
        By how much it is larger, in its own unit; small against it.
    frequency : float
        By how much the frequency is higher [Hz].
    """

    key: str
    problem: Problem
    step: float
    frequency: float = 0.0


@dataclass(frozen=True, eq=False)
class Difference:
    """What is different, per unit of the change.

    Attributes
    ----------
    key : str
    motion : (w, 2) float
        Of the nodes on the walls [m].
    sigma, nu : (regions,) complex
        Of conductivity [S/m] and relative reluctivity, with what surfaces do.
    currents : (circuits,) complex [A]
    omega : float [rad/s]
    """

    key: str
    motion: FloatArray
    sigma: ComplexArray
    nu: ComplexArray
    currents: ComplexArray
    omega: float

    @classmethod
    def of(cls, change: Change, solution: Solution, walls: Walls) -> Difference:
        """From the problem of a solution to that of a change."""
        one, other = solution.problem, change.problem
        motion = walls.motion(other.outlines)
        old, new = filling(one, solution.frequency), filling(other, solution.frequency + change.frequency)
        currents: list[complex] = [b.current - a.current for a, b in zip(one.circuits, other.circuits, strict=True)]
        per = 1 / change.step
        return cls(
            change.key, per * motion, per * (new[0] - old[0]), per * (new[1] - old[1]),
            per * np.array(currents, dtype=np.complex128), per * 2 * np.pi * change.frequency,
        )  # fmt: skip


def filling(problem: Problem, frequency: float) -> tuple[ComplexArray, ComplexArray]:
    """Conductivity [S/m] and relative reluctivity of every region over the factor of its surface, both (regions,)."""
    metals = region_metals(problem, frequency)
    smoothing = 1 / np.array([m.surface for m in metals], dtype=complex)
    permeability = np.array([m.permeability for m in metals])
    return smoothing * np.array([m.conductivity for m in metals]), smoothing / permeability
