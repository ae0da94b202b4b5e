"""The curved triangles of a mesh for scikit-fem: a mapping to give to its bases beside `Mesh.to_skfem()`."""

from __future__ import annotations

import numpy as np
from skfem.mapping.mapping import Mapping

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .curved import CHECKED
from .lattice import lattice
from .mesh import Mesh
from .shape_functions import gradients, values


class CurvedMapping(Mapping):  # type: ignore[misc, unused-ignore]
    """Carries the reference triangle to every curved triangle; bases over cells only, not over facets.

    Parameters
    ----------
    mesh : Mesh
        The one whose `to_skfem()` the basis stands on.

    Examples
    --------
    >>> import skfem
    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> mesh = mesh_section(Section((Part("rod", round_bar(2.0)),)), [[0.5]])
    >>> basis = skfem.Basis(
    ...     mesh.to_skfem(), skfem.ElementTriP4(), CurvedMapping(mesh), elements="0.0", intorder=12
    ... )
    >>> round(float(skfem.Functional(lambda w: 1 + 0 * w.x[0]).assemble(basis)), 8)
    3.14159265
    """

    def __init__(self, mesh: Mesh) -> None:
        bary = lattice(CHECKED)
        nodes = np.einsum("nk,tkd->tnd", bary / CHECKED, mesh.points[mesh.triangles])
        nodes[mesh.curved] = mesh.geometry(CHECKED)
        # scikit-fem has the corners of a triangle in order of their numbers
        corner = np.argsort(mesh.triangles, axis=1)
        ours = np.empty((len(corner), len(bary), 3), dtype=np.int64)
        np.put_along_axis(ours, corner[:, None], bary[None], axis=2)
        place = np.zeros((CHECKED + 1, CHECKED + 1), dtype=np.int64)
        place[bary[:, 0], bary[:, 1]] = np.arange(len(bary))
        self._nodes = np.take_along_axis(nodes, place[ours[..., 0], ours[..., 1]][..., None], axis=1)
        self.dim = 2

    def _at(self, table: FloatArray, places: FloatArray, tind: IntArray | None) -> FloatArray:
        nodes = self._nodes if tind is None else self._nodes[tind]
        if places.ndim == 2:
            return np.asarray(np.einsum("qn...,tnd->d...tq", table, nodes))
        table = table.reshape(*places.shape[1:], *table.shape[1:])
        return np.asarray(np.einsum("tqn...,tnd->d...tq", table, nodes))

    def F(self, X: FloatArray, tind: IntArray | None = None) -> FloatArray:
        """Places of reference places X (2, q) or (2, t, q), (2, t, q) [m]."""
        return self._at(values(CHECKED, X.reshape(2, -1).T), X, tind)

    def DF(self, X: FloatArray, tind: IntArray | None = None) -> FloatArray:
        """Jacobian, (2, 2, t, q)."""
        return self._at(gradients(CHECKED, X.reshape(2, -1).T), X, tind)

    def detDF(self, X: FloatArray, tind: IntArray | None = None) -> FloatArray:
        """Its determinant, (t, q)."""
        (a, b), (c, d) = self.DF(X, tind)
        return np.asarray(a * d - b * c)

    def invDF(self, X: FloatArray, tind: IntArray | None = None) -> FloatArray:
        """Its inverse, (2, 2, t, q)."""
        (a, b), (c, d) = self.DF(X, tind)
        return np.asarray(np.array([[d, -b], [-c, a]]) / (a * d - b * c))
