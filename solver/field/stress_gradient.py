"""What the stress on a conductor changes with: the field around it, and the nodes of the mesh.

The force along n is F = -(1 / 2 mu0) dK[w n](a, a), the change of twice the energy as the conductor takes its
surroundings along by w (`stress`). With p = grad a and g = grad w it is linear in

    s = (n . g) p - (n . p) g - (g . p) n        through the field:   dF = -(1 / mu0) integral s . grad da,

and as the nodes move with velocity V, w and a carried along, dF = -(1 / 2 mu0) integral T : grad V with M = p p' and

    T = ((n . g) tr M - 2 n' M g) 1 - tr M g n' - 2 (n . g) M + 2 M n g' + 2 M g n' + 2 g (M n)'.

(The second derivative of the energy over two motions; own derivation.)

Round an axis all of it carries the weight W = 1 / (2 pi r), which moves too, and away from the axis the stress round it
adds: with h = nu w n_r / r, F = -(1 / 2 mu0) integral W ((n . g) p.p - 2 (n . p)(g . p) - h p.p), over the conductor
too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature
from crosscurrent.solver.elements.motions import CORNERS, Motions, outward
from crosscurrent.solver.elements.operators import Elements, reference_stiffness
from crosscurrent.solver.elements.weighted import functions
from crosscurrent.solver.metals.depth import MU0

from .stress import ROUND, Surrounding

AT_ONCE = 128  # triangles of a half plane
HAT = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])  # gradients of the functions of the corners


@dataclass(frozen=True, eq=False)
class StressGradient:
    """The force on a conductor along one direction, at one real field around it, and what it changes with.

    Attributes
    ----------
    force : float
        [N/m]
    load : (unknowns,) float
        Half of what it gains per potential at every unknown [N/m per Vs/m].
    at_nodes : (points, 2) float
        What it gains per motion of every node of the mesh [N/m per m].
    at_regions : (regions,) float
        What it gains per relative reluctivity of every region, by the stress round an axis in the metal itself [N].
    """

    force: float
    load: FloatArray
    at_nodes: FloatArray
    at_regions: FloatArray

    @classmethod
    def of(
        cls, elements: Elements, around: Surrounding, potential: FloatArray, direction: FloatArray
    ) -> StressGradient:
        """Of a potential (unknowns,) [Vs/m] along a unit vector (2,)."""
        (found,) = cls.of_all(elements, [around], potential[None], direction[None])
        return found

    @classmethod
    def of_all(
        cls, elements: Elements, around: Sequence[Surrounding], potential: FloatArray, direction: FloatArray
    ) -> tuple[StressGradient, ...]:
        """Of potentials (k, unknowns) [Vs/m] along unit vectors (k, 2), each around a conductor of its own."""
        which = np.repeat(np.arange(len(around)), [len(one.near) for one in around])
        rows = np.concatenate([one.near for one in around])
        triangles = elements.mesh.triangles[rows]
        fall = np.stack([one.falling for one in around])[which[:, None], triangles] @ HAT
        a, n = potential[which[:, None], elements.dofs[rows]], direction[which]
        load, corners = np.empty_like(a), np.empty((len(rows), 6))
        for motions, gains in ((elements.even, _straight), (elements.bent, _curved)):
            place = np.full(len(elements.dofs), -1)
            place[motions.rows] = np.arange(len(motions.rows))
            some = np.flatnonzero(place[rows] >= 0)
            load[some], corners[some] = gains(elements, motions, place[rows[some]], fall[some], a[some], n[some])
        count, points = elements.count, len(elements.mesh.points)
        at = which[:, None] * count + elements.dofs[rows]
        loads = np.bincount(at.ravel(), load.ravel(), minlength=len(around) * count).reshape(-1, count)
        at = which[:, None] * points + triangles
        x, y = (np.bincount(at.ravel(), one.ravel(), minlength=len(around) * points) for one in np.split(corners, 2, 1))
        moved, none = np.stack((x, y), axis=-1).reshape(-1, points, 2), np.zeros(len(elements.mesh.regions))
        return tuple(
            cls(float(a @ one), np.asarray(one, dtype=float), np.asarray(two, dtype=float), none)
            for a, one, two in zip(potential, loads, moved, strict=True)
        )

    @classmethod
    def round_an_axis(
        cls, elements: Elements, around: Surrounding, potential: FloatArray, direction: FloatArray, stiff: FloatArray
    ) -> StressGradient:
        """In the half plane, with the relative reluctivity of what counts of the conductor (t,), 0 elsewhere."""
        rows = np.concatenate((around.near, np.flatnonzero(stiff))) if direction[0] else around.near
        ring = direction[0] * np.where(stiff > 0, stiff, 1.0)
        bent = np.isin(rows, elements.mesh.curved)
        load, nodes = np.zeros(elements.count), np.zeros((len(elements.mesh.points), 2))
        regions = np.zeros(len(elements.mesh.regions))
        for some in (rows[~bent], rows[bent]):
            for first in range(0, len(some), AT_ONCE):
                on = some[first : first + AT_ONCE]
                loads, corners = _weighted(elements, on, around.falling, potential, direction, ring[on])
                load += np.bincount(elements.dofs[on].ravel(), loads.ravel(), minlength=len(load))
                inside = stiff[on] > 0
                held = (loads * potential[elements.dofs[on]]).sum(axis=1)[inside] / stiff[on[inside]]
                regions += np.bincount(elements.mesh.region[on[inside]], held, minlength=len(regions))
                at = elements.mesh.triangles[on].ravel()
                for k, one in enumerate(np.split(corners, 2, axis=1)):
                    nodes[:, k] += np.bincount(at, one.ravel(), minlength=len(nodes))
        return cls(float(potential @ load), load, nodes, regions)


def _weighted(
    elements: Elements, on: IntArray, falling: FloatArray, potential: FloatArray, n: FloatArray, ring: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Loads (t, n) and gains per motion of the corners (t, 6) of triangles of a half plane, of one kind."""
    places, weights = quadrature(2 * elements.order + ROUND)
    motions, corner = Motions.at(elements, on, places), falling[elements.mesh.triangles[on]]
    _, slope, measure = functions(elements, on, places, weights)
    flat = slope.reshape(len(on), -1, slope.shape[-1])
    p = (flat @ potential[elements.dofs[on]][..., None]).reshape(len(on), len(places), 2)
    g = (motions.inverse @ (corner @ HAT)[:, None, :, None])[..., 0]
    radius = elements.positions(on, places)[..., 0]
    held = (corner @ np.column_stack((1 - places.sum(axis=1), places)).T * ring[:, None] / radius)[..., None]
    s = (_across(g, n) @ p[..., None])[..., 0] - held * p
    load = ((s * measure[..., None]).reshape(len(on), 1, -1) @ flat)[:, 0]
    both, square = p[..., :, None] * p[..., None, :], (p * p).sum(axis=-1)
    tensor = _tensor(both, g, n) - held[..., None] * (square[..., None, None] * np.eye(2) - 2 * both)
    back = (motions.inverse.swapaxes(2, 3) @ tensor.swapaxes(2, 3) * measure[..., None, None])[..., None]
    moved = np.asarray(motions.gained(back), dtype=float)[..., 0]
    widened = (held[..., 0] * square - (s * p).sum(axis=-1)) * measure / radius
    moved += (widened[..., None] * outward(elements, on, places, CORNERS)).sum(axis=1)
    return -load / (2 * MU0), -moved / (2 * MU0)


