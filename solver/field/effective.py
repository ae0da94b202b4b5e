"""The reluctivity of steel at its field strength: one value at every place of quadrature of its triangles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.elements.weighted import functions

PLACES, WEIGHTS = quadrature(10)  # the same for all orders of elements, so that one begins with what another found
CHUNK = 256  # triangles whose gradients are held at once


@dataclass(frozen=True, eq=False)
class Effective:
    """Relative reluctivity that the fundamental meets.

    Attributes
    ----------
    rows : (k,) int
        Triangles of metal with a magnetisation curve, rising.
    values : (k, p) float
        At the reference places of each.
    solves : int
        How many it took to find, itself included.
    """

    rows: IntArray
    values: FloatArray
    solves: int = 1

    def means(self, elements: Elements) -> FloatArray:
        """Mean over every triangle, (k,)."""
        weight = elements.measure(self.rows, PLACES) * WEIGHTS
        return np.asarray((self.values * weight).sum(axis=1) / weight.sum(axis=1))

    def blocks(self, elements: Elements) -> FloatArray:
        """integral nu grad u . grad v over every triangle, (k, n, n)."""
        n = elements.dofs.shape[1]
        found = np.empty((len(self.rows), n, n))
        for part, slope, weight in self._slopes(elements):
            scaled = slope * np.repeat(weight, 2, axis=1)[..., None]
            found[part] = slope.transpose(0, 2, 1) @ scaled
        return found

    def energies(self, elements: Elements, potential: ComplexArray) -> FloatArray:
        """integral nu |grad A|^2 over every triangle, (k,)."""
        squared = (np.abs(elements.induction(potential, self.rows, PLACES)) ** 2).sum(axis=-1)
        return np.asarray((squared * self.values * elements.measure(self.rows, PLACES) * WEIGHTS).sum(axis=1))

    def _slopes(self, elements: Elements) -> Iterator[tuple[slice, FloatArray, FloatArray]]:
        """Gradients of the shape functions (k, 2 p, n) with their weights (k, p), some triangles at once."""
        for first in range(0, len(self.rows), CHUNK):
            part = slice(first, first + CHUNK)
            _, slope, measure = functions(elements, self.rows[part], PLACES, WEIGHTS)
            yield part, slope.reshape(len(slope), 2 * len(PLACES), -1), measure * self.values[part]
