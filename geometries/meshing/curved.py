"""Triangles with curved sides, exact to any order, and the Bernstein coefficients that prove they do not fold."""

from __future__ import annotations

from functools import lru_cache
from math import comb

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.sides import cross, dot

from .lattice import lattice
from .shape_functions import gradients

CHECKED = 6  # order at which curved triangles are checked and measured


def polar_path(a: FloatArray, b: FloatArray, centre: FloatArray, t: FloatArray) -> FloatArray:
    """Places (m, k, 2) from a to b with radius and angle about a centre linear in t (k,).

    Parameters
    ----------
    a, b, centre : (m, 2) float
        [m]
    t : (k,) float
        0 .. 1

    Examples
    --------
    >>> a, b = np.array([[1.0, 0.0]]), np.array([[0.0, 3.0]])
    >>> float(np.hypot(*polar_path(a, b, np.zeros((1, 2)), np.array([0.5]))[0, 0]).round(12))
    2.0
    """
    u, v = a - centre, b - centre
    ru, rv = np.hypot(*u.T), np.hypot(*v.T)
    turn = np.arctan2(cross(u, v), dot(u, v))
    # a path that starts or ends at the centre itself is straight
    turn = np.where((ru < 1e-9 * rv) | (rv < 1e-9 * ru), 0.0, turn)
    begin = np.where(ru < 1e-9 * rv, np.arctan2(v[:, 1], v[:, 0]), np.arctan2(u[:, 1], u[:, 0]))
    angle = begin[:, None] + turn[:, None] * t
    radius = ru[:, None] + (rv - ru)[:, None] * t
    return np.asarray(centre[:, None] + radius[..., None] * np.stack((np.cos(angle), np.sin(angle)), axis=-1))


def polar_triangles(corner: FloatArray, centre: FloatArray, bary: FloatArray) -> FloatArray:
    """Nodes (t, n, 2) of triangles (t, 3, 2) whose radius and angle about a centre are linear.

    Parameters
    ----------
    corner : (t, 3, 2) float
        [m]
    centre : (t, 2) float
        [m]
    bary : (n, 3) float
        Barycentric coordinates of the nodes.

    Examples
    --------
    >>> corner = np.array([[[1.0, 0.0], [0.0, 1.0], [0.0, 2.0]]])
    >>> middle = polar_triangles(corner, np.zeros((1, 2)), np.array([[0.5, 0.5, 0.0]]))
    >>> float(np.hypot(*middle[0, 0]).round(12))  # on the circle through both
    1.0
    """
    spoke = corner - centre[:, None]
    radius = np.hypot(spoke[..., 0], spoke[..., 1])
    across = spoke[:, :1, 0] * spoke[..., 1] - spoke[:, :1, 1] * spoke[..., 0]
    turn = np.arctan2(across, (spoke[:, :1] * spoke).sum(axis=-1))
    angle = np.arctan2(spoke[:, :1, 1], spoke[:, :1, 0]) + turn @ bary.T
    rays = np.stack((np.cos(angle), np.sin(angle)), axis=-1)
    return np.asarray(centre[:, None] + (radius @ bary.T)[..., None] * rays)


@lru_cache(maxsize=64)
def edge_lift(order: int, side: int) -> FloatArray:
    """Matrix (nodes, order - 1) that carries a displacement of a side's inner nodes into the triangle.

    Parameters
    ----------
    order : int
        Of the geometry, at least 2.
    side : 0, 1 or 2
        0-1, 1-2 or 2-0.

    Notes
    -----
    On side i-j with s = Lj - Li the displacement e(s) = (1 - s^2)/4 q(s) becomes Li Lj q(s): zero on the other sides.
    """
    t = np.arange(1, order) / order
    s_edge = 2 * t - 1
    from_values = np.linalg.inv(np.polynomial.legendre.legvander(s_edge, order - 2) * (t * (1 - t))[:, None])
    i, j = ((0, 1), (1, 2), (2, 0))[side]
    bary = lattice(order) / order
    here = np.polynomial.legendre.legvander(bary[:, j] - bary[:, i], order - 2) * (bary[:, i] * bary[:, j])[:, None]
    return np.asarray(here @ from_values)


def inner_nodes(order: int, side: IntArray) -> IntArray:
    """Numbers of the inner nodes of sides (m,) of a triangle, in the order of `lattice`, (m, order - 1)."""
    return np.asarray(3 + side[:, None] * (order - 1) + np.arange(order - 1))


def displace_sides(nodes: FloatArray, rows: IntArray, side: IntArray, off: FloatArray) -> None:
    """Move the inner nodes of sides (m,) of triangles `rows` (m,) by `off` (m, order - 1, 2), those inside with them.

    Parameters
    ----------
    nodes : (t, n, 2) float
        Of all triangles [m]; changed.

    Examples
    --------
    >>> nodes = lattice(2)[None, :, 1:] / 2
    >>> displace_sides(nodes, np.array([0]), np.array([1]), np.array([[[0.1, 0.1]]]))
    >>> nodes[0, 4].round(12).tolist()
    [0.6, 0.6]
    """
    for k in range(3):
        on = (side == k).nonzero()[0]
        if len(on) and off.shape[1]:
            nodes[rows[on]] += edge_lift(off.shape[1] + 1, k) @ off[on]


@lru_cache(maxsize=16)
def _monomial_inverse(order: int) -> FloatArray:
    """Inverse of the Bernstein basis of an order at its own lattice, (n, n)."""
    index = lattice(order)
    bary = index / order
    factor = [comb(order, i) * comb(order - i, j) for i, j, _ in index]
    values = np.prod(bary[:, None, :] ** index[None], axis=-1) * np.array(factor)
    return np.asarray(np.linalg.inv(values))


def jacobian_coefficients(nodes: FloatArray, order: int) -> FloatArray:
    """Bernstein coefficients of the Jacobian determinant of triangles (t, n, 2), of order 2 (order - 1), order >= 2.

    The determinant lies between the smallest and the largest of them; their mean is twice the area.

    Examples
    --------
    >>> nodes = lattice(2)[None, :, 1:] / 2 * [2.0, 3.0]  # a straight triangle with area 3
    >>> jacobian_coefficients(nodes, 2).round(9).tolist()
    [[6.0, 6.0, 6.0, 6.0, 6.0, 6.0]]
    """
    # every slope of every coordinate in one product
    slopes = nodes.swapaxes(1, 2).reshape(-1, nodes.shape[1]) @ _slopes_by_node(order)
    (xa, xb), (ya, yb) = slopes.reshape(len(nodes), 2, 2, -1).transpose(1, 2, 0, 3)
    determinant = xa * yb - xb * ya
    return np.asarray(determinant @ _monomial_inverse(2 * (order - 1)).T)


@lru_cache(maxsize=16)
def _slopes_by_node(order: int) -> FloatArray:
    """Slopes of the shape functions of an order where its Jacobian is looked at, (n, 2 places), x before y."""
    degree = 2 * (order - 1)
    slopes = gradients(order, lattice(degree)[:, 1:] / degree)
    return slopes.transpose(1, 2, 0).reshape(slopes.shape[1], -1)
