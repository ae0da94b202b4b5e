"""Which face every bit of metal is nearest to: whole elements where it is one, pieces along bisectors."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import Sides, distances, dot, nearest, turned_left, unit
from crosscurrent.solver.field.discretisation import Discretisation

from .field_values import small_triangles

FINE = 8  # pieces along an element that a bisector crosses
TIE = 1e-6  # weight of the distance to a side's line, which decides where two sides meet in the nearest point
BLOCK = 500_000  # places times sides worked on at once


@dataclass(frozen=True, eq=False)
class Split:
    """The metal of a conductor as places that stand for areas, each counted to a face.

    Attributes
    ----------
    groups : list of (rows, places)
        Elements, counted among those of metal, and the reference places (p, 2) at which the field is wanted.
    place : (k,) int
        Number of the place, element by element and group by group. Where a bisector runs by, one counts to two faces.
    row, face : (k,) int
        Its element, counted among those of metal; its face.
    area, volume, depth : (k,) float
        Area it stands for there [m2], and volume: per metre of run [m2], all round an axis [m3]; depth below the
        surface [m].
    """

    groups: list[tuple[IntArray, FloatArray]]
    place: IntArray
    row: IntArray
    face: IntArray
    area: FloatArray
    volume: FloatArray
    depth: FloatArray


def split_by_face(d: Discretisation, number: int, part: Part, label: IntArray, lit: BoolArray) -> Split:
    """Count the metal of a conductor to the faces of its outline.

    Parameters
    ----------
    d : Discretisation
    number, part : int, Part
        Of the conductor.
    label : (sides,) int
        Face of every side of its outlines.
    lit : (m,) bool
        Elements of metal that count.
    """
    rows = np.flatnonzero((d.mesh.part[d.elements.metal] == number) & lit)
    places, weights = quadrature(2 * d.order)
    elements = d.elements.metal[rows]
    side, distance = nearest_sides(part.all_outlines, d.elements.positions(elements, places).reshape(-1, 2))
    face, distance = label[side].reshape(len(rows), -1), distance.reshape(len(rows), -1)
    crossed = (face != face[:, :1]).any(axis=1)
    cut, rows = rows[crossed], rows[~crossed]
    fine_places, fine_weights = fine_rule(FINE)
    owner, other, share, middle = _cut(d, part, label, d.elements.metal[cut])
    twice = np.flatnonzero(share > 0)
    groups = [(rows, places, weights), (cut, fine_places, fine_weights)]

    def shared(measure: Callable[[IntArray, FloatArray], FloatArray]) -> FloatArray:
        whole, fine = ((measure(d.elements.metal[r], p) * w).ravel() for r, p, w in groups)
        return np.concatenate((whole, fine * (1 - share), (fine * share)[twice]))

    area = shared(lambda rows, places: d.elements.maps(rows, places)[0])
    row = np.concatenate((np.repeat(rows, len(places)), np.repeat(cut, len(fine_places))))
    place = np.concatenate((np.arange(len(row)), len(rows) * len(places) + twice))
    face = np.concatenate((face[~crossed].ravel(), owner, other[twice]))
    distance = np.concatenate((distance[~crossed].ravel(), middle))[place]
    return Split(
        [(rows, places), (cut, fine_places)],
        place,
        row[place],
        face,
        area,
        shared(d.elements.measure) if d.mesh.axial else area,
        below_surface(d, part, label, row[place], face, distance),
    )


def nearest_sides(outlines: Sequence[Outline], places: FloatArray) -> tuple[IntArray, FloatArray]:
    """Number of the nearest side (counted through all outlines) and its distance, for places (m, 2).

    Behind a concave corner two sides are equally near; there the bisector of the corner decides.

    Parameters
    ----------
    outlines : sequence of Outline
    places : (m, 2) float
        [m]

    Returns
    -------
    side : (m,) int
    distance : (m,) float
        [m]

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> side, distance = nearest_sides((bar(0.1, 0.006).outer,), np.array([[0.0, 0.002], [0.049, 0.0]]))
    >>> side.tolist(), distance.round(6).tolist()  # sides from the lower one on, against the clock
    ([2, 1], [0.001, 0.001])
    """
    sides = Sides.of(*outlines)
    side, least = [np.zeros(0, dtype=int)], [np.zeros(0)]
    step = max(1, BLOCK // len(sides))
    for first in range(0, len(places), step):
        block = places[first : first + step]
        distance = distances(sides, block)
        found, shortest = distance.argmin(axis=1), distance.min(axis=1)
        tied = np.flatnonzero((distance <= (1 + 1e-9) * shortest[:, None]).sum(axis=1) > 1)
        found[tied] = _ranks(sides, block[tied]).argmin(axis=1)
        side.append(found)
        least.append(shortest)
    return np.concatenate(side), np.concatenate(least)


def _ranks(sides: Sides, places: FloatArray) -> FloatArray:
    """Distance of every side from places (m, 2), and a little more where its line is near, (m, n) [m]."""
    distance, foot = nearest(sides, places[:, None])
    across = np.where(sides.curved[:, None], foot - sides.centre, turned_left(sides.chord))
    off_line = np.abs(dot(places[:, None] - foot, unit(across)))
    return np.asarray(distance + TIE * (distance - off_line))


def below_surface(
    d: Discretisation, part: Part, label: IntArray, row: IntArray, face: IntArray, distance: FloatArray
) -> FloatArray:
    """Depth below the surface of places at a distance from the outline of the base metal, (k,) [m]."""
    coats = [sum(part.coats), *(sum(part.bore_coats) for _ in part.shape.holes)]
    coats += [0.0] * (len(part.all_outlines) - len(coats))
    thickness = np.zeros(int(label.max()) + 1)
    thickness[label] = np.repeat(coats, [len(o.points) for o in part.all_outlines])
    layer = d.mesh.layer_of_region[d.mesh.region[d.elements.metal]]
    outside = (layer > 0) & (layer <= len(part.layers))
    return np.asarray(thickness[face] + np.where(outside[row], -distance, distance))


def fine_rule(fineness: int) -> tuple[FloatArray, FloatArray]:
    """Places and weights on the reference triangle: a rule of degree 2 on each of its small triangles in turn."""
    corner = (lattice(fineness)[:, 1:] / fineness)[small_triangles(fineness)]
    places, weights = quadrature(2)
    bary = np.column_stack((1 - places.sum(axis=1), places))
    return np.einsum("pk,tkd->tpd", bary, corner).reshape(-1, 2), np.tile(weights, len(corner)) / fineness**2


def _cut(
    d: Discretisation, part: Part, label: IntArray, elements: IntArray
) -> tuple[IntArray, IntArray, FloatArray, FloatArray]:
    """For every place of the fine rule: its nearest face, the next one, the share of the next one, the distance [m].

    The bisector is a straight line through each small triangle, whose places all have the same share.
    """
    corner = small_triangles(FINE)
    points = d.elements.positions(elements, lattice(FINE)[:, 1:] / FINE)
    ranks = _face_ranks(Sides.of(*part.all_outlines), label, points.reshape(-1, 2))
    ranks = ranks.reshape(*points.shape[:2], ranks.shape[1])[:, corner].reshape(-1, 3, ranks.shape[1])
    middle = ranks.mean(axis=1)
    order = np.argsort(middle, axis=1)
    owner, other, every = order[:, 0], order[:, min(1, order.shape[1] - 1)], np.arange(len(order))
    share = _negative_share(ranks[every, :, other] - ranks[every, :, owner])
    repeated = (np.repeat(x, len(quadrature(2)[1])) for x in (owner, other, share, middle[every, owner]))
    return next(repeated), next(repeated), next(repeated), next(repeated)


def _face_ranks(sides: Sides, label: IntArray, points: FloatArray) -> FloatArray:
    """Smallest rank of each face's sides, (m, faces) [m]."""
    found = [np.zeros((0, int(label.max()) + 1))]
    step = max(1, BLOCK // len(sides))
    for first in range(0, len(points), step):
        rank = _ranks(sides, points[first : first + step])
        found.append(np.column_stack([rank[:, label == k].min(axis=1) for k in range(int(label.max()) + 1)]))
    return np.concatenate(found)


def _negative_share(value: FloatArray) -> FloatArray:
    """Part of a triangle's area where a linear function is negative, from its corner values (..., 3)."""
    low, middle, high = np.moveaxis(np.sort(value, axis=-1), -1, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        one = low**2 / ((low - middle) * (low - high))  # the corner of the lowest value alone
        all_but_one = 1 - high**2 / ((high - low) * (high - middle))
    return np.select([low >= 0, high <= 0, middle >= 0], [0.0, 1.0, one], all_but_one)
