"""Where the walls of a meshed section go when the section changes a little: every wall, below coats and pieces too.

A node on a wall keeps its side and its fraction along it. Coats move with their outline and by what they grow; at a
hollow corner, where two offset sides meet, a node follows both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.plane.outline import Outline, rotated
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import Sides, cross, dot

from .mesh import Mesh

ON = 1e-9  # distance from a side over the size of its part, up to which a node lies on it
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
    on_parts : tuple of WallNodes
        Those of every part.
    """

    nodes: IntArray
    on_parts: tuple[WallNodes, ...]

    @classmethod
    def of(cls, mesh: Mesh, parts: Sequence[Part]) -> Walls:
        """Of a mesh of these parts."""
        edges, owner = wall_edges(mesh)
        nodes = np.unique(edges)
        rows = [np.searchsorted(nodes, np.unique(edges[owner == k])) for k in range(len(parts))]
        on_parts = [WallNodes.of(mesh.points[nodes], row, part) for row, part in zip(rows, parts, strict=True)]
        return cls(nodes, tuple(on_parts))

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
        for on, parts in zip(self.on_parts, zip(*sections, strict=True), strict=True):
            which = [k for k, part in enumerate(parts) if not stays(on.part, part)]
            if which:
                motion = on.motion([parts[k] for k in which])
                moved[on.rows[:, None], :, which] = motion.swapaxes(0, 1)
        return moved


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
class WallNodes:
    """Nodes on the walls of one part, as places beside its outlines.

    Attributes
    ----------
    part : Part
    sides : Sides
        Of all its outlines.
    rows : (m,) int
        Which of the nodes on walls they are.
    feet, off : (m, sides, 2) float
        Nearest point of every side, and the way from there to the node [m].
    fraction : (m, sides) float
        Where that point lies along the side.
    """

    part: Part
    sides: Sides
    rows: IntArray
    feet: FloatArray
    off: FloatArray
    fraction: FloatArray

    @classmethod
    def of(cls, places: FloatArray, rows: IntArray, part: Part) -> WallNodes:
        """Of those of the places (w, 2) in `rows`."""
        sides = Sides.of(*part.all_outlines)
        feet = sides.feet(places[rows])
        return cls(part, sides, rows, feet, places[rows][:, None] - feet, sides.fraction(feet))

    @cached_property
    def _depth(self) -> FloatArray:
        """How far every node lies outside the outlines, (m,): in coats."""
        return np.asarray(np.hypot(self.off[..., 0], self.off[..., 1]).min(axis=1))

    @cached_property
    def _near(self) -> BoolArray:
        """The sides nearest to every node, (m, sides)."""
        seen = ON * float(np.hypot(*np.ptp(self.part.bounds, axis=0)))
        return np.asarray(np.hypot(self.off[..., 0], self.off[..., 1]) <= self._depth[:, None] + seen)

    @cached_property
    def _followed(self) -> IntArray:
        """The side that every node follows, (m,): a corner of one outline on a side of another says where it goes."""
        return np.asarray(np.where(self._near, np.abs(self.fraction - 0.5), -1.0).argmax(axis=1))

    @cached_property
    def _mitred(self) -> list[tuple[int, int]]:
        """Nodes at hollow corners of coats, with the second side that they follow."""
        found = []
        seen = ON * float(np.hypot(*np.ptp(self.part.bounds, axis=0)))
        for k in np.flatnonzero((self._depth > seen) & (self._near.sum(axis=1) > 1)).tolist():
            others = np.flatnonzero(self._near[k])
            turned = np.abs(cross(self.off[k, self._followed[k]], self.off[k, others])) / self._depth[k] ** 2
            if turned.max() > PARALLEL:
                found.append((k, int(others[turned.argmax()])))
        return found

    @cached_property
    def _first(self) -> Beside:
        """Where they are beside the sides that they follow."""
        return Beside.of(self, np.arange(len(self.rows)), self._followed)

    def motion(self, parts: Sequence[Part]) -> FloatArray:
        """How far they move to each of some parts, (parts, m, 2) [m]."""
        sides = Sides.of(*(outline for part in parts for outline in part.all_outlines))
        found, normal = self._first.motion(parts, sides), self._first.normal
        for k, side in self._mitred:
            beside = Beside.of(self, np.array([k]), np.array([side]))
            second, across = beside.motion(parts, sides), beside.normal
            gone = np.stack((found[:, k] @ normal[k], second[:, 0] @ across[0]))
            found[:, k] = np.linalg.solve(np.array([normal[k], across[0]]), gone).T
        return found


@dataclass(frozen=True, eq=False)
class Beside:
    """Places of some nodes beside sides of a part that they follow.

    Attributes
    ----------
    part : Part
    side : (m,) int
    fraction : (m,) float
        Along it.
    here, along : (m, 2) float
        The point there [m], and the direction of the side.
    off, normal : (m, 2) float
        From there to the node [m], and the unit vector that way; 0 on the side.
    """

    part: Part
    side: IntArray
    fraction: FloatArray
    here: FloatArray
    along: FloatArray
    off: FloatArray
    normal: FloatArray

    @classmethod
    def of(cls, nodes: WallNodes, rows: IntArray, side: IntArray) -> Beside:
        """Of some nodes on the walls of a part, one side each."""
        fraction, off = nodes.fraction[rows, side], nodes.off[rows, side]
        depth = np.hypot(off[:, 0], off[:, 1])
        normal = off / np.where(depth > 0, depth, 1.0)[:, None]
        return cls(nodes.part, side, fraction, *nodes.sides.at(side, fraction), off, normal)

    def motion(self, parts: Sequence[Part], sides: Sides) -> FloatArray:
        """How far the nodes move to each of some parts, whose sides come one after the other, (parts, m, 2) [m]."""
        shape, first = (len(parts), len(self.side)), np.arange(len(parts))[:, None] * (len(sides) // len(parts))
        there, turned = sides.at((first + self.side).ravel(), np.tile(self.fraction, len(parts)))
        found = there.reshape(*shape, 2) - self.here
        if not self.part.layers:
            return np.asarray(found)
        turned = turned.reshape(*shape, 2)
        turn = np.arctan2(cross(self.along, turned), dot(self.along, turned))
        grown = np.stack([self._grown(part) for part in parts])
        return np.asarray(found + rotated(self.off, turn) - self.off + grown[..., None] * self.normal)

    def _grown(self, after: Part) -> FloatArray:
        """By how much the coats below them grow, (m,) [m]."""
        depth, outside = np.hypot(self.off[:, 0], self.off[:, 1]), self.side < len(self.part.shape.outer.points)
        grown = np.zeros(len(self.side))
        for on, coats, thicker in (
            (outside, self.part.coats, after.coats), (~outside, self.part.bore_coats, after.bore_coats),
        ):  # fmt: skip
            reach, further = (np.cumsum([0.0, *layers]) for layers in (coats, thicker))
            grown[on] = (further - reach)[np.abs(depth[on, None] - reach).argmin(axis=1)]
        return grown
