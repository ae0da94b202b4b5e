"""The largest force of a cycle on every conductor, as the stress of one real field: that at the instant of the peak.

With f(t) = mean + Re(swing exp(2 j w t)) for rms phasors A, the force at a phase q = w t is that of the real field
sqrt(2) Re(A exp(j q)). At the peak f changes with the instant only across itself: so the slope of the largest force is
that of its component along itself at that instant.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.operators import Elements

from .flow import SteadyFlow, is_steady
from .problem import Problem
from .ring_stress import RingStress
from .stress import surroundings
from .stress_gradient import PlaneStress

ROUNDS, ENOUGH = 20, 1e-12  # at most, of the search for the instant from the best of some, and its last step
INSTANTS = 72
TURNS = np.exp(2j * np.pi * np.arange(INSTANTS) / INSTANTS)


@dataclass(frozen=True)
class Peak:
    """When and which way the force on a conductor is largest.

    Attributes
    ----------
    conductor : int
    turn : complex
        What the phasors are multiplied with for twice the real field of that instant, over root 2.
    direction : (2,) float
        Of the force, a unit vector.
    """

    conductor: int
    turn: complex
    direction: FloatArray


def peaks(flow: SteadyFlow, together: Sequence[int] = (), *, whole: bool = False) -> tuple[Peak, ...]:
    """Of every conductor; round an axis along it, then outward.

    `together`: conductors round an axis whose forces along it are taken when and whither their sum is largest. `whole`:
    those of the strands of each bundle are, in every direction.

    Examples
    --------
    Two rods push each other apart, most as both currents are at their crests:

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> rods = tuple(Conductor(Part(n, round_bar(0.01).placed((x, 0))), MATERIALS["copper"])
    ...              for n, x in (("a", 0.0), ("b", 0.03)))
    >>> first, _ = peaks(solve(Problem(rods, (Circuit("feed", 1.0, ("a",), ("b",)),)), 0.0).fine)
    >>> (first.direction.round(6) + 0.0).tolist(), round(abs(first.turn), 6)
    ([-1.0, 0.0], 1.0)
    """
    count = len(flow.problem.conductors)
    every = [[k] for k in range(count)]
    for strands in strands_of(flow.problem) if whole else ():
        for k in strands:
            every[k] = list(strands)
    if flow.problem.axial:
        own = [_along(flow, on, way, k) for way in (1, 0) for k, on in enumerate(every)]
        for k in together:
            own[k] = _along(flow, list(together), 1, k)
        return tuple(own)
    return tuple(_peak(flow, on, k) for k, on in enumerate(every))


def strands_of(problem: Problem) -> Iterator[tuple[int, ...]]:
    """Numbers of the conductors that are the strands of each bundle."""
    for bound in problem.bundles:
        yield tuple(problem.names.index(name) for name in bound.members)


def _along(flow: SteadyFlow, on: list[int], way: int, number: int) -> Peak:
    """Along one direction alone: the force on a conductor, or on it with others, furthest from zero."""
    mean, swing = float(flow.force[on, way].sum()), complex(flow.forces.swing[on, way].sum())
    sign, direction = float(np.copysign(1.0, mean)), np.zeros(2)
    direction[way] = sign if way or not flow.problem.section.crosses[on[0]] else 0.0  # across the axis there is none
    if is_steady(flow):
        return Peak(number, complex(np.exp(-0.5j * np.angle((flow.currents**2).sum()))), direction)
    return Peak(number, complex(np.sqrt(2.0) * np.exp(-0.5j * np.angle(sign * swing))), direction)


def _peak(flow: SteadyFlow, on: list[int], number: int) -> Peak:
    mean, swing = flow.force[on].sum(axis=0), flow.forces.swing[on].sum(axis=0)
    if is_steady(flow):
        phase, size = -np.angle((flow.currents**2).sum()) / 2, 1.0
        force = mean
    else:
        phase, size = instant(mean, swing), np.sqrt(2.0)
        force = mean + (swing * np.exp(2j * phase)).real
    return Peak(number, complex(size * np.exp(1j * phase)), force / max(float(np.hypot(*force)), 1e-300))


def instant(mean: FloatArray, swing: ComplexArray) -> float:
    """Phase at which |mean + Re(swing exp(2 j q))| is largest [rad].

    Examples
    --------
    >>> round(instant(np.array([1.0, 0.0]), np.array([0.5j, 0.0])), 6)
    -0.785398
    """
    # its square is a constant + Re(u z + v z^2) with z = exp(2 j q)
    u, v = complex(2 * mean @ swing), complex(0.5 * swing @ swing)
    theta = cmath.phase(TURNS[(u * TURNS + v * TURNS**2).real.argmax()])
    for _ in range(ROUNDS):
        one, two = u * cmath.exp(1j * theta), v * cmath.exp(2j * theta)
        rise, bend = (1j * one + 2j * two).real, (-one - 4 * two).real
        if bend >= 0:
            break
        theta -= rise / bend
        if abs(rise) <= -ENOUGH * bend:
            break
    return theta / 2


@dataclass(frozen=True, eq=False)
class PeakForce:
    """The largest force on a conductor, and what it changes with.

    Attributes
    ----------
    turn : complex
        As `Peak` has it.
    load : (unknowns,) float
        Half of what it gains per A at every unknown, real parts of products with it times `turn` [N/m per Vs/m].
    at_nodes : (points, 2) float
        What it gains per motion of every node of the mesh [N/m per m].
    at_regions : (regions,) float
        What it gains by itself per relative reluctivity of every region [N].
    value : float
        [N/m]
    """

    turn: complex
    load: FloatArray
    at_nodes: FloatArray
    at_regions: FloatArray
    value: float


@dataclass(frozen=True, eq=False)
class PeakPlaces:
    """Where the stress of the largest forces is taken.

    Attributes
    ----------
    at : sequence of Peak
    stress : PlaneStress or RingStress
    """

    at: Sequence[Peak]
    stress: PlaneStress | RingStress

    @classmethod
    def of(cls, flow: SteadyFlow, at: Sequence[Peak]) -> PeakPlaces:
        """On the mesh of a flow."""
        d = flow.discretisation
        around = list(surroundings(d.mesh, d.elements.metal, d.reluctivity))
        near, ways = [around[peak.conductor] for peak in at], np.stack([peak.direction for peak in at])
        if not flow.problem.axial:
            return cls(at, PlaneStress.of(d.elements, near, ways))
        own = np.stack([np.where(d.mesh.part == peak.conductor, d.reluctivity, 0.0) for peak in at])
        return cls(at, RingStress.of(d.elements, near, ways, own))

    def forces(self, elements: Elements, potential: ComplexArray) -> list[tuple[PeakForce, ...]]:
        """By the stress of fields (fields, unknowns) of elements of the same order."""
        turns = np.array([peak.turn for peak in self.at])
        found = self.stress.gradients(elements, (turns[:, None] * potential[:, None]).real)
        return [
            tuple(
                PeakForce(peak.turn, of.load, of.at_nodes, of.at_regions, of.force)
                for peak, of in zip(self.at, one, strict=True)
            )
            for one in found
        ]


def peak_forces(flow: SteadyFlow, at: Sequence[Peak]) -> tuple[PeakForce, ...]:
    """By the stress, at given instants."""
    (found,) = PeakPlaces.of(flow, at).forces(flow.discretisation.elements, flow.potential[None])
    return found
