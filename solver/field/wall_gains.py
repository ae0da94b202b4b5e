"""What moving each bit of a conductor's surface outward does to the loss."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements

from .slope_forms import GivenFields
from .solution import Solution

PIECES = 8  # of a side of a triangle


@dataclass(frozen=True, eq=False)
class WallGains:
    """Along the surface of all conductors of solid metal, face after face of the mesh.

    Attributes
    ----------
    places : (f, PIECES + 1, 2) float
        Along each face [m].
    gain : (f, PIECES) float
        What the loss of all conductors together gains, per area by which the metal grows there [W/m per m2].
    """

    places: FloatArray
    gain: FloatArray


def wall_gains(solution: Solution) -> WallGains:
    """Of the outermost metal, at the currents given. The outline of strands as a medium is no metal: it has none.

    Examples
    --------
    A rod at 0 Hz: its loss falls by dA / A wherever the metal grows by dA.

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> solution = solve(alone(round_bar(0.010), 100.0), 0.0)
    >>> gains, loss = wall_gains(solution).gain, float(solution.fine.powers[0].real)
    >>> area = np.pi * 0.005**2
    >>> bool(np.allclose(gains, -loss / area, rtol=0.002))
    True
    """
    mesh = solution.fine.discretisation.mesh
    walls = Walls.of(mesh, solution.problem.outlines)
    lost = GivenFields(solution.fine).loss_on_walls(Following(Elements(mesh, 1), walls.nodes))
    stranded = [k for k, c in enumerate(solution.problem.conductors) if c.strands is not None]
    pairs = mesh.faces[:, :2]
    pairs = pairs[~np.isin(pairs[:, 0], mesh.triangles[np.isin(mesh.part, stranded)])]
    t = np.arange(PIECES + 1) / PIECES
    places = mesh.along_edge(pairs, t)
    steps = np.diff(places, axis=1)
    long = np.hypot(steps[..., 0], steps[..., 1])
    outward = np.stack((steps[..., 1], -steps[..., 0]), axis=-1) / long[..., None]  # metal on the left
    at = np.searchsorted(walls.nodes, pairs)
    normal = np.zeros((len(walls.nodes), 2))
    for side, piece in ((0, 0), (1, -1)):
        np.add.at(normal, at[:, side], 0.5 * long.sum(axis=1, keepdims=True) * outward[:, piece])
    swept = (normal**2).sum(axis=1)
    density = (lost * normal).sum(axis=1) / np.where(swept > 0, swept, np.inf)
    middle = 0.5 * (t[1:] + t[:-1])
    return WallGains(places, density[at[:, :1]] * (1 - middle) + density[at[:, 1:]] * middle)
