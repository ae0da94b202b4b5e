"""Causes that lie in the section: what slopes of the field say of metals, dimensions and surfaces."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .causes import Parameter, PhysicalCause


@dataclass(frozen=True, eq=False)
class Bend:
    """How the logarithms of R and X move with a parameter p of the section: a polynomial without constant term.

    Powers of a figure, which R and X follow closely, are straight lines there.

    Attributes
    ----------
    resistance, reactance : (k, m) float
        Factors of p, p^2 and so on at every frequency.
    places : tuple of float
        The p at which it was solved for.
    """

    resistance: FloatArray
    reactance: FloatArray
    places: tuple[float, ...] = ()

    @classmethod
    def of_slopes(cls, resistance: FloatArray, reactance: FloatArray) -> Bend:
        """From d ln R / dp and d ln X / dp, (m,)."""
        return cls(resistance[None], reactance[None])

    def through(self, before: ComplexArray, solved: Mapping[float, ComplexArray]) -> Bend:
        """With the slopes it has, and curved so that it meets the impedances that were solved for, by their p.

        Examples
        --------
        >>> straight = Bend.of_slopes(np.array([-1.0]), np.array([0.0]))
        >>> bent = straight.through(np.array([1 + 1j]), {0.1: np.array([0.92 + 1.0j])})
        >>> bent.applied(np.array([1 + 1j]), 0.1).round(6).tolist()
        [(0.92+1j)]
        """
        p = np.array(list(solved))
        powers = p[:, None] ** np.arange(2, 2 + len(p))
        parts = []
        for slope, part in ((self.resistance[0], np.real), (self.reactance[0], np.imag)):
            beyond = [np.log(part(z) / part(before)) - slope * at for at, z in solved.items()]
            parts.append(np.vstack((slope, np.linalg.solve(powers, np.array(beyond)))))
        resistance, reactance = parts
        return Bend(resistance, reactance, tuple(solved))

    def open(self, p: float) -> tuple[FloatArray, FloatArray]:
        """How far the logarithms of R and X may be off, (m,) each: the next power, with the last one's factor.

        It is 0 where the bend was solved for.
        """
        beyond = p**2 * float(np.prod(p - np.array(self.places)))
        return self.resistance[-1] * beyond, self.reactance[-1] * beyond

    def applied(self, z: ComplexArray, p: float) -> ComplexArray:
        """An impedance with it, (m,) [ohm]."""
        powers = p ** np.arange(1, 1 + len(self.resistance))
        return np.asarray(z.real * np.exp(powers @ self.resistance) + 1j * z.imag * np.exp(powers @ self.reactance))


@dataclass(frozen=True, eq=False, kw_only=True)
class SectionCause(PhysicalCause):
    """A figure of the section that is other than stated.

    Attributes
    ----------
    bend : Bend
    """

    bend: Bend

    @classmethod
    def of(cls, key: str, name: str, one: Parameter, bend: Bend, *, beneath: bool = False) -> SectionCause:
        """From how R and X move with it."""
        effect = partial(_bent, bend)
        return cls(key, name, "section", (one,), effect, bend=bend, beneath=beneath)

    def curved(self, bend: Bend) -> SectionCause:
        """The same with another bend."""
        return replace(self, effect=partial(_bent, bend), bend=bend)


def _bent(bend: Bend, z: ComplexArray, p: FloatArray) -> ComplexArray:
    return bend.applied(z, float(p[0]))


@dataclass(frozen=True, eq=False)
class RoughSurface:
    """A surface whose roughness multiplies its impedance with a factor, and what the run's impedance makes of that.

    Attributes
    ----------
    weight : (m,) complex
        d Z / d factor of the whole run [ohm], from the solved field.
    factor : callable
        From Rq [m] to the factor at every frequency, (m,) complex; 1 where smooth.
    """

    weight: ComplexArray
    factor: Callable[[float], ComplexArray]


def rough_cause(
    surfaces: tuple[RoughSurface, ...], calculated: ComplexArray, stated: float, usual: float, most: float
) -> PhysicalCause:
    """Surfaces that are rougher, or smoother, than stated: the model of roughness itself, by difference.

    Parameters
    ----------
    surfaces : tuple of RoughSurface
        All of one roughness.
    calculated : (m,) complex
        Impedance of the whole run without any cause [ohm]: what roughness adds goes with R, since both go with how
        long the surface is and how it is used.
    stated, usual, most : float
        Rq [m].
    """
    before = [surface.factor(stated) for surface in surfaces]
    one = Parameter("roughness Rq", "m", usual, -stated, most - stated, (usual, 3 * usual), nominal=stated)

    def effect(z: ComplexArray, p: FloatArray) -> ComplexArray:
        added = [s.weight * (s.factor(stated + float(p[0])) - b) for s, b in zip(surfaces, before, strict=True)]
        return np.asarray(z + sum(added) * (z.real / calculated.real))

    return PhysicalCause("roughness", "roughness", "surface", (one,), effect)

