"""The field at any point of the plane: inside the outer circle from the elements, beyond it from its harmonics."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, values
from crosscurrent.solver.elements.half_plane import Weight, damping
from crosscurrent.solver.elements.local_functions import AWAY, GEOMETRY

from .flow import SteadyFlow
from .outer_field import Outside, outside

CANDIDATES = 24  # elements tried for a point, those whose middle is nearest first
STEPS = 10  # of Newton's method for the place in a curved element
ARRIVED = 1e-8  # last step of it
THIN = 1e-6  # what counts as on the surface, in parts of an element
ROOM = 0.03  # around an element's box, in parts of it
FAR = 10.0  # a place far outside
BATCH = 256  # points looked for in all elements at once
INSIDE = 1e-9  # how far outside an element a point may seem to lie


@dataclass(frozen=True, eq=False)
class Probe:
    """Reads A and B of a flow anywhere.

    Attributes
    ----------
    flow : SteadyFlow

    Examples
    --------
    One wire with 100 A, half a metre away: mu0 I / (2 pi r).

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> probe = Probe(solve(alone(round_bar(0.01), 100.0), 50.0).fine)
    >>> round(float(probe.strength(np.array([[0.5, 0.0]]))[0]) * 1e6, 4)
    40.0
    """

    flow: SteadyFlow

    def strength(self, points: FloatArray) -> FloatArray:
        """|B| rms at points (n, 2) [m], (n,) [T]."""
        return np.asarray(np.sqrt((np.abs(self.flux_density(points)) ** 2).sum(axis=1)))

    def flux_density(self, points: FloatArray) -> ComplexArray:
        """B at points (n, 2) [m], (n, 2) [T rms]."""
        mesh = self.flow.discretisation.mesh
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        beyond = np.hypot(*(points - mesh.centre).T) >= mesh.radius
        field = np.zeros((len(points), 2), dtype=complex)
        field[beyond] = self.outside.flux_density(points[beyond])
        field[~beyond] = self.read(*self.located(points[~beyond]))
        return field

    def read(self, rows: IntArray, places: FloatArray) -> ComplexArray:
        """B in elements, each at its own reference place, (k, 2) [T rms]."""
        elements = self.flow.discretisation.elements
        inverse = np.linalg.inv(self._jacobian(rows, places))
        local = self.flow.potential[elements.dofs[rows]]
        slope = np.einsum("kn,knr,krd->kd", local, gradients(elements.order, places), inverse, optimize=True)
        if elements.weight is Weight.FLUX:
            slope = self._round_the_axis(rows, places, slope, np.asarray(inverse, dtype=float))
        slope[self.flow.lifted & self.flow.discretisation.mesh.field_free[rows]] = 0.0
        return np.column_stack((slope[:, 1], -slope[:, 0]))

    def _round_the_axis(
        self, rows: IntArray, places: FloatArray, slope: ComplexArray, inverse: FloatArray
    ) -> ComplexArray:
        """The gradient of 2 pi r A, as the plain functions have it, over 2 pi r."""
        elements = self.flow.discretisation.elements
        corners = np.column_stack((1 - places.sum(axis=1), places))
        radius = (corners * elements.mesh.points[elements.mesh.triangles[rows], 0]).sum(axis=1)
        bent = np.flatnonzero(self._curved[rows])
        radius[bent] = (values(GEOMETRY, places[bent]) * self._nodes(rows[bent])[..., 0]).sum(axis=1)
        reach, plain = (
            elements.reaches[rows],
            (values(elements.order, places) * self.flow.potential[elements.dofs[rows]]).sum(axis=1),
        )
        rise = np.einsum("kr,krd->kd", reach[:, 1:] - reach[:, :1], inverse)
        near = elements.at_axis[rows]
        with np.errstate(divide="ignore", invalid="ignore"):
            factor, fall = damping(radius, (reach * corners).sum(axis=1), rise)
        beside = factor[:, None] * slope + fall * plain[:, None]
        off = slope / np.maximum(radius, AWAY * elements.mesh.radius)[:, None]
        return np.asarray(np.where(near[:, None], beside, off) / (2 * np.pi))

    @cached_property
    def outside(self) -> Outside:
        """The field beyond the outer circle."""
        return outside(self.flow.discretisation.elements, self.flow.potential)

    def located(self, points: FloatArray) -> tuple[IntArray, FloatArray]:
        """The element that holds each point and the reference place in it; on the surface of metal the one in air."""
        rows, places = np.zeros(len(points), dtype=np.int64), np.full((len(points), 2), 1 / 3)
        worst = np.full(len(points), np.inf)
        count = min(CANDIDATES, len(self._middles))
        near = np.asarray(self._tree.query(points, k=count)[1]).reshape(len(points), count)
        for candidate in near.T:
            low, high = (box[candidate] for box in self._boxes)
            held = ((low <= points) & (points <= high)).all(axis=1)
            self._try(points, candidate, np.flatnonzero((worst > INSIDE) & held), (rows, places, worst))
        lost = np.flatnonzero(worst > INSIDE)
        for some in np.array_split(lost, len(lost) // BATCH + 1):  # long thin elements: their middle may be far away
            self._search(points, some, (rows, places, worst))
        self._surface(points, rows, places)
        return rows, places

    def _surface(self, points: FloatArray, rows: IntArray, places: FloatArray) -> None:
        """Move points on the surface of metal to the air: there B has one value, whatever the permeability."""
        region = self.flow.discretisation.mesh.region
        bary = np.column_stack((1 - places.sum(axis=1), places))
        for side in range(3):
            beyond = self._across[rows, side]
            near = (bary[:, (side + 2) % 3] < THIN) & (beyond >= 0) & (region[rows] != AIR)
            on = np.flatnonzero(near & (region[beyond] == AIR))
            rows[on] = beyond[on]
            places[on] = self._place(rows[on], points[on])

    @cached_property
    def _across(self) -> IntArray:
        """The triangle beyond each side, -1 beyond the outer circle, (t, 3)."""
        edges = self.flow.discretisation.mesh.triangle_edges
        ordered = np.argsort(edges.ravel(), kind="stable")
        twins = np.flatnonzero(np.diff(edges.ravel()[ordered]) == 0)
        first, second = ordered[twins], ordered[twins + 1]
        found = np.full(edges.size, -1)
        found[first], found[second] = second // 3, first // 3
        return found.reshape(edges.shape)

    def _search(self, points: FloatArray, some: IntArray, best: tuple[IntArray, FloatArray, FloatArray]) -> None:
        """Look for points in all elements whose boxes hold them."""
        rows, places, worst = best
        low, high = self._boxes
        here = points[some][:, None]
        of, candidate = np.nonzero(((low <= here) & (here <= high)).all(axis=2))
        place = self._place(candidate, points[some[of]])
        outside = -np.minimum(place.min(axis=1), 1 - place.sum(axis=1))
        ordered = np.lexsort((outside, of))
        first = ordered[np.unique(of[ordered], return_index=True)[1]]
        first = first[outside[first] < worst[some[of[first]]]]
        which = some[of[first]]
        rows[which], places[which], worst[which] = candidate[first], place[first], outside[first]

    def _try(
        self, points: FloatArray, candidate: IntArray, which: IntArray, best: tuple[IntArray, FloatArray, FloatArray]
    ) -> None:
        """Keep a candidate for those of `which` points that lie in it, or less far outside than in any before."""
        rows, places, worst = best
        place = self._place(candidate[which], points[which])
        outside = -np.minimum(place.min(axis=1), 1 - place.sum(axis=1))
        better = outside < worst[which]
        kept = which[better]
        rows[kept], places[kept], worst[kept] = candidate[kept], place[better], outside[better]

    def _place(self, rows: IntArray, points: FloatArray) -> FloatArray:
        """Reference places of points, each in its own element, by Newton's method."""
        mesh = self.flow.discretisation.mesh
        corner = mesh.points[mesh.triangles[rows]]
        frame = np.stack((corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=2)
        place = np.asarray(np.linalg.solve(frame, (points - corner[:, 0])[..., None])[..., 0], dtype=float)
        bent = np.flatnonzero(self._curved[rows])
        if len(bent):
            place[bent] = self._bent_place(rows[bent], points[bent])
        return place

    def _bent_place(self, rows: IntArray, points: FloatArray) -> FloatArray:
        """In curved elements; far outside where the method does not arrive.

        From the nearest node of the geometry: a thin layer bends further than it is thick.
        """
        nodes = self._nodes(rows)
        away = ((nodes - points[:, None]) ** 2).sum(axis=2)
        at = (lattice(GEOMETRY)[:, 1:] / GEOMETRY)[away.argmin(axis=1)]
        for _ in range(STEPS):
            missing = points - np.einsum("kn,knd->kd", values(GEOMETRY, at), nodes)
            step = np.linalg.solve(self._jacobian(rows, at), missing[..., None])[..., 0]
            at = np.clip(at + step, -0.5, 1.5)
            if np.abs(step).max() < ARRIVED:
                break
        arrived = (np.abs(step) < ARRIVED).all(axis=1) & (np.abs(at - 0.5) < 1).all(axis=1)
        return np.where(arrived[:, None], at, FAR)

    def _jacobian(self, rows: IntArray, places: FloatArray) -> FloatArray:
        """Of each element at its own place, (k, 2, 2)."""
        mesh = self.flow.discretisation.mesh
        corner = mesh.points[mesh.triangles[rows]]
        jacobian = np.stack((corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=2)
        bent = np.flatnonzero(self._curved[rows])
        jacobian[bent] = np.einsum("knr,knd->kdr", gradients(GEOMETRY, places[bent]), self._nodes(rows[bent]))
        return jacobian

    def _nodes(self, rows: IntArray) -> FloatArray:
        """Nodes of the geometry of curved elements."""
        return np.asarray(self._geometry[np.searchsorted(self.flow.discretisation.mesh.curved, rows)])

    @cached_property
    def _geometry(self) -> FloatArray:
        return self.flow.discretisation.mesh.geometry(GEOMETRY)

    @cached_property
    def _curved(self) -> BoolArray:
        mesh = self.flow.discretisation.mesh
        curved = np.zeros(len(mesh.triangles), dtype=bool)
        curved[mesh.curved] = True
        return curved

    @cached_property
    def _middles(self) -> FloatArray:
        mesh = self.flow.discretisation.mesh
        return np.asarray(mesh.points[mesh.triangles].mean(axis=1))

    @cached_property
    def _tree(self) -> cKDTree:
        return cKDTree(self._middles)

    @cached_property
    def _boxes(self) -> tuple[FloatArray, FloatArray]:
        """Boxes around the elements, with room for what lies between the nodes of curved sides."""
        mesh = self.flow.discretisation.mesh
        corner = mesh.points[mesh.triangles]
        low, high = corner.min(axis=1), corner.max(axis=1)
        low[mesh.curved], high[mesh.curved] = self._geometry.min(axis=1), self._geometry.max(axis=1)
        room = ROOM * (high - low).max(axis=1, keepdims=True)
        return low - room, high + room
