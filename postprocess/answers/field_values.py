"""Fields at the lattice points of elements, as small triangles that can be drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.elements.operators import elements_on
from crosscurrent.solver.field.flow import Flow, SteadyFlow
from crosscurrent.solver.field.ring_fields import ring_shares

FINE = 4  # small triangles along an element of a zoom, for each order
RINGED, MOST = 3.0, 64  # pixels of a small triangle where density jumps from ring to ring, as long as they are no more
NOISE = (0.0015, 0.01)  # of the largest value in a region: deep under a thin skin, a field is noise below the first


@dataclass(frozen=True, eq=False)
class Patch:
    """Some elements cut into small triangles at the lattice of a fineness.

    Attributes
    ----------
    rows : (e,) int
        The elements.
    places : (p, 2) float
        Lattice points in the reference triangle.
    position : (e * p, 2) float
        Lattice points, element by element [m].
    corners : (e * fineness^2, 3) int
        Small triangles, by lattice points.
    mirrored : bool
        Whether it is the mirror image left of an axis, where the current goes the other way.
    """

    rows: IntArray
    places: FloatArray
    position: FloatArray
    corners: IntArray
    mirrored: bool = False


def patch_of(flow: Flow, rows: IntArray, fineness: int) -> Patch:
    """Cut elements into small triangles."""
    places = lattice(fineness)[:, 1:] / fineness
    position = flow.discretisation.elements.positions(rows, places).reshape(-1, 2)
    first = np.arange(len(rows)) * len(places)
    corners = (first[:, None, None] + small_triangles(fineness)).reshape(-1, 3)
    return Patch(rows, places, position, corners)


@lru_cache(maxsize=32)
def small_triangles(fineness: int) -> IntArray:
    """Small triangles between the points of `lattice`, (fineness^2, 3).

    Examples
    --------
    >>> small_triangles(1).tolist(), len(small_triangles(5))
    ([[0, 1, 2]], 25)
    """
    number = {(int(i), int(j)): k for k, (_, i, j) in enumerate(lattice(fineness))}
    upright = [(i, j) for i in range(fineness) for j in range(fineness - i)]
    upside = [(i, j) for i, j in upright if i + j < fineness - 1]
    return np.array(
        [[number[i, j], number[i + 1, j], number[i, j + 1]] for i, j in upright]
        + [[number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]] for i, j in upside]
    )


def conductivity(flow: Flow, rows: IntArray) -> FloatArray:
    """Of elements, 0 in air, (e,) [S/m]."""
    d = flow.discretisation
    return np.array([*(m.conductivity for m in d.metals), 0.0])[d.mesh.region[rows]]


def is_solved(flow: Flow, rows: IntArray) -> BoolArray:
    """Whether elements hold a field: not those of a field-free core left out, which share but nodes with it."""
    return np.asarray(~(flow.discretisation.mesh.field_free[rows] & flow.lifted))


def current_density(flow: Flow, rows: IntArray, places: FloatArray) -> ComplexArray:
    """J at reference places (p, 2) of elements of metal, rough surfaces included, (e, p) [A/m2]."""
    d = flow.discretisation
    per_field = np.array([*(m.conductivity * m.conducting for m in d.metals), 0.0])[d.mesh.region[rows]]
    electric = d.elements.strength(flow.electric, rows, places)
    if _ringed(flow):
        electric = electric * ring_shares(flow, rows, d.elements.positions(rows, places))
    return np.asarray(electric * (per_field * is_solved(flow, rows))[:, None])


def density(flow: Flow, patch: Patch) -> ComplexArray:
    """J at the points of a patch of metal [A/m2]."""
    found = current_density(flow, patch.rows, patch.places).ravel()
    return -found if patch.mirrored else found


def peaks(flow: Flow, rows: IntArray, strength: FloatArray) -> FloatArray:
    """Largest of the values (e, p) in elements of every region, that of air last, (regions + 1,)."""
    found = np.zeros(len(flow.discretisation.metals) + 1)
    np.maximum.at(found, flow.discretisation.mesh.region[rows], strength.max(axis=1))
    return found


def resolved(flow: Flow, patch: Patch, strength: FloatArray, largest: FloatArray) -> FloatArray:
    """Share of values at the points of a patch that is more than noise, 0 .. 1, (e * p,).

    The elements many skins deep are too wide for the fall of the field; what they hold is small, but not nothing.

    Parameters
    ----------
    flow : Flow
    patch : Patch
    strength : (e * p,) float
    largest : (regions + 1,) float
        As from `peaks`.
    """
    region = flow.discretisation.mesh.region[patch.rows]
    if not flow.lifted:
        return np.ones(len(strength))
    low, high = (np.repeat(share * largest[region], len(patch.places)) for share in NOISE)
    share = np.clip((strength - low) / np.maximum(high - low, 1e-300), 0, 1)
    return np.where(np.repeat(region == AIR, len(patch.places)), 1.0, share)


def flux_density(flow: SteadyFlow, patch: Patch) -> ComplexArray:
    """B at the points of a patch, (e * p, 2) [T]."""
    gradient = flow.discretisation.elements.induction(flow.potential, patch.rows, patch.places)
    by_x, by_y = np.moveaxis(gradient * is_solved(flow, patch.rows)[:, None, None], -1, 0)
    return np.column_stack((by_y.ravel(), -by_x.ravel()))


def visible_patches(
    flow: Flow, rows: IntArray, window: FloatArray, pixel: float, *, metal: bool = False
) -> list[Patch]:
    """Elements that a window (2, 2) [m] shows, cut so finely that no small triangle is large on paper.

    Of an axial section also the mirror images left of the axis, after the others.

    Parameters
    ----------
    flow : Flow
    rows : (e,) int
    window : (2, 2) float
        Lower left and upper right corner [m].
    pixel : float
        Size of a pixel [m].
    metal : bool
        Leave out the elements in air.
    """
    mesh = flow.discretisation.mesh
    if metal:
        rows = rows[mesh.region[rows] != AIR]
    patches = _patches_in(flow, rows, window, pixel)
    if mesh.axial and window[0, 0] < 0:
        flip = np.array([-1.0, 1.0])
        image = np.array([[-window[1, 0], window[0, 1]], [-window[0, 0], window[1, 1]]])
        beyond = _patches_in(flow, rows, image, pixel)
        patches += [replace(p, position=flip * p.position, mirrored=True) for p in beyond]
    return patches


def _patches_in(flow: Flow, rows: IntArray, window: FloatArray, pixel: float) -> list[Patch]:
    mesh, order = flow.discretisation.mesh, flow.discretisation.order
    corner = mesh.points[mesh.triangles[rows]]
    low, high = corner.min(axis=1), corner.max(axis=1)
    bulge = 0.3 * (high - low).max(axis=1, keepdims=True)  # a curved side may reach past its corners
    shown = ((low - bulge <= window[1]) & (high + bulge >= window[0])).all(axis=1)
    rows, size = rows[shown], np.hypot(*(high - low)[shown].T) / pixel
    steps = np.select([size < 3, size < 60, size < 200], [1, order, 2 * order], FINE * order)
    stepped = np.isin(mesh.part[rows], _ringed(flow))
    steps[stepped] = np.clip(size[stepped] / RINGED, steps[stepped], MOST)
    bent = np.isin(rows, mesh.curved)  # neighbours across a curved side must be cut alike, or light shines through
    steps[bent] = steps[bent].max(initial=1)
    return [patch_of(flow, rows[steps == n], int(n)) for n in np.unique(steps)]


def _ringed(flow: Flow) -> list[int]:
    """Conductors whose density jumps from ring to ring."""
    strands = enumerate(flow.discretisation.strands)
    return [k for k, medium in strands if medium is not None and medium.rings is not None]


@dataclass(frozen=True, eq=False)
class OutlineSurface:
    """The surface of one boundary, a chain of points with the metal on the left.

    Attributes
    ----------
    part : int
        Number of its conductor.
    position, inward : (n, 2) float
        [m]; unit normals into the metal.
    density : (n,) complex
        J in the metal there [A/m2].
    closed : bool
        Whether it ends where it began, not on the axis of an axial section.
    """

    part: int
    position: FloatArray
    inward: FloatArray
    density: ComplexArray
    closed: bool = True

    def mirrored(self) -> OutlineSurface:
        """Its mirror image about the axis of an axial section, where the current goes the other way."""
        flip = np.array([-1.0, 1.0])
        position, inward = ((flip * vectors)[::-1] for vectors in (self.position, self.inward))
        return replace(self, position=position, inward=inward, density=-self.density[::-1])


def surfaces(flow: Flow) -> list[OutlineSurface]:
    """The surface of every boundary, fine enough for a zoom."""
    d = flow.discretisation
    mesh, steps = d.mesh, FINE * d.order
    rows, sides = elements_on(mesh.faces[:, :2], mesh.triangles)
    place = np.empty((len(rows), steps, 2))
    value = np.empty((len(rows), steps), dtype=complex)
    t = np.arange(steps)[:, None] / steps
    for side, (i, j) in enumerate(EDGES):
        on = np.flatnonzero(sides == side)
        places = ((1 - t) * np.eye(3)[i] + t * np.eye(3)[j])[:, 1:]
        place[on] = d.elements.positions(rows[on], places)
        value[on] = current_density(flow, rows[on], places)
    found = []
    for boundary in np.unique(mesh.faces[:, 2]):
        on = np.flatnonzero(mesh.faces[:, 2] == boundary)
        position, density = place[on].reshape(-1, 2), value[on].ravel()
        closed = bool(mesh.faces[on[0], 0] == mesh.faces[on[-1], 1])
        if not closed:
            last = np.eye(3)[EDGES[sides[on[-1]]][1]][None, 1:]
            position = np.concatenate((position, d.elements.positions(rows[on[-1:]], last)[0]))
            density = np.append(density, current_density(flow, rows[on[-1:]], last)[0])
        ahead = np.roll(position, -1, axis=0) - np.roll(position, 1, axis=0)
        if not closed:
            ahead[[0, -1]] = position[[1, -1]] - position[[0, -2]]
        left = np.column_stack((-ahead[:, 1], ahead[:, 0])) / np.hypot(*ahead.T)[:, None]
        found.append(OutlineSurface(part_of_boundary(flow, int(boundary)), position, left, density, closed))
    return found


def part_of_boundary(flow: Flow, boundary: int) -> int:
    """Number of the conductor a boundary belongs to: outer outlines and holes are counted part by part."""
    counts = np.cumsum([len(c.part.all_outlines) for c in flow.problem.conductors])
    return int(np.searchsorted(counts, boundary, side="right"))


def reference_phase(flow: Flow) -> float:
    """Angle of the first circuit's current [rad], which phases are counted from; 0 without one."""
    current: npt.NDArray[np.complex128] = np.array([c.current for c in flow.problem.circuits if c.current])
    return float(np.angle(current[0])) if len(current) else 0.0
