"""What the matrices of a bundle whose strands share as the field asks make of a basis, kept as the basis grows."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0

from .band_matrices import Sharing


@dataclass(eq=False)
class SharingImages:
    """K_b and M_b times the vectors of a basis, at the unknowns of the bundle.

    Attributes
    ----------
    bundle : Sharing
    room : int
        Most vectors there may be.
    projected : tuple of (r, r) float
        x' K_b x and x' M_b x.
    """

    bundle: Sharing
    room: int
    projected: tuple[FloatArray, FloatArray] = field(init=False)
    _count: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        self.projected = np.zeros((0, 0)), np.zeros((0, 0))
        unknowns = len(self.bundle.inside)
        self._inside, self._stiffened, self._weighed = (np.empty((unknowns, self.room), order="F") for _ in range(3))

    def add(self, fresh: FloatArray) -> None:
        """Further vectors, (unknowns + states, k)."""
        first, self._count = self._count, self._count + fresh.shape[1]
        inside = self._inside[:, first : self._count] = fresh[self.bundle.inside]
        self._stiffened[:, first : self._count] = self.bundle.stiffness @ inside
        self._weighed[:, first : self._count] = self.bundle.mass @ inside

    def project(self) -> None:
        """The forms of vectors that have come since."""
        done, every = len(self.projected[0]), self._inside[:, : self._count]
        images = (image[:, done : self._count] for image in (self._stiffened, self._weighed))
        first, second = (enlarged(known, every.T @ image) for known, image in zip(self.projected, images, strict=True))
        self.projected = first, second

    def summed(self, stiff: Numbers, heavy: Numbers) -> Numbers:
        """K_b and mu0 M_b times sums of the vectors, (r, k) each, at the bundle's unknowns, (n, k)."""
        count = len(stiff)
        return np.asarray(self._stiffened[:, :count] @ stiff + self._weighed[:, :count] @ (MU0 * heavy))


def enlarged(square: FloatArray, columns: FloatArray) -> FloatArray:
    """A symmetric matrix with further columns, and the same as rows."""
    done = len(square)
    return np.block([[square, columns[:done]], [columns[:done].T, columns[done:]]])
