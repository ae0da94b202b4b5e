"""Meshes for a band of frequencies: the first one, and finer ones where the error sits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.bisect import bisected, largest_first
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.solver.field.corner_layers import corner_layers
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.indicator import indicators
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.region_metals import region_skins
from crosscurrent.solver.field.solve import FEW, HIGHEST, MOST

# fewer layers than for one frequency do for a band; the circle outside is no coarser than what lies between
BAND = MeshOptions(growth=1.7, slope=0.55, truncation=48)
# where the lay spreads the current no layers keep the air about a bundle fine: measured, one refinement in fifteen
# sweeps, not ten
AROUND_BUNDLES = 0.35
CORNERS = 0.5  # share of what is left of the error that sharp corners may hold


def band_mesh(problem: Problem, low: float, high: float) -> Mesh:
    """A mesh for a band [Hz]: layers and corners for its thinnest skin, a stack as deep as its thickest reaches."""
    even = any(c.strands and c.strands.given for c in problem.conductors)
    slope = AROUND_BUNDLES if even else BAND.slope
    options = replace(BAND, reach=BAND.reach * math.sqrt(high / low), slope=slope)
    return mesh_section(problem.section, region_skins(problem, high), options)


def finer_mesh(flow: SteadyFlow, coarse: SteadyFlow, share: float, largest: int) -> Discretisation | None:
    """Finer, or of a higher order, where the difference of two orders sits; None where that would be too large.

    Parameters
    ----------
    flow, coarse : SteadyFlow
        Of two orders on one mesh, at the frequency with the widest bars.
    share : float
        What is to be left of the error.
    largest : int
        Number of unknowns it may have.
    """
    d, weights = flow.discretisation, indicators(flow, coarse)
    left = share * float(weights.sum())
    at = corner_layers(d, weights, CORNERS * left)
    mesh, order = d.mesh, d.order
    if not at.wanted or at.rest.sum() > (1 - CORNERS) * left:
        if d.order < HIGHEST and largest_first(at.rest, MOST).mean() > FEW:
            order += 1
        else:
            mesh = _halved(mesh, at.rest, (1 - CORNERS) * left, 0.5 ** (d.order - 1))
    finer = replace(d, mesh=at.graded(mesh), order=order)
    return finer if finer.elements.count <= largest else None


def _halved(mesh: Mesh, weights: FloatArray, wanted: float, gain: float) -> Mesh:
    """Halve triangles until their weights should add up to no more than wanted.

    The weight of a smooth field falls by the gain with each halving: sides shrink by the root of two, and at order p
    the square of the error goes with the power 2 (p - 1) of them.
    """
    while True:
        mesh, parent = bisected(mesh, largest_first(weights, MOST))
        parts = np.bincount(parent)[parent]
        weights = weights[parent] / parts * np.where(parts > 1, gain, 1.0)
        if weights.sum() <= wanted:
            return mesh
