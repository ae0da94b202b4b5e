"""What single strands of a bundle of straight ones carry in the field that its medium was solved in, and where.

The medium says how strong the field along the outline is; what of it comes from others drives the network of the places
of the strands (`metals.strand_currents`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.metals.one_strand import surface_densities
from crosscurrent.solver.metals.strand_currents import StrandCurrents, StrandPatterns
from crosscurrent.solver.metals.strand_drive import HARMONICS
from crosscurrent.solver.metals.strand_layout import reach, strand_places
from crosscurrent.solver.metals.strand_network import pitch_over_radius
from crosscurrent.solver.metals.strands import Strands

from .discretisation import Discretisation
from .problem import Conductor, Problem
from .solution import Solution
from .strand_bars import sharing_clearance
from .strand_density import CHANGED, READ, ROUND, StrandDensity, ends, strand_density

POINTS = 8  # of Gauss on a side
# of what others make of single currents: anywhere; for each skin in a radius, by pitch over the way to them, with more
# where places stand out of the circle, over its radius
FAR, NEAR, JAGGED = 0.001, 0.2, 4.0
OWN = 0.012  # of all, where a radius is many skins; else with their fourth power: multipoles that are left out


def strand_densities(solution: Solution, known: Mapping[int, StrandDensity]) -> list[StrandDensity | None]:
    """Of every conductor, None for solid metal; some are known."""
    flows = solution.fine, solution.coarse
    found = []
    for number in range(len(solution.problem.conductors)):
        if number in known or not has_places(solution.problem, number) or not solution.frequency:
            found.append(known.get(number) or strand_density(solution.fine, number))
            continue
        first, second = (
            np.asarray(outline_harmonics(flow.discretisation, solution.problem, number) @ flow.electric)[None]
            for flow in flows
        )
        total, at = solution.fine.currents[[number]], np.array([solution.frequency])
        found += shared(solution.problem, number, at, (first, second), total)
    return found


def has_places(problem: Problem, number: int) -> bool:
    """Whether it is known where the straight strands of a conductor lie."""
    strands = problem.conductors[number].strands
    return strands is not None and strands.networked and not problem.axial


def outline_harmonics(d: Discretisation, problem: Problem, number: int) -> sparse.csr_array:
    """What makes harmonics along a round outline of a field at all unknowns, (2 HARMONICS + 1, unknowns).

    Of exp(j n angle) from n = -HARMONICS on: the mean of the field with its conjugate.
    """
    mesh, order = d.mesh, np.arange(-HARMONICS, HARMONICS + 1)
    rows = np.flatnonzero(mesh.part == number)
    sides = np.isin(mesh.triangle_edges[rows], mesh.edge_numbers(mesh.faces[:, :2]))
    middle = problem.conductors[number].part.bounds.mean(axis=0)
    t, weight = (0.5 * part for part in np.polynomial.legendre.leggauss(POINTS))
    corners = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    found: list[tuple[ComplexArray, IntArray]] = []
    for side, (first, last) in enumerate(EDGES):
        on = rows[sides[:, side]]
        along = corners[first] + (t + 0.5)[:, None] * (corners[last] - corners[first])
        ends = (d.elements.positions(on, corners[[first, last]]) - middle) @ [1, 1j]
        angle = np.angle((d.elements.positions(on, along) - middle) @ [1, 1j])
        share = weight * np.angle(ends[:, 1] / ends[:, 0])[:, None] / (2 * math.pi)
        wave = share[..., None] * np.exp(-1j * angle[..., None] * order)
        found.append((np.einsum("ekn,kd->edn", wave, values(d.order, along)), d.elements.dofs[on]))
    entries = np.concatenate([part.reshape(-1, len(order)) for part, _ in found])
    columns = np.concatenate([dofs.ravel() for _, dofs in found])
    at = np.broadcast_to(np.arange(len(order)), entries.shape)
    across = np.broadcast_to(columns[:, None], entries.shape)
    shape = (len(order), d.elements.count)
    return sparse.csr_array(sparse.coo_array((entries.ravel(), (at.ravel(), across.ravel())), shape=shape))


def shared(
    problem: Problem, number: int, frequency: FloatArray, traces: tuple[ComplexArray, ComplexArray], total: ComplexArray
) -> list[StrandDensity]:
    """The strands of a bundle whose places are known, at frequencies (m,) above 0.

    Parameters
    ----------
    problem, number
        The bundle is conductor `number` of it.
    frequency : (m,) float
        [Hz]
    traces : two of (m, 2 HARMONICS + 1) complex
        Harmonics of E along its outline, at the order of the answers and at the one below [V/m].
    total : (m,) complex
        Its current [A].
    """
    conductor = problem.conductors[number]
    strands, sigma = conductor.strands, conductor.material.conductivity_at(conductor.temperature)
    assert strands is not None
    first, second = (trace * (len(problem.conductors) > 1) for trace in traces)  # with nothing beside it all is its own
    patterns = StrandPatterns.sampled(strands, conductor.part.area, sigma, frequency, first)
    found, before = patterns.read(frequency, first, total), patterns.carried(frequency, second, total)
    size = np.abs(found.each)
    most = size.max(axis=1)
    error = CHANGED * np.abs(found.each - before).max(axis=1) + READ * (most - size.min(axis=1))
    error += model_errors(problem, number, frequency, found)
    places, peaks = placed(conductor, strands), _peaks(strands.diameter, sigma, frequency, found)
    at = [[(float(x), float(y)) for x, y in places[numbers]] for numbers in ends(size)]
    return [
        StrandDensity(float(peak), float(of.min()), float(of.max()), float(off), low, high)
        for peak, of, off, low, high in zip(peaks, size, error, *at, strict=True)
    ]


def model_errors(problem: Problem, number: int, frequency: FloatArray, found: StrandCurrents) -> FloatArray:
    """How far single currents are off because others see the medium of a bundle and it sees theirs, (m,) [A].

    Of pairs of 38 to 127 strands, hexagonal, square and in rings, turned any way, 0.3 to 24 pitches apart, radius 0.2
    to 1.4 skin depths, go and return, alike and idle, at most 0.7 of it was off (`tests/.../test_strand_shares.py`).
    """
    conductor = problem.conductors[number]
    strands = conductor.strands
    assert strands is not None
    depth = np.array([conductor.material.skin_depth(f, conductor.temperature) for f in frequency.tolist()])
    skins = strands.diameter / 2 / depth
    outermost = reach(strands.count, strands.layout) * pitch_over_radius(strands.count, strands.layout)
    near = (NEAR + JAGGED * max(0.0, outermost - 1)) / sharing_clearance(problem, number)
    foreign = np.abs(found.each - found.alone).max(axis=1)
    alone = OWN * skins**4 / (1 + skins**4) * np.abs(found.each).max(axis=1)
    return np.asarray(foreign * (FAR + near * skins) + alone)


def placed(conductor: Conductor, strands: Strands) -> FloatArray:
    """Where strands lie in a round outline, (count, 2) [m]."""
    radius = math.sqrt(conductor.part.area / math.pi)
    at = radius * pitch_over_radius(strands.count, strands.layout) * strand_places(strands.count, strands.layout)
    plane = (at * [1, -1 if strands.mirrored else 1]) @ [1, 1j] * np.exp(1j * strands.turn)
    return np.asarray(np.column_stack((plane.real, plane.imag)) + conductor.part.bounds.mean(axis=0))


def _peaks(diameter: float, conductivity: float, frequency: FloatArray, found: StrandCurrents) -> FloatArray:
    """Largest density at the surface of any strand, (m,) [A/m2]."""
    angle = 2 * np.pi * np.arange(ROUND) / ROUND
    around, peaks = np.array([np.cos(angle), np.sin(angle)]), np.empty(len(frequency))
    for k, at in enumerate(frequency.tolist()):
        own, across = surface_densities(diameter, conductivity, at)
        peaks[k] = np.abs(own * found.each[k][:, None] - across * (found.slope[k] @ around)).max()
    return peaks
