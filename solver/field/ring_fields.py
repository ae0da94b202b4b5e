"""What rings that share unevenly do to the current and the field within their bundle, on average over its strands."""

from __future__ import annotations

import math

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_rings import ring_counts
from crosscurrent.solver.metals.strands import Rings, Strands

from .flow import Flow, SteadyFlow


def ring_shares(flow: Flow, rows: IntArray, where: FloatArray) -> ComplexArray:
    """Current density at places (e, p, 2) [m] in elements over that of an even current, (e, p); 1 but in rings."""
    found = np.ones(where.shape[:2], dtype=complex)
    for number, rings, strands in _ringed(flow):
        own = flow.discretisation.mesh.part[rows] == number
        if own.any():
            *_, ring = _placed(flow, number, strands, where[own])
            found[own] = np.array(rings.shares)[ring]
    return found


def ring_gradients(flow: SteadyFlow, rows: IntArray, where: FloatArray) -> ComplexArray:
    """What uneven rings add to grad A at places (e, p, 2) [m] in elements, (e, p, 2) [T]; 0 but in rings."""
    found = np.zeros(where.shape, dtype=complex)
    for number, rings, strands in _ringed(flow):
        own = flow.discretisation.mesh.part[rows] == number
        medium = flow.discretisation.strands[number]
        if medium is not None and own.any():
            away, inside, ring = _placed(flow, number, strands, where[own])
            ends = _within(strands)
            shares = np.array(rings.shares)
            before = np.concatenate(([0.0], np.cumsum(shares * np.diff(ends))))
            lacking = before[ring] + shares[ring] * (inside - ends[ring]) - inside
            square = np.maximum((away**2).sum(axis=-1), np.finfo(float).tiny)
            field = medium.permeability * MU0 * flow.currents[number] * lacking / (2 * math.pi * square)
            found[own] = -field[..., None] * away
    return found


def uneven_loss(flow: SteadyFlow, number: int) -> float:
    """What the density of loss with its rings has more than with an even current, integrated [W/m].

    Foreign fields have no part in it: their products with that of the rings average out round the bundle.
    """
    medium, strands = flow.discretisation.strands[number], flow.problem.conductors[number].strands
    if medium is None or medium.rings is None or strands is None:
        return 0.0
    ends = _within(strands)
    shares, width = np.array(medium.rings.shares), np.diff(ends)
    first = np.concatenate(([0.0], np.cumsum(shares * width)[:-1])) - shares * ends[:-1]
    # of |first + share n|^2 / n over the rings, n the part of the area within
    logs = np.log(ends[1:] / np.where(ends[:-1] > 0, ends[:-1], ends[1:]))
    crossed = 2 * (first * shares.conj()).real * width
    squares = np.abs(first) ** 2 * logs + crossed + np.abs(shares) ** 2 * np.diff(ends**2) / 2
    eddies = -2 * math.pi * flow.frequency * MU0 * medium.permeability.imag / (4 * math.pi)
    eddies *= float(flow.problem.lengths[number])
    eddies *= float(flow.problem.lengths[number])
    carried = (medium.impedance - medium.rings.excess).real * (np.abs(shares) ** 2 @ width - 1)
    return float(abs(flow.currents[number]) ** 2 * (carried + eddies * (squares.sum() - 0.5)))


def _ringed(flow: Flow) -> list[tuple[int, Rings, Strands]]:
    pairs = zip(flow.discretisation.strands, flow.problem.conductors, strict=True)
    return [
        (k, medium.rings, c.strands)
        for k, (medium, c) in enumerate(pairs)
        if medium is not None and medium.rings is not None and c.strands is not None
    ]


def _within(strands: Strands) -> FloatArray:
    """Part of the strands within the inner edge of every ring, and within the outermost one, (rings + 1,)."""
    count = strands.levels[0] if strands.levels else strands.count
    return np.concatenate(([0.0], np.cumsum(ring_counts(count)) / count))


def _placed(
    flow: Flow, number: int, strands: Strands, where: FloatArray
) -> tuple[FloatArray, FloatArray, IntArray]:
    """From the middle [m], the part of the area within, and the number of the ring of places."""
    low, high = flow.problem.conductors[number].part.bounds
    away = where - (low + high) / 2
    inside = np.minimum((away**2).sum(axis=-1) / ((high - low).max() / 2) ** 2, 1.0)
    ends = _within(strands)
    return away, inside, np.minimum(np.searchsorted(ends[1:], inside), len(ends) - 2)
