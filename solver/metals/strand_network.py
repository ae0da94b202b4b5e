"""Straight strands as a network: what the places at which they lie, those that stand out above all, make of sharing.

Each strand is a line current of its own in the field of all others, to which it answers with a dipole, and with a
quadrupole to what the field changes across it:

    E = (z + j w mu0 / 2 pi (D + F' (t^-1 + C)^-1 F + r^4 s S' S / 2)) I,    D_ij = -ln |z_i - z_j|,

with the fields F_ij = 1 / (z_i - z_j) as plane vectors, the coupling C of dipoles, the changes S_ij = 1 / (z_i - z_j)^2
and t the answer of a strand, that of the medium over the filling. D, F, C and S are those of the places alone: once for
each count the currents there can be are brought down to a few patterns, by Lanczos steps from an even current and then
by what a sample of frequencies makes of them. What is left is small, dense and exact in frequency.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np
from scipy import fft

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .depth import MU0
from .one_strand import Numbers, ratios
from .strand_layout import BASES, Layout, cell_area, reach, strand_places

LARGEST = {"hexagonal": 10_000, "square": 10_000, "rings": 600}  # so many are followed: rings have no Fourier sums
STEPS, DIPOLES = 40, 8  # of Lanczos; patterns whose dipoles make one more: to 1e-4 of R at 10,000 strands
RADII, FILLS = np.geomspace(0.05, 8.0, 14), (0.25, 0.85)  # of the sample, in skins; copper over area
KEPT = 1e-5  # of the largest pattern of the sample
ENDED = 1e-12  # part of an image that is rounding
SOME = 2**18  # entries of systems that are solved at once

_Map = Callable[[Numbers], Numbers]  # of columns, (count, k)
Kernel = Literal["D", "F", "F*", "S", "S*"]
Sum = tuple[tuple[float, Kernel, int], ...]  # factors of kernels, each applied to a row


@dataclass(frozen=True)
class Maps:
    """D, F and S of columns (count, k).

    Attributes
    ----------
    together : callable
        Rows (k, count) and m sums of kernels applied to them, (m, count): each row is transformed once.
    """

    distances: _Map
    field: _Map
    change: _Map
    together: Callable[[ComplexArray, tuple[Sum, ...]], ComplexArray]


@dataclass(frozen=True, eq=False)
class Network:
    """Straight strands at their places, by patterns of their currents; lengths over the radius of their outline.

    Attributes
    ----------
    count : int
    even : (p,) float
        Sum of the currents of every pattern.
    distances, strain : (p, p) float
        D without the diagonal, and S' S.
    poles, fields : (k,) and (k, p) float
        Eigenvalues of C, and F in its eigenvectors.
    """

    count: int
    even: FloatArray
    distances: FloatArray
    strain: FloatArray
    poles: FloatArray
    fields: FloatArray

    def impedance(
        self, own: ComplexArray, answer: ComplexArray, strained: ComplexArray, turning: ComplexArray, fill: float
    ) -> ComplexArray:
        """Of all strands in parallel, less the flux beyond their outline, (m,) [ohm/m].

        Parameters
        ----------
        own : (m,) complex
            Impedance of a strand from its surface inwards [ohm/m].
        answer : (m,) complex
            (mu - 1) / (mu + 1) of the medium.
        strained : (m,) complex
            What a strand answers to a field that changes across it.
        turning : (m,) complex
            j w mu0 [ohm/m].
        fill : float
            Copper over area.

        Notes
        -----
        Against multipoles of all strands, 19 to 127, hexagonal, square and in rings: R within 0.01 % up to a radius of
        0.8 skin depths, 0.15 % up to 1.4.
        """
        found = np.empty(len(own), dtype=complex)
        step = max(1, SOME // max(self.fields.size, 1))
        for some in (slice(k, k + step) for k in range(0, len(own), step)):
            system = self._system(own[some], answer[some], strained[some], turning[some], fill)
            driven = np.linalg.solve(system, np.broadcast_to(self.even[:, None], (len(system), len(self.even), 1)))
            found[some] = 1 / (driven[..., 0] @ self.even)
        return found

    def _system(
        self, own: ComplexArray, answer: ComplexArray, strained: ComplexArray, turning: ComplexArray, fill: float
    ) -> ComplexArray:
        unit = fill / self.count
        dipole = answer[:, None] / self.count
        weight = dipole / (1 + dipole * self.poles)
        products = (self.fields[:, :, None] * self.fields[:, None]).reshape(len(self.poles), -1)
        system = (weight.real @ products + 1j * (weight.imag @ products)).reshape(-1, *self.distances.shape)
        system += self.distances + 0.5 * unit**2 * strained[:, None, None] * self.strain
        system *= turning[:, None, None] / (2 * math.pi)
        same = np.arange(len(self.even))
        system[:, same, same] += (own - turning / (4 * math.pi) * math.log(unit))[:, None]
        return np.asarray(system)

    def resting(self, fill: float) -> float:
        """Flux beyond the outline per ampere of an even current, over mu0."""
        even = self.even / self.count
        return float(even @ self.distances @ even - 0.5 * math.log(fill / self.count) / self.count) / (2 * math.pi)

    def _alike(self, patterns: FloatArray) -> Network:
        """By sums (p, q) of its patterns."""
        distances, strain = (patterns.T @ m @ patterns for m in (self.distances, self.strain))
        fields, own = self.fields @ patterns, self.poles[:, None]
        across = basis(np.concatenate((fields, own * fields), axis=1))
        poles, axes = np.linalg.eigh(across.T @ (own * across))
        return Network(self.count, patterns.T @ self.even, distances, strain, poles, axes.T @ (across.T @ fields))


@cache
def network(count: int, layout: Layout) -> Network:
    """That of strands at the places of a layout, in a circle of the area of their cells, or round all rings.

    Examples
    --------
    >>> found = network(55, "hexagonal")
    >>> round(float(found.even @ found.even), 6), len(found.even) < 25  # an even current is among the patterns
    (55.0, True)
    """
    maps = kernel_maps(count, layout)
    distances, field, change = maps.distances, maps.field, maps.change
    patterns = _patterns(count, distances, field)
    strain = change(patterns.astype(complex))
    answered = field(patterns).conj()  # as the strands are turned by it
    turned = change(answered).conj()
    across = basis(np.concatenate((plane(answered), plane(turned)), axis=1))
    own = across.T @ plane(change(across[:count] + 1j * across[count:]).conj())
    poles, axes = np.linalg.eigh(0.5 * (own + own.T))
    whole = Network(
        count, patterns.sum(axis=0), _symmetric(patterns.T @ distances(patterns)),
        _symmetric((strain.conj().T @ strain).real), poles, axes.T @ (across.T @ plane(answered)),
    )  # fmt: skip
    return whole._alike(_sampled(whole))


def places_edge(
    whole: ComplexArray | None, permeability: ComplexArray, impedance: ComplexArray, frequency: Numbers
) -> ComplexArray:
    """What the places of straight strands add to the impedance of their medium in a circle (m,) [ohm/m].

    Parameters
    ----------
    whole : (m,) complex, optional
        By the places; nothing is added where it is not known.
    permeability, impedance : (m,) complex
        Of the medium: relative, and of all strands in parallel [ohm/m].
    frequency : (m,)
        [Hz]
    """
    if whole is None:
        return np.zeros(len(permeability), dtype=complex)
    return np.where(frequency == 0, 0.0, whole - in_a_circle(permeability, impedance, frequency))


def in_a_circle(permeability: ComplexArray, impedance: ComplexArray, frequency: Numbers) -> ComplexArray:
    """Bessel's solution for a rod of a medium alone, less the flux beyond it, (m,) [ohm/m]; see `places_edge`."""
    found, on = impedance.copy(), np.asarray(frequency != 0)
    if on.any():
        q = np.sqrt(2j * frequency[on] * MU0 * permeability[on] / impedance[on])  # radius, in the skin of the medium
        found[on] *= q / 2 / ratios(q, 0)[0]
    return found


