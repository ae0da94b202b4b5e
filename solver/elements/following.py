"""How the nodes of a mesh follow its walls: harmonically, the outer circle at rest.

Thin layers then move with their wall, and nothing is stretched by more than the walls themselves are.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, IntArray

from .factor import Solve, factorised
from .operators import Elements


@dataclass(frozen=True, eq=False)
class Following:
    """How the nodes of a mesh follow its walls.

    Attributes
    ----------
    elements : Elements
        Of order 1.
    walls : (w,) int
        Nodes on the walls.
    """

    elements: Elements
    walls: IntArray

    @cached_property
    def _free(self) -> BoolArray:
        free = np.ones(self.elements.count, dtype=bool)
        free[self.walls] = False
        free[self.elements.mesh.truncation_edges] = False
        return free

    @cached_property
    def _solve(self) -> Solve:
        return factorised(self._stiffness[self._free][:, self._free])

    @cached_property
    def _stiffness(self) -> sparse.csc_array:
        return self.elements.assemble(self.elements.stiffness_blocks)

    def on_walls(self, gradient: ComplexArray) -> ComplexArray:
        """What motions of the walls gain when all nodes follow, (w, 2, k), from that of every node (points, 2, k)."""
        if not self._free.any():  # a mesh so coarse that walls and circle have all its nodes
            return gradient[self.walls]
        flat = gradient.reshape(len(gradient), -1)
        inside = flat[self._free]
        moved = self._solve(np.column_stack((inside.real, inside.imag)))
        moved = moved[:, : flat.shape[1]] + 1j * moved[:, flat.shape[1] :]
        found = flat[self.walls] - self._stiffness[self.walls][:, self._free] @ moved
        return np.asarray(found).reshape(-1, *gradient.shape[1:])
