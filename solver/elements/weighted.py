"""Matrices of triangles whose integrals carry a weight that changes with the distance from the axis.

Triangles off the axis share products of shape functions tabulated at the places of their quadrature; those whose
functions fall to the axis are integrated one by one.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from .half_plane import Weight, extra_degrees
from .local_functions import GEOMETRY, LocalFunctions

TABLED = 4_000_000  # numbers of a product formed at once
BESIDE = 4  # degrees beyond the polynomial's that slopes need at the axis: within 1e-6 of their bars, as those off it
WORTH = 64  # triangles
SLOPED = 11.5  # natural logarithm of the accuracy asked of the weight in slopes, 1e-5: they are right to far more
FURTHER = np.array([2, 4, 8, 16, 30])  # degrees beyond the polynomial's that are spent on it
SPARED = 4  # degrees below those of products of two functions: with that slopes are within a hundredth of their bars
SINGLE = 128  # triangles integrated one by one at once


def stiffness(elements: LocalFunctions) -> FloatArray:
    """Integral of W grad u . grad v over every triangle, (t, n, n)."""
    n, order = elements.dofs.shape[1], elements.order
    blocks = np.empty((len(elements.dofs), n, n))
    kinds = _kinds(elements, np.arange(len(blocks)))
    for degree, rows in (some for kind in kinds[:2] for some in _some(elements, kind, 3)):
        places, _ = quadrature(degree)
        (ra, rb), (za, zb) = slopes = _slopes(elements, rows, places)
        over = _weight(elements, rows, places) / _determinant(slopes)
        # adj(J) adj(J)' / det: what slopes on the reference triangle are worth, its mixed entry once
        metric = np.stack((over * (rb**2 + zb**2), -over * (ra * rb + za * zb), over * (ra**2 + za**2)), axis=1)
        flat = metric.reshape(len(rows), -1) @ _stiffness_table(order, degree)
        blocks[rows] = flat.take(_both_ways(n), axis=1)
    for degree, rows in _some(elements, kinds[2], 1):
        _, slope, measure = functions(elements, rows, *quadrature(degree))
        flat = slope.reshape(len(rows), -1, n)
        blocks[rows] = flat.transpose(0, 2, 1) @ (flat * np.repeat(measure, 2, axis=1)[..., None])
    return blocks


def mass(elements: LocalFunctions, rows: IntArray) -> FloatArray:
    """Integral of W u v over some triangles, (m, n, n)."""
    n, order = elements.dofs.shape[1], elements.order
    blocks = np.zeros((len(elements.dofs), n, n))
    kinds = _kinds(elements, rows)
    for degree, some in (one for kind in kinds[:2] for one in _some(elements, kind, 1)):
        places, _ = quadrature(degree)
        scaled = _weight(elements, some, places) * _determinant(_slopes(elements, some, places))
        blocks[some] = (scaled @ _mass_table(order, degree)).take(_both_ways(n), axis=1)
    for degree, some in _some(elements, kinds[2], 1):
        value, measure = _values(elements, some, *quadrature(degree))
        blocks[some] = value.transpose(0, 2, 1) @ (value * measure[..., None])
    return blocks[rows]


def load(elements: LocalFunctions, rows: IntArray) -> FloatArray:
    """Integral of W u over some triangles at the axis, (m, n)."""
    found = np.zeros(elements.dofs.shape)
    for degree, some in _some(elements, rows, 1):
        value, measure = _values(elements, some, *quadrature(degree))
        found[some] = (measure[:, None] @ value)[:, 0]
    return found[rows]


def _kinds(elements: LocalFunctions, rows: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """Straight triangles off the axis, curved ones off it, and those at it."""
    curved, near = np.zeros(len(elements.at_axis), dtype=bool), elements.at_axis[rows]
    curved[elements.mesh.curved] = True
    bent = curved[rows]
    return rows[~bent & ~near], rows[bent & ~near], rows[near]


def _slopes(elements: LocalFunctions, rows: IntArray, places: FloatArray) -> FloatArray:
    """dr/da, dr/db, dz/da, dz/db of triangles of one kind, (2, 2, m, p); of straight ones, alike all over, p = 1."""
    if elements.are_curved(rows[:1]).any():
        nodes = elements.mesh.checked_geometry[elements.bent_places(rows)].transpose(2, 0, 1)
        return np.asarray(nodes[:, None] @ gradients(GEOMETRY, places).transpose(2, 1, 0))
    first, second, third = elements.mesh.points[elements.mesh.triangles[rows]].transpose(1, 2, 0)
    return np.stack((second - first, third - first), axis=1)[..., None]


def _determinant(slopes: FloatArray) -> FloatArray:
    """Of what `_slopes` gives, (m, p)."""
    (ra, rb), (za, zb) = slopes
    return np.asarray(ra * zb - rb * za)


def _some(elements: LocalFunctions, rows: IntArray, width: int) -> Iterator[tuple[int, IntArray]]:
    """Triangles some at once, with the degree of quadrature that they need."""
    wanted = degrees(elements)[rows]
    for degree in np.unique(wanted):
        same = rows[wanted == degree]
        places = (degree // 2 + 1) ** 2
        step = max(SINGLE, TABLED // (width * places))
        for first in range(0, len(same), step):
            yield int(degree), same[first : first + step]


def beside_axis(elements: LocalFunctions) -> Iterator[tuple[int, IntArray]]:
    """Triangles at the axis, some at once, with the degree that slopes need."""
    degree, near = 2 * elements.order + BESIDE, np.flatnonzero(elements.at_axis)
    step = max(SINGLE, TABLED // (2 * elements.dofs.shape[1] * (degree // 2 + 1) ** 2))
    yield from ((degree, near[first : first + step]) for first in range(0, len(near), step))


def slope_degrees(elements: LocalFunctions, rows: IntArray) -> IntArray:
    """Degree of quadrature that slopes need in triangles off the axis, (m,)."""
    low, high = (of[rows] for of in _reach(elements))
    x = (high + low) / np.maximum(high - low, 1e-12 * high)
    wanted = (SLOPED - np.log(x)) / np.log(x + np.sqrt(np.maximum(x**2 - 1, 1e-3)))
    further = np.searchsorted(FURTHER, wanted).clip(max=len(FURTHER) - 1)
    for k in range(int(further.max(initial=0))):  # few are not worth a pass of their own
        if (further == k).sum() < WORTH and (further > k).any():
            further[further == k] = k + 1
    return np.asarray(2 * elements.order - SPARED + FURTHER[further])


def degrees(elements: LocalFunctions) -> IntArray:
    """Degree of quadrature for products of two functions of every triangle with the weight, (t,)."""
    mesh, (low, high) = elements.mesh, _reach(elements)
    found = np.full(len(low), 2 * elements.order)
    found += 4 if elements.weight is Weight.VOLUME else 2 * np.ceil(0.5 * extra_degrees(low, high)).astype(int)
    found[mesh.curved] += 6
    found[elements.at_axis] += 4
    return np.asarray(found)


def _reach(elements: LocalFunctions) -> tuple[FloatArray, FloatArray]:
    """Least and largest distance from the axis of every triangle; of those at it as their functions have it [m]."""
    mesh = elements.mesh
    corner = mesh.points[mesh.triangles, 0] + elements.reaches
    low, high = corner.min(axis=1), corner.max(axis=1)
    if len(mesh.curved):
        off = mesh.checked_geometry[..., 0]
        apart = ~elements.at_axis[mesh.curved]
        low[mesh.curved] = np.where(apart, off.min(axis=1), low[mesh.curved])
        high[mesh.curved] = np.maximum(off.max(axis=1), high[mesh.curved])
    return low, high


def _weight(elements: LocalFunctions, rows: IntArray, places: FloatArray) -> FloatArray:
    if elements.weight is Weight.PLANE:
        return np.ones((1, 1))
    return elements.weight.at(elements.distances(rows, places))


def functions(
    elements: LocalFunctions, rows: IntArray, places: FloatArray, weights: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Shape functions (m, p, n) of triangles, their gradients (m, p, 2, n) and weights with that of the section (m, p).

    Parameters
    ----------
    elements : LocalFunctions
    rows : (m,) int
    places, weights : (p, 2) and (p,) float
        Of a quadrature on the reference triangle.
    """
    near, plain = elements.at_axis[rows], values(elements.order, places)
    determinant, inverse = elements.maps(rows, places)
    by_first, by_second = gradients(elements.order, places).transpose(2, 0, 1)
    slope = inverse[..., :1] * by_first[:, None] + inverse[..., 1:] * by_second[:, None]
    if near.all():
        value, slope = _falling(elements, rows, places, plain, slope, inverse)
    else:
        value = np.broadcast_to(plain, (len(rows), *plain.shape))
        if near.any():
            value = value.copy()
            value[near], slope[near] = _falling(elements, rows[near], places, plain, slope[near], inverse[near])
    return value, slope, _weight(elements, rows, places) * determinant * weights


