"""Where the error sits: the energy of the difference between two orders, triangle by triangle."""

from __future__ import annotations

import numpy as np

from ..geometries.mesh import AIR, lattice
from ..geometries.outline import FloatArray
from ..geometries.shape_functions import values
from ..geometries.sides import IntArray
from .flow import Flow
from .materials import MU0


def indicators(fine: Flow, coarse: Flow) -> FloatArray:
    """Energy of the difference of two flows on one mesh, per triangle, (t,) [W/m].

    w |grad dA|^2 / mu + sigma |dE|^2, which for this problem bounds the error of the complex power. At 0 Hz w is
    taken as 1.
    """
    d = fine.discretisation
    e, c = d.elements, coarse.discretisation.elements
    metal = e.metal
    energy = _magnetic(fine, coarse, np.arange(len(e.dofs)))
    energy[metal] *= fine.lit
    field = fine.electric[e.dofs[metal]] - coarse.electric[c.dofs[metal]] @ _raised(fine, coarse).T
    lost = np.einsum("ti,tij,tj->t", field.conj(), e.mass_blocks, field, optimize=True).real
    energy[metal] += fine.lit * d.sigma * lost
    return energy


def changed_in_air(fine: Flow, coarse: Flow) -> float:
    """The share of the air in the sum of `indicators` [W/m]."""
    return float(_magnetic(fine, coarse, np.flatnonzero(fine.discretisation.mesh.region == AIR)).sum())


def _magnetic(fine: Flow, coarse: Flow, rows: IntArray) -> FloatArray:
    """w |grad dA|^2 / mu of triangles, (m,)."""
    d = fine.discretisation
    e, c = d.elements, coarse.discretisation.elements
    a = fine.potential[e.dofs[rows]] - coarse.potential[c.dofs[rows]] @ _raised(fine, coarse).T
    a = a - a.mean(axis=1, keepdims=True)
    energy = np.einsum("ti,tij,tj->t", a.conj(), e.stiffness_blocks[rows], a, optimize=True).real
    return np.asarray(energy * (2 * np.pi * fine.fields.frequency or 1.0) * d.reluctivity[rows] / MU0)


def _raised(fine: Flow, coarse: Flow) -> FloatArray:
    """Values of the coarse flow's shape functions at the nodes of the fine one's."""
    c, e = coarse.discretisation.elements, fine.discretisation.elements
    return values(c.order, lattice(e.order)[:, 1:] / e.order)
