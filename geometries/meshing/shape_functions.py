"""Lagrange shape functions of any order on the reference triangle, through an orthogonal basis."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import eval_jacobi, roots_jacobi

from crosscurrent.geometries.arrays import FloatArray

from .lattice import lattice

FEW = 450  # places up to which what was computed there is kept


def values(order: int, places: FloatArray) -> FloatArray:
    """Shape functions at reference places (p, 2), (p, n); node order as in `lattice`.

    Examples
    --------
    >>> values(1, np.array([[0.25, 0.5]])).round(12).tolist()
    [[0.25, 0.25, 0.5]]
    """
    return np.asarray(_modes(order, places)[0] @ _from_nodes(order))


def gradients(order: int, places: FloatArray) -> FloatArray:
    """Gradients of the shape functions at reference places (p, 2), (p, n, 2).

    Examples
    --------
    >>> gradients(1, np.array([[0.25, 0.5]])).round(12).tolist()
    [[[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]]]
    """
    _, by_x, by_y = _modes(order, places)
    return np.stack((by_x @ _from_nodes(order), by_y @ _from_nodes(order)), axis=-1)


@lru_cache(maxsize=32)
def quadrature(degree: int) -> tuple[FloatArray, FloatArray]:
    """Places (p, 2) and weights (p,) exact for polynomials of a degree on the reference triangle (area 1/2).

    Examples
    --------
    >>> places, weights = quadrature(2)
    >>> round(float(weights @ places[:, 0] ** 2), 12), round(1 / 12, 12)
    (0.083333333333, 0.083333333333)
    """
    n = degree // 2 + 1
    u, wu = roots_jacobi(n, 0, 0)
    v, wv = roots_jacobi(n, 1, 0)
    y = 0.5 * (1 + v)[:, None] * np.ones(n)
    x = 0.5 * (1 + u)[None, :] * (1 - y)
    return np.column_stack((x.ravel(), y.ravel())), np.asarray((wv[:, None] * wu / 8).ravel())


@lru_cache(maxsize=32)
def _from_nodes(order: int) -> FloatArray:
    places = lattice(order)[:, 1:] / order
    return np.asarray(np.linalg.inv(_modes(order, places)[0]))


def _modes(order: int, places: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Orthogonal polynomials of a triangle (Koornwinder 1975) and their derivatives, each (p, n)."""
    if len(places) > FEW:
        return _modes_at(order, places)
    return _kept_modes(order, np.ascontiguousarray(places, dtype=float).tobytes())


@lru_cache(maxsize=256)
def _kept_modes(order: int, places: bytes) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The same few places, those of a quadrature or of the middle of an edge, come again and again."""
    return _modes_at(order, np.frombuffer(places).reshape(-1, 2))


def _modes_at(order: int, places: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    x, y = places[:, 0], places[:, 1]
    # p_i scaled by (1 - y)^i is a polynomial; its recurrence needs no division by 1 - y
    a, b = 2 * x + y - 1, 1 - y
    p, px, py = [np.ones_like(x)], [np.zeros_like(x)], [np.zeros_like(x)]
    for i in range(order):
        c, d = (2 * i + 1) / (i + 1), i / (i + 1)
        back = i - 1 if i else 0
        p.append(c * a * p[i] - d * b**2 * p[back])
        px.append(c * (2 * p[i] + a * px[i]) - d * b**2 * px[back])
        py.append(c * (p[i] + a * py[i]) - d * (b**2 * py[back] - 2 * b * p[back]))
    value, by_x, by_y = [], [], []
    for i in range(order + 1):
        for j in range(order + 1 - i):
            q = eval_jacobi(j, 2 * i + 1, 0, 2 * y - 1)
            dq = (j + 2 * i + 2) * eval_jacobi(j - 1, 2 * i + 2, 1, 2 * y - 1) if j else np.zeros_like(y)
            scale = np.sqrt((2 * i + 1) * (2 * i + 2 * j + 2))
            value.append(scale * p[i] * q)
            by_x.append(scale * px[i] * q)
            by_y.append(scale * (py[i] * q + p[i] * dq))
    return np.column_stack(value), np.column_stack(by_x), np.column_stack(by_y)
