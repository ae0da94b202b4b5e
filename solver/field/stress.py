"""Maxwell's stress around every conductor, as quadratic forms of the potential.

With B = curl A, the force on what a function w, 1 on it and 0 on all else, falls off around is

    F = -(1 / mu0) integral (B (B . grad w) - B^2 grad w / 2),

over the elements of air around it: exact for the exact field, and independent of the path. Where permeability jumps at
a corner the field has no end, and so weak a one (up to B^2 ~ 1 / r) that what elements miss there stays in the force
however small they are: w keeps to 1 around such corners, up to half of what there is to other metal.

Round an axis w times the unit vector away from it is no rigid motion: the stress round the axis, -B^2 / (2 mu), adds
integral w B^2 / (2 mu r) to the force in that direction, which is the sum over the whole turn. What lies on the axis
has no such force: over all ways it sums to nothing, and the energy of the elements does not bound w / r there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.corners import sharp_corners
from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements, reference_stiffness
from crosscurrent.solver.elements.weighted import functions
from crosscurrent.solver.metals.depth import MU0

KEPT = 0.5  # of the distance to other metal
ROUND = 12  # degree of quadrature beyond that of the functions squared, with 1 / r
BLOCK = 128  # elements whose fields are held at once
CENTRE = np.full((1, 2), 1 / 3)
CORNER_GRADIENT = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])  # of the functions of the corners


def stress_forms(
    elements: Elements, fields: FloatArray, reluctivity: FloatArray
) -> tuple[tuple[FloatArray, FloatArray], ...]:
    """Force on every conductor, x and y, as symmetric forms of fields.

    Parameters
    ----------
    elements : Elements
    fields : (unknowns, k) float
        Potentials A [Vs/m] whose sums are asked for.
    reluctivity : (t,) float
        Of every triangle, relative.

    Returns
    -------
    conductors times two (k, k) float
        c' form c is the force for the potential fields @ c [N/m per (Vs/m)^2].

    Examples
    --------
    A bar without current in a uniform field is not pushed:

    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> elements = Elements(mesh_section(Section((Part("bar", bar(0.02, 0.01)),)), [[2e-3]]), 1)
    >>> (x, y), = stress_forms(elements, elements.mesh.points[:, :1], np.ones(len(elements.dofs)))
    >>> bool(abs(x[0, 0]) * MU0 < 1e-9 * 0.01)  # of B^2 times its height
    True
    """
    mesh, found = elements.mesh, []
    for k, one in enumerate(surroundings(mesh, elements.metal, reluctivity)):
        along = _forms(elements, fields, one.near, one.falling)
        if elements.weight is Weight.FLUX and _on_axis(mesh, k):
            along = np.zeros_like(along[0]), along[1]
        elif elements.weight is Weight.FLUX:
            round_it = np.concatenate((one.near, np.flatnonzero(mesh.part == k)))
            along = along[0] + _hoop(elements, fields, round_it, one.falling, reluctivity), along[1]
        found.append(along)
    return tuple(found)


def _on_axis(mesh: Mesh, number: int) -> bool:
    """Whether a conductor goes round the axis without a hole."""
    return bool((mesh.points[mesh.triangles[mesh.part == number], 0] <= 0).any())


@dataclass(frozen=True, eq=False)
class Surrounding:
    """The air in which the stress on a conductor is taken.

    Attributes
    ----------
    near : (m,) int
        Its triangles.
    falling : (points,) float
        The function that is 1 on the conductor, at the corners of all triangles.
    """

    near: IntArray
    falling: FloatArray


def surroundings(mesh: Mesh, metal: IntArray, reluctivity: FloatArray) -> Iterator[Surrounding]:
    """Of every conductor, for the triangles of metal (m,) and the relative reluctivity of all (t,)."""
    owner = np.full(len(mesh.points), -1)
    owner[mesh.triangles[metal]] = mesh.part[metal][:, None]
    air = np.flatnonzero(mesh.region == AIR)
    corners = sharp_corners(mesh, reluctivity)
    for k in range(int(mesh.part_of_region.max()) + 1):
        ours = owner == k
        ours[_around(mesh, corners[owner[corners] == k], owner)] = True
        yield Surrounding(air[ours[mesh.triangles[air]].any(axis=1)], ours.astype(float))


def _around(mesh: Mesh, corners: IntArray, owner: IntArray) -> IntArray:
    """Points of air nearer to some corners of a conductor than half of what there is to other metal or outwards."""
    free = np.flatnonzero(owner < 0)
    if not len(corners) or not len(free):
        return np.zeros(0, dtype=np.int64)
    place = mesh.points[corners]
    room = mesh.radius - np.hypot(*(place - mesh.centre).T)
    others = np.flatnonzero((owner >= 0) & (owner != owner[corners[0]]))
    if len(others):
        room = np.minimum(room, cKDTree(mesh.points[others]).query(place)[0])
    near = cKDTree(mesh.points[free]).query_ball_point(place, KEPT * room)
    return np.asarray(free[np.unique(np.concatenate([np.array(rows, dtype=np.int64) for rows in near]))])


def _forms(elements: Elements, fields: FloatArray, near: IntArray, ours: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Over some elements of air, for the function that is 1 at some corners (points,)."""
    total = np.zeros((2, fields.shape[1], fields.shape[1]))
    straight = np.isin(near, elements.straight) & (elements.weight is Weight.PLANE)
    for rows, blocks_of in ((near[straight], _straight_blocks), (near[~straight], _blocks)):
        for first in range(0, len(rows), BLOCK):
            some = rows[first : first + BLOCK]
            weight = ours[elements.mesh.triangles[some]] @ CORNER_GRADIENT
            total += _summed(blocks_of(elements, some, weight), fields[elements.dofs[some]])
    x, y = (-(t + t.T) / (2 * MU0) for t in total)
    return x, y


