"""A problem a hair apart from another, and what is different in it per unit of the change.

Walls move (`geometries.meshing.motion`), what fills the regions changes, currents and frequency do: roughness and
temperature come by the chain of `region_metals`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.elements.shape_gradient import Moving

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
    within : (conductors, c) complex
        Of the impedance of bundles by themselves, beyond the field of their medium [ohm/m], apart from what frequency
        is a factor of; at rest of their resistance.
    linked : (conductors, c) float
        At rest of their inductance by themselves [H/m].
    elements : Elements
        Of an order whose motions are those of all.
    """

    keys: tuple[str, ...]
    walls: FloatArray
    nodes: FloatArray
    sigma: ComplexArray
    nu: ComplexArray
    reluctivity: FloatArray
    currents: ComplexArray
    faster: FloatArray
    within: ComplexArray
    linked: FloatArray
    elements: Elements

    @classmethod
    def of(cls, changes: Sequence[Change], solution: Solution, walls: Walls, follow: Following) -> Differences:
        """From the problem of a solution to those of changes."""
        one, per = solution.problem, np.array([1 / change.step for change in changes])
        motion = walls.motion([change.problem.outlines_beside(one) for change in changes]) * per
        old = Filling.of(one, solution.frequency)
        new = [
            old if not change.frequency and _filled_alike(one, change.problem)
            else Filling.of(change.problem, solution.frequency + change.frequency) for change in changes
        ]  # fmt: skip
        sigma, nu, bare, within, linked = (
            np.stack([getattr(row, name) for row in new], axis=-1) - getattr(old, name)[:, None] for name in FILLED
        )
        higher = np.array([change.frequency for change in changes])
        faster = per * higher / solution.frequency if solution.frequency else 0 * per
        currents = np.array([prescribed(change.problem) for change in changes]).T - prescribed(one)[:, None]
        return cls(
            tuple(change.key for change in changes), motion, follow.carried(motion),
            per * sigma + faster * old.sigma[:, None], per * nu, per * bare, per * currents, faster,
            per * within - faster * old.within[:, None], per * linked, solution.fine.discretisation.elements,
        )  # fmt: skip

    @cached_property
    def moving(self) -> IntArray:
        """Which of them move walls."""
        return np.flatnonzero(self.walls.any(axis=(0, 1)))

    @cached_property
    def moved(self) -> Moving:
        """What those do to triangles."""
        return Moving(self.elements, self.nodes[..., self.moving])

    @cached_property
    def filling(self) -> IntArray:
        """Which of them change what fills the regions."""
        found = self.sigma.any(axis=0) | self.nu.any(axis=0) | self.within.any(axis=0) | self.linked.any(axis=0)
        return np.flatnonzero(found)


def _filled_alike(one: Problem, other: Problem) -> bool:
    """Whether the same fills the regions of both, as is seen without finding out what does."""
    return one.roughness_model == other.roughness_model and all(
        (a.temperature, a.roughness, a.all_metals) == (b.temperature, b.roughness, b.all_metals)
        and not (a.strands or b.strands)  # a medium knows its outline
        and (not a.roughness or a.part.coats == b.part.coats)
        for a, b in zip(one.conductors, other.conductors, strict=True)
    )


def prescribed(problem: Problem) -> ComplexArray:
    """Currents of the circuits [A], (circuits,); of those that are shorted none is prescribed."""
    return np.array([0.0 if c.shorted else c.current for c in problem.circuits], dtype=np.complex128)


FILLED = ("sigma", "nu", "bare", "within", "linked")


@dataclass(frozen=True, eq=False)
class Filling:
    """What fills the conductors of a problem.

    Attributes
    ----------
    sigma, nu : (regions,) complex
        Conductivity [S/m] and relative reluctivity with what surfaces and strands do; the first is 0 where the current
        is given.
    bare : (regions,) float
        The relative reluctivity without that.
    within : (conductors,) complex
        Of bundles that carry a given current, beyond the field of their medium [ohm/m].
    linked : (conductors,) float
        At rest the inductance of all bundles beyond it [H/m].
    """

    sigma: ComplexArray
    nu: ComplexArray
    bare: FloatArray
    within: ComplexArray
    linked: FloatArray

    @classmethod
    def of(cls, problem: Problem, frequency: float) -> Filling:
        """At a frequency [Hz]."""
        metals = region_metals(problem, frequency)
        sigma = np.array([0.0 if m.given else m.conductivity * m.conducting for m in metals], dtype=complex)
        bare = np.array([1 / m.permeability for m in metals])
        nu = np.array([1 / (m.permeability * m.softness) for m in metals], dtype=complex)
        first = np.cumsum([0, *(len(c.all_metals) for c in problem.conductors)])[:-1]
        media = [metals[k].strands for k in first]
        within = np.array([0.0 if m is None else m.impedance if m.given else m.edge for m in media], dtype=complex)
        at_rest = 0.0 if frequency else 1.0
        linked = np.array([0.0 if m is None else at_rest * m.inductance for m in media])
        return cls(sigma, nu, bare, within, linked)
