"""Forces on conductors: from the stress of the field in the air around each, or from the currents of all others.

Around a thin wire the field is nearly all its own, which pushes nothing: a small error of it in the stress outweighs
the push of far wires. A conductor that no other metal comes close to is better judged by the others' field at its own
currents: with z = x + i y about its middle, A = Re f(z) of the others, and M_n = integral J z^n its moments,

    F_x - i F_y = integral J f'(z),        f'(z) = -mu0 / (2 pi) integral J' / (z - z')  over the others,

f' as a power series, that of far conductors from moments too. Magnetised metal counts as bound currents: for any
analytic g, integral J g goes with (1 / mu0) integral (1 - 1 / mu_r) grad A . grad g. (Potential theory in the plane;
own derivation.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import comb

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.solver.metals.depth import MU0

from .discretisation import Discretisation
from .stress import stress_forms

CLOSE = 0.5  # radius over the distance of other metal, up to which a conductor counts as well apart
GRID = 4  # points looked at along the sides of a triangle
LEFT_OUT = 1e-9  # share of a series that its end may hold
TINY = 1e-300
SEEN = 2e-8  # what two orders cannot tell: curved sides, rounding
STRENGTH = MU0 / (2 * math.pi)


@dataclass(frozen=True, eq=False)
class Circles:
    """A circle around every conductor, and how close other metal comes.

    Attributes
    ----------
    middle : (c,) complex
        x + i y [m].
    radius : (c,) float [m]
    nearness : (c,) float
        Radius over the distance of other metal from the middle.
    """

    middle: ComplexArray
    radius: FloatArray
    nearness: FloatArray

    @classmethod
    def of(cls, discretisation: Discretisation) -> Circles:
        """Around the metal of a mesh, whatever the order of the elements."""
        mesh, elements = discretisation.mesh, discretisation.elements
        where = elements.positions(elements.metal, lattice(GRID)[:, 1:] / GRID)
        place = where[..., 0] + 1j * where[..., 1]
        owner = mesh.part[elements.metal]
        middle, radius, nearness = [], [], []
        for k in range(int(owner.max()) + 1):
            own, other = place[owner == k], place[owner != k]
            centre = 0.5 * complex(own.real.min() + own.real.max(), own.imag.min() + own.imag.max())
            middle.append(centre)
            radius.append(float(np.abs(own - centre).max()))
            nearness.append(radius[-1] / max(float(np.abs(other - centre).min(initial=np.inf)), TINY))
        return cls(np.array(middle), np.array(radius), np.array(nearness))

    @property
    def apart(self) -> BoolArray:
        """Conductors that no other metal comes close to, (c,)."""
        return self.nearness <= CLOSE

    @cached_property
    def far(self) -> BoolArray:
        """Whether a series about conductor j holds all over conductor k, (k, j)."""
        distance = np.abs(self.middle[:, None] - self.middle)
        return np.asarray((self.radius[:, None] + self.radius <= CLOSE * distance) & (distance > 0))

    @cached_property
    def orders(self) -> IntArray:
        """Of the series, (n,)."""
        closest = CLOSE if self.far.any() else float(self.nearness[self.apart].max(initial=0.0))
        return np.arange(max(2, math.ceil(math.log(LEFT_OUT) / math.log(closest))) if closest else 2)


@dataclass(frozen=True, eq=False)
class CurrentPoints:
    """All currents as points, in real and imaginary part.

    Attributes
    ----------
    circles : Circles
    place : (q,) complex
        x + i y [m].
    owner : (q,) int
        Conductor.
    current : (2, q) float [A]
    bound : (2, q) complex
        What the derivative of a function is multiplied with, of magnetised metal [A m].
    """

    circles: Circles
    place: ComplexArray
    owner: IntArray
    current: FloatArray
    bound: ComplexArray

    @classmethod
    def of(
        cls, d: Discretisation, electric: ComplexArray, potential: ComplexArray, *, lifted: bool
    ) -> CurrentPoints:
        """At the quadrature points of all metal that carries current."""
        circles = Circles.of(d)
        # none where all is left to the stress
        active = np.flatnonzero(d.active_metal(lifted=lifted) * circles.apart.any())
        rows = d.elements.metal[active]
        places, weights = quadrature(2 * d.order + 6)
        weights = d.elements.maps(rows, places)[0] * weights
        where = d.elements.positions(rows, places)
        owner = d.mesh.part[rows]
        current = (d.sigma * d.smoothing)[active, None] * d.elements.value(electric, rows, places) * weights
        magnetic = (1 - d.stiff[active])[:, None] * weights / MU0
        slope = d.elements.gradient(potential, rows, places) * magnetic[..., None]
        bound = np.array([s[..., 0] + 1j * s[..., 1] for s in (slope.real, slope.imag)])
        return cls(
            circles,
            (where[..., 0] + 1j * where[..., 1]).ravel(),
            np.repeat(owner, len(places)),
            np.array([current.real, current.imag]).reshape(2, -1),
            bound.reshape(2, -1),
        )

    @cached_property
    def moments(self) -> ComplexArray:
        """Lengths in radii, (2, c, n) [A]."""
        orders, circles = self.circles.orders, self.circles
        found = np.zeros((2, len(circles.radius), len(orders)), dtype=complex)
        for k, (middle, radius) in enumerate(zip(circles.middle, circles.radius, strict=True)):
            own = self.owner == k
            power = ((self.place[own] - middle) / radius)[:, None] ** orders
            found[:, k] = self.current[:, own] @ power
            if self.bound.any():
                slope = orders * np.roll(power, 1, axis=1) / radius
                found[:, k] += self.bound[:, own] @ slope
        return found

    @cached_property
    def field(self) -> ComplexArray:
        """Series of f' of all others about the middle of every conductor that lies apart, (2, c, n) [T]."""
        n, middle, radius = self.circles.orders, self.circles.middle, self.circles.radius
        ways = comb(n[:, None] + n, n) * (-1.0) ** n[:, None]
        found: ComplexArray = np.zeros((2, len(radius), len(n)), dtype=complex)
        for k in np.flatnonzero(self.circles.apart).tolist():
            far = np.flatnonzero(self.circles.far[k])
            distance = (middle[k] - middle[far])[:, None]
            there = self.moments[:, far] * (radius[far, None] / distance) ** n / distance
            found[:, k] = np.einsum("sjm,jm->sm", there @ ways.T, (radius[k] / distance) ** n)
            near = ~np.isin(self.owner, [k, *far])
            if near.any():
                found[:, k] += self._near(k, near)
        return -STRENGTH * found

    def _near(self, k: int, near: BoolArray) -> ComplexArray:
        """Share of some points in the series about conductor k, (2, n), in units of mu0 / (2 pi)."""
        one = 1 / (self.circles.middle[k] - self.place[near])
        found = np.empty((2, len(self.circles.orders)), dtype=complex)
        power = one
        for m in self.circles.orders:
            found[:, m] = self.current[:, near] @ power
            if self.bound.any():
                found[:, m] += (m + 1) * (self.bound[:, near] @ (power * one))
            power = power * (-self.circles.radius[k] * one)
        return found