@cache
def kernel_maps(count: int, layout: Layout) -> Maps:
    """Sums over all other strands, at their places over the radius of their outline."""
    places = strand_places(count, layout)
    if layout == "rings":
        apart = (pitch_over_radius(count, layout) * places) @ [1, 1j]
        kernels = _kernels(apart[:, None] - apart)
        dense = _named(*kernels)

        def multiplied(rows: ComplexArray, sums: tuple[Sum, ...]) -> ComplexArray:
            return np.stack([sum(factor * (dense[kernel] @ rows[row]) for factor, kernel, row in one) for one in sums])

        return Maps(kernels[0].__matmul__, kernels[1].__matmul__, kernels[2].__matmul__, multiplied)
    steps = np.rint((places - places[0]) @ np.linalg.inv(BASES[layout])).astype(int)
    steps -= steps.min(axis=0)
    span = [fft.next_fast_len(int(2 * n + 1)) for n in steps.max(axis=0)]
    between = np.stack(np.meshgrid(*(np.fft.fftfreq(n, 1 / n) for n in span), indexing="ij"), axis=-1) @ BASES[layout]
    kernels = _kernels(pitch_over_radius(count, layout) * (between @ [1, 1j]))
    turned, placed = {name: fft.fft2(kernel) for name, kernel in _named(*kernels).items()}, (..., *steps.T)

    def together(rows: ComplexArray, sums: tuple[Sum, ...]) -> ComplexArray:
        whole = np.zeros((len(rows), *span), dtype=complex)
        whole[placed] = rows
        waves = fft.fft2(whole, overwrite_x=True)
        mixed = np.stack([sum(factor * (turned[kernel] * waves[row]) for factor, kernel, row in one) for one in sums])
        return np.asarray(fft.ifft2(mixed, overwrite_x=True)[placed])

    def of(name: Kernel, kernel: Numbers) -> _Map:
        def summed(at: Numbers) -> Numbers:
            sums = np.empty(at.shape, dtype=complex)
            for number, column in enumerate(at.T):  # one at a time: the whole of 10,000 would fill the memory
                sums[:, number] = together(column[None].astype(complex), (((1.0, name, 0),),))[0]
            return sums if np.iscomplexobj(kernel) or np.iscomplexobj(at) else np.asarray(sums.real)

        return summed

    return Maps(of("D", kernels[0]), of("F", kernels[1]), of("S", kernels[2]), together)


