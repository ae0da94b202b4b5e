"""Heat conduction in one conductor whose bores are wet: where the metal and the wall of the bore are hottest.

    integral k grad T . grad w + integral over bores h T w  =  integral sigma |E|^2 w + integral over bores h T_water w

All heat goes into the water; the other faces let none through.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from ..geometries.mesh import lattice
from ..geometries.outline import FloatArray, Outline
from ..geometries.section import Part
from ..geometries.shape_functions import values
from ..geometries.sides import IntArray
from .factor import factorised
from .operators import EDGES, elements_on
from .panels import edge_lengths
from .pipe import Passage
from .solve import Solution
from .warm import conduction_in
from .water import Leg


@dataclass(frozen=True, eq=False)
class Wetted:
    """Temperatures of a wet conductor above its water, for the heat of a solution [K]."""

    hottest: float  # anywhere in the metal
    place: tuple[float, float]  # of it [m]
    wall: float  # hottest on a bore
    wall_mean: float  # mean over the bores
    mean: float  # mean over the metal


def wetted(solution: Solution, number: int, bores: Sequence[Outline], film: float) -> Wetted:
    """Temperatures above the water of a conductor.

    Parameters
    ----------
    solution : Solution
    number : int
        Of the conductor.
    bores : sequence of Outline
        Outlines of its part that the water touches.
    film : float
        Heat transfer coefficient [W/(m2 K)].
    """
    conduction = conduction_in(solution)
    e, part = conduction.elements, solution.problem.conductors[number].part
    own = conduction.part == number
    triangles, conductivity = e.metal[own], conduction.conductivity[e.mesh.region[e.metal[own]]]
    stiffness = e.assemble(e.stiffness_blocks[triangles] * conductivity[:, None, None], triangles)
    first = sum(len(p.part.all_outlines) for p in solution.problem.conductors[:number])
    walls = [first + k for k, outline in enumerate(part.all_outlines) if any(outline is bore for bore in bores)]
    rows = np.flatnonzero(np.isin(e.mesh.faces[:, 2], walls))
    edge_triangles, blocks = _edge_masses(solution, rows)
    inside = np.unique(e.dofs[triangles])
    matrix = sparse.csc_array(stiffness + film * e.assemble(blocks, edge_triangles))
    load = conduction.load(solution.fine)[:, number]
    rise = np.zeros(e.count)
    rise[inside] = factorised(sparse.csc_array(matrix[inside][:, inside]))(load[inside])
    dofs = e.dofs[triangles]
    row, node = np.unravel_index(int(rise[dofs].argmax()), dofs.shape)
    place = e.positions(triangles[row : row + 1], lattice(e.order)[[node], 1:] / e.order)[0, 0]
    wet = np.unique(e.mesh.edges[e.mesh.edge_numbers(e.mesh.faces[rows, :2])])
    weight = blocks.sum(axis=1)
    on_wall = float((weight * rise[e.dofs[edge_triangles]]).sum() / weight.sum())
    mean = float(conduction.average[number] @ rise)
    return Wetted(float(rise.max()), (float(place[0]), float(place[1])), float(rise[wet].max()), on_wall, mean)


def _edge_masses(solution: Solution, rows: IntArray) -> tuple[IntArray, FloatArray]:
    """Triangle and integral of u v over the edge of each row of the mesh's faces, (m,) and (m, n, n) [m]."""
    e = solution.fine.discretisation.elements
    triangle, side = elements_on(e.mesh.faces[rows, :2], e.mesh.triangles)
    points, weights = np.polynomial.legendre.leggauss(e.order + 4)
    t = (points[:, None] + 1) / 2
    blocks = np.empty((len(rows), e.dofs.shape[1], e.dofs.shape[1]))
    for k, (i, j) in enumerate(EDGES):
        shape = values(e.order, ((1 - t) * np.eye(3)[i] + t * np.eye(3)[j])[:, 1:])
        blocks[side == k] = shape.T @ (weights[:, None] / 2 * shape)
    return triangle, blocks * edge_lengths(e.mesh, rows)[:, None, None]


def bores(part: Part) -> tuple[Outline, ...]:
    """The open holes of a conductor: those of its outline and its pieces that no other of these lies in."""
    shapes = (part.shape, *part.pieces)
    return tuple(
        hole
        for shape in shapes
        for hole in shape.holes
        if not any(_lies_in(other.outer, hole) for other in shapes if other is not shape)
    )


def _lies_in(outline: Outline, hole: Outline) -> bool:
    return abs(outline.area) < 1.001 * abs(hole.area) and bool(hole.contains(outline.centroid)[0])


def with_conduction(leg: Leg, solution: Solution) -> Passage:
    """The passage of a leg with what heat conduction across the section makes of its film coefficient."""
    conductors, own = solution.problem.conductors, leg.passage
    number = next(k for k, c in enumerate(conductors) if c.name == own.name)
    if not own.loss:
        return own
    found = wetted(solution, number, bores(conductors[number].part), leg.film)
    wall, body = (found.hottest - found.wall) / own.loss, (found.mean - found.wall_mean) / own.loss
    return replace(own, crowding=found.wall / found.wall_mean, wall=wall, body=body)
