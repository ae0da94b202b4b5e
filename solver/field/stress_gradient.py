"""What the stress on a conductor changes with: the field around it, and the nodes of the mesh.

The force along n is F = -(1 / 2 mu0) dK[w n](a, a), the change of twice the energy as the conductor takes its
surroundings along by w (`stress`). With p = grad a and g = grad w it is linear in

    s = (n . g) p - (n . p) g - (g . p) n        through the field:   dF = -(1 / mu0) integral s . grad da,

and as the nodes move with velocity V, w and a carried along, dF = -(1 / 2 mu0) integral T : grad V with M = p p' and

    T = ((n . g) tr M - 2 n' M g) 1 - tr M g n' - 2 (n . g) M + 2 M n g' + 2 M g n' + 2 g (M n)'.

(The second derivative of the energy over two motions; own derivation.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature
from crosscurrent.solver.elements.condensed import summed
from crosscurrent.solver.elements.local_functions import GEOMETRY
from crosscurrent.solver.elements.operators import CENTRE, Elements, reference_stiffness
from crosscurrent.solver.elements.shape_gradient import BLOCK, HAT, curved_to_corners
from crosscurrent.solver.metals.depth import MU0

from .stress import Surrounding


@dataclass(frozen=True, eq=False)
class StressGradient:
    """The force on a conductor along one direction, at one real field around it, and what it changes with.

    Attributes
    ----------
    force : float
        [N/m]
    load : (unknowns,) float
        Half of what it gains per potential at every unknown [N/m per Vs/m].
    at_nodes : (points, 2) float
        What it gains per motion of every node of the mesh [N/m per m].
    """

    force: float
    load: FloatArray
    at_nodes: FloatArray

    @classmethod
    def of(
        cls, elements: Elements, around: Surrounding, potential: FloatArray, direction: FloatArray
    ) -> StressGradient:
        """Of a potential (unknowns,) [Vs/m] along a unit vector (2,)."""
        near, curved = around.near, elements.mesh.curved
        bent = np.isin(near, curved)
        parts = [_straight(elements, near[~bent], around.falling, potential, direction)]
        rows = near[bent]
        for first in range(0, len(rows), BLOCK):
            parts.append(_curved(elements, rows[first : first + BLOCK], around.falling, potential, direction))
        dofs, load, corners = (np.concatenate(one) for one in zip(*parts, strict=True))
        mesh, count = elements.mesh, elements.count
        along = summed(elements.dofs[dofs], load[..., None], count)[:, 0]
        moved = summed(mesh.triangles[dofs], corners, len(mesh.points))
        return cls(float(potential @ along), along, moved)


def _fall(around: FloatArray, elements: Elements, rows: IntArray) -> FloatArray:
    """Slope of the function that falls off in the coordinates of the triangles, (t, 2)."""
    return np.asarray(around[elements.mesh.triangles[rows]] @ HAT)


def _straight(
    elements: Elements, rows: IntArray, falling: FloatArray, potential: FloatArray, n: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Loads (t, n) and gains per motion of the corners (t, 3, 2) of straight triangles."""
    determinant, inverse = (m[:, 0] for m in elements.maps(rows, CENTRE))
    g = np.einsum("tdr,tr->td", inverse, _fall(falling, elements, rows))
    a = potential[elements.dofs[rows]]
    reference = reference_stiffness(elements.order)
    metric = np.einsum("tda,tde,teb->tab", inverse, _across(g, n), inverse) * determinant[:, None, None]
    seen = np.einsum("abij,tj->tabi", reference, a, optimize=True)
    load = -np.einsum("tab,tabi->ti", metric, seen) / (2 * MU0)
    by_reference = np.einsum("tabi,ti->tab", seen, a) * determinant[:, None, None]
    m = np.einsum("tda,teb,tab->tde", inverse, inverse, by_reference)
    moved = _tensor(m, g, n) @ (HAT @ inverse.swapaxes(1, 2)).swapaxes(1, 2)
    return rows, load, -moved.swapaxes(1, 2) / (2 * MU0)


def _curved(
    elements: Elements, rows: IntArray, falling: FloatArray, potential: FloatArray, n: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """The same of curved triangles."""
    places, measure = quadrature(2 * elements.order)
    determinant, inverse = elements.maps(rows, places)
    measure = (determinant * measure)[..., None, None]
    functions = gradients(elements.order, places)
    g = np.einsum("tqdr,tr->tqd", inverse, _fall(falling, elements, rows))
    p = np.einsum("tqdr,qir,ti->tqd", inverse, functions, potential[elements.dofs[rows]], optimize=True)
    s = (_across(g, n) * measure) @ p[..., None]
    load = -np.einsum("tqd,tqdr,qir->ti", s[..., 0], inverse, functions, optimize=True) / (2 * MU0)
    tensor = _tensor(p[..., :, None] * p[..., None, :], g, n) * measure
    back = np.einsum("tqij,tqjr,qnr->tni", tensor, inverse, gradients(GEOMETRY, places), optimize=True)
    corners = curved_to_corners(elements, rows, back[..., None])[..., 0]
    return rows, load, -corners / (2 * MU0)


def _across(g: FloatArray, n: FloatArray) -> FloatArray:
    """s over p, (..., 2, 2)."""
    both = g[..., :, None] * n
    return np.asarray((g @ n)[..., None, None] * np.eye(2) - both - both.swapaxes(-1, -2))


def _tensor(m: FloatArray, g: FloatArray, n: FloatArray) -> FloatArray:
    """T of p p', (..., 2, 2)."""
    trace, along = np.trace(m, axis1=-2, axis2=-1)[..., None, None], (g @ n)[..., None, None]
    m_n, m_g = m @ n, (m @ g[..., None])[..., 0]
    of_n, of_g = m_n[..., :, None] * g[..., None, :], m_g[..., :, None] * n
    return np.asarray(
        (along * trace - 2 * (m_g @ n)[..., None, None]) * np.eye(2)
        - trace * g[..., :, None] * n - 2 * along * m + 2 * (of_n + of_g + of_n.swapaxes(-1, -2))
    )  # fmt: skip
