"""What the stress on a conductor changes with: the field around it, and the nodes of the mesh.

The force along n is F = -(1 / 2 mu0) dK[w n](a, a), the change of twice the energy as the conductor takes its
surroundings along by w (`stress`). With p = grad a and g = grad w it is linear in

    s = (n . g) p - (n . p) g - (g . p) n        through the field:   dF = -(1 / mu0) integral s . grad da,

and as the nodes move with velocity V, w and a carried along, dF = -(1 / 2 mu0) integral T : grad V with M = p p' and

    T = ((n . g) tr M - 2 n' M g) 1 - tr M g n' - 2 (n . g) M + 2 M n g' + 2 M g n' + 2 g (M n)'.

(The second derivative of the energy over two motions; own derivation.) With a = n_x g_x, b = n_y g_y, c = n_x g_y and
d = n_y g_x, s = ((b - a) p_x - (c + d) p_y, (a - b) p_y - (c + d) p_x), and T by components of the motion first:

    T_xx = (2 a - b) M_xx + 2 d M_xy - b M_yy,    T_xy = (2 c + d) M_xx + 2 b M_xy + d M_yy,

T_yy and T_yx with x and y exchanged.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

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
    to, measure, count = motions.inverse[on, 0], motions.measure[on], a.shape[-1]
    (b, c), (d, e) = ((to[:, i, 0], to[:, i, 1]) for i in range(2))
    around = Around.of(to, fall, n)
    seen = (a.reshape(-1, count) @ _reference(elements.order)).reshape(*a.shape[:2], 3, count)
    one, mixed, other = np.moveaxis((seen @ a[..., None])[..., 0], -1, 0)
    xx, xy = around.first, around.mixed
    across = np.stack((
        (b * b - d * d) * xx + 2 * b * d * xy, (b * c - d * e) * xx + (b * e + c * d) * xy,
        (c * c - e * e) * xx + 2 * c * e * xy,
    ), axis=-1)  # fmt: skip
    load = ((across * measure)[:, None] @ seen)[..., 0, :]
    tensor = around.tensor(
        b * b * one + b * c * mixed + c * c * other, b * d * one + (b * e + c * d) / 2 * mixed + c * e * other,
        d * d * one + d * e * mixed + e * e * other,
    )  # fmt: skip
    moved = _back(to, tensor, measure[:, 0]) @ HAT.T
    return -load / (2 * MU0), -moved.reshape(*a.shape[:2], 6) / (2 * MU0)


def _curved(
    elements: Elements, motions: Motions, on: IntArray, fall: FloatArray, a: FloatArray, n: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The same of curved triangles."""
    places, _ = few_places(motions.degree)
    own = motions.on(on)
    to, measure = own.inverse, own.measure
    (b, c), (d, e) = ((to[..., i, 0], to[..., i, 1]) for i in range(2))
    around = Around.of(to, fall[:, None], n[:, None])
    flat = gradients(elements.order, places).transpose(2, 0, 1).reshape(2 * len(places), -1)
    first, second = np.split(a @ flat.T, 2, axis=-1)
    px, py = b * first + c * second, d * first + e * second
    sx, sy = measure * (around.first * px + around.mixed * py), measure * (around.mixed * px - around.first * py)
    load = np.concatenate((b * sx + d * sy, c * sx + e * sy), axis=-1) @ flat
    back = _back(to, around.tensor(px * px, px * py, py * py), measure)
    moved = np.asarray(own.gained(back.swapaxes(-1, -2)[..., None]), dtype=float)
    return -load / (2 * MU0), -moved[..., 0] / (2 * MU0)


@lru_cache(maxsize=16)
def _reference(order: int) -> FloatArray:
    """From values to products with slopes of both along the first side, mixed, and along the second, (n, 3 n)."""
    (one, mixed), (turned, other) = reference_stiffness(order)
    return np.concatenate((one, mixed + turned, other), axis=1)


@dataclass(frozen=True, eq=False)
class Around:
    """Products of the direction, first, and g by components, which go apart several times as fast as pairs.

    Attributes
    ----------
    xx, yy, xy, yx : (...) float
    """

    xx: FloatArray
    yy: FloatArray
    xy: FloatArray
    yx: FloatArray

    @classmethod
    def of(cls, to: FloatArray, fall: FloatArray, direction: FloatArray) -> Around:
        """From slopes of the reference coordinates (..., 2, 2), the reference slopes of w, and n, both (..., 2)."""
        x, y = (to[..., i, 0] * fall[..., 0] + to[..., i, 1] * fall[..., 1] for i in range(2))
        along_x, along_y = direction[..., 0], direction[..., 1]
        return cls(along_x * x, along_y * y, along_x * y, along_y * x)

    @property
    def first(self) -> FloatArray:
        """What s along x is over p along x; along y it is the opposite."""
        return np.asarray(self.yy - self.xx)

    @property
    def mixed(self) -> FloatArray:
        """What s along x is over p along y, and along y over p along x."""
        return np.asarray(-self.xy - self.yx)

    def tensor(self, xx: FloatArray, xy: FloatArray, yy: FloatArray) -> tuple[FloatArray, ...]:
        """T of M by its components: xx, xy, yx, yy, those of the motion first."""
        a, b, c, d = self.xx, self.yy, self.xy, self.yx
        return (
            (2 * a - b) * xx + (2 * d) * xy - b * yy, (2 * c + d) * xx + (2 * b) * xy + d * yy,
            c * xx + (2 * a) * xy + (c + 2 * d) * yy, (2 * c) * xy - a * xx + (2 * b - a) * yy,
        )  # fmt: skip


def _back(to: FloatArray, tensor: Sequence[FloatArray], measure: FloatArray) -> FloatArray:
    """What dV_d over every reference coordinate r gains, (..., d, r)."""
    (xx, xy, yx, yy), (b, c), (d, e) = tensor, *((measure * to[..., i, 0], measure * to[..., i, 1]) for i in range(2))
    found = np.stack((b * xx + d * xy, c * xx + e * xy, b * yx + d * yy, c * yx + e * yy), axis=-1)
    return found.reshape(*xx.shape, 2, 2)
