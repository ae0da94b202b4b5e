"""A bound on the error of a reduced model with strands that share as the field asks, from the residual of its fields.

At a frequency f the matrix is a sum of positive ones times 1, nu, j and j c, whose angles lie within less than half a
turn: turned to the middle of them, its real part is at least the cosine of half their spread times the sum N with the
sizes of these factors, and the error of an impedance with the residual r is at most (w / mu0) r* N^-1 r over that. N is
at least the smallest ratio of its factors to those at another frequency times N there, and r* N^-1 r is at most what
the matrix A there makes of it, which is factorised: Re(e^jt r* A^-1 r) over its cosine, t the middle of its angles.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, partial

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.from_few import from_few

from .band_matrices import Sharing
from .followed import FollowedForm
from .foster import FosterForm, angular
from .pencil import Pencil
from .reduced import Reduced

DROP = 1e-3  # part of the largest residual below which a direction of others is left out
LEFT = 1e-4  # the same, that residuals between frequencies may be off
SKETCHED = 5  # sums of residuals for each pattern and one more, of which directions are found


@dataclass(frozen=True, eq=False)
class FollowedBound:
    """Norms of the residual at real shifts, known beforehand in the directions that it has over the band.

    Attributes
    ----------
    shifts : (k,) float
        Their sizes [rad/s].
    factors : (k, bundles, 2) float
        Sizes of nu and c of the bundles there.
    norms : (k, d, d) float
        Not below f' N^-1 f of the directions.
    lift, source : (d, groups), (d, patterns) float
        K chi and what drives the patterns, in the directions.
    modes : (2 + 2 bundles, d, r) float
        K x, mu0 M x, and of every bundle K_b x and mu0 M_b x, of every mode.
    """

    shifts: FloatArray
    factors: FloatArray
    norms: FloatArray
    lift: FloatArray
    source: FloatArray
    modes: FloatArray

    @classmethod
    def of(cls, pencil: Pencil, model: Reduced, shifts: Numbers, watched: FloatArray) -> FollowedBound:
        """From residuals at the frequencies that are watched [Hz], by the factors of some shifts: 0, real or j w."""
        residuals = _Residuals(pencil, model)
        directions = residuals.spanned(watched)
        known = np.array([[bundle.factors(s) for bundle in residuals.sharing] for s in shifts.tolist()], dtype=complex)
        held, middle = _held(shifts, [(nu, c) for nu, c in known.transpose(1, 2, 0)])
        norms = []
        for shift, cosine, angle in zip(shifts.tolist(), held, middle, strict=True):
            solve = pencil.shifted(shift if shift.imag else shift.real) if shift else pencil.resting
            norms.append((np.exp(1j * angle) * (directions.T @ solve(directions))).real / cosine)
        square, axes = np.linalg.eigh([0.5 * (norm + norm.T) for norm in norms])
        return cls(
            np.abs(shifts), np.abs(known),
            (axes * np.maximum(square, 0.0)[:, None]) @ axes.transpose(0, 2, 1),  # never below 0, if not by rounding
            directions.T @ pencil.lift_residual, directions.T @ residuals.source, residuals.modes(directions),
        )  # fmt: skip

    def residual(self, foster: FollowedForm, frequency: npt.ArrayLike) -> ComplexArray:
        """Of the fields per current in a pattern, in the directions, (m, d, patterns) [Vs/m over ampere]."""
        at = np.atleast_1d(np.asarray(frequency, dtype=float))
        return from_few(partial(self._residual, foster), at, LEFT)

    def _residual(self, foster: FollowedForm, at: FloatArray) -> ComplexArray:
        found = self.lift @ foster.mean_potential(at) - self.source
        for modes, amplitudes in zip(self.modes, _weighted(foster, at), strict=True):
            found = found + modes @ amplitudes
        return np.asarray(found)

    def bound(self, foster: FosterForm, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i, (m, patterns, patterns) [ohm/m]."""
        assert isinstance(foster, FollowedForm)
        at = np.atleast_1d(np.asarray(frequency, dtype=float))
        omega, residual = angular(at), self.residual(foster, at)
        media = [bundle.factors(at) for bundle in foster.followed]
        least = np.maximum(self._ratios(omega, media), 1e-300)
        best = np.argmin(np.einsum("kdd->k", self.norms) / least, axis=1)
        found = residual.conj().transpose(0, 2, 1) @ self.norms[best] @ residual
        scale = omega / MU0 / _held(1j * omega, media)[0] / least[np.arange(len(at)), best]
        return np.asarray(found * scale[:, None, None])

    def _ratios(self, omega: FloatArray, media: list[tuple[ComplexArray, ComplexArray]]) -> FloatArray:
        """Smallest ratio of the factors at each frequency to those of each shift, (m, k)."""
        turned = np.divide(
            omega[:, None], self.shifts, out=np.full((len(omega), len(self.shifts)), np.inf), where=self.shifts > 0
        )
        found = np.minimum(1.0, turned)
        for number, (nu, c) in enumerate(media):
            found = np.minimum(found, np.abs(nu)[:, None] / self.factors[:, number, 0])
            conducting = self.factors[:, number, 1] > 0  # what takes no current asks for nothing
            found[:, conducting] = np.minimum(
                found[:, conducting],
                turned[:, conducting] * np.abs(c)[:, None] / self.factors[conducting, number, 1],
            )
        return np.asarray(found)

    def with_conductivity(self, factor: float) -> FollowedBound:
        """For all conductivities multiplied by a factor: w M stays where w falls as sigma rises."""
        scaled = self.modes / np.sqrt(factor)
        scaled[1::2] *= factor
        return replace(self, shifts=self.shifts / factor, modes=scaled)


