"""Curves of a drawing, wherever blocks and groups put them, as runs of lines and arcs.

Lines and circular arcs stay what they are; whatever is neither (ellipses, splines, circles stretched by a block)
becomes pairs of arcs that share its ends and tangents.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import DrawingError

TOLERANCE = 1e-5  # largest distance of a pair of arcs from its curve, as a fraction of the curve's size
ROUND = 1e-9  # an ellipse whose axes differ by less than this fraction is a circle
MOST_HALVINGS = 12
MOST_PIECES = 20_000  # of one curve
_PROBES = np.array([0.12, 0.25, 0.38, 0.5, 0.62, 0.75, 0.88])

Path = Callable[[FloatArray], tuple[FloatArray, FloatArray]]  # (n,) parameters -> (n, 2) points, (n, 2) derivatives


@dataclass(frozen=True, eq=False)
class Run:
    """Sides end to end: side k runs from points[k] to points[k + 1] with bulges[k]; one point more than sides."""

    points: FloatArray
    bulges: FloatArray

    @classmethod
    def chained(cls, runs: Sequence[Run]) -> Run:
        """Runs that follow each other, each beginning where the last one ends."""
        points = [runs[0].points[:1], *(run.points[1:] for run in runs)]
        return cls(np.concatenate(points), np.concatenate([run.bulges for run in runs]))

    def backward(self) -> Run:
        """The same sides from end to beginning."""
        return Run(self.points[::-1], -self.bulges[::-1])


@dataclass(frozen=True, eq=False)
class Affine:
    """A map of the plane: p -> linear @ p + shift."""

    linear: FloatArray
    shift: FloatArray

    @classmethod
    def of(cls, xx: float, xy: float, x: float, yx: float, yy: float, y: float) -> Affine:
        """x' = xx x + xy y + x, y' = yx x + yy y + y."""
        return cls(np.array([[xx, xy], [yx, yy]], dtype=float), np.array([x, y], dtype=float))

    def __matmul__(self, inner: Affine) -> Affine:
        """First `inner`, then this one."""
        return Affine(self.linear @ inner.linear, self.linear @ inner.shift + self.shift)

    def points(self, points: npt.ArrayLike) -> FloatArray:
        """Where points (n, 2) go."""
        return np.asarray(np.asarray(points, dtype=float) @ self.linear.T + self.shift)

    @property
    def handed(self) -> float:
        """1 when shapes keep their sense of rotation, -1 when they are mirrored."""
        return math.copysign(1.0, float(np.linalg.det(self.linear)))

    @property
    def keeps_circles(self) -> bool:
        """Whether circles stay circles."""
        u, v = self.linear.T
        return _equal_axes(u, v)


IDENTITY = Affine.of(1, 0, 0, 0, 1, 0)


def polyline(points: npt.ArrayLike, bulges: npt.ArrayLike, place: Affine) -> Run:
    """Lines and arcs through corners (n, 2) with bulges (n - 1,).

    Examples
    --------
    >>> polyline([(0, 0), (1, 0)], [1.0], Affine.of(-2, 0, 0, 0, 2, 0)).bulges.tolist()
    [-1.0]
    """
    corners, bulge = np.asarray(points, dtype=float).reshape(-1, 2), np.asarray(bulges, dtype=float)
    if place.keeps_circles or not bulge.any():
        return Run(place.points(corners), bulge * place.handed)
    runs = []
    for k, b in enumerate(bulge):
        if b == 0:
            runs.append(Run(place.points(corners[k : k + 2]), np.zeros(1)))
            continue
        chord = corners[k + 1] - corners[k]
        left = np.array([-chord[1], chord[0]])
        centre = (corners[k] + corners[k + 1]) / 2 + left * (1 - b * b) / (4 * b)
        spoke = corners[k] - centre
        runs.append(ellipse(centre, spoke, np.array([-spoke[1], spoke[0]]), 0.0, 4 * math.atan(b), place))
    return Run.chained(runs)


def ellipse(
    centre: Sequence[float] | FloatArray,
    u: Sequence[float] | FloatArray,
    v: Sequence[float] | FloatArray,
    start: float,
    sweep: float,
    place: Affine = IDENTITY,
) -> Run:
    """The curve centre + u cos t + v sin t for t from `start` over `sweep` [rad]; circles give exact arcs.

    Examples
    --------
    >>> quarter = ellipse((0, 0), (2, 0), (0, 2), 0.0, math.pi / 2)
    >>> quarter.points.round(9).tolist(), round(float(quarter.bulges[0]), 9)
    ([[2.0, 0.0], [0.0, 2.0]], 0.414213562)
    """
    c = place.points(np.asarray(centre, dtype=float))
    axes = place.linear @ np.array([u, v], dtype=float).T

    def path(t: FloatArray) -> tuple[FloatArray, FloatArray]:
        cos, sin = np.cos(t)[:, None], np.sin(t)[:, None]
        return c + cos * axes[:, 0] + sin * axes[:, 1], cos * axes[:, 1] - sin * axes[:, 0]

    pieces = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    ends = start + sweep * np.arange(pieces + 1) / pieces
    if _equal_axes(axes[:, 0], axes[:, 1]):
        handed = math.copysign(1.0, float(np.linalg.det(axes)))
        return Run(path(ends)[0], np.full(pieces, handed * math.tan(sweep / pieces / 4)))
    return arcs_along(path, ends)


def rational(pieces: FloatArray, place: Affine) -> Run:
    """A piecewise rational curve.

    Parameters
    ----------
    pieces : (n, degree + 1, 3) float
        Coefficients, highest power first, of x w, y w and w for t from 0 to 1 in each piece.
    place : Affine
    """
    xy, w = pieces[..., :2], pieces[..., 2:]
    moved = np.concatenate((xy @ place.linear.T + w * place.shift, w), axis=-1)
    powers = np.arange(moved.shape[1] - 1, -1, -1)

    def path(t: FloatArray) -> tuple[FloatArray, FloatArray]:
        # each parameter belongs to the piece it was made for: 2 k + t, so that ends count for their own piece
        k = np.minimum((t // 2).astype(int), len(moved) - 1)
        s = t - 2 * k
        value = np.einsum("np,npc->nc", s[:, None] ** powers, moved[k])
        slope = np.einsum("np,npc->nc", powers[:-1] * s[:, None] ** powers[1:], moved[k][:, :-1])
        point = value[:, :2] / value[:, 2:]
        return point, (slope[:, :2] - point * slope[:, 2:]) / value[:, 2:]

    first = 2.0 * np.arange(len(moved))
    return arcs_along(path, np.column_stack((first, first + 0.5, first + 1.0)))


def arcs_along(path: Path, ends: FloatArray, tolerance: float = TOLERANCE) -> Run:
    """Pairs of arcs along a smooth curve, halved until they follow it closely enough.

    Parameters
    ----------
    path : callable
        Points and derivatives at parameters.
    ends : (n + 1,) or (m, n + 1) float
        Parameters where pieces begin and end; several rows for curves that follow each other.
    tolerance : float
        Largest distance as a fraction of the curve's size.

    Raises
    ------
    DrawingError
        The curve takes too many of them.
    """
    rows = np.atleast_2d(ends)
    if rows.size > MOST_PIECES:
        hint = "draw it as several curves, or as lines and arcs"
        raise DrawingError(f"curves of at most {MOST_PIECES} pieces", f"one of {rows.size}", hint)
    low, high = rows[:, :-1].ravel(), rows[:, 1:].ravel()
    size = _extent(path, low, high)
    for _ in range(MOST_HALVINGS):
        run = _pairs(path, low, high)
        rough = _deviation(path, low, high, run) > tolerance * size
        if not rough.any():
            break
        if len(low) + rough.sum() > MOST_PIECES:
            hint = "draw it as several curves, or as lines and arcs"
            raise DrawingError(f"curves that {MOST_PIECES} pairs of arcs can follow", "a longer one", hint)
        middle = (low[rough] + high[rough]) / 2
        low, high = (
            np.concatenate((low, middle)),
            np.concatenate((np.where(rough, (low + high) / 2, high), high[rough])),
        )
        order = np.argsort(low, kind="stable")
        low, high = low[order], high[order]
    return _pairs(path, low, high)


def _extent(path: Path, low: FloatArray, high: FloatArray) -> float:
    """Diagonal of the box around some points of the curve."""
    t = (low + np.linspace(0, 1, 9)[:, None] * (high - low)).ravel()
    return float(np.hypot(*np.ptp(path(t)[0], axis=0)))


def _pairs(path: Path, low: FloatArray, high: FloatArray) -> Run:
    """A pair of arcs for each piece: they meet in a common tangent, and leave and arrive along the curve's."""
    (p, t), (q, s) = _end(path, low, high), _end(path, high, low)
    chord, both = q - p, t + s
    along, cosine = (chord * both).sum(axis=1), (t * s).sum(axis=1)
    square = (chord**2).sum(axis=1)
    reach = square / (along + np.sqrt(along**2 + 2 * (1 - cosine) * square))
    joint = (p + q + reach[:, None] * (t - s)) / 2
    bulge_in, bulge_out = np.tan(_angle(t, joint - p) / 2), np.tan(_angle(q - joint, s) / 2)
    points = np.concatenate((np.stack((p, joint), axis=1).reshape(-1, 2), q[-1:]))
    return Run(points, np.column_stack((bulge_in, bulge_out)).ravel())


