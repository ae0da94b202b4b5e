"""Work pieces: where the power in a conductor arises below its surface and along it, and the field that brings it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.axial import with_breaks
from crosscurrent.geometries.plane.sides import Sides
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.metals.depth import MU0

from .flow import SteadyFlow
from .loss_density import loss_density
from .problem import Problem

SHARES = (1 - math.exp(-1), 1 - math.exp(-2))  # of the power: within half a skin depth and within one, in thick metal
FINE, FINEST, DEGREE = 6, 20, 6  # small triangles along an element, and the degree that is integrated in each
ENOUGH = 400_000  # places in a piece: few elements are cut more finely
STATIONS = 60  # along the piece
NODES, WEIGHTS = np.polynomial.legendre.leggauss(5)
PLACES, PARTS = 0.5 * (1 + NODES), 0.5 * WEIGHTS  # along a side of an element, at which the field is read


@dataclass(frozen=True, eq=False)
class PiecePower:
    """Power in one conductor of a section round an axis.

    Attributes
    ----------
    power : float
        [W]
    volume, surface : float
        Of its metal [m3], of what lies in air [m2].
    largest : float
        Largest density [W/m3].
    depths : tuple of float
        Below the surface, within which 63 % and 86 % of the power arise [m].
    field, largest_field : float
        Strength along the surface, rms over time: the mean square's root over the surface, and the largest [A/m].
    along : (n,) float
        Middles of equal lengths of the piece, along the axis or, where it is flatter than wide, along the radius [m].
    axial : bool
        Whether that is along the axis.
    profile : (n,) float
        Power per length there [W/m].
    below : (n,) float
        Depths [m], with `within` the share of the power down to each.
    within : (n,) float
    """

    power: float
    volume: float
    surface: float
    largest: float
    depths: tuple[float, float]
    field: float
    largest_field: float
    along: FloatArray
    axial: bool
    profile: FloatArray
    below: FloatArray
    within: FloatArray

    @property
    def mean(self) -> float:
        """Density on average over all its metal [W/m3]."""
        return self.power / self.volume

    def depth_of(self, share: float) -> float:
        """Depth above which a share of the power arises, at most 99.9 % [m]."""
        return float(np.interp(share, self.within, self.below))


def pieces(problem: Problem) -> list[int]:
    """Numbers of the conductors of a section round an axis that stand in no circuit."""
    return [k for k, name in enumerate(problem.names) if problem.axial and name not in problem.live]


def piece_power(flow: SteadyFlow, number: int) -> PiecePower:
    """Where the power in a conductor arises.

    Examples
    --------
    A rod of copper in a coil at 1 kHz: 86 % of the power arises within about a skin depth, 2.09 mm:

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> rod, sheet = bar(0.1, 0.4), bar(0.001, 0.5).placed((0.06, 0.0))
    >>> both = tuple(Conductor(Part(k, s), MATERIALS["copper"]) for k, s in (("rod", rod), ("coil", sheet)))
    >>> flow = solve(Problem(both, (Circuit("feed", 1e3, ("coil",)),), axial=True), 1e3).fine
    >>> [round(1e3 * depth, 1) for depth in piece_power(flow, 0).depths]
    [1.0, 2.1]
    """
    d = flow.discretisation
    rows = np.flatnonzero((d.mesh.part == number) & ~(d.mesh.field_free & flow.lifted))
    places, weights = _finely(len(rows))
    density = loss_density(flow, rows, places)
    volume = d.elements.measure(rows, places) * weights
    power = (density * volume).ravel()
    where = d.elements.positions(rows, places).reshape(-1, 2)
    depth = _depths(flow, number, where)
    below, within = _thinned(depth, power, _reached(*_by_depth(depth, power), 0.999))
    every = np.flatnonzero(d.mesh.part == number)
    whole = d.elements.measure(every, places) * weights
    along, profile, axial = _along(flow, rows, where, power)
    surface, mean, largest = _surface_field(flow, number)
    total = float(power.sum())
    return PiecePower(
        total,
        float(whole.sum()),
        surface,
        float(density.max(initial=0.0)),
        (_reached(below, within, SHARES[0]), _reached(below, within, SHARES[1])),
        mean,
        largest,
        along,
        axial,
        profile,
        below,
        within,
    )


def _finely(elements: int) -> tuple[FloatArray, FloatArray]:
    """Places in the reference triangle with their weights, so dense that they tell where within an element."""
    places, weights = quadrature(DEGREE)
    n = int(np.clip(math.sqrt(ENOUGH / (len(weights) * max(1, elements))), FINE, FINEST))
    corners = lattice(n)[:, 1:] / n
    number = {(int(i), int(j)): k for k, (_, i, j) in enumerate(lattice(n))}
    upright = [(i, j) for i in range(n) for j in range(n - i)]
    small = [(number[i, j], number[i + 1, j], number[i, j + 1]) for i, j in upright]
    small += [(number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]) for i, j in upright if i + j < n - 1]
    a, b, c = (corners[[t[k] for t in small]][:, None] for k in range(3))
    fine = a + places[:, :1] * (b - a) + places[:, 1:] * (c - a)
    return fine.reshape(-1, 2), np.tile(weights / n**2, len(small))


def _depths(flow: SteadyFlow, number: int, where: FloatArray) -> FloatArray:
    """Distance of points from the surface of a conductor, (n,) [m]."""
    part = flow.problem.conductors[number].part
    sides = [Sides.of(outline) for shape in (with_breaks(part.shape),) for outline in (shape.outer, *shape.holes)]
    return np.asarray(np.min([side.distance(where) for side in sides], axis=0))


def _by_depth(depth: FloatArray, power: FloatArray) -> tuple[FloatArray, FloatArray]:
    order = np.argsort(depth)
    held = np.cumsum(power[order]) - 0.5 * power[order]
    return depth[order], held / power.sum() if len(held) and power.any() else np.ones(len(held))


def _reached(below: FloatArray, within: FloatArray, share: float) -> float:
    """Depth that holds a share of the power [m]."""
    return float(np.interp(share, within, below)) if len(below) else 0.0


def _thinned(depth: FloatArray, power: FloatArray, deepest: float) -> tuple[FloatArray, FloatArray]:
    """Depths evenly spaced down to where all but a thousandth of the power is, and the share of it above each."""
    near, total = depth <= deepest, float(power.sum())
    held = np.cumsum(_shared_out(depth[near], power[near], 0.0, deepest)) if total else np.zeros(STATIONS)
    return np.linspace(0.0, deepest, STATIONS + 1), np.concatenate((np.zeros(1), held / (total or 1.0)))


def _shared_out(place: FloatArray, power: FloatArray, low: float, high: float) -> FloatArray:
    """Powers at places in stretches of equal length from low to high: each to the two whose middles it lies between.

    Examples
    --------
    >>> found = _shared_out(np.full(3, 0.5), np.ones(3), 0.0, 1.0)
    >>> [k for k in range(STATIONS) if found[k]], float(found.sum())
    ([29, 30], 3.0)
    """
    position = np.clip((place - low) / max(high - low, 1e-300) * STATIONS - 0.5, 0.0, STATIONS - 1.0)
    first = np.minimum(position.astype(np.int64), STATIONS - 2)
    later = (position - first) * power
    found = np.bincount(first, power - later, STATIONS) + np.bincount(first + 1, later, STATIONS)
    return np.asarray(found, dtype=float)


def _along(
    flow: SteadyFlow, rows: IntArray, where: FloatArray, power: FloatArray
) -> tuple[FloatArray, FloatArray, bool]:
    """Power per length along the longer extent; elements longer than a station are cut where stations meet."""
    low, high = where.min(axis=0), where.max(axis=0)
    axial = bool((high - low)[1] >= (high - low)[0])
    k = 1 if axial else 0
    step = float(high[k] - low[k]) / STATIONS
    elements = flow.discretisation.elements
    ends = elements.positions(rows, np.eye(3)[:, 1:])[..., k]
    long = np.ptp(ends, axis=1) > step
    places = [where.reshape(len(rows), -1, 2)[~long][..., k].ravel()]
    powers = [power.reshape(len(rows), -1)[~long].ravel()]
    for row, heights in zip(rows[long], (ends[long] - low[k]) / step - 0.5, strict=True):
        cut, weights = _slices(heights)
        places.append(elements.positions(row[None], cut)[0, :, k])
        powers.append((loss_density(flow, row[None], cut) * elements.measure(row[None], cut) * weights)[0])
    found = _shared_out(np.concatenate(places), np.concatenate(powers), low[k], high[k])
    return low[k] + step * (np.arange(STATIONS) + 0.5), found / step, axial


def _slices(heights: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Places in the reference triangle (n, 2) with weights, in slices between whole heights and those of its corners.

    Examples
    --------
    >>> places, weights = _slices(np.array([0.5, 3.2, 1.0]))
    >>> len(places), round(float(weights.sum()), 12)
    (100, 0.5)
    """
    order = np.argsort(heights)
    low, middle, high = heights[order]
    corners = np.eye(3)[order][:, 1:]
    levels = np.unique(np.concatenate((heights, np.arange(math.ceil(low), math.ceil(high)))))
    height = (levels[:-1, None] + PLACES * np.diff(levels)[:, None]).ravel()
    weight = (PARTS * np.diff(levels)[:, None]).ravel()
    far = corners[0] + ((height - low) / (high - low))[:, None] * (corners[2] - corners[0])
    tip, end = np.where((height < middle)[:, None], corners[0], corners[2]), np.where(height < middle, low, high)
    near = tip + ((height - end) / (middle - end))[:, None] * (corners[1] - tip)
    places = near[:, None] + PLACES[:, None] * (far - near)[:, None]
    # of an area of a half, the width at the middle corner is 1 / (high - low)
    width = np.abs((height - end) / (middle - end)) / (high - low)
    return places.reshape(-1, 2), (weight[:, None] * width[:, None] * PARTS).ravel()


