"""Pieces that no circuit feeds, in an axial section: where along them and how deep below their surface power arises."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.problem import Problem

from .bisectors import below_surface, fine_rule, nearest_sides

BINS = 60  # stretches that the length of a piece is divided into
PLACES = 400_000  # that stand for the metal of a piece, about
FINEST = 24  # pieces along an element, at most
NEAR = 0.998  # of the power: the depth above which that much arises is divided into as many


@dataclass(frozen=True, eq=False)
class PieceProfile:
    """Where the power of one piece arises.

    Attributes
    ----------
    number : int
        Of the conductor.
    power : float
        All round [W], but for what a rough surface adds.
    along : "r" or "z"
        The longer way of its section: a billet's axis, a plate's radius.
    place, per_length : (n,) float
        Along that way [m]; power of a metre there, all round [W/m].
    depth, share : (m,) float
        Depth below the surface, coats included [m]; part of the power that arises above it, rising to 1.
    largest, mean : float
        Of the power density [W/m3].
    """

    number: int
    power: float
    along: Literal["r", "z"]
    place: FloatArray
    per_length: FloatArray
    depth: FloatArray
    share: FloatArray
    largest: float
    mean: float

    def depth_of(self, share: float) -> float:
        """Depth above which a share of the power arises [m].

        In a flat conductor thick beside its skin depth half a skin depth holds 63.2 % of it, a whole one 86.5 %.
        """
        return float(np.interp(share, self.share, self.depth))


def pieces(problem: Problem) -> list[int]:
    """Numbers of the conductors of an axial section that stand in no circuit."""
    fed = {name for circuit in problem.circuits for name in circuit.members}
    return [k for k, c in enumerate(problem.conductors) if problem.axial and c.name not in fed]


def piece_profile(flow: SteadyFlow, number: int) -> PieceProfile:
    """Of the conductor of a number."""
    d, part = flow.discretisation, flow.problem.section.parts[number]
    among = np.flatnonzero((d.mesh.part[d.elements.metal] == number) & (flow.active > 0))
    rows = d.elements.metal[among]
    places, weights = fine_rule(int(np.clip(np.sqrt(PLACES / (3 * max(1, len(rows)))), 2, FINEST)))
    density = loss_density(flow, rows, places)
    volume = d.elements.measure(rows, places) * weights
    power, where = (density * volume).ravel(), d.elements.positions(rows, places).reshape(-1, 2)
    side, distance = nearest_sides(part.all_outlines, where)
    every_side = np.arange(int(sum(len(o.points) for o in part.all_outlines)))
    depth = below_surface(d, part, every_side, np.repeat(among, len(weights)), side, distance)
    (left, low), (right, high) = part.bounds
    along: Literal["r", "z"] = "z" if high - low >= right - max(left, 0.0) else "r"
    way = 1 if along == "z" else 0
    ends = (low, high) if way else (max(left, 0.0), right)
    middle, per_length = _binned(where[:, way], power, *map(float, ends))
    reach, share = _risen(depth, power)
    total = float(power.sum())
    return PieceProfile(
        number, total, along, middle, per_length, reach, share, float(density.max(initial=0.0)),
        total / float(volume.sum()) if len(rows) else 0.0,
    )  # fmt: skip


def _binned(place: FloatArray, power: FloatArray, low: float, high: float) -> tuple[FloatArray, FloatArray]:
    """Middles of stretches from low to high and the power of each over its length; half of a place's in the next one.

    Examples
    --------
    >>> middle, per_length = _binned(np.full(4, 0.5), np.ones(4), 0.0, 1.0)
    >>> float((per_length / BINS).sum()), len(middle) == BINS
    (4.0, True)
    """
    step = (high - low) / BINS
    position = np.clip((place - low) / step - 0.5, 0.0, BINS - 1.0)
    first: IntArray = np.minimum(position.astype(np.int64), BINS - 2)
    part = position - first
    total = np.bincount(first, (1 - part) * power, BINS) + np.bincount(first + 1, part * power, BINS)
    return np.asarray(low + step * (np.arange(BINS) + 0.5), dtype=float), np.asarray(total / step)


def _risen(depth: FloatArray, power: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Depths and the share of the power above them."""
    order = np.argsort(depth)
    risen = np.cumsum(power[order])
    if not len(risen) or risen[-1] <= 0:
        return np.zeros(2), np.array([0.0, 1.0])
    near = float(depth[order][np.searchsorted(risen, NEAR * risen[-1])])
    middle, per_length = _binned(depth, np.where(depth <= near, power, 0.0), 0.0, near)
    step = float(middle[1] - middle[0])
    share = np.cumsum(per_length) * (step / float(risen[-1]))
    ends = np.concatenate((np.zeros(1), middle + 0.5 * step, depth[order[-1:]]))
    return np.asarray(ends), np.asarray(np.concatenate((np.zeros(1), share, np.ones(1))), dtype=float)
