"""Straight strands at their places in a foreign field: how strongly each is driven, and what all answer together.

Within the outline of a bundle, a circle, foreign E is a sum of harmonics a_n z^n + b_n conj(z)^n, z over the radius.
Every strand of the network of `strand_network` sees the value at its place as an induced voltage, answers the slope
with a dipole, and the change of the slope with a quadrupole. With currents I and dipoles m, over j w mu0 / 2 pi,

    | z + D + r^4 s S' S / 2     F       | | I |   | V + (H + r^4 s T) h |
    |         F'             C - 1 / P   | | m | = |         G h         |,

H, G and T the values, slopes and answered strains of the harmonics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .depth import MU0
from .one_strand import ratios, strained
from .strand_layout import Layout, strand_places
from .strand_network import Maps, Sum, kernel_maps, pitch_over_radius
from .strands import Strands, media, row_factors

HARMONICS = 16  # of the foreign field
EXACT = 3e-6  # of the iterations
ITERATIONS = 300  # at most: 10,000 strands at a radius of four skins take 120
# of currents and the two parts of dipoles: voltages, changes that strain in two parts, slopes in two parts
ACROSS: tuple[Sum, ...] = (
    ((1.0, "D", 0), (1.0, "F*", 1), (1.0, "F", 2)),
    ((0.25, "S", 0),),
    ((0.25, "S*", 0),),
    ((-0.5, "F", 0), (-1.0, "S", 2)),
    ((-0.5, "F*", 0), (-1.0, "S*", 1)),
)
STRAINED: tuple[Sum, ...] = (((1.0, "S*", 0), (1.0, "S", 1)),)  # voltages of both changes


@dataclass(frozen=True, eq=False)
class StrandDrive:
    """The network of a count and layout with the harmonics that drive it; plane vectors are complex.

    Attributes
    ----------
    count : int
    maps : Maps
    values, strains : (count, 2 n) float
    slopes : (count, 2 n) complex
        H, T and G: those of the real parts of z, z^2 and so on, then of the imaginary ones.
    """

    count: int
    maps: Maps
    values: FloatArray
    strains: FloatArray
    slopes: ComplexArray

    def solved(self, answers: StrandAnswers, number: int, foreign: ComplexArray | None) -> ComplexArray:
        """Currents, and dipoles x above y, of all strands at one frequency, (3 count,) [A].

        Parameters
        ----------
        answers : StrandAnswers
        number : int
            Of the frequency.
        foreign : (2 n,) complex, optional
            Amplitudes h with no voltage along the strands; else one, over j w mu0 / 2 pi, and nothing from outside.
        """
        from scipy.sparse.linalg import LinearOperator, gmres

        level, strain, root = answers.level[number], answers.strain[number], np.sqrt(answers.dipole[number])
        right = np.zeros((3, self.count), dtype=complex)
        if foreign is None:
            right[0] = 1 / level
        else:
            right[0] = (self.values + strain * self.strains) @ foreign / level
            right[1:] = -root / 2 * np.stack((self.slopes.conj() @ foreign, self.slopes @ foreign))

        def applied(x: ComplexArray) -> ComplexArray:
            currents, first, second = x.reshape(3, -1)
            voltage, *slopes = self._images(np.stack((currents, root * first, root * second)), strain)
            found = (currents + voltage / level, first - root * slopes[0], second - root * slopes[1])
            return np.concatenate(found)

        system = LinearOperator((right.size, right.size), matvec=applied, dtype=complex)
        found = gmres(system, right.ravel(), rtol=EXACT, restart=ITERATIONS, maxiter=1)[0].reshape(3, -1)
        dipoles = root * found[1:]
        return np.concatenate((found[0], dipoles[0] + dipoles[1], 1j * (dipoles[0] - dipoles[1])))

    def _images(self, rows: ComplexArray, strain: complex) -> ComplexArray:
        """D I + F m + r^4 s S' S I / 2, and F' I + C m, of phasors of currents and dipoles, (3, count).

        Dipoles and slopes in circular parts: a dipole as first / conj(z) + second / z, a slope as p z + q conj(z).
        """
        voltage, *bent, first, second = self.maps.together(rows, ACROSS)
        return np.stack((voltage + strain * self.maps.together(np.stack(bent), STRAINED)[0], first, second))


@cache
def strand_drive(count: int, layout: Layout) -> StrandDrive:
    """That of strands at the places of a layout.

    Examples
    --------
    >>> found = strand_drive(7, "hexagonal")
    >>> bool((abs(found.values[0]) < 1e-12).all())  # no harmonic drives the strand in the middle
    True
    """
    at, maps = pitch_over_radius(count, layout) * (strand_places(count, layout) @ [1, 1j]), kernel_maps(count, layout)
    order = np.arange(1, HARMONICS + 1)
    power = at[:, None] ** order
    slope = order * at[:, None] ** (order - 1)
    bent = order * (order - 1) * at[:, None] ** np.maximum(order - 2, 0) / 4
    strains = 2 * maps.change(np.concatenate((bent, -1j * bent), axis=1).conj()).real
    slopes = np.concatenate((slope, -1j * slope), axis=1).conj()
    return StrandDrive(count, maps, np.concatenate((power.real, power.imag), axis=1), strains, slopes)


@dataclass(frozen=True, eq=False)
class StrandAnswers:
    """What strands and their medium answer at frequencies (m,).

    Attributes
    ----------
    turning : (m,) complex
        j w mu0 / 2 pi [ohm/m].
    level : (m,) complex
        z of a strand, with its own field out to the radius of the outline, over that.
    dipole, strain : (m,) complex
        P and r^4 s.
    excited : (m,) complex
        The slope that a strand is put into, over that which its dipole answers: its next neighbours crowd it.
    inward : (m, n) complex
        Part of a harmonic of E of the medium on the outline that comes from outside.
    """

    turning: ComplexArray
    level: ComplexArray
    dipole: ComplexArray
    strain: ComplexArray
    excited: ComplexArray
    inward: ComplexArray

    @classmethod
    def of(cls, strands: Strands, area: float, conductivity: float, frequency: FloatArray) -> StrandAnswers:
        """Of strands in a circle of an area [m2] at frequencies above 0 [Hz], of a conductivity [S/m]."""
        found, fill = media(strands, area, conductivity, frequency), strands.copper / area
        unit, turning = fill / strands.count, np.asarray(1j * frequency * MU0, dtype=np.complex128)
        own = found.permeability, found.impedance
        softer, thicker = row_factors(strands, area, *own, frequency)
        answer, mu, resistive = (own[0] - 1) / (own[0] + 1), own[0] * softer, own[1] * thicker
        ratio = ratios(np.asarray(strands.diameter / 2 * np.sqrt(2 * math.pi * turning * conductivity)), 1)
        skins = np.sqrt(2 * turning * mu / resistive)  # radius of the outline, in the skin of the medium
        steep = 1 + skins * ratios(skins, HARMONICS)[1:] / np.arange(1, HARMONICS + 1)[:, None]
        level = np.asarray(found.inward / turning - 0.5 * math.log(unit), dtype=np.complex128)
        return cls(
            turning, level, answer / strands.count,
            unit**2 * strained(strands.diameter, conductivity, frequency), -answer / (fill * ratio[1] * ratio[0]),
            (1 + steep / mu).T / 2,
        )  # fmt: skip

    def foreign(self, trace: ComplexArray, strands: Strands) -> ComplexArray:
        """Amplitudes h of what comes from outside, over j w mu0 / 2 pi, (m, 2 n) [A].

        Parameters
        ----------
        trace : (m, 2 HARMONICS + 1) complex
            Of E of the medium along the outline, by exp(j n angle) from n = -HARMONICS on [V/m].
        strands : Strands
            Turned, or mirrored and turned, they see it from their own axes.
        """
        turn = np.exp(1j * strands.turn * np.arange(1, HARMONICS + 1))
        first, second = trace[:, HARMONICS + 1 :] * turn, trace[:, HARMONICS - 1 :: -1] / turn
        if strands.mirrored:
            first, second = second, first
        first, second = first * self.inward, second * self.inward
        return np.asarray(np.concatenate((first + second, 1j * (first - second)), axis=1) / self.turning[:, None])
