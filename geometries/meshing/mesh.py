"""A conforming triangle mesh of a section, its curved edges exact to any order, and the proof that none folds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .curved import CHECKED, displace_sides, inner_nodes, jacobian_coefficients, polar_path, polar_triangles
from .lattice import lattice

if TYPE_CHECKING:
    import skfem


AIR = -1
TRUNCATION = "truncation"
AHEAD = np.array([1, 2, 0])  # the corner after each of a triangle
FLAT = 1e-11  # height over length of a triangle that rounding may have made


@dataclass(frozen=True, eq=False, repr=False)
class Mesh:
    """Triangles of metal and air out to a circle around the section, of an axial one right of the axis x = 0.

    Attributes
    ----------
    points : (n, 2) float
        Corners [m].
    triangles : (t, 3) int
        Counter-clockwise.
    region : (t,) int
        Index into `regions`, or AIR.
    field_free : (t,) bool
        Metal so deep below its surfaces that no field gets there.
    regions : tuple of (part, layer)
        Number of the part and of its layer: 0 the base metal, 1 the first coat.
    curved_edges : (b, 2) int
        Curved edges, by their corners.
    curved_edge_centres : (b, 2) float
        Centre about which a curved edge runs: angle and radius both change linearly along it [m].
    polar : (k,) int
        Triangles wholly in coordinates around a centre: angle and radius are linear in them, but for a straight
        side that leads nearly to the centre.
    polar_centres : (k, 2) float
        [m]
    faces : (f, 4) int
        Edges on the surface of metal, (from, to, boundary, side), the metal on their left.
    truncation_edges : (r, 2) int
        Edges of the outer circle, counter-clockwise; of an axial section of its right half, from below.
    centre, radius : (2,) float, float
        Of the outer circle [m].
    axial : bool
        Whether x is the radius from an axis at x = 0; points on it are there to the last digit.
    """

    points: FloatArray
    triangles: IntArray
    region: IntArray
    field_free: BoolArray
    regions: tuple[tuple[int, int], ...]
    curved_edges: IntArray
    curved_edge_centres: FloatArray
    polar: IntArray
    polar_centres: FloatArray
    faces: IntArray
    truncation_edges: IntArray
    centre: FloatArray
    radius: float
    axial: bool = False

    # --- whose triangles -------------------------------------------------------------------------

    def __repr__(self) -> str:
        return f"<Mesh of {len(self.triangles)} triangles, {len(self.regions)} regions of metal>"

    @cached_property
    def part_of_region(self) -> IntArray:
        """Number of the part that every region belongs to, (regions,)."""
        return np.array([part for part, _ in self.regions], dtype=np.int64)

    @cached_property
    def layer_of_region(self) -> IntArray:
        """Layer of its part that every region is, (regions,): 0 the base metal, 1 the first coat."""
        return np.array([layer for _, layer in self.regions], dtype=np.int64)

    @cached_property
    def part(self) -> IntArray:
        """Number of the part that every triangle belongs to, (t,); AIR in air."""
        return np.asarray(np.append(self.part_of_region, AIR)[self.region])

    def regions_of(self, part: int) -> IntArray:
        """Numbers of a part's regions, the base metal first, then its coats and pieces, (k,).

        Examples
        --------
        >>> from crosscurrent.geometries.meshing.mesher import mesh_section
        >>> from crosscurrent.geometries.plane.part import Part
        >>> from crosscurrent.geometries.plane.section import Section
        >>> from crosscurrent.geometries.plane.shapes import round_bar
        >>> rods = Part("bare", round_bar(0.01)), Part("plated", round_bar(0.01).placed((0.02, 0)), (1e-4,))
        >>> mesh = mesh_section(Section(rods), [[1e-3], [1e-3, 1e-3]])
        >>> mesh.regions_of(1).tolist()
        [1, 2]
        """
        return np.flatnonzero(self.part_of_region == part)

    # --- edges -----------------------------------------------------------------------------------

    @cached_property
    def _edge_table(self) -> tuple[IntArray, IntArray, BoolArray]:
        """Unique edges (e, 2) sorted low-high; edge of every triangle side (t, 3); whether it runs high-low."""
        t = self.triangles
        sides = np.stack((t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]), axis=1).reshape(-1, 2)
        backward = sides[:, 0] > sides[:, 1]
        keys = sides.min(axis=1) * len(self.points) + sides.max(axis=1)
        unique, inverse = np.unique(keys, return_inverse=True)
        edges = np.column_stack((unique // len(self.points), unique % len(self.points)))
        return edges, inverse.reshape(-1, 3), backward.reshape(-1, 3)

    @property
    def edges(self) -> IntArray:
        """All edges once, (e, 2), low corner first."""
        return self._edge_table[0]

    @property
    def triangle_edges(self) -> IntArray:
        """Edge number of each triangle's sides 0-1, 1-2, 2-0, (t, 3)."""
        return self._edge_table[1]

    @property
    def triangle_edges_backward(self) -> BoolArray:
        """Whether a triangle runs along its side from the high corner to the low one, (t, 3) bool."""
        return self._edge_table[2]

    def edge_numbers(self, pairs: IntArray) -> IntArray:
        """Numbers of edges given by their corners (m, 2).

        Raises
        ------
        KeyError
            One of them is not in the mesh.
        """
        n = len(self.points)
        keys = self.edges[:, 0] * n + self.edges[:, 1]
        wanted = pairs.min(axis=1) * n + pairs.max(axis=1)
        found = np.searchsorted(keys, wanted)
        if (keys[np.minimum(found, len(keys) - 1)] != wanted).any():
            raise KeyError("an edge is not in the mesh")
        return np.asarray(found)

    @cached_property
    def _curve_of_edge(self) -> IntArray:
        table = np.full(len(self.edges), -1)
        if len(self.curved_edges):
            table[self.edge_numbers(self.curved_edges)] = np.arange(len(self.curved_edges))
        return table

    @cached_property
    def curved(self) -> IntArray:
        """Numbers of the triangles with a curved side."""
        return np.flatnonzero((self._curve_of_edge[self.triangle_edges] >= 0).any(axis=1))

    def along_edge(self, pairs: IntArray, t: FloatArray) -> FloatArray:
        """Places at parameters t (k,) 0..1 along edges (m, 2) from first to second corner, (m, k, 2) [m]."""
        a, b = self.points[pairs[:, 0]], self.points[pairs[:, 1]]
        place = a[:, None] + t[:, None] * (b - a)[:, None]
        curve = self._curve_of_edge[self.edge_numbers(pairs)]
        on = np.flatnonzero(curve >= 0)
        if len(on):
            place[on] = polar_path(a[on], b[on], self.curved_edge_centres[curve[on]], t)
        return place

    def geometry(self, order: int) -> FloatArray:
        """Lattice nodes of the curved triangles, (len(curved), nodes, 2) [m], in the order of `lattice`."""
        corner = self.points[self.triangles[self.curved]]
        nodes: FloatArray = lattice(order) / order @ corner
        place = np.searchsorted(self.curved, self.polar)
        curve, polar = self._curve_of_edge[self.triangle_edges[self.curved]], np.zeros((len(corner), 1), bool)
        polar[place] = True
        t = np.arange(1, order) / order
        rows, side = ((curve >= 0) & ~polar).nonzero()
        a, b = corner[rows, side], corner[rows, AHEAD[side]]
        chord = a[:, None] + t[:, None] * (b - a)[:, None]
        displace_sides(nodes, rows, side, polar_path(a, b, self.curved_edge_centres[curve[rows, side]], t) - chord)
        nodes[place] = polar_triangles(corner[place], self.polar_centres, lattice(order) / order)
        # a straight side of polar triangles that does not lead to their centre goes back on its chord
        rows, side = ((curve < 0) & polar).nonzero()
        a, b, inner = nodes[rows, side], nodes[rows, AHEAD[side]], inner_nodes(order, side)
        off = a[:, None] + t[:, None] * (b - a)[:, None] - nodes[rows[:, None], inner]
        aside = (np.abs(off) > 1e-9 * np.hypot(*(b - a).T)[:, None, None]).any(axis=(1, 2)).nonzero()[0]
        displace_sides(nodes, rows[aside], side[aside], off[aside])
        if self.axial:
            on_axis = corner[..., 0] == 0
            rows, side = (on_axis & on_axis[:, AHEAD]).nonzero()
            nodes[rows[:, None], inner_nodes(order, side), 0] = 0.0
            nodes[:, :3] = corner
        return nodes

    @cached_property
    def checked_geometry(self) -> FloatArray:
        """`geometry` at the order at which curved triangles are checked, measured and solved on."""
        return self.geometry(CHECKED)

    def smallest_jacobians(self) -> FloatArray:
        """Lower bound on each triangle's Jacobian over its mean, (t,): positive proves it does not fold.

        Straight triangles give 1 or -1, 0 if they are flat but for rounding; curved ones the smallest Bernstein
        coefficient.
        """
        x, y = (places.take(self.triangles.T) for places in self.points.T)
        along_x, along_y = (p.take(AHEAD, axis=0) - p for p in (x, y))
        twice = along_x[0] * along_y[1] - along_y[0] * along_x[1]
        longest = (along_x * along_x + along_y * along_y).max(axis=0)
        bound = np.where(np.abs(twice) > FLAT * longest, np.sign(twice), 0.0)
        if len(self.curved):
            coefficients = jacobian_coefficients(self.checked_geometry, CHECKED)
            bound[self.curved] = coefficients.min(axis=1) / np.abs(coefficients.mean(axis=1))
        return np.asarray(bound)

    def areas(self) -> FloatArray:
        """Area of every triangle, curved sides included, (t,) [m2]."""
        corner = self.points[self.triangles]
        edge = corner[:, [1, 2, 0]] - corner
        area = 0.5 * (edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
        if len(self.curved):
            coefficients = jacobian_coefficients(self.checked_geometry, CHECKED)
            area[self.curved] = 0.5 * coefficients.mean(axis=1)
        return np.asarray(area)

    def areas_between_arcs(self) -> FloatArray:
        """Area of every triangle with its curved sides as circular arcs, (t,) [m2]; exact in sum where all walls are.

        Other curved sides are counted alike from both of their triangles.
        """
        corner = self.points[self.triangles]
        ahead = corner[:, [1, 2, 0]]
        edge = ahead - corner
        area = 0.5 * (edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
        rows, sides = np.nonzero(self._curve_of_edge[self.triangle_edges] >= 0)
        centre = self.curved_edge_centres[self._curve_of_edge[self.triangle_edges[rows, sides]]]
        u, v = corner[rows, sides] - centre, ahead[rows, sides] - centre
        cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        turn = np.arctan2(cross, (u * v).sum(axis=1))
        np.add.at(area, rows, 0.5 * (np.hypot(*u.T) * np.hypot(*v.T) * turn - cross))
        return np.asarray(area)

    def to_skfem(self) -> skfem.MeshTri:
        """The straight-sided triangles as a scikit-fem mesh with subdomains and boundaries named.

        Subdomains are "air" and "part.layer" by number; boundaries "truncation" and "boundary.N". Triangles keep
        their order; their corners are sorted by number, as scikit-fem's higher elements require.
        """
        import skfem

        domains = {f"{p}.{c}": np.flatnonzero(self.region == k) for k, (p, c) in enumerate(self.regions)}
        domains["air"] = np.flatnonzero(self.region == AIR)
        mesh = skfem.MeshTri(self.points.T, np.sort(self.triangles, axis=1).T)
        facets = np.sort(mesh.facets, axis=0)
        keys = facets[0] * len(self.points) + facets[1]
        order = np.argsort(keys)

        def numbers(pairs: IntArray) -> IntArray:
            wanted = pairs.min(axis=1) * len(self.points) + pairs.max(axis=1)
            return np.asarray(order[np.searchsorted(keys[order], wanted)])

        named = {f"boundary.{w}": numbers(self.faces[self.faces[:, 2] == w, :2]) for w in np.unique(self.faces[:, 2])}
        named[TRUNCATION] = numbers(self.truncation_edges)
        tagged = mesh.with_subdomains(domains).with_boundaries(named)
        return tagged
