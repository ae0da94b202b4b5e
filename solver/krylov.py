"""How the reduced model of a band is built: a basis from a few real shifts, grown until nothing moves."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from ..geometries.errors import CrosscurrentError
from ..geometries.outline import FloatArray
from .chain import Chain, split
from .factor import Solve
from .field import ComplexArray, Discretisation
from .materials import MU0
from .pencil import Pencil
from .ports import Ports
from .reduced import Certificate, Reduced

DROP = 1e-8  # part of a new vector that must be left after the others are taken out
PER_DECADE = 0.5  # shifts
ROUNDS = 8  # through all shifts, at most
CHECKS = 4  # frequencies per decade at which movement is watched


class SweepError(CrosscurrentError, ValueError):
    """A band that cannot be swept in one go."""


def reduce(
    discretisation: Discretisation, ports: Ports, low: float, high: float, *, tolerance: float = 1e-7
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
    if any(m.surface != 1 for m in discretisation.metals):
        raise SweepError(
            "a rough surface: its effect changes with frequency, so that one reduced model cannot hold a band; solve the "
            "frequencies one by one or set the roughness to 0"
        )
    growth = _Growth(Pencil(discretisation, ports))
    count = max(1, math.ceil(math.log10(high / low) * PER_DECADE) + 1)
    shifts = 2 * np.pi * np.geomspace(low, high, count)
    watched = np.geomspace(low, high, max(2, math.ceil(CHECKS * math.log10(high / low)) + 1))
    solves = [growth.pencil.shifted(MU0 * float(w)) for w in shifts]
    start = growth.pencil.load @ (ports.pattern / growth.pencil.conductance[:, None])
    growth.add(growth.pencil.centred(growth.pencil.resting(start)))
    growth.add(growth.pencil.centred(growth.pencil.resting(growth.pushed())))
    history: list[Chain] = []
    for step in range(ROUNDS * count):
        growth.add(solves[step % count](growth.pushed()))
        history.append(growth.chain())
        if growth.exhausted or (step >= count and _moved(history[-1 - count], history[-1], watched) < tolerance):
            model = growth.certified(shifts, solves, watched)
            if growth.exhausted or max(b.max() for b in model.relative_bounds(watched)) <= tolerance:
                return model
    return growth.certified(shifts, solves, watched)


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
    basis: list[FloatArray] = field(default_factory=list)
    stiffness: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    mass: FloatArray = field(default_factory=lambda: np.zeros((0, 0)))
    exhausted: bool = False

    def pushed(self) -> FloatArray:
        """M times the newest block."""
        return np.asarray(self.pencil.discretisation.mass @ self.basis[-1])

    def add(self, block: FloatArray) -> None:
        """Take the rest of the basis out of a block twice, and append what is left."""
        d = self.pencil.discretisation
        block = block / self._norms(block)
        for _ in range(2):
            for old in self.basis:
                block = block - old @ (old.T @ (d.mass @ block))
        kept: list[FloatArray] = []
        for column in block.T:
            for old in kept * 2:
                column = column - old * (old @ (d.mass @ column))
            size = float(self._norms(column))
            if size > DROP:
                kept.append(column / size)
        if not kept:
            self.exhausted = True
            return
        fresh = self.pencil.centred(np.column_stack(kept))
        for old in self.basis:
            fresh = fresh - old @ (old.T @ (d.mass @ fresh))
        self.basis.append(fresh)
        self.stiffness = self._grown(self.stiffness, d.stiffness @ fresh)
        self.mass = self._grown(self.mass, d.mass @ fresh)

    def _norms(self, block: FloatArray) -> FloatArray:
        return np.asarray(np.sqrt(np.einsum("n...,n...->...", block, self.pencil.discretisation.mass @ block)))

    def _grown(self, matrix: FloatArray, image: FloatArray) -> FloatArray:
        """A projected matrix with the newest block's rows and columns."""
        beside = np.concatenate([old.T @ image for old in self.basis])
        count = len(matrix)
        return np.block([[matrix, beside[:count]], [beside[:count].T, beside[count:]]])

    def _flux(self) -> FloatArray:
        return np.concatenate([block.T @ self.pencil.flux for block in self.basis]).T

    def chain(self) -> Chain:
        """The impedance as the basis stands."""
        pencil = self.pencil
        surface, rates, coupling, _ = split(pencil.reach, self._flux(), self.stiffness, self.mass)
        return Chain(pencil.ports.pattern, pencil.conductance, surface, rates, coupling)

    def certified(self, shifts: FloatArray, solves: list[Solve], watched: FloatArray) -> Reduced:
        """The reduced model with its modes and the norms of its residual."""
        pencil, d, chain = self.pencil, self.pencil.discretisation, self.chain()
        basis, flux = np.column_stack(self.basis), self._flux()
        mass = d.mass @ basis
        # what K chi and K x leave outside the space M chi, M x; the latter is a multiple of the former
        outside = pencil.flux - pencil.load @ (pencil.reach / pencil.conductance[:, None]) - mass @ flux.T
        pushed = d.stiffness @ basis - pencil.load @ (flux / pencil.conductance[:, None]) - mass @ self.stiffness
        turn = split(pencil.reach, flux, self.stiffness, self.mass)[3]
        drift = np.linalg.lstsq(outside, pushed, rcond=None)[0] @ turn
        unit = Certificate(shifts, np.zeros((0, 0, 0)), drift, np.eye(len(drift)))
        directions = _spanned(unit.residual(chain, watched))
        outside = outside @ directions
        norms = np.array([outside.T @ solve(outside) for solve in (pencil.resting, *solves)])
        norms = 0.5 * (norms + norms.transpose(0, 2, 1))
        certificate = Certificate(np.concatenate(([0.0], shifts)), norms, drift, directions)
        return Reduced(d, pencil.ports, chain, pencil.chi, basis @ turn, certificate)


def _spanned(columns: ComplexArray) -> FloatArray:
    """Orthonormal real directions (n, k) of all columns of matrices (m, n, q)."""
    flat = columns.transpose(1, 0, 2).reshape(columns.shape[1], -1)
    left, size, _ = np.linalg.svd(np.concatenate((flat.real, flat.imag), axis=1), full_matrices=False)
    return np.asarray(left[:, size > DROP * size[0]])
