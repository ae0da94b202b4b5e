"""A conforming triangle mesh of a section, its curved edges exact to any order, and the proof that none folds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import comb
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from .outline import FloatArray
from .sides import IntArray

if TYPE_CHECKING:
    import skfem

BoolArray = npt.NDArray[np.bool_]

AIR = -1
RIM = "rim"
FLAT = 1e-11  # height over length of a triangle that rounding may have made


def lattice(order: int) -> IntArray:
    """Barycentric lattice of a triangle, (n, 3) int, coordinates times order.

    Corners first, then the nodes of edge 0-1, edge 1-2, edge 2-0 in that direction, then the inner ones.

    Examples
    --------
    >>> lattice(2).tolist()
    [[2, 0, 0], [0, 2, 0], [0, 0, 2], [1, 1, 0], [0, 1, 1], [1, 0, 1]]
    """
    corners = [(order, 0, 0), (0, order, 0), (0, 0, order)]
    steps = range(1, order)
    edges = [(order - k, k, 0) for k in steps] + [(0, order - k, k) for k in steps] + [(k, 0, order - k) for k in steps]
    inner = [(order - i - j, i, j) for j in range(1, order - 1) for i in range(1, order - j)]
    return np.array(corners + edges + inner)


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles of metal and air out to a circle around the section.

    Attributes
    ----------
    points : (n, 2) float
        Corners [m].
    triangles : (t, 3) int
        Counter-clockwise.
    region : (t,) int
        Index into `regions`, or AIR.
    dark : (t,) bool
        Metal so deep below its surfaces that no field gets there.
    regions : tuple of (part, layer)
        Number of the part and of its layer: 0 the base metal, 1 the first coat.
    bends : (b, 2) int
        Curved edges, by their corners.
    bend_centres : (b, 2) float
        Centre about which a curved edge runs: angle and radius both change linearly along it [m].
    turned : (k,) int
        Triangles wholly in coordinates around a centre: angle and radius are linear in them, but for a straight
        side that leads nearly to the centre.
    turned_centres : (k, 2) float
        [m]
    faces : (f, 4) int
        Edges on the surface of metal, (from, to, wall, side), the metal on their left.
    rim : (r, 2) int
        Edges of the outer circle, counter-clockwise.
    centre, radius : (2,) float, float
        Of the outer circle [m].
    """

    points: FloatArray
    triangles: IntArray
    region: IntArray
    dark: BoolArray
    regions: tuple[tuple[int, int], ...]
    bends: IntArray
    bend_centres: FloatArray
    turned: IntArray
    turned_centres: FloatArray
    faces: IntArray
    rim: IntArray
    centre: FloatArray
    radius: float

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
        """Numbers of edges given by their corners (m, 2)."""
        n = len(self.points)
        keys = self.edges[:, 0] * n + self.edges[:, 1]
        wanted = pairs.min(axis=1) * n + pairs.max(axis=1)
        found = np.searchsorted(keys, wanted)
        if (keys[np.minimum(found, len(keys) - 1)] != wanted).any():
            raise KeyError("an edge is not in the mesh")
        return np.asarray(found)

    @cached_property
    def _bend_of_edge(self) -> IntArray:
        table = np.full(len(self.edges), -1)
        if len(self.bends):
            table[self.edge_numbers(self.bends)] = np.arange(len(self.bends))
        return table

    @cached_property
    def curved(self) -> IntArray:
        """Numbers of the triangles with a curved side."""
        return np.flatnonzero((self._bend_of_edge[self.triangle_edges] >= 0).any(axis=1))

    def along_edge(self, pairs: IntArray, t: FloatArray) -> FloatArray:
        """Places at parameters t (k,) 0..1 along edges (m, 2) from first to second corner, (m, k, 2) [m]."""
        a, b = self.points[pairs[:, 0]], self.points[pairs[:, 1]]
        place = a[:, None] + t[:, None] * (b - a)[:, None]
        bend = self._bend_of_edge[self.edge_numbers(pairs)]
        on = np.flatnonzero(bend >= 0)
        if len(on):
            place[on] = polar_path(a[on], b[on], self.bend_centres[bend[on]], t)
        return place

    def geometry(self, order: int) -> FloatArray:
        """Lattice nodes of the curved triangles, (len(curved), nodes, 2) [m], in the order of `lattice`."""
        corner = self.points[self.triangles[self.curved]]
        nodes: FloatArray = np.einsum("nk,tkd->tnd", lattice(order) / order, corner)
        t = np.arange(1, order) / order
        for side, (i, j) in enumerate(((0, 1), (1, 2), (2, 0))):
            pairs = self.triangles[self.curved][:, [i, j]]
            bent = np.flatnonzero(self._bend_of_edge[self.triangle_edges[self.curved, side]] >= 0)
            if len(bent) and order > 1:
                straight = corner[bent, i][:, None] + t[:, None] * (corner[bent, j] - corner[bent, i])[:, None]
                off = self.along_edge(pairs[bent], t) - straight
                nodes[bent] += np.einsum("nk,tkd->tnd", _edge_lift(order, side), off)
        place = np.searchsorted(self.curved, self.turned)
        nodes[place] = _polar_triangles(corner[place], self.turned_centres, lattice(order) / order)
        for side in range(3 if order > 1 else 0):
            self._straighten(nodes, place, side, order)
        return nodes

    def _straighten(self, nodes: FloatArray, turned: IntArray, side: int, order: int) -> None:
        """Put a straight side of turned triangles, which does not lead to their centre, back on its chord."""
        turned = turned[self._bend_of_edge[self.triangle_edges[self.curved[turned], side]] < 0]
        a, b = nodes[turned, side], nodes[turned, (side + 1) % 3]
        chord = a[:, None] + (np.arange(1, order) / order)[:, None] * (b - a)[:, None]
        off = chord - nodes[turned, 3 + side * (order - 1) : 3 + (side + 1) * (order - 1)]
        aside = np.abs(off).max(axis=(1, 2)) > 1e-9 * np.hypot(*(b - a).T)
        nodes[turned[aside]] += np.einsum("nk,tkd->tnd", _edge_lift(order, side), off[aside])

    @cached_property
    def checked_geometry(self) -> FloatArray:
        """`geometry` at the order at which curved triangles are checked, measured and solved on."""
        return self.geometry(CHECKED)

    def smallest_jacobians(self) -> FloatArray:
        """Lower bound on each triangle's Jacobian over its mean, (t,): positive proves it does not fold.

        Straight triangles give 1 or -1, 0 if they are flat but for rounding; curved ones the smallest Bernstein
        coefficient.
        """
        corner = self.points[self.triangles]
        edge = np.roll(corner, -1, axis=1) - corner
        twice = edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0]
        bound = np.where(np.abs(twice) > FLAT * (edge**2).sum(axis=2).max(axis=1), np.sign(twice), 0.0)
        if len(self.curved):
            coefficients = _jacobian_coefficients(self.checked_geometry, CHECKED)
            bound[self.curved] = coefficients.min(axis=1) / np.abs(coefficients.mean(axis=1))
        return np.asarray(bound)

    def areas(self) -> FloatArray:
        """Area of every triangle, curved sides included, (t,) [m2]."""
        corner = self.points[self.triangles]
        edge = np.roll(corner, -1, axis=1) - corner
        area = 0.5 * (edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
        if len(self.curved):
            coefficients = _jacobian_coefficients(self.checked_geometry, CHECKED)
            area[self.curved] = 0.5 * coefficients.mean(axis=1)
        return np.asarray(area)

    def to_skfem(self) -> skfem.MeshTri:
        """The straight-sided triangles as a scikit-fem mesh with subdomains and boundaries named.

        Subdomains are "air" and "part.layer" by number; boundaries "rim" and "wall.N". Triangles keep their
        order; their corners are sorted by number, as scikit-fem's higher elements require.
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

        named = {f"wall.{w}": numbers(self.faces[self.faces[:, 2] == w, :2]) for w in np.unique(self.faces[:, 2])}
        named[RIM] = numbers(self.rim)
        tagged = mesh.with_subdomains(domains).with_boundaries(named)
        return tagged


CHECKED = 6  # order at which curved triangles are checked and measured


def polar_path(a: FloatArray, b: FloatArray, centre: FloatArray, t: FloatArray) -> FloatArray:
    """Places (m, k, 2) from a to b with radius and angle about a centre linear in t (k,)."""
    u, v = a - centre, b - centre
    ru, rv = np.hypot(*u.T), np.hypot(*v.T)
    turn = np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1))
    # a path that starts or ends at the centre itself is straight
    turn = np.where((ru < 1e-9 * rv) | (rv < 1e-9 * ru), 0.0, turn)
    begin = np.where(ru < 1e-9 * rv, np.arctan2(v[:, 1], v[:, 0]), np.arctan2(u[:, 1], u[:, 0]))
    angle = begin[:, None] + turn[:, None] * t
    radius = ru[:, None] + (rv - ru)[:, None] * t
    return np.asarray(centre[:, None] + radius[..., None] * np.stack((np.cos(angle), np.sin(angle)), axis=-1))


def _polar_triangles(corner: FloatArray, centre: FloatArray, bary: FloatArray) -> FloatArray:
    """Nodes (t, n, 2) of triangles (t, 3, 2) whose radius and angle about a centre are linear."""
    spoke = corner - centre[:, None]
    radius = np.hypot(spoke[..., 0], spoke[..., 1])
    cross = spoke[:, :1, 0] * spoke[..., 1] - spoke[:, :1, 1] * spoke[..., 0]
    turn = np.arctan2(cross, (spoke[:, :1] * spoke).sum(axis=-1))
    angle = np.arctan2(spoke[:, :1, 1], spoke[:, :1, 0]) + turn @ bary.T
    rays = np.stack((np.cos(angle), np.sin(angle)), axis=-1)
    return np.asarray(centre[:, None] + (radius @ bary.T)[..., None] * rays)


@lru_cache(maxsize=64)
def _edge_lift(order: int, side: int) -> FloatArray:
    """Matrix (nodes, order - 1) that carries a displacement of a side's inner nodes into the triangle.

    On side i-j with s = Lj - Li the displacement e(s) = (1 - s^2)/4 q(s) becomes Li Lj q(s): zero on the other sides.
    """
    t = np.arange(1, order) / order
    s_edge = 2 * t - 1
    from_values = np.linalg.inv(np.polynomial.legendre.legvander(s_edge, order - 2) * (t * (1 - t))[:, None])
    i, j = ((0, 1), (1, 2), (2, 0))[side]
    bary = lattice(order) / order
    here = np.polynomial.legendre.legvander(bary[:, j] - bary[:, i], order - 2) * (bary[:, i] * bary[:, j])[:, None]
    return np.asarray(here @ from_values)


@lru_cache(maxsize=16)
def _monomial_inverse(order: int) -> FloatArray:
    """Inverse of the Bernstein basis of an order at its own lattice, (n, n)."""
    index = lattice(order)
    bary = index / order
    factor = [comb(order, i) * comb(order - i, j) for i, j, _ in index]
    values = np.prod(bary[:, None, :] ** index[None], axis=-1) * np.array(factor)
    return np.asarray(np.linalg.inv(values))


def _jacobian_coefficients(nodes: FloatArray, order: int) -> FloatArray:
    """Bernstein coefficients of the Jacobian determinant, order 2 (order - 1), of triangles (t, n, 2)."""
    from .shape_functions import gradients

    degree = 2 * (order - 1)
    places = lattice(degree)[:, 1:] / degree
    jacobian = np.einsum("pnr,tnd->tpdr", gradients(order, places), nodes)
    determinant = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    return np.asarray(determinant @ _monomial_inverse(degree).T)