def _straight(
    elements: Elements, motions: Motions, on: IntArray, fall: FloatArray, a: FloatArray, n: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Loads (t, n) and gains per motion of the corners (t, 6) of some straight triangles."""
    to, count = motions.inverse[on, 0], a.shape[1]
    g = (to @ fall[..., None])[..., 0]
    metric = (to.swapaxes(1, 2) @ _across(g, n) @ to).reshape(-1, 1, 4) * motions.measure[on][..., None]
    seen = (a @ reference_stiffness(elements.order).reshape(4, count, count)).swapaxes(0, 1)
    load = (metric @ seen)[:, 0]
    by_reference = (seen @ a[..., None]).reshape(-1, 2, 2)
    tensor = _tensor(to @ by_reference @ to.swapaxes(1, 2), g, n)
    moved = tensor.reshape(-1, 1, 4) @ motions.strain[on].reshape(-1, 4, 6)
    return -load / (2 * MU0), -moved[:, 0] / (2 * MU0)


def _curved(
    elements: Elements, motions: Motions, on: IntArray, fall: FloatArray, a: FloatArray, n: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The same of curved triangles."""
    places, _ = quadrature(motions.degree)
    to, measure, n = motions.inverse[on], motions.measure[on], n[:, None]
    flat = gradients(elements.order, places).transpose(0, 2, 1).reshape(2 * len(places), -1)
    g = (to @ fall[:, None, :, None])[..., 0]
    p = (to @ (a @ flat.T).reshape(*measure.shape, 2, 1))[..., 0]
    s = to.swapaxes(2, 3) @ (_across(g, n) @ p[..., None] * measure[..., None, None])
    load = s.reshape(len(on), len(flat)) @ flat
    tensor = _tensor(p[..., :, None] * p[..., None, :], g, n)
    back = (to.swapaxes(2, 3) @ tensor.swapaxes(2, 3) * measure[..., None, None])[..., None]
    moved = np.asarray(motions.on(on).gained(back), dtype=float)
    return -load / (2 * MU0), -moved[..., 0] / (2 * MU0)


def _across(g: FloatArray, n: FloatArray) -> FloatArray:
    """s over p, (..., 2, 2)."""
    both = g[..., :, None] * n[..., None, :]
    return np.asarray((g * n).sum(axis=-1)[..., None, None] * np.eye(2) - both - both.swapaxes(-1, -2))


def _tensor(m: FloatArray, g: FloatArray, n: FloatArray) -> FloatArray:
    """T of p p', (..., 2, 2)."""
    trace, along = np.trace(m, axis1=-2, axis2=-1)[..., None, None], (g * n).sum(axis=-1)[..., None, None]
    m_n, m_g = (m @ n[..., None])[..., 0], (m @ g[..., None])[..., 0]
    of_n, of_g = m_n[..., :, None] * g[..., None, :], m_g[..., :, None] * n[..., None, :]
    return np.asarray(
        (along * trace - 2 * (m_g * n).sum(axis=-1)[..., None, None]) * np.eye(2)
        - trace * g[..., :, None] * n[..., None, :] - 2 * along * m
        + 2 * (of_n + of_g + of_n.swapaxes(-1, -2))
    )  # fmt: skip
