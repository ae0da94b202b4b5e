"""How bundles spread a given current over their outlines: evenly, or by rings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.polynomial import legendre

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.solver.elements.condensed import ElementMatrices

from .discretisation import Discretisation

RINGS = 4  # patterns of a concentric bundle: polynomials of the squared radius, the first one even


@dataclass(frozen=True, eq=False)
class Patterns:
    """Patterns of current density in bundles; the first of each bundle is even and carries its whole current.

    Attributes
    ----------
    discretisation : Discretisation
    shape : (unknowns, patterns) float
        Density over its mean of 1 A.
    owner : (patterns,) int
        Number of the conductor.
    first : (patterns,) bool
    """

    discretisation: Discretisation
    shape: FloatArray
    owner: IntArray
    first: BoolArray

    @classmethod
    def of(cls, d: Discretisation) -> Patterns:
        """Those of all bundles of a section."""
        found = [(k, _rings(d, int(k)) if _concentric(d, int(k)) else d.lift[:, [k]]) for k in np.flatnonzero(d.given)]
        owner = np.array([k for k, shapes in found for _ in range(shapes.shape[1])], dtype=np.int64)
        first = np.diff(owner, prepend=-1) != 0
        return cls(d, np.column_stack([shapes for _, shapes in found]), owner, first)

    @cached_property
    def load(self) -> FloatArray:
        """integral of the pattern of 1 A times the test functions, (unknowns, patterns)."""
        e, d = self.discretisation.elements, self.discretisation
        mass = ElementMatrices.of(e, e.metal, e.mass_blocks * d.sigma[:, None, None])
        return mass.applied(self.shape) / d.conductance[self.owner]

    @property
    def electric(self) -> FloatArray:
        """J over the conductivity at rest for 1 A in each pattern, (unknowns, patterns) [V/m]."""
        return np.asarray(self.shape / self.discretisation.conductance[self.owner])

    @property
    def impedance(self) -> ComplexArray:
        """Of the strands beyond the field of the medium, (patterns, patterns) [ohm/m]."""
        strands = [self.discretisation.strands[k] for k in self.owner]
        each = np.array([0j if medium is None else medium.impedance for medium in strands])
        return np.asarray(each[:, None] * (self.shape.T @ self.load))

    def amplitudes(self, across: ComplexArray, within: ComplexArray) -> ComplexArray:
        """Of every pattern for 1 A in each conductor, (patterns, conductors), where all but the first have no voltage.

        Parameters
        ----------
        across : (solids, patterns) complex
            Voltage along each pattern for 1 A in each solid conductor [ohm/m].
        within : (patterns, patterns) complex
            The same for 1 A in each pattern.
        """
        given = self.discretisation.given
        found = np.zeros((len(self.owner), len(given)), dtype=complex)
        found[self.first, self.owner[self.first]] = 1.0
        free = ~self.first
        if free.any():
            lacking = within[np.ix_(free, self.first)] @ found[self.first]
            lacking[:, ~given] += across[:, free].T
            found[free] = -np.linalg.solve(within[np.ix_(free, free)], lacking)
        return found


def _concentric(d: Discretisation, conductor: int) -> bool:
    medium = d.strands[conductor]
    return medium is not None and medium.lay == "concentric"


def _rings(d: Discretisation, conductor: int) -> FloatArray:
    """Legendre polynomials of the squared radius, each without a current of its own but the first, (unknowns, k)."""
    e = d.elements
    rows = np.flatnonzero(d.mesh.part == conductor)
    places = lattice(e.order)[:, 1:] / e.order
    where = np.zeros((e.count, 2))
    where[e.dofs[rows]] = e.positions(rows, places)
    inside = d.lift[:, conductor] > 0
    box = where[inside].min(axis=0), where[inside].max(axis=0)
    middle, radius = (box[0] + box[1]) / 2, (box[1] - box[0]).max() / 2
    squared = ((where - middle) ** 2).sum(axis=1) / radius**2
    found = legendre.legvander(2 * squared - 1, RINGS - 1) * inside[:, None]
    weight = np.real(d.lift_mass[:, conductor]) / d.conductance[conductor]  # complex where others are straight
    found[:, 1:] -= np.outer(inside, weight @ found[:, 1:])
    return np.asarray(found)
