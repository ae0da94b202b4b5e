"""How densely current flows in the strands of a bundle that counts as one medium."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.solver.metals.one_strand import surface_densities

from .discretisation import Discretisation
from .flow import SteadyFlow
from .problem import Conductor
from .ring_fields import ring_gradients, ring_shares

FINENESS = 6  # of the lattice of points in a triangle
SITES = lattice(FINENESS)[:, 1:] / FINENESS
ROUND = 24  # points around a strand
ALIKE = 1e-6  # of the largest current: strands that mirror each other carry as much
CHANGED, READ = 2.0, 5e-4  # of what an order changes; of the spread: what readings leave open
RINGED = 0.005  # of the spread over rings: measured 0.0028 at most
SMOOTH = (0.5, 1.0)  # of what the most has beyond the mean, and for each skin in a radius: the strands that stand out


@dataclass(frozen=True)
class StrandDensity:
    """Of one bundle.

    Attributes
    ----------
    peak : float
        Largest density at the surface of a strand [A/m2].
    least, most : float
        Current of the strands with the least and the most [A].
    error : float
        Bound on how far both are off [A].
    least_at, most_at : (float, float), optional
        Where these strands lie in the section, of those alike the first; only straight ones have known places [m].
    """

    peak: float
    least: float
    most: float
    error: float = 0.0
    least_at: tuple[float, float] | None = None
    most_at: tuple[float, float] | None = None


@dataclass(frozen=True, eq=False)
class StrandSites:
    """Where single strands of a bundle that counts as one medium are looked for.

    Parameters
    ----------
    rows : (e,) int
        Its triangles.
    where : (e, p, 2) float
        Places in them [m].
    middles : (e, p) bool
        Those that a strand may have its middle at: half a strand's share of the room from the edge, or the inmost.
    """

    rows: IntArray
    where: FloatArray
    middles: BoolArray

    @classmethod
    def of(cls, d: Discretisation, conductor: Conductor, number: int) -> StrandSites:
        """In the outline of conductor `number`."""
        rows = np.flatnonzero(d.mesh.part == number)
        where = d.elements.positions(rows, SITES)
        inside = np.unique(d.mesh.triangles[rows])
        edge = d.mesh.faces[np.isin(d.mesh.faces[:, :2], inside).all(axis=1), :2]
        t = (np.arange(ROUND) / ROUND)[:, None, None]
        border = ((1 - t) * d.mesh.points[edge[:, 0]] + t * d.mesh.points[edge[:, 1]]).reshape(-1, 2)
        away = np.asarray(cKDTree(border).query(where)[0])
        count = 1 if conductor.strands is None else conductor.strands.count
        half = 0.5 * math.sqrt(conductor.part.area / count)
        return cls(rows, where, np.asarray(away >= min(half, 0.999 * away.max())))


def strand_density(flow: SteadyFlow, number: int, sites: StrandSites | None = None) -> StrandDensity | None:
    """Of the conductor of a number; None for solid metal.

    A strand has its own current and lies across the field that its surroundings make there; what its next neighbours
    crowd on the side that faces them is left out (below 3 % up to a radius of a skin depth).

    Parameters
    ----------
    flow : SteadyFlow
    number : int
    sites : StrandSites, optional
        Known ones, if many flows are on one mesh.
    """
    conductor, medium = flow.problem.conductors[number], flow.discretisation.strands[number]
    if conductor.strands is None or medium is None:
        return None
    d, strands = flow.discretisation, conductor.strands
    sites = sites or StrandSites.of(d, conductor, number)
    rows, where, middles = sites.rows, sites.where, sites.middles
    share = d.sigma[d.mesh.part[d.elements.metal] == number][0] * medium.conducting * conductor.part.area
    current = d.elements.strength(flow.electric, rows, SITES) * ring_shares(flow, rows, where)
    current = (current * share / strands.count)[middles]
    sigma = conductor.material.conductivity_at(conductor.temperature)
    own, across = surface_densities(strands.diameter, sigma, flow.frequency)
    gradient = d.elements.induction(flow.potential, rows, SITES) + ring_gradients(flow, rows, where)
    size, each = np.abs(current), abs(flow.currents[number]) / strands.count
    least, most = float(size.min()), float(size.max())
    if medium.rings is not None:
        least, most = each * medium.rings.least, each * medium.rings.most
    peak = _largest(own * current, gradient[middles] * (medium.exciting * across))
    return StrandDensity(peak, least, most, _left_open(flow, number, each, (least, most)))


def ends(currents: FloatArray) -> tuple[IntArray, IntArray]:
    """Numbers of the strands with the least and the most of currents (..., count), of those alike the first.

    Examples
    --------
    >>> [int(number) for number in ends(np.array([2.0, 1.0, 1.0 - 1e-9, 2.0 + 1e-9]))]
    [1, 0]
    """
    told_apart = np.round(currents / np.maximum(ALIKE * currents.max(axis=-1, keepdims=True), np.finfo(float).tiny))
    return np.asarray(told_apart.argmin(axis=-1)), np.asarray(told_apart.argmax(axis=-1))


def _left_open(flow: SteadyFlow, number: int, each: float, range_: tuple[float, float]) -> float:
    """Bound on the error of the least and the most current by the medium [A]; none where the lay gives them.

    Of smooth ones against all strands, 38 to 127, alone and beside others: at most 0.7 of it.
    """
    conductor, strands = flow.problem.conductors[number], flow.problem.conductors[number].strands
    assert strands is not None
    least, most = range_
    if strands.given or not flow.frequency:
        return RINGED * (most - least) if strands.ringed else 0.0
    depth = conductor.material.skin_depth(flow.frequency, conductor.temperature)
    return float((SMOOTH[0] + SMOOTH[1] * strands.diameter / 2 / depth) * max(most - each, each - least))


def _largest(even: ComplexArray, flux: ComplexArray) -> float:
    """Of |even - flux . n| over places and directions n."""
    square, across = np.abs(even) ** 2, (np.abs(flux) ** 2).sum(axis=-1)
    # the mean square over all directions is below the largest, which is below the sum of both
    near = np.sqrt(square) + np.sqrt(across) >= math.sqrt(float((square + across / 2).max())) * (1 - ALIKE)
    angle = 2 * np.pi * np.arange(ROUND) / ROUND
    around = flux[near, :1] * np.cos(angle) + flux[near, 1:] * np.sin(angle)
    return float(np.abs(even[near, None] - around).max())