def _surface_field(flow: SteadyFlow, number: int) -> tuple[float, float, float]:
    """Area in air [m2], and mean and largest strength along it [A/m], from the field on the side of the air."""
    d = flow.discretisation
    rows, sides = _air_beside(flow, number)
    area, square, largest = 0.0, 0.0, 0.0
    step = 1e-6
    for side, (i, j) in enumerate(EDGES):
        on = rows[sides == side]
        if not len(on):
            continue
        corners = np.eye(3)[:, 1:]
        at = [corners[i] + t[:, None] * (corners[j] - corners[i]) for t in (PLACES, PLACES - step, PLACES + step)]
        ahead = d.elements.positions(on, at[2]) - d.elements.positions(on, at[1])
        size = np.hypot(*np.moveaxis(ahead, -1, 0))
        slope = d.elements.induction(flow.potential, on, at[0])
        # B is the gradient turned: its part along the side is that of the gradient across it
        across = np.stack((-ahead[..., 1], ahead[..., 0]), axis=-1) / size[..., None]
        strength = np.abs((slope * across).sum(axis=-1)) / MU0
        radius = d.elements.positions(on, at[0])[..., 0]
        share = size / (2 * step) * PARTS * 2 * np.pi * radius
        area += float(share.sum())
        square += float((share * strength**2).sum())
        largest = max(largest, float(strength.max()))
    return area, math.sqrt(square / area) if area else 0.0, largest


def _air_beside(flow: SteadyFlow, number: int) -> tuple[IntArray, IntArray]:
    """Triangles of air that share a side with a conductor, and which of their sides it is."""
    mesh = flow.discretisation.mesh
    own = np.unique(mesh.triangle_edges[mesh.part == number])
    air = np.flatnonzero(mesh.region == AIR)
    found, sides = np.nonzero(np.isin(mesh.triangle_edges[air], own))
    return air[found], sides
