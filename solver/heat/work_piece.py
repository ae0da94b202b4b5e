"""A work piece as heat sees it: conduction within it, what a degree takes, and what its surface gives away.

    integral W (c dT/dt w + k grad T . grad w) = integral W sigma |E|^2 w - integral over the surface W q w,

with W = 2 pi r round an axis and 1 in the plane. T is smooth on the axis: nothing is to be set there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.shape_functions import quadrature, values
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.elements.operators import Elements, elements_on
from crosscurrent.solver.elements.weighted import functions
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.probe import Probe

from .warm_metal import WarmMetal

WARMER = 4  # degree of quadrature within it for what goes with the temperature, beyond products of functions
FINER = 6  # degree of quadrature along the surface beyond the functions'
COLD = 1e-9  # of the largest heat of a triangle, below which one is left out where it is found on another mesh


@dataclass(frozen=True, eq=False)
class PieceWalls:
    """The surface of a work piece at the places of a quadrature along its edges.

    Attributes
    ----------
    edges : (m,) int
        Rows of mesh.faces.
    values : (m q, unknowns) sparse
        Of the functions of the piece at the places.
    area : (m q,) float
        Weights, that of the section included [m2], in the plane per metre of run [m].
    place, normal : (m, q, 2) float
        [m], and out of the metal.
    """

    edges: IntArray
    values: sparse.csr_array
    area: FloatArray
    place: FloatArray
    normal: FloatArray

    @property
    def count(self) -> int:
        """Places on each edge."""
        return int(self.place.shape[1])

    @cached_property
    def edge_area(self) -> FloatArray:
        """Of every edge, (m,) [m2]."""
        return np.asarray(self.area.reshape(-1, self.count).sum(axis=1))

    def means(self, at_places: FloatArray) -> FloatArray:
        """Means over every edge, (m,)."""
        return np.asarray((self.area * at_places).reshape(-1, self.count).sum(axis=1) / self.edge_area)


@dataclass(frozen=True, eq=False)
class WorkPiece:
    """One conductor of a mesh and its matrices.

    Attributes
    ----------
    elements : Elements
        Weighted by the volume round an axis, else by nothing.
    number : int
        Of the conductor.
    conductivity, capacity : (regions,) float
        Of heat [W/(m K)], and what a degree takes [J/(m3 K)].
    metal : WarmMetal, optional
        In place of the conductivity, and of the capacity in parts of it, as the whole piece gets hot.
    """

    elements: Elements
    number: int
    conductivity: FloatArray
    capacity: FloatArray
    metal: WarmMetal | None = None

    @classmethod
    def of(
        cls,
        mesh: Mesh,
        order: int,
        number: int,
        conductivity: FloatArray,
        capacity: FloatArray,
        metal: WarmMetal | None = None,
    ) -> WorkPiece:
        """On a mesh of either kind of section."""
        weight = Weight.VOLUME if mesh.axial else Weight.PLANE
        return cls(Elements(mesh, order, weight), number, conductivity, capacity, metal)

    @cached_property
    def rows(self) -> IntArray:
        """Its triangles."""
        return np.flatnonzero(self.elements.mesh.part == self.number)

    @cached_property
    def unknowns(self) -> IntArray:
        """Its unknowns among those of the elements."""
        return np.unique(self.elements.dofs[self.rows])

    @cached_property
    def _local(self) -> IntArray:
        """Its unknowns of each of its triangles, by their number among its own."""
        return np.searchsorted(self.unknowns, self.elements.dofs[self.rows])

    @property
    def count(self) -> int:
        """Number of its unknowns."""
        return len(self.unknowns)

    def _sum(self, blocks: FloatArray) -> sparse.csc_array:
        n = blocks.shape[1]
        i, j = np.repeat(self._local, n, axis=1).ravel(), np.tile(self._local, (1, n)).ravel()
        return sparse.csc_array((blocks.ravel(), (i, j)), shape=(self.count, self.count))

    def _of_rows(self, per_region: FloatArray) -> FloatArray:
        return np.asarray(per_region[self.elements.mesh.region[self.rows]])[:, None, None]

    @cached_property
    def heat_capacity(self) -> sparse.csc_array:
        """Integral of c u v, (unknowns, unknowns) [J/K]."""
        e = self.elements
        return self._sum(e.mass_blocks[np.searchsorted(e.metal, self.rows)] * self._of_rows(self.capacity))

    @cached_property
    def conduction(self) -> sparse.csc_array:
        """Integral of k grad u . grad v, (unknowns, unknowns) [W/K]."""
        return self._sum(self.elements.stiffness_blocks[self.rows] * self._of_rows(self.conductivity))

    def warmth(self, held: FloatArray) -> FloatArray:
        """Temperature [K] of the heat held, which are the same without a `metal`."""
        return held if self.metal is None else self.metal.warmth(held)

    def per_heat(self, warm: FloatArray) -> FloatArray:
        """How the temperature [K] rises with the heat held."""
        return np.ones_like(warm) if self.metal is None else self.metal.per_heat(warm)

    def conducted(self, held: FloatArray) -> FloatArray:
        """Integral of k grad T . grad w for every function w, (unknowns,) [W]."""
        if self.metal is None:
            return np.asarray(self.conduction @ (held - held.mean()))
        inside, across, weight = self._places
        per_kelvin, _ = self.metal.conducted(self.metal.warmth(inside @ held))
        steep = across @ (held - held.mean())
        return np.asarray(across.T @ (np.repeat(weight * per_kelvin, 2) * steep))

    def conducting(self, held: FloatArray) -> sparse.csc_array:
        """What that gains with the heat held, (unknowns, unknowns) [W/K]."""
        if self.metal is None:
            return self.conduction
        inside, across, weight = self._places
        per_kelvin, rise = self.metal.conducted(self.metal.warmth(inside @ held))
        steep = across @ (held - held.mean())
        more = sparse.diags_array(np.repeat(weight * rise, 2) * steep) @ self._twice
        return sparse.csc_array(across.T @ (sparse.diags_array(np.repeat(weight * per_kelvin, 2)) @ across + more))

    @cached_property
    def _twice(self) -> sparse.csr_array:
        """The functions at the places of `_places`, each place twice."""
        return self._places[0][np.repeat(np.arange(self._places[0].shape[0]), 2)]

    @cached_property
    def _places(self) -> tuple[sparse.csr_array, sparse.csr_array, FloatArray]:
        """At the places of a quadrature: functions (p, unknowns), gradients (2 p, unknowns) and weights (p,) [m3]."""
        e, places_weights = self.elements, quadrature(2 * self.elements.order + WARMER)
        bent = np.isin(self.rows, e.mesh.curved)
        value, slope, measure = [], [], []
        for some in (~bent, bent):
            if some.any():
                v, s, w = functions(e, self.rows[some], *places_weights)
                measure.append(w.ravel())
                value.append(_spread(v, self._local[some], self.count))
                slope.append(_spread(s.reshape(len(s), -1, s.shape[-1]), self._local[some], self.count))
        return sparse.vstack(value, "csr"), sparse.vstack(slope, "csr"), np.concatenate(measure)

    @cached_property
    def volume(self) -> FloatArray:
        """Integral of every function, (unknowns,) [m3]."""
        e, found = self.elements, np.zeros(self.count)
        blocks = e.mass_blocks[np.searchsorted(e.metal, self.rows)]
        np.add.at(found, self._local, blocks.sum(axis=2))
        return found

    @cached_property
    def positions(self) -> FloatArray:
        """Where its unknowns lie, (unknowns, 2) [m]."""
        found, e = np.empty((self.count, 2)), self.elements
        found[self._local] = e.positions(self.rows, lattice(e.order)[:, 1:] / e.order)
        return found

    def load(self, flow: SteadyFlow, power: float, here: Probe | None = None) -> FloatArray:
        """Heat of a flow at the unknowns, (unknowns,) [W], scaled to its power [W].

        `here` finds places on the mesh of the piece, where the flow has another of the same section.
        """
        d = flow.discretisation
        rows = np.flatnonzero(d.mesh.part == self.number)
        places, weights = quadrature(2 * max(d.order, self.elements.order) + 2)
        heat = loss_density(flow, rows, places) * d.elements.measure(rows, places) * weights
        found = np.zeros(self.count)
        if d.mesh is self.elements.mesh:
            np.add.at(found, self._local, heat @ values(self.elements.order, places))
        elif here is not None:
            hot = np.flatnonzero(heat.max(axis=1) > COLD * heat.max(initial=0.0))
            there, inside = here.located(d.elements.positions(rows[hot], places).reshape(-1, 2))
            own = np.flatnonzero(self.elements.mesh.part[there] == self.number)
            share = values(self.elements.order, inside[own]) * heat[hot].ravel()[own, None]
            np.add.at(found, np.searchsorted(self.unknowns, self.elements.dofs[there[own]]), share)
        total = float(found.sum())
        return found * (power / total) if total > 0 else np.zeros(self.count)

    @cached_property
    def surface(self) -> PieceWalls:
        """Where it meets air."""
        e, mesh = self.elements, self.elements.mesh
        triangle, side = elements_on(mesh.faces[:, :2], mesh.triangles)
        ours = np.flatnonzero(mesh.part[triangle] == self.number)
        points, weights = np.polynomial.legendre.leggauss(e.order + FINER)
        t = (points[:, None] + 1) / 2
        q = len(t)
        at, along = np.empty((len(ours), q, self.elements.dofs.shape[1])), np.empty((len(ours), q, 2))
        place = np.empty((len(ours), q, 2))
        for number, (i, j) in enumerate(EDGES):
            on = np.flatnonzero(side[ours] == number)
            rows = triangle[ours[on]]
            places = ((1 - t) * np.eye(3)[i] + t * np.eye(3)[j])[:, 1:]
            at[on] = values(e.order, places)
            place[on] = e.positions(rows, places)
            jacobian = np.swapaxes(np.linalg.inv(e.maps(rows, places)[1]), -1, -2)
            along[on] = jacobian @ (np.eye(3)[j] - np.eye(3)[i])[1:]
        length = np.hypot(along[..., 0], along[..., 1])
        normal = np.stack((along[..., 1], -along[..., 0]), axis=-1) / length[..., None]
        area = length * weights / 2 * e.weight.at(place[..., 0])
        columns = np.searchsorted(self.unknowns, e.dofs[triangle[ours]])
        columns = np.broadcast_to(columns[:, None], at.shape).reshape(-1)
        rows = np.repeat(np.arange(len(ours) * q), at.shape[2])
        matrix = sparse.csr_array((at.reshape(-1), (rows, columns)), shape=(len(ours) * q, self.count))
        return PieceWalls(ours, matrix, area.ravel(), place, normal)


def _spread(at_places: FloatArray, local: IntArray, count: int) -> sparse.csr_array:
    """Rows of places (t, p, n) of triangles with unknowns (t, n) among all, (t p, count)."""
    triangles, places, n = at_places.shape
    rows = np.repeat(np.arange(triangles * places), n)
    columns = np.broadcast_to(local[:, None], at_places.shape).ravel()
    return sparse.csr_array((at_places.ravel(), (rows, columns)), shape=(triangles * places, count))
