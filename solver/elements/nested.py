"""Fields of one order as those of the order above on the same mesh, and what that one keeps of its own.

Functions of a lower order are sums of those of a higher one, at the axis of a half plane too: what fields of both
orders are wanted for is then found with the higher alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import values

from .operators import Elements


@dataclass(frozen=True, eq=False)
class Nested:
    """Elements of two orders on one mesh.

    Attributes
    ----------
    fine, coarse : Elements
    """

    fine: Elements
    coarse: Elements

    @cached_property
    def _owner(self) -> IntArray:
        """Place among those of all triangles that tells each unknown of the higher order."""
        dofs = self.fine.dofs.ravel()
        found = np.empty(self.fine.count, dtype=np.int64)
        found[dofs] = np.arange(len(dofs))
        return found

    @cached_property
    def _up(self) -> FloatArray:
        """From the values of the lower order at its nodes to those at the nodes of the higher, (n, m)."""
        return values(self.coarse.order, lattice(self.fine.order)[:, 1:] / self.fine.order)

    @cached_property
    def _kept(self) -> FloatArray:
        """From values at the nodes of the higher order through those at nodes of the lower, (n, n)."""
        return self._up @ values(self.fine.order, lattice(self.coarse.order)[:, 1:] / self.coarse.order)

    def raised(self, field: ComplexArray) -> ComplexArray:
        """A field of the lower order (unknowns, k) at the unknowns of the higher.

        Examples
        --------
        >>> from crosscurrent.geometries.meshing.mesher import mesh_section
        >>> from crosscurrent.geometries.plane.part import Part
        >>> from crosscurrent.geometries.plane.section import Section
        >>> from crosscurrent.geometries.plane.shapes import bar
        >>> mesh = mesh_section(Section((Part("bar", bar(0.02, 0.01)),)), [[np.inf]])
        >>> both = Nested(Elements(mesh, 3), Elements(mesh, 2))
        >>> field = np.arange(both.coarse.count)[:, None] + 1j
        >>> raised = both.raised(field)
        >>> bool(np.allclose(raised[mesh.triangles], field[mesh.triangles]))
        True
        >>> bool(np.allclose(both.lowered(raised), raised))
        True
        """
        return self._gathered(self._up, np.take(field, self.coarse.dofs, axis=0))

    def lowered(self, field: ComplexArray) -> ComplexArray:
        """What the lower order keeps of a field of the higher (unknowns, k), as one of that."""
        return self._gathered(self._kept, np.take(field, self.fine.dofs, axis=0))

    def _gathered(self, turned: FloatArray, field: ComplexArray) -> ComplexArray:
        every = turned @ field.view(float)
        return np.take(every.reshape(-1, every.shape[2]), self._owner, axis=0).view(complex)
