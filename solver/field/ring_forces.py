"""Forces of a section round an axis: along it, outward on every turn, and between bodies, in service and at a fault.

The force away from the axis is given as a sum over the turn, F_r. Over its middle circle that is F_r / (2 pi R) per
length; over the cylinder of its height there, a pressure; and as in a vessel's wall it pulls the section A apart with
F_r / (2 pi A) on the mean. What the forces of a turn do against one another over its section is not in that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .flow import is_steady
from .problem import Problem
from .solution import Solution
from .supports import fault_peak


@dataclass(frozen=True)
class RingForce:
    """Forces on one conductor.

    Attributes
    ----------
    name : str
    live : bool
        Whether it is in a circuit.
    radius, height, area : float
        Of its middle circle, along the axis [m], and of its section [m2]; radius 0 for what lies on the axis.
    radial, axial : float
        Mean in service, away from the axis summed over the turn, and along it [N].
    radial_peak, axial_peak : float
        Largest in size in service, with its sign [N].
    error : float
        Bound on each of them [N]; half of it on the means.
    """

    name: str
    live: bool
    radius: float
    height: float
    area: float
    radial: float
    axial: float
    radial_peak: float
    axial_peak: float
    error: float

    @property
    def per_length(self) -> float | None:
        """Mean outward force over the middle circle [N/m]; None for what lies on the axis."""
        return self.radial / (2 * math.pi * self.radius) if self.radius else None

    @property
    def pressure(self) -> float | None:
        """That over the height [Pa]."""
        return None if self.per_length is None else self.per_length / self.height

    @property
    def hoop(self) -> float | None:
        """Largest mean stress round the axis in service, pull positive [Pa]."""
        return self.radial_peak / (2 * math.pi * self.area) if self.radius else None


@dataclass(frozen=True)
class BodyForce:
    """Force along the axis on what moves together: the turns of a circuit, or a conductor in none.

    Attributes
    ----------
    name : str
    members : tuple of str
    axial, peak, error : float
        Mean and largest in service, with its sign, and the bound on each [N].
    from_others : bool
        Whether it is what all others leave, which is known better.
    """

    name: str
    members: tuple[str, ...]
    axial: float
    peak: float
    error: float
    from_others: bool = False


def largest(mean: float, swing: complex) -> float:
    """Mean or not, the force furthest from zero: mean + Re(swing exp(2 j w t)).

    Examples
    --------
    >>> largest(-2.0, 1j), largest(1.0, 3.0)
    (-3.0, 4.0)
    """
    return mean + math.copysign(abs(swing), mean)


def ring_forces(solution: Solution) -> tuple[RingForce, ...]:
    """On every conductor."""
    problem, forces = solution.problem, solution.fine.forces
    steady = is_steady(solution.fine)
    found = []
    for k, part in enumerate(problem.section.parts):
        low, high = np.array([s.outer.bounds for s in (part.shape, *part.pieces)]).min(axis=0)[0], part.bounds[1]
        on_axis = problem.section.crosses[k]
        swing = np.zeros(2) if steady else forces.swing[k]
        (radial, axial), (r, z) = forces.mean[k], swing
        found.append(
            RingForce(
                part.name,
                part.name in problem.live,
                0.0 if on_axis else 0.5 * float(low[0] + high[0]),
                float(high[1] - low[1]),
                part.area + sum(piece.area for piece in part.pieces),
                float(radial),
                float(axial),
                largest(float(radial), complex(r)),
                largest(float(axial), complex(z)),
                2 * float(solution.force_errors[k]),
            )
        )
    return tuple(found)


def body_forces(solution: Solution) -> tuple[BodyForce, ...]:
    """On every body; since all add up to nothing, the least known is what the others leave, where that is better."""
    problem, forces = solution.problem, solution.fine.forces
    bodies = _bodies(problem)
    swing = np.zeros(len(problem.names)) if is_steady(solution.fine) else forces.swing[:, 1]
    found = []
    for name, members in bodies.items():
        rows = [problem.names.index(member) for member in members]
        mean, turning = float(forces.mean[rows, 1].sum()), complex(swing[rows].sum())
        error = 2 * float(solution.force_errors[rows].sum())
        found.append((name, members, mean, turning, error))
    least = int(np.argmax([error for *_, error in found]))
    others = [one for k, one in enumerate(found) if k != least]
    left = sum(error for *_, error in others)
    if others and left < found[least][-1]:
        mean, turning = -sum(one[2] for one in others), -sum(one[3] for one in others)
        found[least] = (*found[least][:2], mean, turning, left)
    else:
        least = -1
    return tuple(
        BodyForce(name, members, mean, largest(mean, turning), error, k == least)
        for k, (name, members, mean, turning, error) in enumerate(found)
    )


def _bodies(problem: Problem) -> dict[str, tuple[str, ...]]:
    """Circuits that share turns are one body."""
    found: dict[str, tuple[str, ...]] = {}
    for circuit in problem.circuits:
        shared = [name for name, members in found.items() if set(members) & set(circuit.members)]
        members = dict.fromkeys((*(m for name in shared for m in found.pop(name)), *circuit.members))
        found[" and ".join((*shared, circuit.name))] = tuple(members)
    idle = {name: (name,) for name in problem.names if name not in problem.live}
    return found | {(f"{name} itself" if name in found else name): members for name, members in idle.items()}


def at_fault(force: float, ratio: float | None, solution: Solution) -> float | None:
    """A peak in service at a fault of a ratio, as of `supports.fault_peak`, with its sign; None without one."""
    if ratio is None:
        return None
    return math.copysign(fault_peak(abs(force), ratio, steady=is_steady(solution.fine)), force)


def largest_ratio(rings: tuple[RingForce, ...], stress: float) -> float | None:
    """By what the currents may grow until a ring's mean pull reaches a stress [Pa]; None where nothing pulls."""
    pulled: FloatArray = np.array([ring.hoop or 0.0 for ring in rings])
    top = float(pulled.max(initial=0.0))
    return math.sqrt(stress / top) if top > 0 else None
