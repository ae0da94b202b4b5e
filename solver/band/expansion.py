"""Fields around a shift, term by term: one factor gives as many as are asked for, however media follow the frequency.

With the Taylor coefficients A_i of the matrix by (s - s_0) / s_0, the field that a pattern drives has the terms

    A_0 x_k = -(A_1 x_(k-1) + A_2 x_(k-2) + ...),    A_0 x_0 = b.

They soon look alike: what is kept is sums of them that are orthogonal, each with the sums of the terms before that
make the next (Z. Bai and Y. Su, SIAM Journal on Matrix Analysis 26, 2005, from memory, of second order). At a real s_0
all of it is real, and serves for what lies across from it on the imaginary axis as well as for solids.

All fields lie in one basis (`krylov`), so that here they are their parts in it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from crosscurrent.solver.elements.factor import Numbers

from .pencil import Pencil

NEW = 1e-9  # part of a term that must be left after those before it are taken out
ENOUGH = 0.1  # part that may be left without taking them out again


@dataclass(eq=False)
class Expansion:
    """The fields of all patterns around a shift.

    Attributes
    ----------
    shift : complex
        s_0 [rad/s], real and positive or j w.
    changes : list of tuples of arrays
        A_i of every bundle that follows the frequency: of its stiffness and its mass.
    """

    shift: complex
    changes: list[tuple[Numbers, Numbers]]
    _fields: Numbers = field(init=False)  # in the basis, (r, fields)
    _before: Numbers = field(init=False)  # how much of all fields each came i terms before it, (i, fields, fields)
    _newest: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        kind = complex if self.shift.imag else float
        self._fields = np.zeros((0, 0), dtype=kind)
        self._before = np.zeros((len(self.changes[0][0]), 0, 0), dtype=kind)

    @classmethod
    def around(cls, shift: complex, pencil: Pencil) -> Expansion:
        """Of a pencil, before its first term."""
        return cls(shift, [bundle.changes(shift) for bundle in pencil.matrices.sharing])

    @property
    def begun(self) -> bool:
        """Whether there is a term to go on from."""
        return bool(self._fields.shape[1])

    def driving(self, count: int) -> tuple[Numbers, list[tuple[Numbers, Numbers]]]:
        """What drives the next term, less its sign, in a basis of so many: by M, and by K_b and M_b of every bundle."""
        self._grow(count)
        before = self._before[:-1, :, self._newest :]
        of_bundles = []
        for stiffer, heavier in self.changes:
            stiff, heavy = (self._fields @ np.tensordot(c[1:], before, axes=1) for c in (stiffer, heavier))
            of_bundles.append((stiff, heavy))
        return self.shift * self._fields[:, self._newest :], of_bundles

    def take(self, found: Numbers) -> None:
        """The next term, in the basis as it is with it, (r, k)."""
        self._grow(len(found))
        count, before = self._fields.shape[1], self._before[:-1, :, self._newest :]
        for number, column in enumerate(found.T):
            self._taken(column, before[:, :, number] if count else np.zeros((len(before), 0)))
        self._newest = count

    def _grow(self, count: int) -> None:
        if count > len(self._fields):
            self._fields = _enclosed(self._fields, (count, self._fields.shape[1]))

    def _taken(self, column: Numbers, before: Numbers) -> None:
        """Less its part in the fields there are, as is what came before it, and at length 1."""
        fields, count = self._fields, self._fields.shape[1]
        own = np.zeros(self._before.shape[:2], dtype=fields.dtype)
        own[1:, : before.shape[1]] = before
        size = left = np.linalg.norm(column)
        for _ in range(2):  # once more where rounding of the first time counts
            beside, last = fields.conj().T @ column, left
            column = column - fields @ beside
            own[1:] -= self._before[1:] @ beside
            left = np.linalg.norm(column)
            if left > ENOUGH * last:
                break
        if left > NEW * size:
            self._fields = np.column_stack((fields, column / left))
            self._before = _enclosed(self._before, (len(self._before), count + 1, count + 1))
            self._before[:, :count, count] = own / left
            self._before[0, :, count] = np.eye(count + 1)[count]


def _enclosed(array: Numbers, shape: tuple[int, ...]) -> Numbers:
    """With zeros after it."""
    found = np.zeros(shape, dtype=array.dtype)
    found[tuple(map(slice, array.shape))] = array
    return found
