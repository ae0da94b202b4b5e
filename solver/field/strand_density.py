"""How densely current flows in the strands of a bundle that counts as one medium."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.solver.metals.one_strand import surface_densities

from .flow import SteadyFlow
from .ring_fields import ring_gradients, ring_shares

FINENESS = 6  # of the lattice of points in a triangle
ROUND = 24  # points around a strand


@dataclass(frozen=True)
class StrandDensity:
    """Of one bundle.

    Attributes
    ----------
    peak : float
        Largest density at the surface of a strand [A/m2].
    least, most : float
        Current of the strands with the least and the most [A].
    """

    peak: float
    least: float
    most: float


def strand_density(flow: SteadyFlow, number: int) -> StrandDensity | None:
    """Of the conductor of a number; None for solid metal.

    A strand has its own current and lies across the field that its surroundings make there; what its next neighbours
    crowd on the side that faces them is left out (below 3 % up to a radius of a skin depth).
    """
    conductor, medium = flow.problem.conductors[number], flow.discretisation.strands[number]
    if conductor.strands is None or medium is None:
        return None
    d, strands = flow.discretisation, conductor.strands
    rows = np.flatnonzero(d.mesh.part == number)
    places = lattice(FINENESS)[:, 1:] / FINENESS
    share = d.sigma[d.mesh.part[d.elements.metal] == number][0] * medium.conducting * conductor.part.area
    where = d.elements.positions(rows, places)
    middles = _middles(flow, number, where)
    current = d.elements.strength(flow.electric, rows, places) * ring_shares(flow, rows, where)
    current = (current * share / strands.count)[middles]
    sigma = conductor.material.conductivity_at(conductor.temperature)
    own, across = surface_densities(strands.diameter, sigma, flow.frequency)
    gradient = d.elements.induction(flow.potential, rows, places) + ring_gradients(flow, rows, where)
    size = np.abs(current)
    least, most = float(size.min()), float(size.max())
    if medium.rings is not None:
        each = abs(flow.currents[number]) / strands.count
        least, most = each * medium.rings.least, each * medium.rings.most
    return StrandDensity(_largest(own * current, gradient[middles] * (medium.exciting * across)), least, most)


def _middles(flow: SteadyFlow, number: int, where: FloatArray) -> BoolArray:
    """Places that a strand may have its middle at: half a strand's share of the room from the edge, or the inmost."""
    mesh, conductor = flow.discretisation.mesh, flow.problem.conductors[number]
    inside = np.unique(mesh.triangles[mesh.part == number])
    edge = mesh.faces[np.isin(mesh.faces[:, :2], inside).all(axis=1), :2]
    t = (np.arange(ROUND) / ROUND)[:, None, None]
    border = ((1 - t) * mesh.points[edge[:, 0]] + t * mesh.points[edge[:, 1]]).reshape(-1, 2)
    away = np.asarray(cKDTree(border).query(where)[0])
    count = 1 if conductor.strands is None else conductor.strands.count
    return np.asarray(away >= min(0.5 * math.sqrt(conductor.part.area / count), 0.999 * away.max()))


def _largest(even: ComplexArray, flux: ComplexArray) -> float:
    angle = 2 * np.pi * np.arange(ROUND) / ROUND
    around = flux[..., :1] * np.cos(angle) + flux[..., 1:] * np.sin(angle)
    return float(np.abs(even[..., None] - around).max())


