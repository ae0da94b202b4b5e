"""How the nodes of a mesh follow its walls: harmonically, the outer circle as the walls do on the whole.

Thin layers then move with their wall, and nothing is stretched by more than the walls themselves are. The circle
shifts, turns and grows by the least-squares fit to all walls: the matrix of the space outside stays as it is, and a
section that is scaled as a whole takes its mesh along.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .factor import Numbers, Solve, factorised
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
    def _circle(self) -> IntArray:
        """Nodes on the outer circle."""
        return np.unique(self.elements.mesh.truncation_edges)

    @cached_property
    def _free(self) -> BoolArray:
        free = np.ones(self.elements.count, dtype=bool)
        free[self.walls] = False
        free[self._circle] = False
        return free

    def _alike(self, nodes: IntArray) -> FloatArray:
        """A shift along x and y, a growth and a turn of some nodes about the centre of the mesh, (nodes, 2, 4) [m]."""
        mesh = self.elements.mesh
        x, y = (mesh.points[nodes] - mesh.centre).T
        one, none = np.full(len(nodes), mesh.radius), np.zeros(len(nodes))
        return np.stack([np.stack(v, axis=-1) for v in ((one, none, x, -y), (none, one, y, x))], axis=1)

    @cached_property
    def _fit(self) -> FloatArray:
        """From the motion of the walls to the shift, growth and turn of the circle, (4, w, 2) [1/m]."""
        inverse = np.linalg.pinv(self._alike(self.walls).reshape(-1, 4))
        return np.asarray(inverse, dtype=float).reshape(4, -1, 2)

    @property
    def growth(self) -> FloatArray:
        """Relative growth of the circle per motion of the walls, (w, 2) [1/m]."""
        return np.asarray(self._fit[2])

    @cached_property
    def _solve(self) -> Solve:
        return factorised(self._stiffness[self._free][:, self._free])

    @cached_property
    def _stiffness(self) -> sparse.csc_array:
        return self.elements.assemble(self.elements.stiffness_blocks)

    def on_walls(self, gradient: Numbers) -> Numbers:
        """What motions of the walls gain when all nodes follow, (w, 2, k), from that of every node (points, 2, k)."""
        flat = gradient.reshape(len(gradient), -1)
        if self._free.any():  # a mesh may be so coarse that walls and circle have all its nodes
            inside = flat[self._free]
            moved = self._solve(inside.real)
            if np.iscomplexobj(flat):
                moved = moved + 1j * self._solve(inside.imag)
            flat = flat - self._stiffness[:, self._free] @ moved
        found, outside = (flat[rows].reshape(-1, *gradient.shape[1:]) for rows in (self.walls, self._circle))
        gains = np.tensordot(self._alike(self._circle), outside, ((0, 1), (0, 1)))
        return np.asarray(found + np.tensordot(self._fit, gains, (0, 0)))