@dataclass(frozen=True, eq=False)
class Forces:
    """Forces on all conductors of a flow.

    Attributes
    ----------
    sources : CurrentPoints or None
        None round an axis, where all are found by stress.
    mean : (c, 2) float
        Average over a cycle [N/m]; round an axis away from it, summed over the turn, and along it [N].
    swing : (c, 2) complex
        Phasor at twice the frequency [N/m]: f(t) = mean + Re(swing exp(2 j w t)).
    """

    sources: CurrentPoints | None
    mean: FloatArray
    swing: ComplexArray

    @classmethod
    def of(cls, d: Discretisation, electric: ComplexArray, potential: ComplexArray, *, lifted: bool) -> Forces:
        """By currents on conductors that lie apart, else by stress; on a single one left against all others.

        Parameters
        ----------
        d : Discretisation
        electric, potential : (unknowns,) complex
            E in the metal [V/m] and A [Vs/m], rms.
        lifted : bool
            Whether field-free cores were left out.
        """
        if d.mesh.axial:
            mean, swing = _stress(d, potential)
            return cls(None, mean.real, swing)
        sources = CurrentPoints.of(d, electric, potential, lifted=lifted)
        apart = sources.circles.apart
        pull = np.einsum("scn,tcn->stc", sources.field, sources.moments)
        (rr, ri), (ir, ii) = np.stack((pull.real, -pull.imag), axis=-1)
        forces = np.array([rr + ii, rr - ii + 1j * (ri + ir)])
        if apart.sum() == len(apart) - 1:
            forces[:, ~apart] = -forces[:, apart].sum(axis=1, keepdims=True)
        elif not apart.all():
            forces[:, ~apart] = _stress(d, potential)[:, ~apart]
        return cls(sources, forces[0].real, forces[1])

    def errors(self, before: Forces) -> FloatArray:
        """Bound on the error of mean and swing, each, by what changed from one order to the next, (c,) [N/m].

        Of forces by stress twice the change; of those by currents twice all that the changes may add up to.
        """
        mean, swing = self.mean - before.mean, self.swing - before.swing
        found = np.asarray(2 * np.maximum(np.hypot(*mean.T), np.sqrt((np.abs(swing) ** 2).sum(axis=1))))
        mine, theirs = self.sources, before.sources
        if mine is None or theirs is None:
            return found
        apart = mine.circles.apart
        (field, moved), (size, changed) = (
            (np.hypot(*np.abs(a)), np.hypot(*np.abs(a - b)))
            for a, b in ((mine.field, theirs.field), (mine.moments, theirs.moments))
        )
        found[apart] = 2 * (field * changed + moved * size + SEEN * field * size).sum(axis=1)[apart]
        if apart.sum() == len(apart) - 1:
            found[~apart] = found[apart].sum()
        return np.asarray(found)


def _stress(d: Discretisation, potential: ComplexArray) -> ComplexArray:
    """Mean and swing on all conductors by Maxwell's stress of the real and the imaginary part, (2, c, 2)."""
    forms = np.array(stress_forms(d.elements, np.column_stack((potential.real, potential.imag)), d.reluctivity))
    (rr, ri), (_, ii) = np.moveaxis(forms, (2, 3), (0, 1))
    return np.array([rr + ii, rr - ii + 2j * ri])
