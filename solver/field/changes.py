"""A problem a hair apart from another, and what is different in it per unit of the change.

Walls move (`geometries.meshing.motion`), what fills the regions changes, currents and frequency do: roughness and
temperature come by the chain of `region_metals`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following

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
class Differences:
    """What is different in some changes, per unit of each.

    Attributes
    ----------
    keys : tuple of str
    walls : (w, 2, c) float
        Motion of the nodes on the walls [m].
    nodes : (points, 2, c) float
        Of all nodes of the mesh, which follow [m].
    sigma, nu : (regions, c) complex
        Of conductivity [S/m] and relative reluctivity, with what surfaces do. A higher frequency is as if all metals
        conducted better, apart from what it is a factor of.
    reluctivity : (regions, c) float
        The relative one, without what surfaces do.
    currents : (circuits, c) complex [A]
        Of those that are prescribed.
    faster : (c,) float
        Relative gain of the frequency; 0 at rest.
    """

    keys: tuple[str, ...]
    walls: FloatArray
    nodes: FloatArray
    sigma: ComplexArray
    nu: ComplexArray
    reluctivity: FloatArray
    currents: ComplexArray
    faster: FloatArray

    @classmethod
    def of(cls, changes: Sequence[Change], solution: Solution, walls: Walls, follow: Following) -> Differences:
        """From the problem of a solution to those of changes."""
        one, per = solution.problem, np.array([1 / change.step for change in changes])
        motion = np.stack([walls.motion(change.problem.outlines) for change in changes], axis=-1) * per
        old = filling(one, solution.frequency)
        new = [filling(change.problem, solution.frequency + change.frequency) for change in changes]
        sigma, nu, bare = (np.stack([row[k] for row in new], axis=-1) - old[k][:, None] for k in range(3))
        higher = np.array([change.frequency for change in changes])
        faster = per * higher / solution.frequency if solution.frequency else 0 * per
        currents = np.array([prescribed(change.problem) for change in changes]).T - prescribed(one)[:, None]
        return cls(
            tuple(change.key for change in changes), motion, follow.carried(motion),
            per * sigma + faster * old[0][:, None], per * nu, per * bare.real, per * currents, faster,
        )  # fmt: skip

    @property
    def moving(self) -> IntArray:
        """Which of them move walls."""
        return np.flatnonzero(self.walls.any(axis=(0, 1)))

    @property
    def filling(self) -> IntArray:
        """Which of them change what fills the regions."""
        return np.flatnonzero(self.sigma.any(axis=0) | self.nu.any(axis=0))


def prescribed(problem: Problem) -> ComplexArray:
    """Currents of the circuits [A], (circuits,); of those that are shorted none is prescribed."""
    return np.array([0.0 if c.shorted else c.current for c in problem.circuits], dtype=np.complex128)


def filling(problem: Problem, frequency: float) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
    """Conductivity [S/m] and relative reluctivity of every region over the factor of its surface, and without it.

    All (regions,).
    """
    metals = region_metals(problem, frequency)
    smoothing = 1 / np.array([m.surface for m in metals], dtype=complex)
    permeability = np.array([m.permeability for m in metals])
    bare = np.asarray(1 / permeability, dtype=np.complex128)
    return smoothing * np.array([m.conductivity for m in metals]), smoothing * bare, bare
