"""What the stress on a conductor changes with: the field around it, and the nodes of the mesh.

The force along n is F = -(1 / 2 mu0) dK[w n](a, a), the change of twice the energy as the conductor takes its
surroundings along by w (`stress`). With p = grad a and g = grad w it is linear in

    s = (n . g) p - (n . p) g - (g . p) n        through the field:   dF = -(1 / mu0) integral s . grad da,

and as the nodes move with velocity V, w and a carried along, dF = -(1 / 2 mu0) integral T : grad V with M = p p' and

    T = ((n . g) tr M - 2 n' M g) 1 - tr M g n' - 2 (n . g) M + 2 M n g' + 2 M g n' + 2 g (M n)'.

(The second derivative of the energy over two motions; own derivation.)
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.few_places import few_places
from crosscurrent.geometries.meshing.shape_functions import gradients
from crosscurrent.solver.elements.motions import Motions
from crosscurrent.solver.elements.operators import Elements, reference_stiffness
from crosscurrent.solver.metals.depth import MU0

from .stress import Surrounding

Forming = Callable[[Elements, Motions, IntArray, FloatArray, FloatArray, FloatArray], tuple[FloatArray, FloatArray]]

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
        ((found,),) = PlaneStress.of(elements, [around], direction[None]).gradients(elements, potential[None, None])
        return found


@dataclass(frozen=True, eq=False)
class Felt:
    """Triangles in which some forces are felt, each for one of them.

    Attributes
    ----------
    which : (r,) int
        The force.
    rows : (r,) int
        The triangle.
    own : (r,) float
        Its relative reluctivity where it is metal of the conductor itself, else 0.
    fall : (r, 3) float
        w at its corners.
    direction : (r, 2) float
    """

    which: IntArray
    rows: IntArray
    own: FloatArray
    fall: FloatArray
    direction: FloatArray

    @classmethod
    def of(
        cls, elements: Elements, around: Sequence[Surrounding], rows: Sequence[IntArray], own: Sequence[FloatArray],
        direction: FloatArray,
    ) -> Felt:  # fmt: skip
        """Around conductors, along unit vectors (k, 2)."""
        which, every = np.repeat(np.arange(len(around)), [len(one) for one in rows]), np.concatenate(rows)
        fall = np.stack([one.falling for one in around])[which[:, None], elements.mesh.triangles[every]]
        return cls(which, every, np.concatenate(own), fall, direction[which])

    def on(self, elements: Elements, potential: FloatArray) -> FloatArray:
        """Potentials (fields, k, unknowns) on the triangles of each, (fields, r, n)."""
        return np.asarray(potential[:, self.which[:, None], elements.dofs[self.rows]])

    def summed(
        self, elements: Elements, potential: FloatArray, load: FloatArray, corners: FloatArray
    ) -> list[tuple[StressGradient, ...]]:
        """Every force in each field (fields, k, unknowns), from loads (..., r, n) and gains of corners (..., r, 6)."""
        mesh, (fields, each, count), inside = elements.mesh, potential.shape, np.flatnonzero(self.own)
        which = np.arange(fields)[:, None] * each + self.which
        loads = _counted(which, elements.dofs[self.rows], load, (fields * each, count))
        x, y = (_counted(which, mesh.triangles[self.rows], one, (fields * each, len(mesh.points)))
                for one in (corners[..., :3], corners[..., 3:]))  # fmt: skip
        moved, by_region = np.stack((x, y), axis=-1), np.zeros((fields * each, len(mesh.regions)))
        if len(inside):
            rows = self.rows[inside]
            held = (load[:, inside] * potential[:, self.which[inside, None], elements.dofs[rows]]).sum(axis=2)
            held /= self.own[inside]
            by_region = _counted(which[:, inside], mesh.region[rows, None], held[..., None], by_region.shape)
        every = potential.reshape(-1, count)
        found = [
            StressGradient(float(a @ one), one, two, three)
            for a, one, two, three in zip(every, loads, moved, by_region, strict=True)
        ]
        return [tuple(found[k * each : (k + 1) * each]) for k in range(fields)]


def _counted(which: IntArray, places: IntArray, values: FloatArray, shape: tuple[int, int]) -> FloatArray:
    """Sums of values (fields, r, n) by `which` (fields, r) and places (r, n)."""
    at = which[..., None] * shape[1] + places
    found = np.bincount(at.ravel(), values.ravel(), minlength=shape[0] * shape[1])
    return np.asarray(found, dtype=float).reshape(shape)


@dataclass(frozen=True, eq=False)
class PlaneStress:
    """The stress on some conductors in the plane, each along one direction.

    Attributes
    ----------
    felt : Felt
    parts : tuple
        Motions of triangles, what their gains are made by, and for which of the places: (k,) of `motions`, of `felt`.
    """

    felt: Felt
    parts: tuple[tuple[Motions, Forming, IntArray, IntArray], ...]

    @classmethod
    def of(cls, elements: Elements, around: Sequence[Surrounding], direction: FloatArray) -> PlaneStress:
        """Around conductors (k), along unit vectors (k, 2), for elements of any order that move alike."""
        near = [one.near for one in around]
        felt, parts = Felt.of(elements, around, near, [np.zeros(len(one)) for one in near], direction), []
        for motions, gains in ((elements.even, _straight), (elements.bent, _curved)):
            place = np.full(len(elements.dofs), -1)
            place[motions.rows] = np.arange(len(motions.rows))
            some = np.flatnonzero(place[felt.rows] >= 0)
            parts.append((motions, gains, place[felt.rows[some]], some))
        return cls(felt, tuple(parts))

    def gradients(self, elements: Elements, potential: FloatArray) -> list[tuple[StressGradient, ...]]:
        """At potentials (fields, k, unknowns) [Vs/m]."""
        felt = self.felt
        fall, a = felt.fall @ HAT, felt.on(elements, potential)
        load, corners = np.empty_like(a), np.empty((*a.shape[:2], 6))
        for motions, gains, on, some in self.parts:
            load[:, some], corners[:, some] = gains(
                elements, motions, on, fall[some], a[:, some], felt.direction[some]
            )
        return felt.summed(elements, potential, load, corners)


def _straight(
    elements: Elements, motions: Motions, on: IntArray, fall: FloatArray, a: FloatArray, n: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Loads (fields, t, n) and gains per motion of the corners (fields, t, 6) of some straight triangles."""
    to, count = motions.inverse[on, 0], a.shape[-1]
    g = (to @ fall[..., None])[..., 0]
    metric = (to.swapaxes(1, 2) @ _across(g, n) @ to).reshape(-1, 1, 4) * motions.measure[on][..., None]
    reference = reference_stiffness(elements.order).reshape(4, count, count).transpose(1, 0, 2).reshape(count, -1)
    seen = (a.reshape(-1, count) @ reference).reshape(*a.shape[:2], 4, count)
    load = (metric @ seen)[..., 0, :]
    by_reference = (seen @ a[..., None]).reshape(*a.shape[:2], 2, 2)
    tensor = _tensor(to @ by_reference @ to.swapaxes(1, 2), g, n)
    moved = tensor.reshape(*a.shape[:2], 1, 4) @ motions.strain[on].reshape(-1, 4, 6)
    return -load / (2 * MU0), -moved[..., 0, :] / (2 * MU0)


def _curved(
    elements: Elements, motions: Motions, on: IntArray, fall: FloatArray, a: FloatArray, n: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The same of curved triangles."""
    places, _ = few_places(motions.degree)
    to, measure, n = motions.inverse[on], motions.measure[on], n[:, None]
    flat = gradients(elements.order, places).transpose(0, 2, 1).reshape(2 * len(places), -1)
    g = (to @ fall[:, None, :, None])[..., 0]
    p = (to @ (a @ flat.T).reshape(*a.shape[:2], len(places), 2, 1))[..., 0]
    s = to.swapaxes(2, 3) @ (_across(g, n) @ p[..., None] * measure[..., None, None])
    load = s.reshape(*a.shape[:2], len(flat)) @ flat
    tensor = _tensor(p[..., :, None] * p[..., None, :], g, n)
    back = (to.swapaxes(2, 3) @ tensor.swapaxes(-1, -2) * measure[..., None, None])[..., None]
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
