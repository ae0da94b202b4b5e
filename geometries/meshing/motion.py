"""Where the walls of a meshed section go when the section changes a little: every wall, below coats and pieces too.

A node on a wall keeps its side and its fraction along it. Coats move with their outline and by what they grow; at a
hollow corner, where two offset sides meet, a node follows both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.plane.outline import Outline, rotated
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import BLOCK, Sides, cross, dot, nearest

from .mesh import Mesh

ON = 1e-9  # distance from a side over the size of its part, up to which a node lies on it
TOUCHING = 1e-13  # the same that rounding may leave of none
ALIKE = 1e-12  # difference of the bulges of two arcs up to which they turn through one angle
PARALLEL = 1e-3  # sine of the angle below which two walls at a node count as one


def wall_edges(mesh: Mesh) -> tuple[IntArray, IntArray]:
    """Edges between two regions, or a region and air, (e, 2), and the part each belongs to, (e,)."""
    order = np.argsort(mesh.triangle_edges.ravel(), kind="stable")
    number, triangle = mesh.triangle_edges.ravel()[order], order // 3
    twice = np.flatnonzero(number[1:] == number[:-1])
    one, other = triangle[twice], triangle[twice + 1]
    wall = mesh.region[one] != mesh.region[other]
    part = np.maximum(mesh.part[one], mesh.part[other])
    return mesh.edges[number[twice][wall]], part[wall]


@dataclass(frozen=True, eq=False)
class Walls:
    """The nodes on all walls of a mesh.

    Attributes
    ----------
    nodes : (w,) int
        Their numbers.
    parts : tuple of Part
    followed : Beside
        Where they are beside the sides that they follow, part by part.
    mitred : Beside, optional
        Where those at hollow corners of coats are beside a second side that they follow; none without such corners.
    first : (q,) int
        Which of `followed` those are.
    """

    nodes: IntArray
    parts: tuple[Part, ...]
    followed: Beside
    mitred: Beside | None
    first: IntArray

    @classmethod
    def of(cls, mesh: Mesh, parts: Sequence[Part]) -> Walls:
        """Of a mesh of these parts."""
        edges, owner = wall_edges(mesh)
        nodes = np.unique(edges)
        on = np.zeros((len(parts), len(nodes)), dtype=bool)
        on[owner[:, None], np.searchsorted(nodes, edges)] = True
        part, rows = np.nonzero(on)
        return cls(nodes, tuple(parts), *_beside(mesh.points[nodes], rows, part, parts))

    def motion(self, sections: Sequence[Sequence[Part]]) -> FloatArray:
        """How far every one of them moves to each of some sections a hair apart, (w, 2, sections) [m].

        Raises
        ------
        GeometryError
            A part has other sides afterwards.

        Examples
        --------
        >>> from crosscurrent.geometries.meshing.mesher import mesh_section
        >>> from crosscurrent.geometries.plane.section import Section
        >>> from crosscurrent.geometries.plane.shapes import round_bar
        >>> rod, larger = Part("rod", round_bar(0.010)), Part("rod", round_bar(0.012))
        >>> mesh = mesh_section(Section((rod,)), [[1e-3]])
        >>> still, moved = Walls.of(mesh, [rod]).motion([[rod], [larger]]).transpose(2, 1, 0)
        >>> round(float(np.hypot(*still).max()), 12), round(float(np.hypot(*moved).max()), 12)
        (0.0, 0.001)
        """
        moved = np.zeros((len(self.nodes), 2, len(sections)))
        parts = list(enumerate(zip(self.parts, *sections, strict=True)))
        changed = [(k, c, after) for k, (one, *others) in parts for c, after in enumerate(others)
                   if not stays(one, after)]  # fmt: skip
        if changed:
            of, which, afterwards = zip(*changed, strict=True)
            every = Afterwards.of_parts(self.parts, of, afterwards)
            place, group, motion = every.motion(self.followed)
            if self.mitred is not None:
                self._follow_both(every, self.mitred, place, group, motion)
            moved[self.followed.rows[place], :, np.array(which)[group]] = motion
        return moved

    def _follow_both(
        self, every: Afterwards, mitred: Beside, place: IntArray, group: IntArray, motion: FloatArray
    ) -> None:
        """Let nodes at hollow corners follow their second side as well."""
        second, of, across = every.motion(mitred)
        count = len(self.followed.rows)
        at = np.searchsorted(group * count + place, of * count + self.first[second])
        normals = np.stack((self.followed.normal[place[at]], mitred.normal[second]), axis=1)
        gone = np.stack((motion[at], across), axis=1)
        motion[at] = np.linalg.solve(normals, (normals * gone).sum(axis=2)[..., None])[..., 0]


def stays(one: Part, other: Part) -> bool:
    """Whether nothing of a part moves.

    Raises
    ------
    GeometryError
        It has other sides or layers.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> stays(Part("rod", round_bar(0.01)), Part("rod", round_bar(0.01)))
    True
    """
    if one.alike(other):
        return True
    before, after = one.all_outlines, other.all_outlines
    pairs = list(zip(before, after, strict=False))
    alike = len(before) == len(after) and len(one.layers) == len(other.layers)
    if not alike or any(len(a.points) != len(b.points) for a, b in pairs):
        found = f'the smallest change gives "{one.name}" other sides or layers'
        raise GeometryError(GeometryFault(found, "the slope has no meaning there", ((one.name, 0),)))
    if any(np.abs(a.bulges - b.bulges).max() > ALIKE for a, b in pairs):
        found = f'the change gives an arc of "{one.name}" another angle'
        raise GeometryError(GeometryFault(found, "slopes hold where arcs keep theirs", ((one.name, 0),)))
    if one.coats and _hollow_turns(one.shape.outer, other.shape.outer):
        found = f'the change gives a hollow corner between an arc and its neighbour, under the coats of "{one.name}", '
        found += "another angle"
        raise GeometryError(GeometryFault(found, "slopes hold where such corners keep theirs", ((one.name, 0),)))
    return False


def _hollow_turns(before: Outline, after: Outline) -> bool:
    """Whether a hollow corner at an arc changes its angle: where offset sides meet then slides along the offset arc."""
    at_arc, first = before.curved | np.roll(before.curved, -1), _turns(before)
    hollow = at_arc & (first < -PARALLEL)
    return bool(hollow.any() and (hollow & (np.abs(_turns(after) - first) > ON)).any())


@lru_cache(maxsize=64)  # the outlines that changes are told from come again with each
def _turns(outline: Outline) -> FloatArray:
    """By how much the direction turns where every side meets the next, (n,) [rad]."""
    sides = Sides.of(outline)
    every, none = np.arange(len(sides)), np.zeros(len(sides))
    coming, going = sides.at(every, none + 1)[1], sides.at(np.roll(every, -1), none)[1]
    return np.asarray(np.arctan2(cross(coming, going), dot(coming, going)))


@dataclass(frozen=True, eq=False)
class Beside:
    """Places of nodes beside sides of their parts that they follow, one side each.

    Attributes
    ----------
    rows : (m,) int
        Which of the nodes on walls they are.
    part : (m,) int
        In order.
    side : (m,) int
        Among those of the part.
    fraction : (m,) float
        Along it.
    here, along : (m, 2) float
        The point there [m], and the direction of the side.
    off, normal : (m, 2) float
        From there to the node [m], and the unit vector that way; 0 on the side.
    layer : (m,) int
        Which of the thicknesses below it that `_reaches` has.
    """

    rows: IntArray
    part: IntArray
    side: IntArray
    fraction: FloatArray
    here: FloatArray
    along: FloatArray
    off: FloatArray
    normal: FloatArray
    layer: IntArray


@dataclass(frozen=True, eq=False)
class NearSides:
    """Nodes of parts with the sides of those that are nearest to them, pair by pair.

    Attributes
    ----------
    node : (p,) int
        In order.
    side : (p,) int
        Among those of all parts.
    foot : (p, 2) float
        Nearest point of the side [m].
    depth : (nodes,) float
        How far every node lies outside the outlines [m]: in coats.
    """

    node: IntArray
    side: IntArray
    foot: FloatArray
    depth: FloatArray

    @classmethod
    def of(cls, places: FloatArray, part: IntArray, sides: Sides, first: IntArray, size: FloatArray) -> NearSides:
        """Of places (nodes, 2) of parts, which have sides from `first` on and are of such sizes [m]."""
        count, found, depth = np.diff(first)[part], [], np.zeros(len(places))
        before = np.cumsum(count) - count
        for some in np.split(np.arange(len(places)), np.flatnonzero(np.diff(before // BLOCK)) + 1):
            node, start = np.repeat(some, count[some]), before[some] - before[some[0]]
            side = np.arange(len(node)) + np.repeat(first[part[some]] - start, count[some])
            distance, foot = nearest(sides.take(side), places[node])
            on = distance <= TOUCHING * size[part[node]]
            distance, foot = np.where(on, 0.0, distance), np.where(on[:, None], places[node], foot)
            depth[some] = np.minimum.reduceat(distance, start)
            near = distance <= depth[node] + ON * size[part[node]]
            found.append((node[near], side[near], foot[near]))
        node, side, foot = (np.concatenate(of) for of in zip(*found, strict=True))
        return cls(node, side, foot, depth)

    def largest(self, values: FloatArray) -> tuple[FloatArray, IntArray]:
        """Largest of some values (p,) for every node, and the first pair that has it, both (nodes,)."""
        start = np.searchsorted(self.node, np.arange(len(self.depth)))
        found = np.maximum.reduceat(values, start)
        at = np.flatnonzero(values == found[self.node])
        return found, at[np.searchsorted(self.node[at], np.arange(len(self.depth)))]


def _beside(
    points: FloatArray, rows: IntArray, part: IntArray, parts: Sequence[Part]
) -> tuple[Beside, Beside | None, IntArray]:
    """Nodes beside the sides they follow, and some of them beside a second one: which those are."""
    sides = Sides.of(*(outline for one in parts for outline in one.all_outlines))
    first = np.cumsum([0, *(sum(len(outline.points) for outline in one.all_outlines) for one in parts)])
    size = np.array([float(np.hypot(*np.ptp(one.bounds, axis=0))) for one in parts])
    places = points[rows]
    near = NearSides.of(places, part, sides, first, size)
    node, off, fraction = near.node, places[near.node] - near.foot, sides.take(near.side).fraction(near.foot)

    def beside(pairs: IntArray) -> Beside:
        on, side, away = node[pairs], near.side[pairs], off[pairs]
        depth, of = np.hypot(away[:, 0], away[:, 1]), part[on]
        normal, own = away / np.where(depth > 0, depth, 1.0)[:, None], side - first[of]
        return Beside(rows[on], of, own, fraction[pairs], *sides.at(side, fraction[pairs]), away, normal,
                      _layers(parts, of, own, depth))  # fmt: skip

    chosen = near.largest(np.abs(fraction - 0.5))[1]  # a corner of one outline on a side of another says where it goes
    deep = near.depth > ON * size[part]
    if not deep.any():
        return beside(chosen), None, np.zeros(0, dtype=np.int64)
    square = np.where(deep, near.depth, np.inf)[node] ** 2
    most, other = near.largest(np.abs(cross(off[chosen][node], off)) / square)
    mitred = np.flatnonzero(most > PARALLEL)
    return beside(chosen), beside(other[mitred]) if len(mitred) else None, mitred


def _layers(parts: Sequence[Part], part: IntArray, side: IntArray, depth: FloatArray) -> IntArray:
    """Which of the thicknesses that `_reaches` has each node is above, by the depth of coats below it [m]."""
    found = np.zeros(len(part), dtype=np.int64)
    for k, one in enumerate(parts):
        if one.layers:
            outer, bores = reaches = _reaches(one)
            inside = side >= len(one.shape.outer.points)
            for on, reach in zip(((part == k) & ~inside, (part == k) & inside), reaches, strict=True):
                found[on] = np.abs(depth[on, None] - reach).argmin(axis=1) + (len(outer) if reach is bores else 0)
    return found


def _reaches(part: Part) -> tuple[FloatArray, FloatArray]:
    """How far the coats reach, each with those below it, outside and in the bores [m]."""
    return np.cumsum([0.0, *part.coats]), np.cumsum([0.0, *part.bore_coats])


@dataclass(frozen=True, eq=False)
class Afterwards:
    """Parts after changes.

    Attributes
    ----------
    of : (k,) int
        Which part each was.
    sides : Sides
        Of all of them.
    first : (k,) int
        From where on theirs stand among those.
    grown : tuple of (layers,) float
        By how much what `_reaches` has grows [m]; empty without layers.
    """

    of: IntArray
    sides: Sides
    first: IntArray
    grown: tuple[FloatArray, ...]

    @classmethod
    def of_parts(cls, parts: Sequence[Part], of: Sequence[int], afterwards: Sequence[Part]) -> Afterwards:
        """From some of the parts before."""
        count = np.array([sum(len(outline.points) for outline in one.all_outlines) for one in afterwards])
        grown = tuple(
            np.concatenate(_reaches(after)) - np.concatenate(_reaches(parts[k])) if parts[k].layers else np.zeros(1)
            for k, after in zip(of, afterwards, strict=True)
        )
        sides = Sides.of(*(outline for one in afterwards for outline in one.all_outlines))
        return cls(np.array(of), sides, np.cumsum(count) - count, grown)

    def motion(self, nodes: Beside) -> tuple[IntArray, IntArray, FloatArray]:
        """How far nodes of each of them move: which of the nodes, which of the parts, and the way (m, 2) [m]."""
        start, stop = (np.searchsorted(nodes.part, self.of, side) for side in ("left", "right"))
        group = np.repeat(np.arange(len(self.of)), stop - start)
        place = np.arange(len(group)) + np.repeat(start - (np.cumsum(stop - start) - (stop - start)), stop - start)
        there, turned = self.sides.at(self.first[group] + nodes.side[place], nodes.fraction[place])
        found = there - nodes.here[place]
        if len(deep := np.flatnonzero(nodes.off[place].any(axis=1))):
            along, off = nodes.along[place[deep]], nodes.off[place[deep]]
            turn = np.arctan2(cross(along, turned[deep]), dot(along, turned[deep]))
            layer = nodes.layer[place]
            grown = np.concatenate([by[layer[group == k]] for k, by in enumerate(self.grown)])[deep]
            found[deep] += rotated(off, turn) - off + grown[:, None] * nodes.normal[place[deep]]
        return place, group, found
