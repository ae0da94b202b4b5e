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

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.elements.factor import factorised
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.elements.operators import elements_on
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.electrothermal import conduction_in
from crosscurrent.solver.heat.strand_heat import conduction_of
from crosscurrent.solver.heat.view_factors import edge_lengths
from crosscurrent.solver.heat.work_piece import WorkPiece

from .bores import bores
from .circuit import Branch
from .pipe import Passage
from .turns import turn_length


@dataclass(frozen=True, eq=False)
class ConjugateConduction:
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


def conjugate_conduction(
    solution: Solution, number: int, film: Sequence[float], warmth: Sequence[float]
) -> ConjugateConduction:
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

    Examples
    --------
    A film of 6000 W/(m2 K) in a tube that loses 499 W/m, P = 10 pi mm:

    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> solution = solve(alone(tube(0.012, 0.001), 1000.0, "pipe"), 0.0)
    >>> found = conjugate_conduction(solution, 0, [6000.0], [0.0])
    >>> round(float(found.heat[0]), 1), round(float(found.wall_mean[0]), 2)
    (498.9, 2.65)
    """
    if solution.problem.axial:
        return _round_the_axis(solution, number, np.asarray(film), np.asarray(warmth))
    conduction = conduction_in(solution)
    e, part = conduction.elements, solution.problem.conductors[number].part
    own = conduction.part == number
    triangles, conductivity = e.metal[own], conduction.conductivity[e.mesh.region[e.metal[own]]]
    matrix = sparse.csc_array(e.assemble(e.stiffness_blocks[triangles] * conductivity[:, None, None], triangles))
    first = sum(len(p.part.all_outlines) for p in solution.problem.conductors[:number])
    boundaries = [first + k for bore in bores(part) for k, o in enumerate(part.all_outlines) if o is bore]
    edges = [np.flatnonzero(e.mesh.faces[:, 2] == boundary) for boundary in boundaries]
    matrix, weight = _with_films(matrix, solution, edges, film)
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
    return ConjugateConduction(
        float(rise[inside].max()),
        float(conduction.average[number] @ rise),
        heat,
        water,
        np.array([rise[nodes].max() for nodes in wet]),
        weight.T @ rise / perimeter,
    )


def _round_the_axis(
    solution: Solution, number: int, film: FloatArray, warmth: FloatArray
) -> ConjugateConduction:
    """The same of a turn, its integrals weighted by 2 pi r; heat per metre of its bores' middle."""
    conductors, d = solution.problem.conductors, solution.fine.discretisation
    conductivity = np.array([k for c in conductors for k in conduction_of(c)])
    piece = WorkPiece.of(d.mesh, d.order, number, conductivity, np.ones(len(conductivity)))
    walls, part = piece.surface, solution.problem.section.parts[number]
    first = sum(len(p.all_outlines) for p in solution.problem.section.parts[:number])
    boundary = np.repeat(d.mesh.faces[walls.edges, 2], walls.count)
    numbers = [first + k for bore in bores(part) for k, o in enumerate(part.all_outlines) if o is bore]
    area = np.array([np.where(boundary == k, walls.area, 0.0) for k in numbers])
    matrix = piece.conduction + walls.values.T @ sparse.diags_array(film @ area) @ walls.values
    weight = np.asarray(walls.values.T @ area.T)
    load = np.column_stack((piece.load(solution.fine, float(solution.fine.powers.real[number])), weight * film))
    rises = factorised(sparse.csc_array(matrix))(load)
    whole = weight.sum(axis=0)
    taken = film[:, None] * (weight.T @ rises - np.eye(1 + len(numbers))[1:] * whole[:, None])
    by_heat = warmth / turn_length(conductors[number])
    heat = np.linalg.solve(np.eye(len(numbers)) - taken[:, 1:] * by_heat, taken[:, 0])
    rise = rises @ np.append(1.0, heat * by_heat)
    there = walls.values @ rise
    return ConjugateConduction(
        float(rise.max()),
        float(piece.volume @ rise / piece.volume.sum()),
        heat / turn_length(conductors[number]),
        heat * by_heat,
        np.array([there[boundary == k].max() for k in numbers]),
        weight.T @ rise / whole,
    )


def _with_films(
    matrix: sparse.csc_array, solution: Solution, edges: Sequence[IntArray], film: Sequence[float]
) -> tuple[sparse.csc_array, FloatArray]:
    """Conduction with the films of all bores; the integral of every shape function over each bore (n, bores) [m]."""
    e = solution.fine.discretisation.elements
    weight = np.zeros((e.count, len(edges)))
    for k, rows in enumerate(edges):
        edge_triangles, blocks = _edge_masses(solution, rows)
        matrix = matrix + film[k] * sparse.csc_array(e.assemble(blocks, edge_triangles))
        np.add.at(weight[:, k], e.dofs[edge_triangles], blocks.sum(axis=1))
    return matrix, weight


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


def with_conduction(branches: Sequence[Branch], solution: Solution) -> tuple[Passage, ...]:
    """The passages of a conductor with what heat conduction across the section makes of their film coefficients."""
    passages = tuple(branch.passage for branch in branches)
    name, loss = passages[0].name, sum(p.loss for p in passages)
    number = next(k for k, c in enumerate(solution.problem.conductors) if c.name == name)
    if not solution.fine.powers.real[number]:
        return passages
    warmth = [0.5 * branch.passage.length / (branch.mass * branch.liquid.heat_capacity) for branch in branches]
    found = conjugate_conduction(solution, number, [branch.film for branch in branches], warmth)
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