def _falling(
    elements: LocalFunctions, rows: IntArray, places: FloatArray, plain: FloatArray, slope: FloatArray,
    inverse: FloatArray,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Functions that fall to the axis and their gradients, from plain ones (p, n) and theirs (m, p, 2, n).

    With the inverse transposed Jacobian there, (m, p, 2, 2).
    """
    over, rise = elements.damping_by(inverse, rows, places)
    radius = elements.distances(rows, places)
    factor = over * radius
    slope = factor[..., None, None] * slope
    slope += (rise * radius[..., None])[..., None] * plain[:, None]
    return factor[..., None] * plain, slope


def _values(
    elements: LocalFunctions, rows: IntArray, places: FloatArray, weights: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Of `functions` in triangles at the axis, without their gradients."""
    determinant, inverse = elements.maps(rows, places)
    factor = elements.damping_by(inverse, rows, places)[0] * elements.distances(rows, places)
    measure = _weight(elements, rows, places) * determinant * weights
    return factor[..., None] * values(elements.order, places), measure


@lru_cache(maxsize=64)
def _stiffness_table(order: int, degree: int) -> FloatArray:
    """Weights times du/da dv/da, du/da dv/db + du/db dv/da, du/db dv/db, each at all places of a quadrature.

    (3 p, pairs)
    """
    places, weights = quadrature(degree)
    one, other = np.triu_indices(gradients(order, places).shape[1])
    (ua, ub), (va, vb) = (gradients(order, places)[:, which].transpose(2, 0, 1) for which in (one, other))
    return np.concatenate([weights[:, None] * one for one in (ua * va, ua * vb + ub * va, ub * vb)])


@lru_cache(maxsize=64)
def _mass_table(order: int, degree: int) -> FloatArray:
    """Weights times u v at the places of a quadrature, (p, pairs)."""
    places, weights = quadrature(degree)
    v = values(order, places)
    one, other = np.triu_indices(v.shape[1])
    return np.asarray(weights[:, None] * v[:, one] * v[:, other])


@lru_cache(maxsize=16)
def _both_ways(count: int) -> IntArray:
    """Number of the pair that every entry of a symmetric matrix is, (n, n).

    Examples
    --------
    >>> _both_ways(2).tolist()
    [[0, 1], [1, 2]]
    """
    number = np.zeros((count, count), dtype=np.int64)
    one, other = np.triu_indices(count)
    number[one, other] = number[other, one] = np.arange(len(one))
    return number
