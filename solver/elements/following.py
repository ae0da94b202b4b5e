"""How the nodes of a mesh follow its walls: harmonically, the outer circle as the walls do on the whole.

Thin layers then move with their wall, and nothing is stretched by more than the walls themselves are. The circle
shifts, turns and grows by the least-squares fit to all walls: the matrix of the space outside stays as it is, and a
section that is scaled as a whole takes its mesh along.

In the half plane r, z nodes on the axis move along it only, and the half circle does no more than shift along it too.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .factor import Numbers, Solve, eliminated
from .operators import Elements

DENSE = 400  # nodes up to which a dense matrix takes less than one with its places


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

    @cached_property
    def _ways(self) -> tuple[tuple[slice, BoolArray, Solve | None], ...]:
        """Ways to go, x and y, with the nodes that are free to and what solves for them.

        A mesh may be so coarse that walls and circle have all its nodes.
        """
        free, mesh = self._free, self.elements.mesh
        off = free & (mesh.points[:, 0] != 0)
        ways = ((slice(0, 1), off), (slice(1, 2), free)) if mesh.axial else ((slice(None), free),)
        return tuple((way, on, self._solving(on) if on.any() else None) for way, on in ways)

    def _solving(self, on: BoolArray) -> Solve:
        """What solves for the motion of some nodes, to fewer digits than fields need."""
        if isinstance(self._stiffness, np.ndarray):
            return partial(np.linalg.solve, self._stiffness[on][:, on])
        return eliminated(self._stiffness[on][:, on].tocsc(), "MMD_AT_PLUS_A").solve

    def _alike(self, nodes: IntArray) -> FloatArray:
        """A shift along x and y, a growth and a turn of some nodes about the centre of the mesh, (nodes, 2, 4) [m].

        In the half plane the shift along the axis alone, (nodes, 2, 1).
        """
        mesh = self.elements.mesh
        x, y = (mesh.points[nodes] - mesh.centre).T
        one, none = np.full(len(nodes), mesh.radius), np.zeros(len(nodes))
        ways = ((none, one),) if mesh.axial else ((one, none), (none, one), (x, y), (-y, x))
        return np.stack([np.stack(way, axis=-1) for way in ways], axis=-1)

    @cached_property
    def _fit(self) -> FloatArray:
        """From the motion of the walls to the shift, growth and turn of the circle, (4, w, 2) [1/m]."""
        alike = self._alike(self.walls)
        flat = alike.reshape(-1, alike.shape[2])
        found: FloatArray = np.linalg.solve(flat.T @ flat, flat.T).astype(float, copy=False)
        return found.reshape(-1, len(self.walls), 2)

    @property
    def growth(self) -> FloatArray:
        """Relative growth of the circle per motion of the walls, (w, 2) [1/m]."""
        return np.zeros((len(self.walls), 2)) if self.elements.mesh.axial else np.asarray(self._fit[2])

    @cached_property
    def _stiffness(self) -> FloatArray | sparse.csc_array:
        elements, count = self.elements, self.elements.count
        if count > DENSE:
            return elements.assemble(self._blocks)
        at = elements.dofs[:, :, None] * count + elements.dofs[:, None]
        found = np.bincount(at.ravel(), self._blocks.ravel(), minlength=count**2)
        return np.asarray(found, dtype=float).reshape(count, count)

    @property
    def _blocks(self) -> FloatArray:
        """Stiffness of every triangle (t, 3, 3), as if all had straight sides."""
        mesh = self.elements.mesh
        place = mesh.points[mesh.triangles] @ np.array([1, 1j])
        facing = place[:, [2, 0, 1]] - place[:, [1, 2, 0]]
        twice = np.abs((facing[:, 0].conj() * facing[:, 1]).imag)
        return np.asarray((facing[:, :, None] * facing[:, None].conj()).real / (2 * twice)[:, None, None])

    def on_walls(self, gradient: Numbers) -> Numbers:
        """What motions of the walls gain when all nodes follow, (w, 2, k), from that of every node (points, 2, k)."""
        gained = gradient.copy()
        for way, free, solve in self._ways:
            flat = gradient[:, way].reshape(len(gradient), -1)
            if solve is not None:
                inside = flat[free]
                moved = solve(inside.real)
                if np.iscomplexobj(flat):
                    moved = moved + 1j * solve(inside.imag)
                flat = flat - self._stiffness[:, free] @ moved
            gained[:, way] = flat.reshape(gradient[:, way].shape)
        found, outside = (gained[rows] for rows in (self.walls, self._circle))
        gains = np.tensordot(self._alike(self._circle), outside, ((0, 1), (0, 1)))
        return np.asarray(found + np.tensordot(self._fit, gains, (0, 0)))

    def carried(self, motion: FloatArray) -> FloatArray:
        """Motion of all nodes, (points, 2, k), as the walls move, (w, 2, k)."""
        found = np.zeros((self.elements.count, *motion.shape[1:]))
        circle, fitted = self._circle, np.tensordot(self._fit, motion, ((1, 2), (0, 1)))
        found[circle] = np.tensordot(self._alike(circle), fitted, (2, 0))
        found[self.walls] = motion
        for way, free, solve in self._ways:
            if solve is not None:
                flat = found[:, way].reshape(len(found), -1)
                moved = solve(-(self._stiffness[free] @ flat))
                found[free, way] = moved.reshape(-1, *found[:, way].shape[1:])
        return found
