"""Pieces of the conductors' surfaces, and what each of them sees: other pieces, the room, a gap in front of it.

In two dimensions the share of a face's radiation that arrives at another is half the difference of the sines of
the angles under which its ends are seen (H. C. Hottel's crossed strings come from the same integral). Here it is
summed over the directions between the ends of all pieces, in each of which one piece stands nearest: exact in angle
for every point, with Gauss points along a piece.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import cross, dot

from .ring_views import CoaxialRings

FINEST, COARSEST = 32, 8  # pieces of a boundary
MANY = 400  # pieces of a section beyond which the boundaries are cut coarser
MANY_ROUND = 160  # the same round an axis, where what they see takes longer to find
ROUNDING = 1e-12
POINTS, WEIGHTS = np.polynomial.legendre.leggauss(4)
POINTS, WEIGHTS = (1 + POINTS) / 2, WEIGHTS / 2
KEPT = 8  # sections whose pieces' views are kept: solves by turns come back to the same ones
_kept: dict[tuple[object, ...], ViewFactors] = {}


@dataclass(frozen=True, eq=False)
class Panels:
    """Pieces of the surfaces that meet air, each a run of edges of the mesh on one side.

    Attributes
    ----------
    mesh : Mesh
    edges : tuple of (m,) int
        Rows of mesh.faces in each piece.
    part, boundary : (n,) int
        Number of its conductor and of its boundary.
    start, end : (n, 2) float
        [m], the metal on the left.
    length : (n,) float
        Along the surface [m].
    area : (n,) float
        That gives heat away: the length per metre of a straight run [m], all round an axis [m2].
    """

    mesh: Mesh
    edges: tuple[IntArray, ...]
    part: IntArray
    boundary: IntArray
    start: FloatArray
    end: FloatArray
    length: FloatArray
    area: FloatArray

    def __len__(self) -> int:
        return len(self.edges)

    @cached_property
    def normal(self) -> FloatArray:
        """Out of the metal, (n, 2)."""
        along = self.end - self.start
        return np.asarray(np.column_stack((along[:, 1], -along[:, 0])) / np.hypot(*along.T)[:, None])

    @cached_property
    def view_factors(self) -> ViewFactors:
        """What every piece sees: found once for the same pieces, of whatever mesh they are runs."""
        places = (self.start, self.end, self.boundary, self.length, self.area)
        pieces = (self.mesh.axial, *(each.tobytes() for each in places))
        found = _kept.get(pieces)
        if found is None:
            if len(_kept) >= KEPT:
                _kept.clear()
            found = _kept[pieces] = _view_factors(self)
        return found


@dataclass(frozen=True, eq=False)
class ViewFactors:
    """What the pieces see.

    Attributes
    ----------
    areas : (n, n) float
        Area of a piece times the share of its radiation that meets another, symmetric [m], round an axis [m2].
    room : (n,) float
        Area of a piece times the share that meets no other; exactly 0 where it is surrounded [m], [m2].
    facing : (n, p) int
        Piece that stands in front of each of its points; -1 for none.
    gap : (n, p) float
        Distance to it [m]; infinite for none.
    mouth : (n, p) float
        Distance along the boundary to the next point with nothing in front [m]; infinite where there is none.
    """

    areas: FloatArray
    room: FloatArray
    facing: IntArray
    gap: FloatArray
    mouth: FloatArray


def panels_of(mesh: Mesh, parts: tuple[Part, ...]) -> Panels:
    """Cut the surfaces that meet air into pieces; a hole with no other conductor in it is left out.

    Parameters
    ----------
    mesh : Mesh
        Of a section of these parts.
    parts : tuple of Part
    """
    owner = np.concatenate([np.full(len(p.all_outlines), k) for k, p in enumerate(parts)])
    boundaries = [w for w in np.unique(mesh.faces[:, 2]) if not _is_empty_hole(int(w), parts, owner)]
    many = MANY_ROUND if mesh.axial else MANY
    pieces = int(np.clip(many // len(boundaries), COARSEST, FINEST))
    edges, numbers, lengths, areas = [], [], [], []
    for boundary in boundaries:
        rows = np.flatnonzero(mesh.faces[:, 2] == boundary)
        each = edge_lengths(mesh, rows)
        round_the_axis = edge_areas(mesh, rows)
        for first, last in _runs(mesh.faces[rows], each, each.sum() / pieces):
            edges.append(rows[first:last])
            lengths.append(each[first:last].sum())
            areas.append(round_the_axis[first:last].sum())
            numbers.append(int(boundary))
    ends = np.array([(mesh.faces[e[0], 0], mesh.faces[e[-1], 1]) for e in edges])
    start, end = mesh.points[ends[:, 0]], mesh.points[ends[:, 1]]
    wall_of = np.array(numbers)
    return Panels(mesh, tuple(edges), owner[wall_of], wall_of, start, end, np.array(lengths), np.array(areas))


def edge_lengths(mesh: Mesh, rows: IntArray) -> FloatArray:
    """Lengths of edges of mesh.faces, arcs included [m]."""
    chain = mesh.along_edge(mesh.faces[rows, :2], np.linspace(0, 1, 17))
    chords = np.hypot(*np.moveaxis(np.diff(chain, axis=1), -1, 0)).sum(axis=1)
    coarse = np.hypot(*np.moveaxis(np.diff(chain[:, ::2], axis=1), -1, 0)).sum(axis=1)
    return np.asarray(chords + (chords - coarse) / 3)


def edge_areas(mesh: Mesh, rows: IntArray) -> FloatArray:
    """Areas of edges of mesh.faces: their lengths per metre of a straight run [m], all round an axis [m2]."""
    length = edge_lengths(mesh, rows)
    if not mesh.axial:
        return length
    points, weights = np.polynomial.legendre.leggauss(8)
    radius = mesh.along_edge(mesh.faces[rows, :2], (points + 1) / 2)[..., 0]
    return np.asarray(2 * np.pi * length * (radius @ (weights / 2)))


def _is_empty_hole(boundary: int, parts: tuple[Part, ...], owner: IntArray) -> bool:
    own = int(owner[boundary])
    number = boundary - int(np.searchsorted(owner, own))
    hole = parts[own].all_outlines[number]
    if any(hole is outer for outer in (parts[own].shape.outer, *(piece.outer for piece in parts[own].pieces))):
        return False
    others = [p.shape.outer.points[:1] for k, p in enumerate(parts) if k != own]
    return not any(hole.contains(point).any() for point in others)


def _runs(faces: IntArray, lengths: FloatArray, longest: float) -> list[tuple[int, int]]:
    """Runs of joined edges on one side, not much longer than wanted, as (first, beyond the last)."""
    broken = (faces[1:, 3] != faces[:-1, 3]) | (faces[1:, 0] != faces[:-1, 1])
    cuts = [0, *(np.flatnonzero(broken) + 1).tolist(), len(faces)]
    found = []
    for first, last in itertools.pairwise(cuts):
        along = np.concatenate(([0.0], np.cumsum(lengths[first:last])))
        count = max(1, round(along[-1] / longest))
        inner = np.searchsorted(along, along[-1] * np.arange(1, count) / count - 1e-12)
        ends = np.unique([0, *inner, last - first]) + first
        found += list(zip(ends[:-1].tolist(), ends[1:].tolist(), strict=True))
    return found


def _view_factors(panels: Panels) -> ViewFactors:
    n, p = len(panels), len(POINTS)
    areas, room = np.zeros((n, n)), np.zeros(n)
    facing, gap = np.full((n, p), -1), np.full((n, p), np.inf)
    across = np.zeros((n, p), dtype=bool)  # what stands in front does so beyond the axis
    rings = CoaxialRings(panels.start, panels.end) if panels.mesh.axial else None
    weights = _weights(panels)
    for k in range(n):
        places = panels.start[k] + POINTS[:, None] * (panels.end[k] - panels.start[k])
        seen = None if rings is None else rings.seen(k, places)
        for m, (here, weight) in enumerate(zip(places, weights[k], strict=True)):
            if rings is None or seen is None:
                shares, facing[k, m], gap[k, m] = _seen(panels, k, here)
            else:
                shares, (facing[k, m], gap[k, m]) = seen[m], rings.ahead(k, here)
                across[k, m] = facing[k, m] >= 0 and here[0] + gap[k, m] * panels.normal[k, 0] < 0
            areas[k] += weight * panels.area[k] * shares
            room[k] += weight * panels.area[k] * max(0.0, 1.0 - shares.sum())
    room[room < ROUNDING * panels.area] = 0.0
    return ViewFactors((areas + areas.T) / 2, room, facing, gap, _mouths(panels, facing < 0, across))


def _weights(panels: Panels) -> FloatArray:
    """Shares of every piece that belong to its places, (n, p)."""
    each = np.broadcast_to(WEIGHTS, (len(panels), len(POINTS)))
    if not panels.mesh.axial:
        return each
    wide = each * (panels.start[:, :1] + POINTS * (panels.end - panels.start)[:, :1])
    return np.asarray(wide / wide.sum(axis=1, keepdims=True))


def _seen(panels: Panels, own: int, here: FloatArray) -> tuple[FloatArray, int, float]:
    """From a point of a piece: share of its radiation that meets each piece; which one stands in front; how far."""
    normal = panels.normal[own]
    along = np.array([-normal[1], normal[0]])
    a, b = panels.start - here, panels.end - here
    turned = dot(panels.normal, a) < -1e-12 * np.abs(a).max()  # its outside looks at the point
    ahead = (a @ normal > 0) | (b @ normal > 0)
    which = np.flatnonzero(turned & ahead & (np.arange(len(panels)) != own))
    shares = np.zeros(len(panels))
    if not len(which):
        return shares, -1, np.inf
    ends = np.stack((a[which], b[which]), axis=1)
    sine = _sines(ends, along, normal)
    low, high = sine.min(axis=1), sine.max(axis=1)
    cuts = np.unique(np.concatenate((low, high, [0.0])))
    middle = np.concatenate(((cuts[:-1] + cuts[1:]) / 2, [0.0]))
    ray = middle[:, None] * along + np.sqrt(1 - middle**2)[:, None] * normal
    chord = ends[:, 1] - ends[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = cross(ends[:, 0], chord) / cross(ray[:, None], chord)
    meets: BoolArray = (low < middle[:, None]) & (middle[:, None] < high)
    meets[-1] = (low <= 1e-12) & (high >= -1e-12)
    reach = np.where(meets & (reach > 0), reach, np.inf)
    nearest = reach.argmin(axis=1)
    found = np.isfinite(reach[np.arange(len(middle)), nearest])
    np.add.at(shares, which[nearest[:-1][found[:-1]]], 0.5 * np.diff(cuts)[found[:-1]])
    if not found[-1]:
        return shares, -1, np.inf
    return shares, int(which[nearest[-1]]), float(reach[-1, nearest[-1]])


def _sines(ends: FloatArray, along: FloatArray, normal: FloatArray) -> FloatArray:
    """Sines of the angles of segments (m, 2, 2) from the normal, what lies behind the face cut off, (m, 2)."""
    x, y = ends @ along, ends @ normal
    # an end behind the face: where the segment passes the plane of the face, at +-90 degrees
    passing = np.sign(x * y[:, ::-1] - x[:, ::-1] * y)
    return np.where(y > 0, x / np.hypot(x, y), passing)


def _mouths(panels: Panels, free: BoolArray, across: BoolArray) -> FloatArray:
    """Distance along its boundary from every point to the next with nothing in front.

    A point that looks across the axis is a mouth for all others: the bore of a coil is full of the room's air.
    """
    mouth = np.full(free.shape, np.inf)
    for boundary in np.unique(panels.boundary):
        rows = np.flatnonzero(panels.boundary == boundary)
        begin = np.concatenate(([0.0], np.cumsum(panels.length[rows])))
        place = (begin[:-1, None] + POINTS * panels.length[rows][:, None]).ravel()
        for which, target in ((~across, free | across), (across, free)):
            open_ones = place[target[rows].ravel()]
            if not len(open_ones):
                continue
            apart = np.abs(place[:, None] - open_ones)
            if not (panels.mesh.axial and panels.start[rows, 0].min() == 0):  # what ends on the axis closes beyond it
                apart = np.minimum(apart, begin[-1] - apart)
            nearest = apart.min(axis=1).reshape(len(rows), -1)
            mouth[rows] = np.where(which[rows], nearest, mouth[rows])
    return mouth