def _weighted(foster: FollowedForm, at: FloatArray) -> Iterator[ComplexArray]:
    """Amplitudes of every mode times what each part of the matrix counts at frequencies (m,) [Hz], (m, r, patterns)."""
    amplitudes, turning = foster.responses(at), 1j * angular(at)
    yield amplitudes
    yield turning[:, None, None] * amplitudes
    for bundle in foster.followed:
        nu, c = bundle.factors(at)
        yield (nu - 1)[:, None, None] * amplitudes
        yield (turning * (c - 1))[:, None, None] * amplitudes


@dataclass(frozen=True, eq=False)
class _Residuals:
    """Of a model's fields."""

    pencil: Pencil
    model: Reduced

    @property
    def sharing(self) -> tuple[Sharing, ...]:
        return self.pencil.matrices.sharing

    @cached_property
    def source(self) -> FloatArray:
        """What drives the patterns, (unknowns + states, patterns)."""
        pattern = self.model.foster.pattern
        return np.asarray(MU0 * self.pencil.load @ (pattern / self.pencil.conductance[:, None]))

    @cached_property
    def _within(self) -> list[FloatArray]:
        """The basis at the unknowns of every bundle."""
        return [self.model.basis.vectors[bundle.inside] for bundle in self.sharing]

    def spanned(self, at: FloatArray) -> FloatArray:
        """Directions in which they lie at frequencies (m,) [Hz], (unknowns + states, d)."""
        count, patterns = 2 * len(at), self.source.shape[1]
        for width in (SKETCHED * (1 + patterns), count * patterns):
            # sums of all, drawn by lot, span what matters of them
            mixing = np.random.default_rng(1).normal(size=(count * patterns, min(width, count * patterns)))
            found = _spanned(self._mixed(at, mixing))
            if found.shape[1] < width:
                break
        return found

    def _mixed(self, at: FloatArray, mixing: FloatArray) -> FloatArray:
        """Sums of the residuals of every pattern at frequencies (m,), real parts and then imaginary ones.

        Fields are made for each part of the matrix, not images of all modes: sums are few.
        """

        def columns(every: ComplexArray) -> FloatArray:
            flat = every.transpose(1, 0, 2).reshape(every.shape[1], -1)
            return np.asarray(np.concatenate((flat.real, flat.imag), axis=1) @ mixing)

        foster, matrices, tall = self.model.foster, self.pencil.matrices, self.model.basis.tall
        assert isinstance(foster, FollowedForm)
        weighted = [self.model.modal_matrix @ columns(one) for one in _weighted(foster, at)]
        given = np.broadcast_to(np.eye(self.source.shape[1], dtype=complex), (len(at), *2 * self.source.shape[1:]))
        found = self.pencil.lift_residual @ columns(foster.mean_potential(at)) - self.source @ columns(given)
        found += matrices.stiffened(tall @ weighted[0]) + MU0 * matrices.weighed(tall @ weighted[1])
        each = zip(self.sharing, self._within, weighted[2::2], weighted[3::2], strict=True)
        for bundle, inside, stiff, heavy in each:
            found[bundle.inside] += bundle.stiffness @ (inside @ stiff) + MU0 * (bundle.mass @ (inside @ heavy))
        return np.asarray(found)

    def modes(self, directions: FloatArray) -> FloatArray:
        """What every part of the matrix makes of every mode, in some directions, (2 + 2 bundles, d, r)."""
        matrices, tall = self.pencil.matrices, self.model.basis.tall
        found = [matrices.stiffened(directions).T @ tall, MU0 * matrices.weighed(directions).T @ tall]
        for bundle, inside in zip(self.sharing, self._within, strict=True):
            own = directions[bundle.inside]
            found += [(bundle.stiffness @ own).T @ inside, MU0 * (bundle.mass @ own).T @ inside]
        return np.array(found) @ self.model.modal_matrix


def _spanned(columns: FloatArray) -> FloatArray:
    """Orthonormal directions of columns, (n, d)."""
    squares, mixed = np.linalg.eigh(columns.T @ columns)
    kept = squares > DROP**2 * squares[-1]
    return np.asarray(columns @ (mixed[:, kept] / np.sqrt(squares[kept])))


def _held(shift: Numbers, media: list[tuple[ComplexArray, ComplexArray]]) -> tuple[FloatArray, FloatArray]:
    """Cosine of half the spread of the angles at shifts, and their middle, (m,) each."""
    turned = np.where(shift == 0, np.pi / 2, np.angle(shift))
    angles = [np.zeros(len(shift)), turned]
    for nu, c in media:
        angles += [np.angle(nu), turned + np.angle(c)]
    low, high = np.min(angles, axis=0), np.max(angles, axis=0)
    return np.asarray(np.maximum(np.cos((high - low) / 2), 1e-300)), np.asarray((low + high) / 2)
