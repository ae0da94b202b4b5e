"""Boundary layers: rows of long elements along a boundary, into the metal or through its coats.

A boundary layer is a set of rays, one per boundary node (several at a coated convex corner, which the coat rounds), cut
at the same fractions of their depth. Two neighbouring rays bound a column of quadrilaterals, each split
into two triangles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray, rolled
from crosscurrent.geometries.plane.outline import Outline, rotated
from crosscurrent.geometries.plane.sides import BLOCK, Sides

from .axis import snapped_rays
from .boundary import Boundary, neighbours
from .nodes import Nodes
from .options import MeshOptions
from .sizes import ball_diameters

ROUNDING = 1e-12  # of a depth that counts as unchanged
STEEPEST = 0.25  # change of depth per length along the boundary
CROWDING = 0.75  # how much of a side's length the mitres at its ends may take away
CORNER = np.radians(5)  # coats round a convex corner that turns more
FAN = np.radians(31)  # largest angle between the rays round such a corner


@dataclass(frozen=True, eq=False)
class Rays:
    """Where the rows of a boundary layer lie.

    Attributes
    ----------
    base : (r,) int
        Boundary node each ray starts from; repeated where a coat rounds a corner.
    rows : (n, r, 2) float
        Places of all rows below the boundary, nearest first [m].
    curve_centres : (r, 2) float
        Centre the column from ray k to ray k + 1 runs around; nan where it is straight [m].
    base_edge : (r,) int
        Boundary edge below the column from ray k to ray k + 1; -1 for the fan at a rounded corner.
    """

    base: IntArray
    rows: FloatArray
    curve_centres: FloatArray
    base_edge: IntArray


def layer_fractions(depth: float, skin: float, options: MeshOptions, *, both_faces: bool = False) -> FloatArray:
    """Cuts of a stack of layers as fractions 0..1 of its depth, without 0; growing away from the surface.

    Parameters
    ----------
    depth, skin : float
        [m]
    options : MeshOptions
    both_faces : bool
        Whether layers grow from both ends, to be thickest in the middle.

    Examples
    --------
    >>> layer_fractions(5.0, 1.0, MeshOptions()).round(3).tolist()
    [0.123, 0.308, 0.585, 1.0]
    """
    if not np.isfinite(skin) or depth <= 1.2 * options.first * skin:
        return np.array([1.0])
    if both_faces:
        half = layer_fractions(0.5 * depth, skin, options)
        return np.concatenate((0.5 * half, 1 - 0.5 * half[-2::-1], [1.0]))
    steps = [options.first * skin]
    while sum(steps) < 0.98 * min(depth, 2 * options.reach * skin):
        steps.append(steps[-1] * options.growth)
    if sum(steps) < depth:
        steps.append(depth - sum(steps))
    return np.cumsum(steps) / sum(steps)


def layer_depths(
    boundaries: Sequence[Boundary], nodes: Sequence[Nodes], sides: Sides, options: MeshOptions
) -> list[FloatArray]:
    """Depth of the boundary layers under every node of all boundaries [m]: as the skin asks for and there is room."""
    mitres = [_mitre(boundary, options) for boundary in boundaries]
    rooms = _rooms(boundaries, nodes, sides, np.concatenate(mitres))
    depths = []
    for boundary, on, room, mitre in zip(boundaries, nodes, rooms, mitres, strict=True):
        outline, corner = boundary.outline, (on.fraction == 0).nonzero()[0]
        depth = np.minimum(options.reach * boundary.skin, np.minimum(room, rolled(room, 1)))
        convex_arc = outline.curved & (outline.bulges > 0)
        radius = np.where(convex_arc, outline.radii, np.inf)[on.side - on.side[0]]
        depth = np.minimum(depth, 0.8 * np.minimum(radius, rolled(radius, 1)))
        depth[corner] = np.minimum(depth[corner], mitre)
        depths.append(depth)
    return depths


def _mitre(boundary: Boundary, options: MeshOptions) -> FloatArray:
    """Depth that the sides at each corner of a boundary leave for the mitres at their ends, (n,) [m]."""
    outline, cotangent = boundary.outline, np.tan(boundary.turning / 2)
    shorter = np.minimum(outline.lengths, rolled(outline.lengths, 1))
    sharp = cotangent > 1e-6
    mitre = np.where(sharp, 0.5 * CROWDING * shorter / np.where(sharp, cotangent, 1), np.inf)
    return np.minimum(mitre, options.reach * boundary.skin)


def _rooms(
    boundaries: Sequence[Boundary], nodes: Sequence[Nodes], sides: Sides, mitre: FloatArray
) -> list[FloatArray]:
    """What the nearest side ahead leaves for a layer at nodes and middles of edges; at least the mitre beside [m]."""
    side = np.concatenate([on.side for on in nodes])
    fraction, normal = (np.concatenate([getattr(on, name) for on in nodes]) for name in ("fraction", "normal"))
    upper = rolled(fraction, -1)
    middle, along = sides.at(side, 0.5 * (fraction + np.where(upper == 0, 1.0, upper)))
    places = np.concatenate((*(on.position for on in nodes), middle))
    tangent = np.concatenate((np.column_stack((normal[:, 1], -normal[:, 0])), along))
    local = np.tile(side, 2)
    before, after = (beside[local] for beside in neighbours([boundary.outline for boundary in boundaries]))
    room = np.empty(len(places))
    for start in range(0, len(room), block := max(1, BLOCK // len(sides))):
        s = slice(start, start + block)
        free = 0.4 * ball_diameters(sides, places[s], tangent[s], both_ways=False)
        rows = np.arange(len(free))
        for beside, corner in ((before[s], local[s]), (after[s], after[s])):
            free[rows, beside] = np.maximum(free[rows, beside], mitre[corner])
        room[s] = free.min(axis=1)
    return np.split(room.reshape(2, -1).min(axis=0), np.cumsum([len(on.side) for on in nodes[:-1]]))


def gently(depth: FloatArray, nodes: Nodes, sides: Sides) -> FloatArray:
    """Lower the depth where it would change too steeply along a boundary; constant along each arc."""
    step = np.hypot(*(rolled(nodes.position, -1) - nodes.position).T)
    first = (nodes.fraction == 0).nonzero()[0].tolist()
    arcs = [slice(a, b) for a, b in pairwise([*first, len(depth)]) if sides.curved[nodes.side[a]]]
    for _ in range(2):
        for on in arcs:
            end = on.stop % len(depth)
            depth[on] = depth[end] = min(depth[on].min(), depth[end])
        depth = _reached(depth, STEEPEST * rolled(step, 1))
        depth = _reached(depth[::-1], STEEPEST * step[::-1])[::-1]
    return depth


def _reached(depth: FloatArray, rise: FloatArray) -> FloatArray:
    """The depth, round a closed boundary, where it may grow by no more than the rise from the node before.

    Examples
    --------
    >>> _reached(np.array([5.0, 0.0, 5.0, 5.0]), np.ones(4)).tolist()
    [3.0, 0.0, 1.0, 2.0]
    """
    along = np.concatenate((rise, rise)).cumsum()
    found = (np.minimum.accumulate(np.concatenate((depth, depth)) - along) + along)[len(depth) :]
    return np.where(found < (1 - ROUNDING) * depth, found, depth)


def skin_rays(boundary: Boundary, nodes: Nodes, depth: FloatArray, fractions: FloatArray) -> Rays:
    """Rays into the metal: normal on faces, along the bisector at corners, blended between."""
    local = nodes.side - nodes.side.min()
    corner = np.flatnonzero(nodes.fraction == 0)
    tips = _ray_tips(boundary.outline, nodes, depth, depth[corner] * np.tan(boundary.turning / 2))
    rows = nodes.position + fractions[:, None, None] * (tips - nodes.position)
    if boundary.axial:
        rows = snapped_rays(rows, nodes.position)
    return Rays(np.arange(len(depth)), rows, boundary.outline.centres[local], np.arange(len(depth)))


def _ray_tips(outline: Outline, nodes: Nodes, depth: FloatArray, mitre: FloatArray) -> FloatArray:
    """Ends of rays of some depth (negative: outward) from all nodes, (n, 2) [m].

    `mitre` says how far ahead along its side the ray of each corner ends; backward by as much along the side before.
    The nodes beside a corner share in it, less and less with their distance.
    """
    local = nodes.side - nodes.side.min()
    length, start, end = outline.lengths, mitre, rolled(mitre, -1)
    taken = np.abs(start) + np.abs(end)
    with np.errstate(divide="ignore", invalid="ignore"):
        zone_start = np.minimum(3 * np.abs(start), np.where(taken > 0, length * np.abs(start) / taken, 0))
        zone_end = np.minimum(3 * np.abs(end), np.where(taken > 0, length * np.abs(end) / taken, 0))
        u = nodes.fraction * length[local]
        fade_start = np.clip(1 - u / zone_start[local], 0, 1)
        fade_end = np.clip(1 - (length[local] - u) / zone_end[local], 0, 1)
    shift = np.nan_to_num(start[local] * fade_start) - np.nan_to_num(end[local] * fade_end)
    tangent = np.column_stack((nodes.normal[:, 1], -nodes.normal[:, 0]))
    tips = nodes.position + nodes.normal * depth[:, None] + tangent * shift[:, None]
    arc = outline.curved[local] & (nodes.fraction > 0)
    if arc.any():
        tips[arc] = _turned_about(
            nodes.position[arc], outline.centres[local[arc]], outline.radii[local[arc]],
            depth[arc], shift[arc], np.sign(outline.bulges[local[arc]]),
        )  # fmt: skip
    return np.asarray(tips)


def _turned_about(
    place: FloatArray, centre: FloatArray, radius: FloatArray, depth: FloatArray, shift: FloatArray, sense: FloatArray
) -> FloatArray:
    spoke = (place - centre) / radius[:, None]
    turn = sense * shift / radius
    cos, sin = np.cos(turn), np.sin(turn)
    spoke = np.column_stack((cos * spoke[:, 0] - sin * spoke[:, 1], sin * spoke[:, 0] + cos * spoke[:, 1]))
    return np.asarray(centre + spoke * (radius - sense * depth)[:, None])


def coat_rays(boundary: Boundary, nodes: Nodes, depths: FloatArray) -> Rays:
    """Rays outward through the coats at the depths given [m]: convex corners rounded, concave ones mitred."""
    outline = boundary.outline
    local = nodes.side - nodes.side.min()
    corner = np.flatnonzero(nodes.fraction == 0)
    turn = boundary.turning
    rounded = turn > CORNER
    total = np.full(len(local), -depths[-1])
    tips = _ray_tips(outline, nodes, total, np.where(rounded, 0.0, -depths[-1] * np.tan(turn / 2)))
    # a rounded corner is a fan of rays, the last of them normal to the side that follows
    extra = np.zeros(len(local), int)
    extra[corner[rounded]] = np.ceil(turn[rounded] / FAN).astype(int)
    if boundary.axial:  # one of the rays round a tip on the axis lies on it
        extra += extra % 2 * (nodes.position[:, 0] == 0)
    base = np.repeat(np.arange(len(local)), 1 + extra)
    last = np.cumsum(1 + extra) - 1
    still = last[base] - np.arange(len(base))  # rays to come at the same node
    angle = -turn[local[base]] * still / np.maximum(extra[base], 1)
    rays = rotated((tips - nodes.position)[base], angle)
    rows = nodes.position[base] + (depths / depths[-1])[:, None, None] * rays
    if boundary.axial:
        rows = snapped_rays(rows, nodes.position[base])
    centres = np.where((still > 0)[:, None], nodes.position[base], outline.centres[local[base]])
    return Rays(base, rows, centres, np.where(still > 0, -1, base))
