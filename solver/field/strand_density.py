"""How densely current flows in the strands of a bundle that counts as one medium."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.metals.one_strand import surface_densities

from .discretisation import Discretisation
from .flow import SteadyFlow
from .problem import Conductor
from .ring_fields import ring_gradients, ring_shares

INSIDE, RIM = 6, 24  # fineness of the lattice of points in a triangle, and of that along the rim
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
    places : (p, 2) float
        In each, by its reference triangle: all over it, and where any has the rim.
    where : (e, p, 2) float
        These places [m].
    middles : (e, p) bool
        Those that a strand may have its middle at: half a strand's share of the room from the edge, or the inmost.
    """

    rows: IntArray
    places: FloatArray
    where: FloatArray
    middles: BoolArray

    @classmethod
    def of(cls, d: Discretisation, conductor: Conductor, number: int) -> StrandSites:
        """In the outline of conductor `number`."""
        rows = np.flatnonzero(d.mesh.part == number)
        border = cKDTree(_border(d, rows))
        fine = lattice(RIM)[:, 1:] / RIM
        away = np.asarray(border.query(d.elements.positions(rows, fine))[0])
        count = 1 if conductor.strands is None else conductor.strands.count
        nearest = min(0.5 * math.sqrt(conductor.part.area / count), 0.999 * away.max())
        # the field of an even current in a plane is largest at the rim of what is allowed
        spacing = np.ptp(conductor.part.bounds, axis=0).max() / len(rows) ** 0.5 / RIM
        rim = (away >= nearest) & (away <= nearest + spacing)
        even = (np.rint(fine * RIM) % (RIM // INSIDE) == 0).all(axis=1)
        kept = even | rim.any(axis=0)
        return cls(rows, fine[kept], d.elements.positions(rows, fine[kept]), away[:, kept] >= nearest)

    def read(self, d: Discretisation, electric: ComplexArray, potential: ComplexArray) -> tuple[ComplexArray, ...]:
        """E [V/m] and grad A [T] there, (..., e, p) and (..., e, p, 2), of fields (..., unknowns)."""
        e = d.elements
        return e.strength(electric, self.rows, self.places), e.induction(potential, self.rows, self.places)


def _border(d: Discretisation, rows: IntArray) -> FloatArray:
    """Places along the faces of some triangles, bent as they are, (k, 2) [m]."""
    faces = np.isin(d.mesh.triangle_edges[rows], d.mesh.edge_numbers(d.mesh.faces[:, :2]))
    corners, t = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]), (np.arange(ROUND) / ROUND)[:, None]
    sides = [
        d.elements.positions(rows[faces[:, side]], corners[first] + t * (corners[last] - corners[first]))
        for side, (first, last) in enumerate(EDGES)
    ]
    return np.concatenate([along.reshape(-1, 2) for along in sides])


def strand_density(
    flow: SteadyFlow, number: int, sites: StrandSites | None = None, read: tuple[ComplexArray, ...] | None = None
) -> StrandDensity | None:
    """Of the conductor of a number; None for solid metal.

    A strand has its own current and lies across the field that its surroundings make there; what its next neighbours
    crowd on the side that faces them is left out (below 3 % up to a radius of a skin depth).

    Parameters
    ----------
    flow : SteadyFlow
    number : int
    sites : StrandSites, optional
        Known ones, if many flows are on one mesh.
    read : (e, p) and (e, p, 2) complex, optional
        The fields there, if those of many flows were read at once.
    """
    conductor, medium = flow.problem.conductors[number], flow.discretisation.strands[number]
    if conductor.strands is None or medium is None:
        return None
    d, strands = flow.discretisation, conductor.strands
    sites = sites or StrandSites.of(d, conductor, number)
    rows, where, middles = sites.rows, sites.where, sites.middles
    strength, slope = read or sites.read(d, flow.electric, flow.potential)
    share = d.sigma[d.mesh.part[d.elements.metal] == number][0] * medium.conducting * conductor.part.area
    current = (strength * ring_shares(flow, rows, where) * share / strands.count)[middles]
    sigma = conductor.material.conductivity_at(conductor.temperature)
    own, across = surface_densities(strands.diameter, sigma, flow.frequency)
    gradient = slope + ring_gradients(flow, rows, where)
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
