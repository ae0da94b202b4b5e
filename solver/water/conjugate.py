"""Heat conduction in one conductor whose bores are wet: where metal and walls are hottest, and what each bore takes.

    integral k grad T . grad w  +  sum over bores h_i integral T w
        =  integral sigma |E|^2 w  +  sum over bores h_i T_i integral w

All heat goes into the water; the other faces let none through. The water of every bore, T_i, is warmer the more heat
it takes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy import sparse

from ..geometries.outline import FloatArray, Outline
from ..geometries.section import Part
from ..geometries.shape_functions import values
from ..geometries.sides import IntArray
from .factor import factorised
from .operators import EDGES, elements_on
from .panels import edge_lengths
from .pipe import Passage
from .problem import Conductor
from .solve import Solution
from .warm import conduction_in
from .water import Leg


@dataclass(frozen=True, eq=False)
class Wetted:
    """A wet conductor with the heat of a solution; temperatures above the inlet's water [K].

    Attributes
    ----------
    hottest, mean : float
        Anywhere in the metal; over the metal.
    heat : (bores,) float
        Into each bore [W/m].
    water, wall, wall_mean : (bores,) float
        Of the water; hottest and mean on the bore's face.
    """

    hottest: float
    mean: float
    heat: FloatArray
    water: FloatArray
    wall: FloatArray
    wall_mean: FloatArray


def wetted(solution: Solution, number: int, film: Sequence[float], warmth: Sequence[float]) -> Wetted:
    """Temperatures of a conductor, and how its heat shares between its bores.

    Parameters
    ----------
    solution : Solution
    number : int
        Of the conductor.
    film : sequence of float
        Heat transfer coefficient in each of its bores [W/(m2 K)].
    warmth : sequence of float
        How much warmer the heat in a bore makes its water [K m/W].
    """
    conduction = conduction_in(solution)
    e, part = conduction.elements, solution.problem.conductors[number].part
    own = conduction.part == number
    triangles, conductivity = e.metal[own], conduction.conductivity[e.mesh.region[e.metal[own]]]
    matrix = sparse.csc_array(e.assemble(e.stiffness_blocks[triangles] * conductivity[:, None, None], triangles))
    first = sum(len(p.part.all_outlines) for p in solution.problem.conductors[:number])
    walls = [first + k for bore in bores(part) for k, o in enumerate(part.all_outlines) if o is bore]
    edges = [np.flatnonzero(e.mesh.faces[:, 2] == wall) for wall in walls]
    weight = np.zeros((e.count, len(edges)))  # integral of w over each bore [m]
    for k, rows in enumerate(edges):
        edge_triangles, blocks = _edge_masses(solution, rows)
        matrix = matrix + film[k] * sparse.csc_array(e.assemble(blocks, edge_triangles))
        np.add.at(weight[:, k], e.dofs[edge_triangles], blocks.sum(axis=1))
    inside = np.unique(e.dofs[triangles])
    rises = np.zeros((e.count, 1 + len(edges)))  # by the heat; by water 1 K warmer in one of the bores
    load = np.column_stack((conduction.load(solution.fine)[:, number], weight * film))
    rises[inside] = factorised(sparse.csc_array(matrix[inside][:, inside]))(load[inside])
    perimeter = weight.sum(axis=0)
    taken = np.asarray(film)[:, None] * (weight.T @ rises - np.eye(1 + len(edges))[1:] * perimeter[:, None])
    heat = np.linalg.solve(np.eye(len(edges)) - taken[:, 1:] * warmth, taken[:, 0])
    water = heat * warmth
    rise = rises @ np.append(1.0, water)
    wet = [np.unique(e.mesh.edges[e.mesh.edge_numbers(e.mesh.faces[rows, :2])]) for rows in edges]
    return Wetted(
        float(rise[inside].max()),
        float(conduction.average[number] @ rise),
        heat,
        water,
        np.array([rise[nodes].max() for nodes in wet]),
        weight.T @ rise / perimeter,
    )


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


def wet_metals(conductor: Conductor) -> tuple[str, ...]:
    """Names of the metals that water in its bores touches."""
    part, own = conductor.part, bores(conductor.part)
    found = [(*conductor.bore_coats[-1:], conductor.material)[0] for hole in own if hole in part.shape.holes]
    for piece, metal in zip(part.pieces, conductor.pieces, strict=True):
        found += [metal for hole in own if hole in piece.holes]
    return tuple(dict.fromkeys(metal.name for metal in found))


def _lies_in(outline: Outline, hole: Outline) -> bool:
    return abs(outline.area) < 1.001 * abs(hole.area) and bool(hole.contains(outline.centroid)[0])


def with_conduction(legs: Sequence[Leg], solution: Solution) -> tuple[Passage, ...]:
    """The passages of a conductor with what heat conduction across the section makes of their film coefficients."""
    passages = tuple(leg.passage for leg in legs)
    name, loss = passages[0].name, sum(p.loss for p in passages)
    number = next(k for k, c in enumerate(solution.problem.conductors) if c.name == name)
    if not solution.fine.powers.real[number]:
        return passages
    warmth = [0.5 * leg.passage.length / (leg.mass * leg.liquid.heat_capacity) for leg in legs]
    found = wetted(solution, number, [leg.film for leg in legs], warmth)
    rows = zip(passages, found.heat, found.wall - found.water, found.wall_mean - found.water, strict=True)
    return tuple(
        replace(
            passage,
            loss=float(loss * heat / found.heat.sum()),
            crowding=float(wall / wall_mean),
            wall=float((found.hottest - found.water[k] - wall) / heat),
            body=float((found.mean - found.water[k] - wall_mean) / heat),
        )
        for k, (passage, heat, wall, wall_mean) in enumerate(rows)
    )