def _end(path: Path, here: FloatArray, there: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Points at `here` and unit tangents there, forward; where the derivative vanishes, from a point close by."""
    point, slope = path(here)
    near = path(here + 1e-4 * (there - here))[0] - point
    far = np.hypot(*(path(there)[0] - point).T)
    still = np.hypot(*slope.T) * np.abs(there - here) < 1e-6 * far
    slope = np.where(still[:, None], near * np.sign(there - here)[:, None], slope)
    return point, slope / np.maximum(np.hypot(*slope.T), 1e-300)[:, None]


def _deviation(path: Path, low: FloatArray, high: FloatArray, run: Run) -> FloatArray:
    """Largest distance of the curve from its pair of arcs, for each piece."""
    t = low + _PROBES[:, None] * (high - low)
    probe = path(t.ravel())[0].reshape(len(_PROBES), -1, 2)
    first, joint = run.points[:-1:2], run.points[1::2]
    last = run.points[2::2]
    behind = ((probe - joint) * (last - first)).sum(axis=-1) > 0
    away = np.where(
        behind, _off_arc(probe, joint, last, run.bulges[1::2]), _off_arc(probe, first, joint, run.bulges[::2])
    )
    return np.asarray(away.max(axis=0))


def _off_arc(p: FloatArray, a: FloatArray, b: FloatArray, bulge: FloatArray) -> FloatArray:
    """Distance of points from the circle (or line) of an arc, to first order; no radius, so straight arcs are safe."""
    half = np.hypot(*(b - a).T) / 2
    along = (b - a) / np.maximum(2 * half, 1e-300)[:, None]
    d = p - (a + b) / 2
    x, y = (d * along).sum(axis=-1), along[:, 0] * d[..., 1] - along[:, 1] * d[..., 0]
    defect = bulge * (x**2 + y**2 - half**2) - half * (1 - bulge**2) * y
    return np.asarray(np.abs(defect) / np.maximum(half * (1 + bulge**2), 1e-300))


def _angle(a: FloatArray, b: FloatArray) -> FloatArray:
    """Angle from vectors a to vectors b [rad], counter-clockwise positive."""
    return np.asarray(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1)))


def _equal_axes(u: FloatArray, v: FloatArray) -> bool:
    square = float(u @ u + v @ v)
    return bool(abs(u @ u - v @ v) <= ROUND * square and abs(u @ v) <= ROUND * square)
