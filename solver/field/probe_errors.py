"""How far the field of a solution may be off, point by point.

Inside the outer circle three things add up: what the elements cannot follow, seen from how the field jumps from one to
the next (largest where the change from the order below is, too); what reaches a field-free core, whose field is left
out; and a floor. Beyond the circle every harmonic counts with what it changed from the order below.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.metals.depth import MU0

from .flow import SteadyFlow
from .probe import Probe

ALONG = np.array([0.02, 0.2, 0.4, 0.6, 0.8, 0.98])  # places on a side where its jump is looked at
GRID = 6  # places on each side of a triangle where its change is looked at
JUMPS = 1.8  # times the jump, in the middle of an element half of it: met by 99.9 % of 60,000 points with exact fields
SHARED = 0.25  # of an element's mean change, times the finer order's share of the error: currents that shift
RANGE = 0.05, 10.0
MOST = 400  # places along an edge that borders a field-free core
FLOOR = 1e-6  # of the field that the currents would have if none cancelled another


@dataclass(frozen=True, eq=False)
class FieldErrors:
    """Bounds on the error of B of two flows' finer one, both on one mesh.

    Attributes
    ----------
    fine, coarse : Probe
    """

    fine: Probe
    coarse: Probe

    def readings(self, points: FloatArray) -> tuple[ComplexArray, FloatArray]:
        """B at points (n, 2) [m], (n, 2) [T rms], and the bound on the error of its size, (n,) [T]."""
        mesh = self.fine.flow.discretisation.mesh
        beyond = np.hypot(*(points - mesh.centre).T) >= mesh.radius
        field, error = np.zeros((len(points), 2), dtype=complex), self._floor(points)
        field[beyond] = self.fine.flux_density(points[beyond])
        error[beyond] += self.fine.outside.change(self.coarse.outside, points[beyond])
        rows, places = self.fine.located(points[~beyond])
        field[~beyond] = self.fine.read(rows, places)
        apart = _size(field[~beyond] - self.coarse.read(rows, places))
        largest, mean = (change[rows] for change in self._change)
        within = JUMPS * self._jump[rows] * (0.5 + apart / largest) + self._left * np.sqrt(largest * mean)
        within = np.where(self._field_free[rows], 0.0, error[~beyond] + within)
        error[~beyond] = within + self._from_the_core(rows, points[~beyond])
        return field, error

    @property
    def _field_free(self) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        """Elements whose field is left out, (t,)."""
        flow = self.fine.flow
        return np.asarray(flow.discretisation.mesh.field_free & flow.lifted)

    @cached_property
    def _change(self) -> tuple[FloatArray, FloatArray]:
        """Largest and mean change of B in every element from the order below, (t,) each [T]."""
        places = lattice(GRID)[:, 1:] / GRID
        change = _slopes(self.fine.flow, places) - _slopes(self.coarse.flow, places)
        return np.maximum(_size(change).max(axis=1), 1e-300), _size(change.mean(axis=1))

    @cached_property
    def _left(self) -> float:
        """Share of an element's mean change that the finer order may have left.

        Such an error of the whole falls with the energy of the local ones (those of two orders add by their squares);
        strong corners let it fall slowly.
        """
        d = self.fine.flow.discretisation
        weight = d.reluctivity * d.mesh.areas()
        if d.mesh.axial:
            weight = weight * d.mesh.points[d.mesh.triangles, 0].mean(axis=1)
        energies = [float(weight @ local**2) for local in (self._jump, self._change[0])]
        return float(np.clip(SHARED * energies[0] / energies[1], *RANGE)) if energies[1] else RANGE[1]

    @cached_property
    def _jump(self) -> FloatArray:
        """Largest jump of the tangential field at the sides of every element, (t,) [T]."""
        d = self.fine.flow.discretisation
        mesh = d.mesh
        total = np.zeros((len(mesh.edges), len(ALONG)), dtype=complex)
        softest = np.zeros(len(mesh.edges))  # the larger reluctivity of both sides
        count = np.zeros(len(mesh.edges), dtype=int)
        for side, (i, j) in enumerate(EDGES):
            for backward, along in ((False, ALONG), (True, 1 - ALONG)):
                place = ((1 - along)[:, None] * np.eye(3)[i] + along[:, None] * np.eye(3)[j])[:, 1:]
                rows = np.flatnonzero(mesh.triangle_edges_backward[:, side] == backward)
                edge = mesh.triangle_edges[rows, side]
                slope = _slopes(self.fine.flow, place, rows) * d.reluctivity[rows, None, None]
                outward = self._normals(edge) * np.where(backward, -1.0, 1.0)
                np.add.at(total, edge, np.einsum("tpd,tpd->tp", slope, outward))
                np.add.at(count, edge, 1)
                np.maximum.at(softest, edge, d.reluctivity[rows])
        jump = np.where(count == 2, np.abs(total).max(axis=1) / softest, 0.0)
        return np.asarray(jump[mesh.triangle_edges].max(axis=1))

    def _normals(self, edges: IntArray) -> FloatArray:
        """Of edges from their low to their high corner, (m, places, 2)."""
        mesh = self.fine.flow.discretisation.mesh
        step = 1e-4
        ahead, back = (mesh.along_edge(mesh.edges[edges], ALONG + s) for s in (step, -step))
        along = (ahead - back) / np.hypot(*np.moveaxis(ahead - back, -1, 0))[..., None]
        return np.stack((along[..., 1], -along[..., 0]), axis=-1)

    def _floor(self, points: FloatArray) -> FloatArray:
        total = np.zeros(len(points))
        for conductor, current in zip(self.fine.flow.problem.conductors, self.fine.flow.currents, strict=True):
            outline = conductor.part.shape.outer.points
            low, high = outline.min(axis=0), outline.max(axis=0)
            away = np.maximum(np.hypot(*(points - 0.5 * (low + high)).T), 0.5 * float(np.hypot(*(high - low))))
            total += MU0 / (2 * np.pi) * abs(current) / away
        return FLOOR * total

    def _from_the_core(self, rows: IntArray, points: FloatArray) -> FloatArray:
        """Bound on the field in a field-free core, and on what its border, where layers end free, throws back."""
        found = np.zeros(len(points))
        mesh = self.fine.flow.discretisation.mesh
        for k, (tree, strength, skin) in self._core_borders.items():
            inside = np.flatnonzero(mesh.part[rows] == k)
            depth = np.maximum(tree.query(points[inside])[0] / skin - 0.5, 0.0)
            # in the middle of a round core the waves of all sides meet: I0(z) falls more slowly by sqrt(2 pi |z|)
            found[inside] = strength * np.minimum(1.0, (1 + 3 * np.sqrt(depth)) * np.exp(-depth))
        return found

    @cached_property
    def _core_borders(self) -> dict[int, tuple[Any, float, float]]:
        """Border of the field-free core of a part, |B| there at most [T] and the skin depth [m]."""
        flow = self.fine.flow
        d, mesh = flow.discretisation, flow.discretisation.mesh
        found: dict[int, tuple[Any, float, float]] = {}
        part = mesh.part
        sigma = np.zeros(len(mesh.triangles))
        sigma[d.elements.metal] = d.sigma
        omega = 2 * np.pi * flow.frequency
        for k in np.unique(part[self._field_free]):
            core = np.flatnonzero(self._field_free & (part == k))
            active = np.flatnonzero(~self._field_free & (part == k))
            wave = float(np.sqrt(omega * MU0 * sigma[core[0]] / d.reluctivity[core[0]]))
            skin = math.sqrt(2) / wave
            edges = mesh.edges[np.intersect1d(mesh.triangle_edges[core], mesh.triangle_edges[active])]
            longest = float(np.hypot(*(mesh.points[edges[:, 1]] - mesh.points[edges[:, 0]]).T).max())
            steps = np.linspace(0, 1, 2 + min(int(1.2 * longest / skin), MOST))
            border = np.isin(d.elements.dofs[core], d.elements.dofs[active])
            electric = float(np.abs(_electric(flow, core)[border]).max())
            found[int(k)] = cKDTree(mesh.along_edge(edges, steps).reshape(-1, 2)), wave * electric / omega, skin
        return found


def _slopes(flow: SteadyFlow, places: FloatArray, rows: IntArray | None = None) -> ComplexArray:
    """grad A at reference places of (some) triangles, (t, p, 2) [T]; 0 in a field-free core that is left out."""
    mesh, elements = flow.discretisation.mesh, flow.discretisation.elements
    rows = np.arange(len(mesh.triangles)) if rows is None else rows
    slope = elements.induction(flow.potential, rows, places)
    slope[mesh.field_free[rows] & flow.lifted] = 0.0
    return np.asarray(slope)


def _electric(flow: SteadyFlow, rows: IntArray) -> ComplexArray:
    """E at the unknowns of triangles, (m, n) [V/m]."""
    elements = flow.discretisation.elements
    if not elements.mesh.axial:
        return np.asarray(flow.electric[elements.dofs[rows]])
    return np.asarray(elements.strength(flow.electric, rows, lattice(elements.order)[:, 1:] / elements.order))


def _size(vectors: ComplexArray) -> FloatArray:
    return np.asarray(np.sqrt((np.abs(vectors) ** 2).sum(axis=-1)))
