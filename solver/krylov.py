"""How the reduced model of a band is built: a basis from a few real shifts, grown until nothing moves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ..geometries.errors import CrosscurrentError
from ..geometries.outline import FloatArray
from .certificate import Known
from .chain import Chain, split
from .field import ComplexArray, Discretisation
from .materials import MU0
from .pencil import Pencil
from .ports import Ports
from .reduced import Reduced
from .space import Space

DROP = 1e-8  # part of a new vector that must be left after the others are taken out
ENOUGH = 0.1  # part that may be left without taking the others out again: a digit of orthogonality
PER_DECADE = 0.45  # shifts
FIRST, LAST = 10.0, 0.6  # first and last shift, in terms of the slowest mode's rate and the end of the band: measured
MOST = 60  # vectors per pattern, at most
CAUTION = 0.5  # the bound is known to be two to three times the error: it is asked for once it may hold
CHECKS = 4  # frequencies per decade at which movement is watched
GLIMPSES = 6  # solves at one shift that tell how good a mesh is at one frequency


class SweepError(CrosscurrentError, ValueError):
    """A band that cannot be swept in one go."""


def reduce(
    discretisation: Discretisation, ports: Ports, low: float, high: float, *, tolerance: float = 1e-6
) -> Reduced:
    """The reduced model of a section on one mesh at one order.

    Parameters
    ----------
    discretisation : Discretisation
        With smooth surfaces.
    ports : Ports
    low, high : float
        Band of frequencies [Hz], 0 < low <= high; direct current is exact with any.
    tolerance : float
        Wanted relative bound on R and L against the mesh's own, for all currents.

    Raises
    ------
    SweepError
        A surface is rough: its factor changes with frequency.

    Examples
    --------
    >>> from crosscurrent.geometries.mesher import mesh_section
    >>> from crosscurrent.geometries.section import Part, Section
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.field import Metal
    >>> mesh = mesh_section(Section((Part("rod", round_bar(0.010)),)), [[1e-3]])
    >>> one = Ports(np.eye(1), np.eye(1))
    >>> model = reduce(Discretisation(mesh, (Metal(58e6),), 4), one, 50.0, 5000.0)
    >>> round(float(model.chain.resistance(0.0)[0, 0, 0]) * 1e6, 3)  # 1 / (58 MS/m x 78.54 mm2)
    219.524
    """
    return reduced(Pencil(discretisation, ports), low, high, tolerance=tolerance)


def reduced(pencil: Pencil, low: float, high: float, *, tolerance: float, certified: bool = True) -> Reduced:
    """The same, with the factors that a pencil already has; without its certificate where none is needed."""
    growth = _Growth.begun(pencil)
    growth.add(pencil.centred(pencil.resting(growth.pushed())))
    watched = np.geomspace(low, high, max(2, math.ceil(CHECKS * math.log10(high / low)) + 1))
    shifts = _shifts(max(2 * np.pi * low, FIRST * float(growth.chain().rates[0])), LAST * 2 * np.pi * high)
    solves = [pencil.shifted(MU0 * float(w)) for w in shifts]
    history, before = [growth.chain()], math.inf
    while not growth.exhausted:
        for solve in solves:
            growth.add(solve(growth.pushed()))
        history.append(growth.chain())
        if _expected_error(history, watched) < CAUTION * tolerance:
            if not certified:
                break
            model = growth.certified(shifts, watched)
            bound = float(max(b.max() for b in model.relative_bounds(watched)))
            if bound <= tolerance or bound >= before:  # there, or down to rounding
                return model
            before = bound
    return growth.certified(shifts, watched) if certified else Reduced.of(growth.space())


def glimpse(pencil: Pencil, frequency: float) -> Reduced:
    """A model that is right to about 1e-3 at one frequency [Hz], without a certificate: two factors, a few solves."""
    growth = _Growth.begun(pencil)
    solve = pencil.shifted(MU0 * LAST * 2 * np.pi * frequency)
    for _ in range(GLIMPSES):
        growth.add(solve(growth.pushed()))
    return Reduced.of(growth.space())


def _shifts(low: float, high: float) -> FloatArray:
    """Angular frequencies spread evenly on a log scale from low (or high, if that is lower) to high [rad/s]."""
    low = min(low, high)
    return np.geomspace(low, high, max(1, round(math.log10(high / low) * PER_DECADE)) + 1)


def _expected_error(history: list[Chain], frequency: FloatArray) -> float:
    """What the laps through the shifts to come would still change, were they to go on as the last two did."""
    if len(history) < 3:
        return math.inf
    before, last = _moved(history[-3], history[-2], frequency), _moved(history[-2], history[-1], frequency)
    return last * last / before if last < before else math.inf


def _moved(before: Chain, after: Chain, frequency: FloatArray) -> float:
    """Largest relative change of R and L, for any currents."""
    change = 0.0
    for one, other in (
        (before.resistance(frequency), after.resistance(frequency)),
        (before.inductance(frequency), after.inductance(frequency)),
    ):
        left = np.linalg.inv(np.linalg.cholesky(other))
        moved = np.linalg.eigvalsh(left @ (other - one) @ left.transpose(0, 2, 1))
        change = max(change, float(np.abs(moved).max()))
    return change


@dataclass(eq=False)
class _Growth:
    """A basis, M-orthonormal and with zero means, and the pencil projected on it."""

    pencil: Pencil
    room: int
    count: int = 0
    exhausted: bool = False

    def __post_init__(self) -> None:
        unknowns = self.pencil.discretisation.elements.count
        self._basis = np.empty((unknowns, self.room), order="F")
        self._mass = np.empty((unknowns, self.room), order="F")
        self.stiffness = np.zeros((0, 0))
        self.flux = np.zeros((len(self.pencil.conductance), 0))
        self._newest = self._mass[:, :0]

    @classmethod
    def begun(cls, pencil: Pencil) -> _Growth:
        """With the first fields of all patterns at rest."""
        if any(m.surface != 1 for m in pencil.discretisation.metals):
            raise SweepError(
                "a rough surface: its effect changes with frequency, so that one reduced model cannot hold a band; "
                "solve the frequencies one by one or set the roughness to 0"
            )
        growth = cls(pencil, pencil.ports.pattern.shape[1] * MOST)
        start = pencil.load @ (pencil.ports.pattern / pencil.conductance[:, None])
        growth.add(pencil.centred(pencil.resting(start)))
        return growth

    @property
    def basis(self) -> FloatArray:
        """(unknowns, r)."""
        return self._basis[:, : self.count]

    @property
    def mass(self) -> FloatArray:
        """M times the basis, (unknowns, r)."""
        return self._mass[:, : self.count]

    def pushed(self) -> FloatArray:
        """M times the newest block."""
        return self._newest

    def add(self, block: FloatArray) -> None:
        """Take the rest of the basis out of a block, twice where little is left, and append that."""
        d = self.pencil.discretisation
        block = block / np.sqrt(np.einsum("nk,nk->k", block, d.mass @ block))
        for _ in range(2):
            block = block - self.basis @ (self.mass.T @ block)
            image = d.mass @ block
            if np.einsum("nk,nk->k", block, image).min() > ENOUGH**2:
                break
        first = self.count
        for column, pushed in zip(block.T, image.T, strict=True):
            for _ in range(2):
                beside = self._mass[:, first : self.count].T @ column
                column = column - self._basis[:, first : self.count] @ beside
                pushed = pushed - self._mass[:, first : self.count] @ beside
            left = float(np.sqrt(max(column @ pushed, 0.0)))
            if left > DROP and self.count < self.room:
                self._basis[:, self.count], self._mass[:, self.count] = column / left, pushed / left
                self.count += 1
        self.exhausted = self.count == first
        if self.exhausted:
            return
        fresh = self._basis[:, first : self.count]
        self._newest = self._mass[:, first : self.count]
        beside = self.basis.T @ (d.stiffness @ fresh)
        self.stiffness = np.block([[self.stiffness, beside[:first]], [beside[:first].T, beside[first:]]])
        self.flux = np.concatenate((self.flux, self.pencil.flux.T @ fresh), axis=1)

    def chain(self) -> Chain:
        """The impedance as the basis stands."""
        pencil = self.pencil
        surface, rates, coupling, _ = split(pencil.reach, self.flux, self.stiffness, self.basis.T @ self.mass)
        return Chain(pencil.ports.pattern, pencil.conductance, surface, rates, coupling)

    def space(self) -> Space:
        """What the basis spans, as it stands."""
        pencil = self.pencil
        return Space(
            pencil.discretisation, pencil.ports, pencil.chi, self.basis.copy(), pencil.reach, self.flux, self.stiffness
        )

    def certified(self, shifts: FloatArray, watched: FloatArray) -> Reduced:
        """The reduced model with its modes and the norms of its residual."""
        pencil, d, chain = self.pencil, self.pencil.discretisation, self.chain()
        basis, mass, flux = self.basis, self.mass, self.flux
        # K chi and K x less their parts in the space M chi, M x: the latter are multiples of the former
        outside = pencil.flux - pencil.load @ (pencil.reach / pencil.conductance[:, None]) - mass @ flux.T
        onto = (d.stiffness @ outside).T @ basis - outside.T @ pencil.load @ (flux / pencil.conductance[:, None])
        onto -= outside.T @ mass @ self.stiffness
        turn = split(pencil.reach, flux, self.stiffness, basis.T @ mass)[3]
        drift = np.linalg.solve(outside.T @ outside, onto) @ turn
        unit = Known(shifts, np.zeros((0, 0, 0)), drift, np.eye(len(drift)))
        directions = _spanned(unit.residual(chain, watched))
        outside = outside @ directions
        solves = [pencil.resting, *(pencil.shifted(MU0 * float(w)) for w in shifts)]
        norms = np.array([outside.T @ solve(outside) for solve in solves])
        norms = 0.5 * (norms + norms.transpose(0, 2, 1))
        known = Known(np.concatenate(([0.0], shifts)), norms, drift, directions)
        ones, level = np.ones(len(d.metals)), np.zeros((len(flux), len(turn)))
        return Reduced(self.space(), ones, chain, turn, level, known)


def _spanned(columns: ComplexArray) -> FloatArray:
    """Orthonormal real directions (n, k) of all columns of matrices (m, n, q)."""
    flat = columns.transpose(1, 0, 2).reshape(columns.shape[1], -1)
    left, size, _ = np.linalg.svd(np.concatenate((flat.real, flat.imag), axis=1), full_matrices=False)
    return np.asarray(left[:, size > DROP * size[0]])
