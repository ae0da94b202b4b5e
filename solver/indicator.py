"""Where the error sits: the energy of the difference between two orders, triangle by triangle."""

from __future__ import annotations

import numpy as np

from ..geometries.mesh import lattice
from ..geometries.outline import FloatArray
from ..geometries.shape_functions import values
from .flow import Flow
from .materials import MU0


def indicators(fine: Flow, coarse: Flow) -> FloatArray:
    """Energy of the difference of two flows on one mesh, per triangle, (t,) [W/m].

    w |grad dA|^2 / mu + sigma |dE|^2, which for this problem bounds the error of the complex power. At 0 Hz w is
    taken as 1.
    """
    d = fine.discretisation
    e, c = d.elements, coarse.discretisation.elements
    raised = values(c.order, lattice(e.order)[:, 1:] / e.order)
    omega = 2 * np.pi * fine.fields.frequency or 1.0
    a = fine.potential[e.dofs] - coarse.potential[c.dofs] @ raised.T
    a = a - a.mean(axis=1, keepdims=True)
    energy = np.einsum("ti,tij,tj->t", a.conj(), e.stiffness_blocks, a, optimize=True).real
    energy *= omega * d.reluctivity / MU0
    metal = e.metal
    energy[metal] *= fine.lit
    field = fine.electric[e.dofs[metal]] - coarse.electric[c.dofs[metal]] @ raised.T
    lost = np.einsum("ti,tij,tj->t", field.conj(), e.mass_blocks, field, optimize=True).real
    energy[metal] += fine.lit * d.sigma * lost
    return np.asarray(energy)
