"""From a section to its mesh: boundaries, layers along them, mapped elements across narrow gaps, the interior."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray, rolled
from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.plane.axial import right_area
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.sides import Sides, unit

from .assembly import Assembly, LayerEdge
from .axis import bridged, closed, kept, on_right
from .boundary import Boundary
from .collision import LayerCollision, give_way
from .facing import Facing
from .fill import Opening, fill
from .gaps import OpenEdges, map_gaps, open_edges
from .layers import Rays, coat_rays, gently, layer_depths, layer_fractions, skin_rays
from .mesh import AIR, Mesh
from .nodes import Nodes, place_nodes
from .options import MeshOptions
from .side_by_side import Limit

TRIES = 12
LEAST_HALF = 12  # edges of the half circle round an axial section
COVERED = 1e-12  # how far the areas of an axial mesh may be off,
ROUNDING = 1e-15  # and by how much of the half disc besides


def mesh_section(section: Section, skins: Sequence[Sequence[float]], options: MeshOptions | None = None) -> Mesh:
    """Mesh a section for given skin depths.

    Parameters
    ----------
    section : Section
    skins : for every part, the skin depth [m] of its base metal, of each coat, of each coat in its bores and of each
        piece; inf for direct current
    options : MeshOptions, optional

    Returns
    -------
    Mesh
        Conforming, every triangle proved not to fold; of an axial section its right half, within a half circle.

    Raises
    ------
    MeshError
        Some element folds however thin the boundary layers are made, or a part of an axial section is not covered
        whole; names the parts.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> mesh = mesh_section(Section((Part("rod", round_bar(0.01)),)), [[1e-3]])
    >>> round(float(mesh.areas()[mesh.part == 0].sum()) * 1e6, 6)
    78.539816
    """
    options = options or MeshOptions()
    boundaries = boundaries_of(section, skins)
    nodes, facing, sides = place_nodes(boundaries, options)
    deepest = layer_depths(boundaries, nodes, sides, options)
    shrink = [np.ones(len(on.side)) for on in nodes]
    for attempt in range(TRIES):
        plan = _Plan(section, boundaries, nodes, facing, sides, options, deepest, shrink)
        try:
            mesh = plan.build()
            folded = np.flatnonzero(mesh.smallest_jacobians() <= 0)
            if not len(folded):
                return _covered(section, mesh) if section.axial else mesh
            places = mesh.points[mesh.triangles[folded]].reshape(-1, 2)
        except LayerCollision as collision:
            places = collision.places
        guilty = give_way(places, nodes, plan.depths, shrink)
        if not guilty:
            break
        if attempt == TRIES - 2:
            for w in guilty:
                shrink[w][:] = 0.0
    raise MeshError(_refusal(section, boundaries, sides, places))


def _covered(section: Section, mesh: Mesh) -> Mesh:
    """The mesh of an axial section, if it covers the half disc and half of every part on the axis."""
    area, layer = mesh.areas_between_arcs(), np.append(mesh.layer_of_region, 0)[mesh.region]
    half_disc = 0.5 * np.pi * mesh.radius**2
    wrong = []
    for number, part in enumerate(section.parts):
        bare = (layer == 0) | (layer > len(part.layers))
        wanted = sum(map(right_area, (part.shape, *part.pieces)))
        missing = abs(float(area[(mesh.part == number) & bare].sum()) - wanted)
        if missing > COVERED * wanted + ROUNDING * half_disc:
            wrong.append(f'"{part.name}"')
    if wrong or abs(float(area.sum()) - half_disc) > COVERED * half_disc:
        which = ", ".join(wrong) or "the air around the parts"
        raise MeshError(f"the mesh does not cover {which} whole beside the axis; simplify the outlines there")
    return mesh


def _refusal(section: Section, boundaries: Sequence[Boundary], sides: Sides, places: FloatArray) -> str:
    number = np.repeat(np.arange(len(boundaries)), [len(b.outline.points) for b in boundaries])
    off = sides.feet(places[:100]) - places[:100, None]
    parts = np.unique([boundaries[k].part for k in number[np.hypot(off[..., 0], off[..., 1]).argmin(axis=1)]])
    names = ", ".join(f'"{section.parts[p].name}"' for p in parts)
    x, y = places[0] * 1e3
    what = "plating" if any(section.parts[p].coats or section.parts[p].bore_coats for p in parts) else "mesh"
    return (
        f"the {what} of {names} folds over itself near ({x:.6g} mm, {y:.6g} mm); simplify the outline there or round "
        "its corners"
    )


def boundaries_of(section: Section, skins: Sequence[Sequence[float]]) -> list[Boundary]:
    """All outlines of a section with the metal on their left, part after part, with their skin depths [m]."""
    boundaries, axial = [], section.axial
    for number, (part, depths) in enumerate(zip(section.parts, skins, strict=True)):
        outside = 1 + len(part.coats)
        coats = (part.coats, tuple(depths[1:outside]))
        boundaries.append(Boundary(part.shape.outer, number, depths[0], *coats, axial=axial))
        for hole in part.shape.holes:
            bore = (part.bore_coats, tuple(depths[outside : outside + len(part.bore_coats)]), outside)
            boundaries.append(Boundary(hole.reversed(), number, depths[0], *bore, axial=axial))
        for layer, piece in enumerate(part.pieces, start=1 + len(part.layers)):
            for outline in (piece.outer, *(hole.reversed() for hole in piece.holes)):
                boundaries.append(Boundary(outline, number, depths[layer], layer=layer, axial=axial))
    return boundaries


@dataclass
class _Plan:
    """One attempt at a mesh, with the depths of the boundary layers lowered from the `deepest` by factors `shrink`."""

    section: Section
    boundaries: list[Boundary]
    nodes: list[Nodes]
    facing: Facing
    sides: Sides
    options: MeshOptions
    deepest: list[FloatArray]
    shrink: list[FloatArray]
    depths: list[FloatArray] = field(default_factory=list)
    assembly: Assembly = field(default_factory=Assembly)
    limits: dict[int, Limit] = field(default_factory=dict)
    open: list[Opening] = field(default_factory=list)

    def build(self) -> Mesh:
        """The mesh; LayerCollision where its boundary layers run into one another."""
        first = self.assembly.add_points(np.concatenate([nodes.position for nodes in self.nodes]))
        numbers = first + self._shared_nodes()
        parts = self.section.parts
        regions = tuple(
            (k, layer) for k, p in enumerate(parts) for layer in range(1 + len(p.layers) + len(p.pieces))
        )
        number = {r: k for k, r in enumerate(regions)}
        self.depths = [self._layer_depth(w) for w in range(len(self.boundaries))]
        inner, outer = [], []
        for w, boundary in enumerate(self.boundaries):
            base, numbers = np.split(numbers, [len(self.nodes[w].side)])
            inner.append(self._skin_layer(w, base, number[boundary.part, boundary.layer]))
            outer.append(self._coat_layers(w, base, number) if boundary.coats else self._bare(w, base))
        truncation, layers = self._truncation_boundary(), sum(map(len, self.assembly.triangles))
        for metal in dict.fromkeys((boundary.part, boundary.layer) for boundary in self.boundaries):
            own = [w for w, boundary in enumerate(self.boundaries) if (boundary.part, boundary.layer) == metal]
            self._metal_interior(own, inner, number[metal])
        self._air_interior(outer, truncation)
        if self.open:
            fill(self.assembly, self.open)
        return self._mesh(regions, outer, truncation, layers)

    def _mesh(
        self, regions: tuple[tuple[int, int], ...], outer: Sequence[LayerEdge], truncation: IntArray, layers: int
    ) -> Mesh:
        """What was put together, the boundary layers first: so many triangles.

        Nodes that gave their place to those of a neighbouring piece are left out.
        """
        done = self.assembly
        faces = np.concatenate(
            [
                np.column_stack((e.points, rolled(e.points, -1), np.full(len(e.points), w), self._side_of(w, e)))
                for w, e in enumerate(outer)
            ]
        )
        if self.section.axial:
            faces = faces[on_right(done.places, faces[:, :2])]
        inner_joint = np.isin(faces[:, :2] @ (done.count, 1), faces[:, 1::-1] @ (done.count, 1))
        around = np.concatenate(done.around)
        polar = np.flatnonzero(np.isfinite(around[:, 0]))
        triangles, region = np.concatenate(done.triangles), np.concatenate(done.region)
        curved_edges, curved_edge_centres = done.curved_edges()
        if self.section.axial:
            right = on_right(done.places, curved_edges)
            curved_edges, curved_edge_centres = curved_edges[right], curved_edge_centres[right]
        used = np.bincount(triangles.ravel(), minlength=done.count).nonzero()[0]
        new = np.zeros(done.count, dtype=np.int64)
        new[used] = np.arange(len(used))
        faces[:, :2] = new[faces[:, :2]]
        return Mesh(
            done.places[used], new[triangles], region, self._field_free(triangles, region, layers), regions,
            new[curved_edges], curved_edge_centres, polar, around[polar],
            faces[~inner_joint], new[truncation], self.centre, self.radius, self.section.axial,
        )  # fmt: skip

    def _shared_nodes(self) -> IntArray:
        """Numbers of all boundary nodes; nodes of pieces pressed together share the number of the first of them."""
        place = np.concatenate([nodes.position for nodes in self.nodes])
        numbers = np.arange(len(place))
        if any(part.pieces for part in self.section.parts):
            near = cKDTree(place).query_pairs(1e-9 * self.section.size, output_type="ndarray")
            np.minimum.at(numbers, near.max(axis=1), near.min(axis=1))
        return numbers

    def _side_of(self, w: int, layer_edge: LayerEdge) -> IntArray:
        local = self.nodes[w].side - self.nodes[w].side.min()
        return np.where(layer_edge.base_edge >= 0, local[layer_edge.base_edge], -1)

    # --- boundary layers -------------------------------------------------------------------------

    def _bare(self, w: int, base: IntArray) -> LayerEdge:
        """The boundary itself as the edge of a layer without depth."""
        nodes = self.nodes[w]
        local = nodes.side - nodes.side.min()
        centres = self.boundaries[w].outline.centres[local]
        self.assembly.add_curved_edges(np.column_stack((base, rolled(base, -1))), centres)
        return LayerEdge(base, np.arange(len(base)), centres)

    def _layer_depth(self, w: int) -> FloatArray:
        depth = gently(self.deepest[w] * self.shrink[w], self.nodes[w], self.sides)
        return depth if depth.max() > 0.5 * self.options.first * self.boundaries[w].skin else np.zeros(len(depth))

    def _skin_layer(self, w: int, base: IntArray, region: int) -> LayerEdge:
        boundary, depth = self.boundaries[w], self.depths[w]
        if not depth.any():
            return self._bare(w, base)
        fractions = layer_fractions(float(depth.max()), boundary.skin, self.options)
        rays = skin_rays(boundary, self.nodes[w], depth, fractions)
        return self._boundary_layer(rays, base, np.full(len(fractions), region), inward=True)

    def _coat_layers(self, w: int, base: IntArray, number: dict[tuple[int, int], int]) -> LayerEdge:
        boundary = self.boundaries[w]
        depths, regions, below = [], [], 0.0
        over = sum(t / s for t, s in zip(boundary.coats, boundary.coat_skins, strict=True))
        active = boundary.active(self.options.reach)[1:]
        for layer, (thickness, skin, seen) in enumerate(zip(boundary.coats, boundary.coat_skins, active, strict=True)):
            through = over < self.options.reach
            over -= thickness / skin
            cuts = layer_fractions(thickness, skin if seen else np.inf, self.options, both_faces=through)
            if not through:
                cuts = np.append(1 - cuts[-2::-1], 1.0)
            depths.append(below + thickness * cuts)
            regions += [number[boundary.part, boundary.first_coat + layer]] * len(cuts)
            below += thickness
        rays = coat_rays(boundary, self.nodes[w], np.concatenate(depths))
        self._bare(w, base)
        return self._boundary_layer(rays, base, np.array(regions), inward=False)

    def _boundary_layer(self, rays: Rays, base: IntArray, region: IntArray, *, inward: bool) -> LayerEdge:
        """Triangles between the rows of all rays; returns the last row."""
        below, on = base[rays.base], rays.base_edge >= 0
        self.assembly.add_curved_edges(np.column_stack((below, rolled(below, -1)))[on], rays.curve_centres[on])
        meshed = np.ones(len(below), bool)
        if self.section.axial:
            right = np.concatenate((self.assembly.places[below][None], rays.rows))[..., 0] >= 0
            meshed = np.asarray((right & np.roll(right, -1, axis=1)).all(axis=0))
        first = self.assembly.add_points(rays.rows.reshape(-1, 2))
        chain = np.concatenate((below, first + np.arange(rays.rows.shape[0] * len(below)))).reshape(-1, len(below))
        begin, end = chain[:, meshed], np.roll(chain, -1, axis=1)[:, meshed]
        centres = rays.curve_centres[meshed]
        self.assembly.add_columns(begin[:-1], end[:-1], begin[1:], end[1:], centres, region, inward)
        return LayerEdge(chain[-1], rays.base_edge, rays.curve_centres)

    # --- gaps and interiors ----------------------------------------------------------------------

    def _map_gaps(self, layer_edges: dict[int, LayerEdge], left: OpenEdges, region: int) -> None:
        map_gaps(self.assembly, layer_edges, self.nodes, self.facing, self.sides.start, left, region)

    def _open_edges(self, layer_edges: Sequence[LayerEdge], *, backward: bool) -> OpenEdges:
        left = open_edges(layer_edges, backward=backward)
        return kept(left, self.assembly.places) if self.section.axial else left

    def _leave_open(self, left: OpenEdges, limit: Limit | None, region: int) -> None:
        """Keep what is left of a region until all are filled."""
        if self.section.axial:
            left = kept(left, self.assembly.places)  # no edge that bridges across gaps have on the axis
            if left:
                left = closed(
                    bridged(left, self.assembly, region), self.assembly, self.sides.distance, limit
                )
        if left:
            self.open.append(Opening(left, limit, region))

    def _metal_interior(self, own: list[int], inner: list[LayerEdge], region: int) -> None:
        left = self._open_edges([inner[w] for w in own], backward=False)
        self._map_gaps({w: inner[w] for w in own}, left, region)
        self.limits[region] = self._limit(own)
        self._leave_open(left, self.limits[region], region)

    def _limit(self, own: list[int]) -> Limit:
        """What the size law of the layers asks for in the metal between some boundaries; infinite below them."""
        skin, options = self.boundaries[own[0]].skin, self.options
        active = [self.boundaries[w].outline for w in own if self.boundaries[w].active(options.reach)[0]]
        sides = Sides.of(*active) if active else None

        def limit(places: FloatArray) -> FloatArray:
            if sides is None or not np.isfinite(skin):
                return np.full(len(places), 1e9 if active else np.inf)
            below = sides.distance(places)
            wanted = options.first * skin + (options.growth - 1) * below
            return np.where(below < 0.97 * options.reach * skin, wanted, np.inf)

        return limit

    def _field_free(self, triangles: IntArray, region: IntArray, first: int) -> BoolArray:
        """Which triangles (t, 3) of regions (t,), from the first on, have all their corners below the layers."""
        free, places = np.zeros(len(triangles), bool), self.assembly.places
        for number, limit in self.limits.items():
            rows = first + (region[first:] == number).nonzero()[0]
            corners, below = triangles.take(rows, axis=0), np.zeros(len(places), bool)
            used = np.bincount(corners.ravel()).nonzero()[0]
            below[used] = np.isinf(limit(places.take(used, axis=0)))
            free[rows] = below[corners].all(axis=1)
        return free

    def _air_interior(self, outer: list[LayerEdge], truncation: IntArray) -> None:
        left = self._open_edges(outer, backward=True) | {(int(a), int(b)) for a, b in truncation}
        self._map_gaps(dict(enumerate(outer)), left, AIR)
        self._leave_open(left, None, AIR)

    def _truncation_boundary(self) -> IntArray:
        """The outer circle: around everything with a margin; the same for every mesh of a section."""
        self.centre = self.section.bounds.mean(axis=0) * (0.0 if self.section.axial else 1.0, 1.0)
        sides, coats = self.sides, [sum(b.coats) for b in self.boundaries for _ in b.outline.points]
        outermost = sides.centre + np.where(sides.curved, sides.radius, 0.0)[:, None] * unit(sides.centre - self.centre)
        on = (sides.curved & sides.covers(outermost))[:, None]
        reach = (np.hypot(*(np.where(on, outermost, sides.start) - self.centre).T) + coats).max()
        axial, options = self.section.axial, self.options
        self.radius = float((options.axial_margin if axial else options.margin) * reach)
        if axial:
            count = max(options.truncation // 2, LEAST_HALF)
            angle = np.pi * (np.arange(count + 1) / count - 0.5)
        else:
            angle = 2 * np.pi * (np.arange(options.truncation) + 0.5) / options.truncation
        circle = self.centre + self.radius * np.column_stack((np.cos(angle), np.sin(angle)))
        if axial:
            circle[[0, -1], 0] = 0.0
        numbers = self.assembly.add_points(circle) + np.arange(len(angle))
        edges = np.column_stack((numbers, rolled(numbers, -1)))
        edges = edges[:-1] if axial else edges
        self.assembly.add_curved_edges(edges, np.tile(self.centre, (len(edges), 1)))
        return edges