def _summed(blocks: FloatArray, fields: FloatArray) -> FloatArray:
    """Forms of triangles (..., t, n, n) at fields on each (t, n, k), summed: (..., k, k)."""
    k = fields.shape[-1]
    seen = (blocks @ fields).reshape(*blocks.shape[:-3], -1, k)
    return np.asarray(fields.reshape(-1, k).T @ seen)


def _tensors(fall: FloatArray) -> FloatArray:
    """What the stress makes of the slope s of a potential, b = (s_y, -s_x), where w falls by (..., 2).

    b_k (b . fall) - b^2 fall_k / 2 = s' T_k s with a symmetric T, (2, ..., 2, 2).
    """
    x, y = 0.5 * fall[..., 0], 0.5 * fall[..., 1]
    along = np.array([[[-x, -y], [-y, x]], [[y, -x], [-x, -y]]])
    return np.moveaxis(along, (1, 2), (-2, -1))


def _straight_blocks(elements: Elements, rows: IntArray, weight: FloatArray) -> FloatArray:
    """Of straight triangles in the plane, where w falls evenly, (2, t, n, n)."""
    determinant, inverse = (m[:, 0] for m in elements.maps(rows, CENTRE))
    fall = (inverse @ weight[:, :, None])[..., 0] * determinant[:, None]
    turned = inverse.swapaxes(1, 2) @ _tensors(fall) @ inverse
    reference = reference_stiffness(elements.order)
    n = reference.shape[-1]
    return np.asarray((turned.reshape(2, -1, 4) @ reference.reshape(4, n * n)).reshape(2, -1, n, n))


def _blocks(elements: Elements, rows: IntArray, weight: FloatArray) -> FloatArray:
    """Of any triangles, by quadrature, (2, t, n, n)."""
    places, weights = quadrature(2 * elements.order + (2 if elements.weight is Weight.PLANE else ROUND))
    inverse = elements.maps(rows, places)[1]
    slope, measure = _slopes(elements, rows, places, weights)
    fall = (inverse @ weight[:, None, :, None])[..., 0] * measure[..., None]
    flat = slope.reshape(len(rows), -1, slope.shape[-1])
    return np.asarray(flat.swapaxes(1, 2) @ (_tensors(fall) @ slope).reshape(2, *flat.shape))


def _hoop(
    elements: Elements, fields: FloatArray, rows: IntArray, ours: FloatArray, reluctivity: FloatArray
) -> FloatArray:
    """What the stress round the axis adds to the force away from it: integral nu B^2 w / (2 r) over the volume."""
    places, weights = quadrature(2 * elements.order + ROUND)
    corners = np.column_stack((1 - places.sum(axis=1), places))
    total = np.zeros((fields.shape[1], fields.shape[1]))
    for first in range(0, len(rows), BLOCK):
        some = rows[first : first + BLOCK]
        slope, measure = _slopes(elements, some, places, weights)
        radius = elements.positions(some, places)[..., 0]
        held = ours[elements.mesh.triangles[some]] @ corners.T * reluctivity[some, None] * measure / radius
        flat = slope.reshape(len(some), -1, slope.shape[-1])
        blocks = flat.swapaxes(1, 2) @ (np.repeat(held, 2, axis=1)[..., None] * flat)
        total += _summed(blocks, fields[elements.dofs[some]])
    return np.asarray(total / (2 * MU0))


def _slopes(
    elements: Elements, rows: IntArray, places: FloatArray, weights: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Gradients of the functions at places (t, p, 2, n), weights of the quadrature times the section (t, p)."""
    if elements.weight is not Weight.PLANE:
        _, slope, measure = functions(elements, rows, places, weights)
        return slope, measure
    determinant, inverse = elements.maps(rows, places)
    return inverse @ gradients(elements.order, places).swapaxes(1, 2), determinant * weights