def _named(distances: FloatArray, field: ComplexArray, change: ComplexArray) -> dict[Kernel, Numbers]:
    """Kernels by their names."""
    return {"D": distances, "F": field, "F*": field.conj(), "S": change, "S*": change.conj()}


def pitch_over_radius(count: int, layout: Layout) -> float:
    """Of the circle that the cells of strands fill, or that lies round all rings."""
    if layout == "rings":
        return 1 / (reach(count, layout) + 0.5)
    return math.sqrt(math.pi / count / cell_area(1.0, layout))


def _kernels(apart: Numbers) -> tuple[FloatArray, ComplexArray, ComplexArray]:
    """-ln |z|, 1 / z and 1 / z^2; 0 of a strand and itself."""
    off = np.where(apart == 0, 1.0, apart)
    inverse = np.where(apart == 0, 0.0, 1 / off)
    return -np.log(np.abs(off)), inverse, inverse**2


def _patterns(count: int, distances: _Map, field: _Map) -> FloatArray:
    """An even current, what distances make of it step by step, and what its dipoles drive, (count, p)."""
    found = np.zeros((count, STEPS + DIPOLES))
    found[:, 0] = 1 / math.sqrt(count)
    known = 1
    while known < min(STEPS, count) and _added(found, known, distances(found[:, known - 1 : known])[:, 0]):
        known += 1
    for number in range(min(DIPOLES, known)):
        turned = field(found[:, number : number + 1]).conj()
        known += _added(found, known, -field(turned)[:, 0].real)
    return found[:, :known]


def _added(found: FloatArray, known: int, image: FloatArray) -> bool:
    """Whether an image is new to the patterns known; then it is the next of them."""
    size, before = np.linalg.norm(image), found[:, :known]
    for _ in range(2):  # once more: rounding of the first time
        image = image - before @ (before.T @ image)
    left = np.linalg.norm(image)
    if left <= ENDED * size:
        return False
    found[:, known] = image / left
    return True


def _sampled(whole: Network) -> FloatArray:
    """What patterns the currents make over a sample of radii in skins and of fillings, (p, q)."""
    z = np.asarray((1 + 1j) * RADII, dtype=np.complex128)
    ratio = ratios(z, 2)
    own, dipole, strained = 1 / (2 * math.pi * z * ratio[0]), -ratio[1] * ratio[0], -ratio[2] * ratio[1]
    even = np.broadcast_to(whole.even[:, None], (len(z), len(whole.even), 1))
    driven = []
    for fill in FILLS:
        system = whole._system(own, fill * dipole, strained, np.ones_like(z), fill)
        currents = np.linalg.solve(system, even)[..., 0]
        driven.append(currents / (currents @ whole.even)[:, None])
    sample = np.concatenate(driven)
    columns = np.column_stack((whole.even / (whole.even @ whole.even), sample.real.T, sample.imag.T))
    return basis(columns, KEPT)


def basis(columns: FloatArray, least: float = 1e-10) -> FloatArray:
    """Orthonormal columns that span those given, but for what is less than a part of the largest."""
    left, size, _ = np.linalg.svd(columns, full_matrices=False)
    return np.asarray(left[:, size > least * size[0]])


def plane(vectors: Numbers) -> FloatArray:
    """Plane vectors as real columns, x above y."""
    return np.concatenate((vectors.real, vectors.imag))


def _symmetric(matrix: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (matrix + matrix.T))
