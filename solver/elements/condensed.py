"""Linear systems of element matrices: the unknowns inside a triangle are eliminated there, the rest by one factor.

With a triangle's unknowns split into those on its border, b, and those inside, i, its matrix leaves

    S_bb - S_bi S_ii^-1 S_ib

for the border: exact algebra on small blocks, for all triangles at once, that spares the sparse factor up to half of
its unknowns.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import SuperLU

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .factor import COLUMNS, Numbers, Sparse, eliminated
from .operators import Elements

SURE = 1e-12  # of the form of a solution and its right-hand side: what may be left without another step
FEW = 2  # columns that are added up one by one


@dataclass(frozen=True, eq=False)
class ElementMatrices:
    """Symmetric matrices of some triangles.

    Attributes
    ----------
    dofs : (t, n) int
        Their unknowns, those on the border first.
    blocks : (t, n, n)
    border : int
        Unknowns on the border of a triangle.
    """

    dofs: IntArray
    blocks: Numbers
    border: int

    @classmethod
    def of(cls, elements: Elements, rows: IntArray, blocks: Numbers) -> ElementMatrices:
        """Of some of the triangles of a mesh."""
        return cls(elements.dofs[rows], blocks, 3 * elements.order)

    @cached_property
    def inner(self) -> Numbers:
        """S_ii^-1, (t, i, i)."""
        return np.asarray(np.linalg.inv(self.blocks[:, self.border :, self.border :]))

    @cached_property
    def inward(self) -> Numbers:
        """S_ii^-1 S_ib, (t, i, b)."""
        return np.asarray(self.inner @ self.blocks[:, self.border :, : self.border])

    @property
    def condensed(self) -> Numbers:
        """What is left for the border, (t, b, b)."""
        b = self.border
        found = self.blocks[:, :b, b:] @ self.inward
        return np.asarray(np.subtract(self.blocks[:, :b, :b], found, out=found))

    def applied(self, field: Numbers) -> Numbers:
        """Their product with fields (unknowns, k), (unknowns, k)."""
        return summed(self.dofs, products(self.blocks, field.take(self.dofs, axis=0)), len(field))


def products(blocks: Numbers, columns: Numbers) -> Numbers:
    """Blocks (t, n, m) times columns (t, m, k), (t, n, k); those of real blocks without making them complex.

    Examples
    --------
    >>> products(np.eye(2)[None], np.array([[[1j], [2.0]]])).tolist()
    [[[1j], [(2+0j)]]]
    """
    if np.iscomplexobj(blocks) or not np.iscomplexobj(columns):
        return np.asarray(blocks @ columns)
    return np.asarray((blocks @ np.ascontiguousarray(columns).view(float)).view(complex))


def energies(blocks: FloatArray, field: Numbers) -> FloatArray:
    """The form v* S v of symmetric blocks (t, n, n) at values (t, n), (t,).

    Examples
    --------
    >>> energies(np.eye(2)[None], np.array([[1j, 2.0]])).tolist()
    [5.0]
    """
    parts = np.stack((field.real, field.imag), axis=2)
    return np.asarray((parts * (blocks @ parts)).reshape(len(parts), -1).sum(axis=1))


def summed(dofs: IntArray, values: Numbers, count: int) -> Numbers:
    """Values (t, n, k) at unknowns (t, n) of triangles, added up, (count, k).

    Examples
    --------
    >>> summed(np.array([[0, 1], [1, 2]]), np.array([[[1.0], [2.0]], [[3.0], [4.0]]]), 3).tolist()
    [[1.0], [5.0], [4.0]]
    """
    at, columns = dofs.ravel(), np.ascontiguousarray(values).reshape(-1, values.shape[-1])
    flat = columns.view(float) if np.iscomplexobj(columns) else columns
    if flat.shape[1] <= FEW:
        found = np.stack([np.bincount(at, column, minlength=count) for column in flat.T], axis=1).astype(float)
    else:  # one pass through all columns, each place added up in the order of the triangles as well
        found = sparse.csc_array((np.ones(len(at)), at, np.arange(len(at) + 1)), shape=(count, len(at))) @ flat
    return np.asarray(found.view(complex) if np.iscomplexobj(columns) else found)


def added_up(rows: IntArray, columns: IntArray, values: Numbers, size: int) -> Sparse:
    """A symmetric matrix from its entries, those of one place added up.

    Turned from rows to columns, the entries of each column come in order, which takes far less than sorting them.

    Examples
    --------
    >>> added_up(np.array([0, 1, 0, 1]), np.array([1, 0, 1, 0]), np.ones(4), 2).toarray().tolist()
    [[0.0, 2.0], [2.0, 0.0]]
    """
    loose = sparse.coo_array((values, (rows, columns)), shape=(size, size))
    loose.has_canonical_format = True  # for now: what stands twice is added up once the entries are in order
    found: Sparse = loose.tocsr().tocsc()
    found.sum_duplicates()
    return found


@dataclass(frozen=True, eq=False)
class CondensedSystem:
    """The sum of the matrices of triangles and of one dense matrix, symmetric with definite parts.

    Attributes
    ----------
    elements : Elements
    parts : sequence of ElementMatrices
    outer : (m,) int and (m, m) float
        Unknowns on the outer circle and the matrix of the space outside.
    order : (k,) int, optional
        As `elimination` of a system of another order on the same triangles: found once, it serves all orders.
    """

    elements: Elements
    parts: Sequence[ElementMatrices]
    outer: tuple[IntArray, FloatArray]
    order: IntArray | None = None

    @property
    def count(self) -> int:
        """Unknowns of the mesh."""
        return self.elements.count

    @cached_property
    def _borders(self) -> IntArray:
        """Unknowns on the borders of the triangles, in the order wanted."""
        used = np.zeros(self.count, dtype=bool)
        for part in self.parts:
            used[part.dofs[:, : part.border]] = True
        found = np.flatnonzero(used)
        if self.order is None:
            return found
        rank = np.empty(len(self.elements.mesh.points) + len(self.elements.mesh.edges), dtype=np.int64)
        rank[self.order] = np.arange(len(self.order))
        return np.asarray(found[np.argsort(rank[self._owner(found)], kind="stable")])

    def _owner(self, unknowns: IntArray) -> IntArray:
        """Corner or, counted after those, side of a triangle that unknowns on borders belong to."""
        corners, each = len(self.elements.mesh.points), max(self.elements.order - 1, 1)
        return np.where(unknowns < corners, unknowns, corners + (unknowns - corners) // each)

    @property
    def elimination(self) -> IntArray:
        """Corners and, counted after those, sides of triangles in the order in which they were eliminated."""
        owner = self._owner(self._borders[np.argsort(self._factors.perm_c)])
        _, first = np.unique(owner, return_index=True)
        return np.asarray(owner[np.sort(first)])

    @cached_property
    def _factors(self) -> SuperLU[Any]:
        number = np.full(self.count, -1, dtype=np.int32)
        number[self._borders] = np.arange(len(self._borders))
        outer, springs = self.outer
        pieces = [(outer[None], springs[None]), *((part.dofs[:, : part.border], part.condensed) for part in self.parts)]
        total = sum(blocks.size for _, blocks in pieces)
        index: Numbers = np.empty((2, total), dtype=np.int32)
        rows, columns = index
        values, first = np.empty(total, dtype=np.result_type(*(blocks for _, blocks in pieces))), 0
        for dofs, blocks in pieces:  # each put in its place at once: copies of them all would take as long again
            at, here = number.take(dofs), slice(first, first + blocks.size)
            rows[here].reshape(blocks.shape)[:] = at[:, :, None]
            columns[here].reshape(blocks.shape)[:] = at[:, None]
            values[here].reshape(blocks.shape)[:] = blocks
            first = here.stop
        matrix = added_up(rows, columns, values, len(self._borders))
        return eliminated(matrix, "MMD_AT_PLUS_A" if self.order is None else "NATURAL")

    def solve(self, right: Numbers, *, refined: bool = True) -> Numbers:
        """The solution for right-hand sides (unknowns, k); 0 at unknowns that none of the triangles has.

        Refined once where what is left of a right-hand side, times the solution, is not negligible against the form
        that both make: where the skin is thin, resistance is a small difference of the answer.
        """
        if not refined and 0 < right.shape[1] <= COLUMNS:
            return self._once(right)
        out = np.zeros(right.shape, dtype=np.result_type(right, *(part.blocks for part in self.parts)))
        for k in range(0, right.shape[1], COLUMNS):
            some = right[:, k : k + COLUMNS]
            found = self._once(some)
            if refined:
                left = some - self._applied(found)
                lost, form = (np.abs(found) * np.abs(left)).sum(axis=0), np.abs((found * some).sum(axis=0))
                found = found + self._once(left) if (lost > SURE * form).any() else found
            out[:, k : k + COLUMNS] = found
        return out

    def _applied(self, field: Numbers) -> Numbers:
        outer, springs = self.outer
        out = np.zeros_like(field)
        out[outer] = springs @ field[outer]
        for part in self.parts:
            out += part.applied(field)
        return out

    def _once(self, right: Numbers) -> Numbers:
        load = right.astype(np.result_type(right, *(part.blocks for part in self.parts)))
        for part in self.parts:
            inside = right.take(part.dofs[:, part.border :], axis=0)
            load -= summed(part.dofs[:, : part.border], products(part.inward.swapaxes(1, 2), inside), self.count)
        out = np.zeros_like(load)
        out[self._borders] = self._factors.solve(load.take(self._borders, axis=0))
        for part in self.parts:
            on, inner = out.take(part.dofs[:, : part.border], axis=0), part.dofs[:, part.border :]
            out[inner] = products(part.inner, right.take(inner, axis=0)) - products(part.inward, on)
        return out
