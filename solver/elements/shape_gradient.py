"""How integrals of fields over a section change as the nodes of its mesh move, the fields carried along.

With a velocity V of the mesh and fields that keep their values at every node,

    d integral (s e f + n grad a . grad b)  =  integral  S : grad V,
    S = (s e f + n grad a . grad b) 1 - n (grad a x grad b + grad b x grad a).

S has no divergence where the fields solve their equations: the inside may move as it likes (`following`). This form in
the volume is as accurate as the integrals themselves, also at corners where permeability jumps; that on the walls is
not (R. Hiptmair, A. Paganini, S. Sargheini, BIT 55, 459-485, 2015, from memory).

In the half plane r, z all of it carries the weight W = 1 / (2 pi r), and the motion away from the axis changes that
too: S : grad V loses (s e f + n grad a . grad b) V_r / r. Beside the axis fields are carried along as they are, r^2
included, which differs from what the functions there would do by products of two errors.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from . import weighted
from .condensed import summed
from .factor import Numbers
from .half_plane import Weight
from .motions import CORNERS, Motions, Strains, outward
from .operators import Elements, reference_mass, reference_stiffness

BLOCK = 1 << 16  # numbers of fields that are held at once


@dataclass(frozen=True, eq=False)
class LocalFields:
    """Fields by the unknowns of every triangle, or of some.

    Attributes
    ----------
    electric : (t, n, k) complex
        e, 0 outside the metal.
    potential : (t, n, k) complex
        a, but for a constant in every triangle.
    """

    electric: ComplexArray
    potential: ComplexArray


@dataclass(frozen=True, eq=False)
class Weights:
    """s and n of every triangle, (t, k), or (t, 1) for all fields alike."""

    mass: Numbers
    stiffness: Numbers


@dataclass(frozen=True, eq=False)
class Gains:
    """What every unknown of some triangles gains with motions.

    Attributes
    ----------
    rows : (t,) int
        The triangles.
    electric, potential : (t, m, n) complex
        What e and a of the other field are to be multiplied with; the first is 0 outside the metal.
    """

    rows: IntArray
    electric: ComplexArray
    potential: ComplexArray


def gains(elements: Elements, given: LocalFields, weights: Weights, nodes: FloatArray) -> Iterator[Gains]:
    """What the integral of a given field, (t, n, 1), with any other gains as nodes move, (points, 2, m).

    Some triangles after others.
    """
    moved = np.asarray(nodes[:, 0] + 1j * nodes[:, 1])
    if moved.shape[1] <= len(CORNERS[0, 0]):
        yield from _gains(elements, given, weights, lambda rows: moved[elements.mesh.triangles[rows]])
        return
    for one in _gains(elements, given, weights, lambda rows: CORNERS):
        at = moved[elements.mesh.triangles[one.rows]]
        corners = np.concatenate((at.real, at.imag), axis=1).swapaxes(1, 2)
        yield Gains(one.rows, times(corners, one.electric), times(corners, one.potential))


def _gains(
    elements: Elements, given: LocalFields, weights: Weights, corners: Callable[[IntArray], ComplexArray]
) -> Iterator[Gains]:
    """Of motions of the corners of triangles."""
    if elements.weight is Weight.PLANE:
        for motions, form in ((elements.even, _straight), (elements.bent, _curved)):
            for some in blocks(len(motions.rows), elements, len(CORNERS[0, 0])):
                own = motions.on(some)
                yield form(elements, own, own.strains(corners(own.rows)), given, weights)
        return
    for degree, rows in weighted.alike(elements):
        yield _weighted(elements, rows, degree, corners(rows), given, weights)


def node_gradient(elements: Elements, fields: LocalFields, other: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k).

    Of every field with one other, (t, n, 1).
    """
    count = fields.potential.shape[-1]
    corners = np.empty((len(elements.dofs), 3, 2, count), dtype=complex)
    for one in _gains(elements, other, weights, lambda rows: CORNERS):
        rows = one.rows
        by = one.potential @ fields.potential[rows] + one.electric @ fields.electric[rows]
        corners[rows] = by.reshape(-1, 2, 3, count).swapaxes(1, 2)
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def blocks(triangles: int, elements: Elements, count: int) -> Iterator[slice]:
    """Some triangles after others, whose fields stay near the processor."""
    step = max(BLOCK // (elements.dofs.shape[1] * count), 1)
    yield from (slice(first, first + step) for first in range(0, triangles, step))


def _straight(
    elements: Elements, motions: Motions, strains: Strains, given: LocalFields, weights: Weights
) -> Gains:
    """Of straight triangles, which stretch evenly."""
    rows, stiffness, mass = motions.rows, reference_stiffness(elements.order), reference_mass(elements.order)
    along = _at(stiffness.reshape(-1, len(mass)), given.potential[rows]).reshape(len(rows), 4, -1)
    one, mixed, other = (by[:, 0] for by in strains.across(motions.inverse))
    potential = times(np.stack((one, mixed, mixed, other), axis=2), along) * weights.stiffness[rows][..., None]
    growth = strains.growth.swapaxes(1, 2) * weights.mass[rows][..., None]
    return Gains(rows, growth * _at(mass, given.electric[rows]).swapaxes(1, 2), potential)


def _curved(
    elements: Elements, motions: Motions, strains: Strains, given: LocalFields, weights: Weights
) -> Gains:
    """Of curved triangles."""
    places, _ = quadrature(motions.degree)
    rise, at, rows = gradients(elements.order, places), values(elements.order, places), motions.rows
    flat = rise.transpose(2, 0, 1).reshape(2 * len(places), -1)
    first, second = np.split(_at(flat, given.potential[rows]) * weights.stiffness[rows][..., None], 2, axis=1)
    one, mixed, other = strains.across(motions.inverse)
    moved = np.concatenate((one * first + mixed * second, mixed * first + other * second), axis=1)
    growth = strains.growth * (_at(at, given.electric[rows]) * weights.mass[rows][..., None])
    return Gains(rows, _at(at.T, growth).swapaxes(1, 2), _at(flat.T, moved).swapaxes(1, 2))


def _weighted(
    elements: Elements, rows: IntArray, degree: int, corners: ComplexArray, given: LocalFields, weights: Weights
) -> Gains:
    """Of triangles of a half plane, all straight or all curved."""
    places, measure = quadrature(degree)
    strains = Motions.at(elements, rows, places).strains(corners)
    value, slope, measure = weighted.functions(elements, rows, places, measure)
    n, s = (w[rows][:, None] * measure[..., None] for w in (weights.stiffness, weights.mass))
    flat = slope.reshape(len(rows), -1, slope.shape[-1])
    rise = times(flat, given.potential[rows]).reshape(len(rows), len(places), 2) * n
    x, y = rise[..., :1], rise[..., 1:]
    widened = outward(elements, rows, places, corners) / elements.positions(rows, places)[..., :1]
    across = np.stack((-(strains.stretch + widened) * x - strains.shear * y,
                       (strains.stretch - widened) * y - strains.shear * x), axis=2)  # fmt: skip
    potential = times(flat.swapaxes(1, 2), across.reshape(len(rows), flat.shape[1], -1))
    metal = np.flatnonzero(elements.mesh.region[rows] != AIR)
    value, electric = value[metal], np.zeros((len(rows), value.shape[2], across.shape[3]), dtype=complex)
    density = (strains.growth - widened)[metal] * (s[metal] * times(value, given.electric[rows[metal]]))
    electric[metal] = times(value.swapaxes(1, 2), density)
    return Gains(rows, electric.swapaxes(1, 2), potential.swapaxes(1, 2))


def times(real: FloatArray, other: ComplexArray) -> ComplexArray:
    """Products of matrices of every triangle."""
    return np.asarray((real @ np.ascontiguousarray(other).view(float)).view(complex))


def _at(functions: FloatArray, field: ComplexArray) -> ComplexArray:
    """Sums of functions (q, n) times fields (t, n, k), (t, q, k): real and imaginary part in one product of reals."""
    return np.asarray((functions @ np.ascontiguousarray(field).view(float)).view(complex))
