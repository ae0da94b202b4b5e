"""Where the error sits: the energy of the difference between two orders, by triangle; and how much it leaves open."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.corners import sharp_corners
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.elements.condensed import energies
from crosscurrent.solver.metals.depth import MU0

from .flow import SteadyFlow


def indicators(fine: SteadyFlow, coarse: SteadyFlow) -> FloatArray:
    """Energy of the difference of two flows on one mesh, per triangle, (t,) [W/m].

    w |grad dA|^2 / mu + sigma |dE|^2, which for this problem bounds the error of the complex power. At 0 Hz w is
    taken as 1.
    """
    d = fine.discretisation
    e, c = d.elements, coarse.discretisation.elements
    metal = e.metal
    energy = _magnetic(fine, coarse, np.arange(len(e.dofs)))
    energy[metal] *= fine.active
    field = fine.electric[e.dofs[metal]] - coarse.electric[c.dofs[metal]] @ _raised(fine, coarse).T
    lost = energies(e.mass_blocks, field)
    energy[metal] += fine.active * d.sigma * lost
    return energy


def left_at_corners(fine: SteadyFlow, weights: FloatArray) -> float:
    """What is still missing over what changed from the order below, at least 1.

    Parameters
    ----------
    fine : SteadyFlow
    weights : (t,) float
        `indicators` of the change.

    Notes
    -----
    A field of exponent e at a point is met by elements of order p up to an energy of p^(-4 e) (I. Babuska and M. Suri,
    SIAM Review 36, 578-632, 1994, from memory). Where permeability jumps at a corner, e is at least 1/2 for any angle:
    what order p + 1 still misses is then at most p^2 / (2 p + 1) of what it gained on order p. Without such a jump the
    field in the metal is smooth enough for the change to be the larger of the two.
    """
    if not weights.any():
        return 1.0
    left = np.where(_near_corners(fine), _missing(fine), 1.0)
    return float(np.average(left, weights=weights))


def hidden_at_corners(fine: SteadyFlow, weights: FloatArray) -> float:
    """What is still missing round an axis where permeability jumps at corners, over all loss.

    Parameters
    ----------
    fine : SteadyFlow
    weights : (t,) float
        `indicators` of the change.

    Notes
    -----
    The energy of `left_at_corners` itself. The change of a loss may cross zero from one order to the next while its
    error does not, as beside a magnetic coat far thinner than its elements are long; energy cannot. At 0 Hz there is
    nothing to miss: the loss is exact.
    """
    lost = float(fine.powers.real.sum())
    if not fine.frequency or lost <= 0:
        return 0.0
    return float(weights[_near_corners(fine)].sum()) * _missing(fine) / lost


def _missing(fine: SteadyFlow) -> float:
    """What this order misses at a corner with a jump over what it gained on the order below."""
    below = fine.discretisation.order - 1
    return max(1.0, below**2 / (2 * below + 1))


def _near_corners(fine: SteadyFlow) -> BoolArray:
    """Triangles at corners where permeability jumps, their neighbours and those of these, (t,)."""
    mesh = fine.discretisation.mesh
    near = np.zeros(len(mesh.points), bool)
    near[sharp_corners(mesh, fine.discretisation.reluctivity)] = True
    near[mesh.triangles[near[mesh.triangles].any(axis=1)]] = True
    return np.asarray(near[mesh.triangles].any(axis=1))


def at_corners(mesh: Mesh, corners: IntArray) -> IntArray:
    """Which of some corner points each triangle touches, -1 for none, (t,)."""
    number = np.full(len(mesh.points), -1)
    number[corners] = np.arange(len(corners))
    return np.asarray(number[mesh.triangles].max(axis=1))


def changed_in_air(fine: SteadyFlow, coarse: SteadyFlow) -> float:
    """The share of the air in the sum of `indicators` [W/m]."""
    return float(_magnetic(fine, coarse, np.flatnonzero(fine.discretisation.mesh.region == AIR)).sum())


def _magnetic(fine: SteadyFlow, coarse: SteadyFlow, rows: IntArray) -> FloatArray:
    """w |grad dA|^2 / mu of triangles, (m,)."""
    d = fine.discretisation
    e, c = d.elements, coarse.discretisation.elements
    a = fine.potential.take(e.dofs[rows]) - coarse.potential.take(c.dofs[rows]) @ _raised(fine, coarse).T
    a = e.centred(a, rows)
    energy = energies(e.stiffness_blocks.take(rows, axis=0), a)
    return np.asarray(energy * (2 * np.pi * fine.frequency or 1.0) * d.reluctivity[rows] / MU0)


def _raised(fine: SteadyFlow, coarse: SteadyFlow) -> FloatArray:
    """Values of the coarse flow's shape functions at the nodes of the fine one's."""
    c, e = coarse.discretisation.elements, fine.discretisation.elements
    return values(c.order, lattice(e.order)[:, 1:] / e.order)
