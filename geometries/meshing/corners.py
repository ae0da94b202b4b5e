"""Sharp corners of the borders in a mesh, and layers of ever smaller triangles towards them."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .bisect import bisect
from .boundary import SOFT
from .mesh import Mesh

NEAR = np.array([1e-3])  # how far along an edge its direction at the end is taken


def sharp_corners(mesh: Mesh, kind: FloatArray | IntArray) -> IntArray:
    """Points where the border between triangles of different kinds has a corner or branches, (k,).

    Parameters
    ----------
    mesh : Mesh
    kind : (t,)
        A number for every triangle: its region, or what its metal is like.

    Examples
    --------
    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> sharp, blunt = (Section((Part("bar", bar(0.02, 0.003, r)),)) for r in (0.0, 0.001))
    >>> meshes = [mesh_section(s, [[1e-3]]) for s in (sharp, blunt)]
    >>> [len(sharp_corners(mesh, mesh.region)) for mesh in meshes]
    [4, 0]
    """
    if (kind == kind[0]).all():
        return np.zeros(0, dtype=np.int64)
    each = np.repeat(kind[:, None], 3, axis=1)
    low, high = np.full(len(mesh.edges), np.inf), np.full(len(mesh.edges), -np.inf)
    np.minimum.at(low, mesh.triangle_edges, each)
    np.maximum.at(high, mesh.triangle_edges, each)
    border = mesh.edges[low < high]
    ends = np.concatenate((border, border[:, ::-1]))
    step = mesh.along_edge(ends, NEAR)[:, 0] - mesh.points[ends[:, 0]]
    step /= np.hypot(*step.T)[:, None]
    if mesh.axial:  # what ends on the axis goes on beyond it as its mirror image
        over = mesh.points[ends[:, 0], 0] == 0
        ends, step = np.concatenate((ends, ends[over])), np.concatenate((step, step[over] * (-1.0, 1.0)))
    count, x, y = (np.bincount(ends[:, 0], weight, len(mesh.points)) for weight in (None, *step.T))
    # two unit vectors along a border that turns by some angle add up to twice the sine of half of it
    return np.flatnonzero((count > 2) | ((count == 2) & (np.hypot(x, y) > 2 * np.sin(SOFT / 2))))


def graded(mesh: Mesh, corners: IntArray, layers: IntArray) -> Mesh:
    """Halve the triangles at each corner so many times over, as many as its entry of `layers`, (k,).

    Parameters
    ----------
    mesh : Mesh
    corners : (k,) int
        Points of the mesh, as from `sharp_corners`.
    layers : (k,) int
    """
    for layer in range(int(layers.max(initial=0))):
        at = np.zeros(len(mesh.points), bool)
        at[corners[layers > layer]] = True
        mesh = bisect(mesh, np.asarray(at[mesh.triangles].any(axis=1)))
    return mesh
