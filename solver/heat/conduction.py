"""Steady conduction of heat in the conductors, on the mesh of the field, heated by its loss density.

    integral W k grad T . grad w  =  integral W sigma |E|^2 w  -  sum over pieces of surface  q_i mean_i(w)

with W = 1 in the plane, where heat is per metre of run [W/m], and 2 pi r round an axis, where it is that of the whole
ring [W]; below, W/m stands for both.
Heat leaves every piece of surface evenly. The equation fixes T of a conductor up to a constant; that constant and
the q_i [W/m] follow from what cools the pieces (`cooling`). So one factorisation gives everything: the response
of the pieces' temperatures to each other's heat, and to the losses.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import quadrature, values
from crosscurrent.solver.elements.factor import Solve, factorised
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.elements.operators import Elements, elements_on
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.loss_density import loss_density

from .view_factors import Panels, edge_lengths


@dataclass(frozen=True, eq=False)
class Conduction:
    """Everything about conduction on a mesh that does not depend on the losses.

    Attributes
    ----------
    elements : Elements
    panels : Panels
        Pieces of surface that heat can leave by; all other surfaces let none through.
    conductivity : (regions,) float
        Thermal [W/(m K)].
    """

    elements: Elements
    panels: Panels
    conductivity: FloatArray

    def __getstate__(self) -> dict[str, object]:
        """All but the factor, which no other process could use."""
        return {key: value for key, value in vars(self).items() if key != "_solve"}

    @cached_property
    def part(self) -> IntArray:
        """Number of the conductor of every triangle of metal, (m,)."""
        mesh = self.elements.mesh
        return mesh.part[self.elements.metal]

    @property
    def count(self) -> int:
        """Number of conductors."""
        return 1 + int(self.elements.mesh.part_of_region.max())

    @cached_property
    def _owner(self) -> IntArray:
        """Number of the conductor of every unknown; -1 in air."""
        owner = np.full(self.elements.count, -1)
        owner[self.elements.dofs[self.elements.metal]] = self.part[:, None]
        return owner

    def unknowns_of(self, part: int) -> IntArray:
        """Numbers of the unknowns of a conductor."""
        return np.flatnonzero(self._owner == part)

    @cached_property
    def means(self) -> sparse.csr_array:
        """Mean over every piece of surface, (pieces, unknowns)."""
        mesh, e = self.elements.mesh, self.elements
        rows = np.concatenate(self.panels.edges)
        piece = np.repeat(np.arange(len(self.panels)), [len(k) for k in self.panels.edges])
        triangle, side = elements_on(mesh.faces[rows, :2], mesh.triangles)
        points, weights = np.polynomial.legendre.leggauss(e.order + 8)
        t = (points[:, None] + 1) / 2
        blocks = np.empty((len(rows), e.dofs.shape[1]))
        for number, (i, j) in enumerate(EDGES):
            on = side == number
            places = ((1 - t) * np.eye(3)[i] + t * np.eye(3)[j])[:, 1:]
            wide = weights / 2
            if e.weight is not Weight.PLANE:
                wide = wide * e.weight.at(e.positions(triangle[on], places)[..., 0])
            blocks[on] = wide @ values(e.order, places)
        blocks *= (edge_lengths(mesh, rows) / self.panels.area[piece])[:, None]
        row, columns = np.repeat(piece, blocks.shape[1]), e.dofs[triangle].ravel()
        return sparse.csr_array((blocks.ravel(), (row, columns)), shape=(len(self.panels), e.count))

    @cached_property
    def average(self) -> FloatArray:
        """Weights of the mean over every conductor's section, (conductors, unknowns)."""
        e = self.elements
        weight = np.zeros((self.count, e.count))
        np.add.at(weight, (self.part[:, None], e.dofs[e.metal]), e.mass_blocks.sum(axis=1))
        return np.asarray(weight / weight.sum(axis=1, keepdims=True))

    @cached_property
    def even(self) -> FloatArray:
        """Share of each piece in its conductor's surface, (pieces,)."""
        total = np.bincount(self.panels.part, self.panels.area, minlength=self.count)
        return np.asarray(self.panels.area / total[self.panels.part])

    @cached_property
    def _solve(self) -> Solve:
        """Temperatures for a load that sums to zero in every conductor; their surface mean is zero."""
        e = self.elements
        k = self.conductivity[e.mesh.region[e.metal]]
        matrix = e.assemble(e.stiffness_blocks[e.metal] * k[:, None, None], e.metal)
        grounded = np.array([np.flatnonzero(self._owner == part)[0] for part in range(self.count)])
        free = np.setdiff1d(np.flatnonzero(self._owner >= 0), grounded)
        inner = factorised(sparse.csc_array(matrix[free][:, free]))
        surface = sparse.csr_array((self.even, (self.panels.part, np.arange(len(self.panels))))) @ self.means

        def solve(load: FloatArray) -> FloatArray:
            found = np.zeros_like(load)
            found[free] = inner(load[free])
            mean = np.vstack((surface @ found, np.zeros((1, load.shape[1]))))
            return np.asarray(found - mean[self._owner])

        return solve

    def _balanced(self, load: FloatArray) -> FloatArray:
        """A load (unknowns, columns) [W/m], less the same heat taken evenly from each conductor's surface."""
        inside = self._owner >= 0
        heat = np.zeros((self.count, load.shape[1]))
        np.add.at(heat, self._owner[inside], load[inside])
        return np.asarray(load - self.means.T @ (self.even[:, None] * heat[self.panels.part]))

    @cached_property
    def _responses(self) -> tuple[FloatArray, FloatArray]:
        n = len(self.panels)
        place = np.concatenate([np.arange(c) for c in np.bincount(self.panels.part, minlength=self.count)])
        column = np.empty(n, int)  # pieces of different conductors share one: they do not feel each other
        column[np.argsort(self.panels.part, kind="stable")] = place
        ones = sparse.csr_array((np.ones(n), (np.arange(n), column)))
        found = self._solve(self._balanced((self.means.T @ ones).toarray()))
        own = self.panels.part[:, None] == self.panels.part
        within = np.arange(self.count)[:, None] == self.panels.part
        return np.where(own, (self.means @ found)[:, column], 0.0), np.where(
            within, (self.average @ found)[:, column], 0.0
        )

    @property
    def response(self) -> FloatArray:
        """Fall of the mean of piece i if 1 W/m leaves by piece j instead of evenly, (n, n) [K m/W]."""
        return self._responses[0]

    @property
    def mean_response(self) -> FloatArray:
        """The same for the mean over the sections of the conductors, (conductors, n) [K m/W]."""
        return self._responses[1]

    def load(self, flow: SteadyFlow) -> FloatArray:
        """Heat of a flow at every unknown, one column for each conductor, (unknowns, conductors) [W/m].

        From its density at quadrature points, field-free cores of the metal left cold as in the field solve; the sum
        over a region is its loss, rough surfaces included.
        """
        e = self.elements
        places, weights = quadrature(3 * e.order)
        density = loss_density(flow, e.metal, places) * e.measure(e.metal, places) * weights
        blocks = density @ values(e.order, places)
        region = e.mesh.region[e.metal]
        heat = np.bincount(region, blocks.sum(axis=1), minlength=len(e.mesh.regions))
        scale = np.divide(flow.region_losses, heat, out=np.zeros_like(heat), where=heat > 0)
        load = np.zeros((e.count, self.count))
        np.add.at(load, (e.dofs[e.metal], self.part[:, None]), blocks * scale[region][:, None])
        return load

    def rise(self, load: FloatArray) -> FloatArray:
        """Temperature above the mean of its own surface, if heat left evenly, (unknowns, columns) [K]."""
        return self._solve(self._balanced(load))

    def field(self, load: FloatArray, heat: FloatArray, level: FloatArray) -> FloatArray:
        """Temperature at all unknowns [degC].

        Parameters
        ----------
        load : (unknowns,) float
            Heat of all conductors [W/m].
        heat : (pieces,) float
            What leaves by each piece [W/m].
        level : (conductors,) float
            Mean surface temperature [degC].
        """
        found = self._solve((load - self.means.T @ heat)[:, None])[:, 0]
        return np.where(self._owner >= 0, found + level[self._owner], np.nan)
