"""Fields around a shift, term by term: one factor gives as many as are asked for, however media follow the frequency.

With the Taylor coefficients A_i of the matrix by (s - s_0) / s_0, the field that a pattern drives has the terms

    A_0 x_k = -(A_1 x_(k-1) + A_2 x_(k-2) + ...),    A_0 x_0 = b.

They soon look alike: what is kept is sums of them that are orthogonal, each with the sums of the terms before that
make the next (Z. Bai and Y. Su, SIAM Journal on Matrix Analysis 26, 2005, from memory, of second order). At a real s_0
all of it is real, and serves for what lies across from it on the imaginary axis as well as for solids.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0

from .pencil import Pencil

NEW = 1e-9  # part of a term that must be left after those before it are taken out
ENOUGH = 0.1  # part that may be left without taking them out again


@dataclass(eq=False)
class Expansion:
    """The fields of all patterns around a shift.

    Attributes
    ----------
    pencil : Pencil
    shift : complex
        s_0 [rad/s], real and positive or j w.
    """

    pencil: Pencil
    shift: complex

    def __post_init__(self) -> None:
        kind = complex if self.shift.imag else float
        self._fields = np.zeros((self.pencil.matrices.count, 0), dtype=kind)
        # by how much of all fields every field came i terms before it, (terms, fields, fields)
        self._before = np.zeros((len(self._changes[0][0]), 0, 0), dtype=kind)
        self._newest = 0

    @cached_property
    def _changes(self) -> list[tuple[Numbers, Numbers]]:
        """A_i of every bundle."""
        return [bundle.changes(self.shift) for bundle in self.pencil.matrices.sharing]

    def following(self) -> Numbers:
        """What the next term brings, real and imaginary parts side by side, (unknowns + states, k): none at the end."""
        count, before = self._fields.shape[1], self._before[:-1, :, self._newest :]
        right = self._right(before) if count else self.pencil.drive
        found = self.pencil.shifted(self.shift)(right)
        for number, column in enumerate(found.T):
            self._taken(column, before[:, :, number] if count else np.zeros((len(before), 0)))
        self._newest = count
        new = self._fields[:, count:]
        return np.concatenate((new.real, new.imag), axis=1) if self.shift.imag else new

    def _right(self, before: Numbers) -> Numbers:
        """What drives the next term."""
        matrices = self.pencil.matrices
        found = -self.shift * MU0 * matrices.weighed(self._fields[:, self._newest :])
        for bundle, changes in zip(matrices.sharing, self._changes, strict=True):
            stiffer, heavier = (self._fields @ np.tensordot(c[1:], before, axes=1) for c in changes)
            found -= bundle.stiffened(stiffer) + MU0 * bundle.weighed(heavier)
        return np.asarray(found)

    def _taken(self, field: Numbers, before: Numbers) -> None:
        """Less its part in the fields there are, as is what came before it, and at length 1."""
        weighed, fields, count = self.pencil.matrices.weighed, self._fields, self._fields.shape[1]
        own = np.zeros(self._before.shape[:2], dtype=fields.dtype)
        own[1:, : before.shape[1]] = before
        image = weighed(field[:, None])[:, 0]
        size = left = _length(field, image)
        for _ in range(2):  # once more where rounding of the first time counts
            beside, last = fields.conj().T @ image, left
            field = field - fields @ beside
            own[1:] -= self._before[1:] @ beside
            image = weighed(field[:, None])[:, 0]
            left = _length(field, image)
            if left > ENOUGH * last:
                break
        if left > NEW * size:
            own_field = self.pencil.centred(field[:, None] / left)  # rounding has means that further terms would raise
            self._fields = np.concatenate((fields, own_field), axis=1)
            self._before = np.pad(self._before, ((0, 0), (0, 1), (0, 1)))
            self._before[:, :count, count] = own / left
            self._before[0, :, count] = np.eye(count + 1)[count]


def _length(field: Numbers, image: Numbers) -> float:
    return math.sqrt(max(float((field.conj() @ image).real), 0.0))
