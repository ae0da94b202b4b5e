"""From a section to its mesh: walls, strips along them, bridges across narrow spaces, fill for the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.spatial import cKDTree

from .clash import Clash, crossing_places, give_way
from .errors import MeshError
from .facing import Facing
from .fill import Limit, fill
from .mesh import AIR, Mesh, polar_path
from .outline import FloatArray
from .recipe import Recipe
from .section import Section
from .sides import BoolArray, IntArray, Sides, cross, dot, unit
from .strips import Rays, coat_rays, layer_fractions, skin_rays, strip_depths
from .walls import Nodes, Wall, place_nodes

TRIES = 12
OBLIQUE = 0.02  # bow of a ray in polar coordinates, of its length and its column's width, below which it is straight


def mesh_section(section: Section, skins: Sequence[Sequence[float]], recipe: Recipe | None = None) -> Mesh:
    """Mesh a section for given skin depths.

    Parameters
    ----------
    section : Section
    skins : for every part, the skin depth [m] of its base metal, of each coat, of each coat in its bores and of each
        piece; inf for direct current
    recipe : Recipe, optional

    Returns
    -------
    Mesh
        Conforming, every triangle proved not to fold.

    Raises
    ------
    MeshError
        Some element folds however thin the strips are made; names the parts.

    Examples
    --------
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.geometries.section import Part
    >>> mesh = mesh_section(Section((Part("rod", round_bar(0.01)),)), [[1e-3]])
    >>> round(float(mesh.areas()[mesh.region == 0].sum()) * 1e6, 6)
    78.539816
    """
    recipe = recipe or Recipe()
    walls = _walls(section, skins)
    nodes, facing, sides = place_nodes(walls, recipe)
    shrink = [np.ones(len(on.side)) for on in nodes]
    for attempt in range(TRIES):
        plan = _Plan(section, walls, nodes, facing, sides, recipe, shrink)
        try:
            mesh = plan.build()
            folded = np.flatnonzero(mesh.smallest_jacobians() <= 0)
            if not len(folded):
                return mesh
            places = mesh.points[mesh.triangles[folded]].reshape(-1, 2)
        except Clash as clash:
            places = clash.places
        guilty = give_way(places, nodes, plan.depths, shrink)
        if not guilty:
            break
        if attempt == TRIES - 2:
            for w in guilty:
                shrink[w][:] = 0.0
    raise MeshError(_refusal(section, walls, sides, places))


def _refusal(section: Section, walls: Sequence[Wall], sides: Sides, places: FloatArray) -> str:
    wall = np.repeat(np.arange(len(walls)), [len(w.outline.points) for w in walls])
    off = sides.feet(places[:100]) - places[:100, None]
    parts = np.unique([walls[w].part for w in wall[np.hypot(off[..., 0], off[..., 1]).argmin(axis=1)]])
    names = ", ".join(f'"{section.parts[p].name}"' for p in parts)
    x, y = places[0] * 1e3
    what = "plating" if any(section.parts[p].coats or section.parts[p].bore_coats for p in parts) else "mesh"
    return (
        f"the {what} of {names} folds over itself near ({x:.6g} mm, {y:.6g} mm); simplify the outline there or round "
        "its corners"
    )


def _walls(section: Section, skins: Sequence[Sequence[float]]) -> list[Wall]:
    walls = []
    for number, (part, depths) in enumerate(zip(section.parts, skins, strict=True)):
        outside = 1 + len(part.coats)
        walls.append(Wall(part.shape.outer, number, depths[0], part.coats, tuple(depths[1:outside])))
        for hole in part.shape.holes:
            coats = (part.bore_coats, tuple(depths[outside : outside + len(part.bore_coats)]), outside)
            walls.append(Wall(hole.reversed(), number, depths[0], *coats))
        for layer, piece in enumerate(part.pieces, start=1 + len(part.layers)):
            for outline in (piece.outer, *(hole.reversed() for hole in piece.holes)):
                walls.append(Wall(outline, number, depths[layer], layer=layer))
    return walls


@dataclass
class _Front:
    """A closed chain of mesh points parallel to a wall; edge k leads to the next point."""

    points: IntArray
    edge: IntArray
    bend_centres: FloatArray


@dataclass
class _Plan:
    """Collects points, triangles and bends while the mesh is put together."""

    section: Section
    walls: list[Wall]
    nodes: list[Nodes]
    facing: Facing
    sides: Sides
    recipe: Recipe
    shrink: list[FloatArray]
    depths: list[FloatArray] = field(default_factory=list)
    points: list[FloatArray] = field(default_factory=list)
    triangles: list[IntArray] = field(default_factory=list)
    region: list[IntArray] = field(default_factory=list)
    dark: list[BoolArray] = field(default_factory=list)
    around: list[FloatArray] = field(default_factory=list)
    bends: list[IntArray] = field(default_factory=list)
    bend_centres: list[FloatArray] = field(default_factory=list)
    count: int = 0

    def build(self) -> Mesh:
        base, inner, outer = [], [], []
        self.regions: list[tuple[int, int]] = []
        first = self._add_points(np.concatenate([nodes.position for nodes in self.nodes]))
        numbers = first + self._shared_nodes()
        for nodes in self.nodes:
            base.append(numbers[: len(nodes.side)])
            numbers = numbers[len(nodes.side) :]
        for part in range(len(self.section.parts)):
            layers = len(self.section.parts[part].layers) + len(self.section.parts[part].pieces)
            self.regions += [(part, layer) for layer in range(1 + layers)]
        number = {r: k for k, r in enumerate(self.regions)}
        for w, wall in enumerate(self.walls):
            front, d = self._skin_strip(w, base[w], number[wall.part, wall.layer])
            inner.append(front)
            self.depths.append(d)
            outer.append(self._coat_strip(w, base[w], number) if wall.coats else self._bare(w, base[w]))
        rim = self._rim()
        for metal in dict.fromkeys((wall.part, wall.layer) for wall in self.walls):
            own = [w for w, wall in enumerate(self.walls) if (wall.part, wall.layer) == metal]
            self._fill_metal(own, inner, number[metal])
        self._fill_air(outer, rim)
        faces = np.concatenate(
            [
                np.column_stack((f.points, np.roll(f.points, -1), np.full(len(f.points), w), self._side_of(w, f)))
                for w, f in enumerate(outer)
            ]
        )
        inner_joint = np.isin(faces[:, :2] @ (self.count, 1), faces[:, 1::-1] @ (self.count, 1))
        around = np.concatenate(self.around)
        turned = np.flatnonzero(np.isfinite(around[:, 0]))
        triangles, (bends, bend_centres) = np.concatenate(self.triangles), self._all_bends()
        # leave out the nodes that gave their place to those of a neighbouring piece
        used = np.unique(triangles)
        new = np.zeros(self.count, dtype=np.int64)
        new[used] = np.arange(len(used))
        faces[:, :2] = new[faces[:, :2]]
        return Mesh(
            np.concatenate(self.points)[used], new[triangles], np.concatenate(self.region),
            np.concatenate(self.dark), tuple(self.regions),
            new[bends], bend_centres, turned, around[turned], faces[~inner_joint], new[rim], self.centre, self.radius,
        )  # fmt: skip

    def _shared_nodes(self) -> IntArray:
        """Numbers of all wall nodes; nodes of pieces pressed together share the number of the first of them."""
        place = np.concatenate([nodes.position for nodes in self.nodes])
        numbers = np.arange(len(place))
        if any(part.pieces for part in self.section.parts):
            near = cKDTree(place).query_pairs(1e-9 * self.section.size, output_type="ndarray")
            np.minimum.at(numbers, near.max(axis=1), near.min(axis=1))
        return numbers

    # --- small steps -----------------------------------------------------------------------------

    def _add_points(self, places: FloatArray) -> int:
        first = self.count
        self.points.append(places)
        self.count += len(places)
        return first

    def _add_triangles(self, triangles: IntArray, region: int, around: FloatArray | None = None) -> None:
        self.triangles.append(triangles)
        self.region.append(np.full(len(triangles), region))
        self.dark.append(np.full(len(triangles), False))
        self.around.append(np.full((len(triangles), 2), np.nan) if around is None else around)

    def _add_bends(self, edges: IntArray, centres: FloatArray) -> None:
        on = np.isfinite(centres[:, 0])
        self.bends.append(edges[on])
        self.bend_centres.append(centres[on])

    def _all_bends(self) -> tuple[IntArray, FloatArray]:
        edges, centres = np.concatenate(self.bends), np.concatenate(self.bend_centres)
        _, once = np.unique(np.sort(edges, axis=1), axis=0, return_index=True)
        return edges[once], centres[once]

    def _side_of(self, w: int, front: _Front) -> IntArray:
        local = self.nodes[w].side - self.nodes[w].side.min()
        return np.where(front.edge >= 0, local[front.edge], -1)

    def _bare(self, w: int, base: IntArray) -> _Front:
        nodes = self.nodes[w]
        local = nodes.side - nodes.side.min()
        centres = self.walls[w].outline.centres[local]
        self._add_bends(np.column_stack((base, np.roll(base, -1))), centres)
        return _Front(base, np.arange(len(base)), centres)

    # --- strips ----------------------------------------------------------------------------------

    def _skin_strip(self, w: int, base: IntArray, region: int) -> tuple[_Front, FloatArray]:
        wall, nodes = self.walls[w], self.nodes[w]
        depth = strip_depths(wall, nodes, self.sides, self.recipe, self.shrink[w])
        if depth.max() <= 0.5 * self.recipe.first * wall.skin:
            return self._bare(w, base), np.zeros(len(base))
        fractions = layer_fractions(float(depth.max()), wall.skin, self.recipe)
        rays = skin_rays(wall, nodes, depth, fractions)
        return self._strip(rays, base, np.full(len(fractions), region), inward=True), depth

    def _coat_strip(self, w: int, base: IntArray, number: dict[tuple[int, int], int]) -> _Front:
        wall = self.walls[w]
        depths, regions, below = [], [], 0.0
        over = sum(t / s for t, s in zip(wall.coats, wall.coat_skins, strict=True))
        lit = wall.lit(self.recipe.reach)[1:]
        for layer, (thickness, skin, seen) in enumerate(zip(wall.coats, wall.coat_skins, lit, strict=True)):
            through = over < self.recipe.reach
            over -= thickness / skin
            cuts = layer_fractions(thickness, skin if seen else np.inf, self.recipe, both_faces=through)
            if not through:
                cuts = np.append(1 - cuts[-2::-1], 1.0)
            depths.append(below + thickness * cuts)
            regions += [number[wall.part, wall.first_coat + layer]] * len(cuts)
            below += thickness
        rays = coat_rays(wall, self.nodes[w], np.concatenate(depths))
        self._bare(w, base)
        return self._strip(rays, base, np.array(regions), inward=False)

    def _strip(self, rays: Rays, base: IntArray, region: IntArray, *, inward: bool) -> _Front:
        """Triangles between the rows of all rays; returns the last row."""
        below = base[rays.base]
        self._add_bends(np.column_stack((below, np.roll(below, -1)))[rays.edge >= 0], rays.bend_centres[rays.edge >= 0])
        for row, places in enumerate(rays.rows):
            above = self._add_points(places) + np.arange(len(places))
            self._columns(below, np.roll(below, -1), above, np.roll(above, -1), rays.bend_centres, region[row], inward)
            below = above
        return _Front(below, rays.edge, rays.bend_centres)

    def _columns(
        self, a: IntArray, b: IntArray, d: IntArray, c: IntArray, centres: FloatArray, region: int, inward: bool
    ) -> None:
        """Split quadrilaterals a-b-c-d (a-b on the wall side) along their shorter diagonal."""
        place = np.concatenate(self.points)
        fan = a == b
        short = np.hypot(*(place[c] - place[a]).T) <= np.hypot(*(place[d] - place[b]).T)
        one = np.where(short[:, None], np.column_stack((a, b, c)), np.column_stack((a, b, d)))
        two = np.where(short[:, None], np.column_stack((a, c, d)), np.column_stack((b, c, d)))
        diagonal = np.where(short[:, None], np.column_stack((a, c)), np.column_stack((b, d)))
        triangles = np.concatenate((one[~fan], two[~fan], np.column_stack((a, c, d))[fan]))
        width = np.minimum(np.hypot(*(place[b] - place[a]).T), np.hypot(*(place[c] - place[d]).T))
        here, there = (_radial(place[p], place[q], centres, width) for p, q in ((a, d), (b, c)))
        first = np.where(np.where(short, there, here)[:, None], centres, np.nan)
        second = np.where(np.where(short, here, there)[:, None], centres, np.nan)
        around = np.concatenate((first[~fan], second[~fan], np.full((int(fan.sum()), 2), np.nan)))
        self._add_triangles(triangles if inward else triangles[:, ::-1], region, around)
        bent = ~fan & (here | there)
        self._add_bends(diagonal[bent], centres[bent])
        self._add_bends(np.column_stack((d, c)), centres)

    # --- bridges and fill ------------------------------------------------------------------------

    def _open_edges(self, fronts: Sequence[_Front], *, backward: bool) -> set[tuple[int, int]]:
        chains = [(f.points, np.roll(f.points, -1)) for f in fronts]
        pairs = [np.column_stack((b, a) if backward else (a, b)) for a, b in chains]
        edges = {(int(a), int(b)) for a, b in np.concatenate(pairs)}
        # an edge that two pieces share bounds nothing
        return {(a, b) for a, b in edges if (b, a) not in edges}

    def _bridge(self, fronts: dict[int, _Front], open_edges: set[tuple[int, int]], region: int) -> None:
        """Join facing edges of two fronts where the space between is narrower than they are long."""
        air = region == AIR
        place = np.concatenate(self.points)
        owner = {k: w for w in fronts for k in np.unique(self.nodes[w].stretch)}
        solid = np.concatenate((self.sides.start, *(place[front.points] for front in fronts.values())))
        quads, centres = [], []
        for s, t in self.facing.pairs:
            if s not in owner or t not in owner:
                continue
            one, other = fronts[owner[s]], fronts[owner[t]]
            p, q = self._edges_on(owner[s], one, s), self._edges_on(owner[t], other, t)[::-1]
            if len(p) != len(q):
                continue
            a, b = one.points[p], np.roll(one.points, -1)[p]
            c, d = other.points[q], np.roll(other.points, -1)[q]
            quad = np.column_stack((b, a, d, c) if air else (a, b, c, d))
            centre = np.where(np.isfinite(one.bend_centres[p]), one.bend_centres[p], other.bend_centres[q])
            long = np.minimum(np.hypot(*(place[b] - place[a]).T), np.hypot(*(place[d] - place[c]).T))
            wide = np.maximum(np.hypot(*(place[d] - place[a]).T), np.hypot(*(place[c] - place[b]).T))
            good = (wide < long) & _convex(place[quad])
            good[good] = ~_occupied(place[quad[good]], solid)
            quads.append(quad[good])
            centres.append(centre[good])
        if not quads:
            return
        taken = []
        for k, quad in enumerate(np.concatenate(quads)):
            directed = [(int(quad[i]), int(quad[(i + 1) % 4])) for i in range(4)]
            if directed[0] not in open_edges or directed[2] not in open_edges:
                continue
            taken.append(k)
            for start, end in directed:
                if (start, end) in open_edges:
                    open_edges.remove((start, end))
                else:
                    open_edges.add((end, start))
        if taken:
            a, b, c, d = np.concatenate(quads)[taken].T
            self._columns(a, b, d, c, np.concatenate(centres)[taken], region, True)

    def _edges_on(self, w: int, front: _Front, stretch: int) -> IntArray:
        on_wall = self.nodes[w].stretch == stretch
        return np.flatnonzero((front.edge >= 0) & on_wall[front.edge])

    def _fill(self, open_edges: set[tuple[int, int]], limit: Limit, region: int) -> None:
        if not open_edges:
            return
        edges = np.array(sorted(open_edges))
        used, local = np.unique(edges, return_inverse=True)
        place = np.concatenate(self.points)[used]
        ends = local.reshape(-1, 2)
        try:
            filled, triangles = fill(place, ends, self._bend_angles(edges), limit)
        except MeshError as fault:
            raise Clash(crossing_places(place, ends)) from fault
        first = self._add_points(filled[len(used) :])
        numbers = np.concatenate((used, first + np.arange(len(filled) - len(used))))
        self._add_triangles(numbers[triangles], region)

    def _bend_angles(self, edges: IntArray) -> FloatArray:
        """Angle every directed edge (m, 2) turns through [rad]; positive where it curves to its left."""
        bends, centres = self._all_bends()
        keys = np.sort(bends, axis=1) @ (self.count, 1)
        order = np.argsort(keys)
        wanted = np.sort(edges, axis=1) @ (self.count, 1)
        found = order[np.minimum(np.searchsorted(keys[order], wanted), len(keys) - 1)]
        place = np.concatenate(self.points)
        from_a, from_b = (place[edges[:, k]] - centres[found] for k in range(2))
        turn = np.arctan2(cross(from_b, from_a), dot(from_a, from_b))
        return np.where(keys[found] == wanted, turn, 0.0)

    def _fill_metal(self, own: list[int], inner: list[_Front], region: int) -> None:
        open_edges = self._open_edges([inner[w] for w in own], backward=False)
        first = len(self.triangles)
        self._bridge({w: inner[w] for w in own}, open_edges, region)
        skin, recipe = self.walls[own[0]].skin, self.recipe
        lit = [self.walls[w].outline for w in own if self.walls[w].lit(recipe.reach)[0]]
        sides = Sides.of(*lit) if lit else None

        def limit(places: FloatArray) -> FloatArray:
            if sides is None or not np.isfinite(skin):
                return np.full(len(places), 1e9 if lit else np.inf)
            below = sides.distance(places)
            wanted = recipe.first * skin + (recipe.growth - 1) * below
            return np.where(below < 0.97 * recipe.reach * skin, wanted, np.inf)

        self._fill(open_edges, limit, region)
        place = np.concatenate(self.points)
        for k in range(first, len(self.triangles)):
            corners = self.triangles[k]
            self.dark[k] = np.asarray(np.isinf(limit(place[corners.ravel()])).reshape(corners.shape).all(axis=1))

    def _fill_air(self, outer: list[_Front], rim: IntArray) -> None:
        open_edges = self._open_edges(outer, backward=True) | {(int(a), int(b)) for a, b in rim}
        self._bridge(dict(enumerate(outer)), open_edges, AIR)
        self._fill(open_edges, lambda places: np.full(len(places), 1e9), AIR)

    def _rim(self) -> IntArray:
        """The outer circle: around everything with a margin; the same for every mesh of a section."""
        self.centre = self.section.bounds.mean(axis=0)
        sides, coats = self.sides, [sum(wall.coats) for wall in self.walls for _ in wall.outline.points]
        outermost = sides.centre + np.where(sides.curved, sides.radius, 0.0)[:, None] * unit(sides.centre - self.centre)
        on = (sides.curved & sides.covers(outermost))[:, None]
        reach = (np.hypot(*(np.where(on, outermost, sides.start) - self.centre).T) + coats).max()
        self.radius = float(self.recipe.margin * reach)
        angle = 2 * np.pi * (np.arange(self.recipe.rim) + 0.5) / self.recipe.rim
        circle = self.centre + self.radius * np.column_stack((np.cos(angle), np.sin(angle)))
        numbers = self._add_points(circle) + np.arange(len(angle))
        rim = np.column_stack((numbers, np.roll(numbers, -1)))
        self._add_bends(rim, np.tile(self.centre, (len(rim), 1)))
        return rim


def _radial(a: FloatArray, b: FloatArray, centre: FloatArray, width: FloatArray) -> BoolArray:
    """Whether the ways from a to b, on columns so wide, stay nearly straight in polar coordinates about a centre."""
    with np.errstate(invalid="ignore"):
        half_way = polar_path(a, b, centre, np.array([0.5]))[:, 0]
        bow = np.hypot(*(half_way - 0.5 * (a + b)).T)
        return np.asarray(bow <= OBLIQUE * np.minimum(np.hypot(*(b - a).T), width))


def _occupied(quad: FloatArray, places: FloatArray) -> BoolArray:
    """Which convex quadrilaterals (m, 4, 2) hold one of the places (k, 2) well inside."""
    edge = np.roll(quad, -1, axis=1) - quad
    low, high = quad.min(axis=1), quad.max(axis=1)
    q, p = np.nonzero(((places > low[:, None]) & (places < high[:, None])).all(axis=2))
    left = cross(edge[q], places[p, None] - quad[q]) > 1e-6 * dot(edge[q], edge[q])
    held = np.zeros(len(quad), bool)
    held[q[left.all(axis=1)]] = True
    return held


def _convex(quad: FloatArray) -> IntArray:
    edge = np.roll(quad, -1, axis=1) - quad
    after = np.roll(edge, -1, axis=1)
    return np.asarray((edge[..., 0] * after[..., 1] - edge[..., 1] * after[..., 0] > 0).all(axis=1))
