"""What a current that repeats but is no sine costs: every harmonic by itself, and a bound on those left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.obstacle import obstacle
from crosscurrent.solver.band.response import Response
from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow

from .spectrum import Spectrum

FEW = 3  # frequencies that are solved one by one


@dataclass(frozen=True, eq=False)
class HarmonicLoss:
    """What a current of many harmonics costs.

    Attributes
    ----------
    spectrum : Spectrum
    circuits : int
        That carry it.
    losses : (m, conductors) float
        Of every harmonic [W/m].
    errors : (m, conductors) float
        Bounds on their errors [W/m].
    rest : float
        What the harmonics left out cost at most [W/m].
    currents : (m, conductors) complex
        Of every harmonic [A rms].
    of_mesh : (m, conductors) float
        The part of the errors that a finer mesh lessens: without what strands as one medium leave open [W/m].
    """

    spectrum: Spectrum
    circuits: int
    losses: FloatArray
    errors: FloatArray
    rest: float
    currents: ComplexArray
    of_mesh: FloatArray

    @property
    def total(self) -> float:
        """Of all conductors [W/m]."""
        return float(self.losses.sum())

    @property
    def error(self) -> float:
        """Bound on the error of the total, what is left out included [W/m]."""
        return float(self.errors.sum()) + self.rest

    @property
    def by_conductor(self) -> FloatArray:
        """Of all harmonics together, (conductors,) [W/m]."""
        return np.asarray(self.losses.sum(axis=0))

    @property
    def errors_by_conductor(self) -> FloatArray:
        """Bounds on their errors, what is left out shared like the rest, (conductors,) [W/m]."""
        return np.asarray(self.errors.sum(axis=0) + self.rest * self.by_conductor / self.total)

    @property
    def strongest(self) -> float:
        """Frequency of the harmonic that costs most [Hz]."""
        return float(self.spectrum.frequency[self.shares.argmax()])

    @property
    def resistance(self) -> float:
        """Total loss over the square of the rms current, for each circuit that carries it [ohm/m]."""
        return self.total / (self.circuits * self.spectrum.rms**2)

    @property
    def shares(self) -> FloatArray:
        """Of every harmonic in the total, (m,)."""
        return np.asarray(self.losses.sum(axis=1) / self.total)


def harmonic_loss(
    problem: Problem, circuits: Sequence[str], spectrum: Spectrum, *, accuracy: float = 1e-3
) -> HarmonicLoss:
    """Losses of a current in some circuits, the others carrying none.

    Every circuit carries the same current, later by its own phase of the sine it repeats with, as the phases of a
    supply do; what circuits share carries the sum, harmonic by harmonic.

    Parameters
    ----------
    problem : Problem
    circuits : sequence of str
    spectrum : Spectrum
    accuracy : float
        Wanted relative bound on the loss of each harmonic.

    Raises
    ------
    SweepError
        A metal with a magnetisation curve, in which harmonics do not add up.

    Notes
    -----
    What is left out: no resistance of linear, smooth metals rises faster than the square of the frequency
    (solver.band.foster), so that beyond the last harmonic R(w) <= R(w_last) (w / w_last)^2, and the loss of the rest
    is at most R(w_last) / w_last^2 times the mean square of its slope.

    Examples
    --------
    800 A at 50 Hz with 100 A of the fifth harmonic in a rod of 20 mm:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> problem = alone(round_bar(0.020))
    >>> found = harmonic_loss(problem, ["feed"], Spectrum(np.array([50.0, 250.0]), np.array([800.0 + 0j, 100.0])))
    >>> round(found.total, 2), round(float(found.shares[1]), 4)
    (36.86, 0.0216)
    """
    if steel := next((c.name for c in problem.conductors if c.is_saturable), None):
        raise SweepError(
            f'conductor "{steel}" has a magnetisation curve, in which harmonics do not add up: expected metals of '
            "constant permeability; state permeability in its place"
        )
    order = np.argsort(spectrum.frequency)
    phases = {c.name: float(np.angle(c.current)) for c in problem.circuits}
    given = np.zeros((len(order), len(problem.circuits)), dtype=complex)
    for k, circuit in enumerate(problem.circuits):
        if circuit.name in circuits:
            given[:, k] = spectrum.delayed(phases[circuit.name])
    if len(order) <= FEW or obstacle(problem):
        losses, errors, of_mesh, currents = _one_by_one(problem, given, spectrum.frequency, accuracy)
    else:
        losses, errors, of_mesh, currents = _swept(problem, given, spectrum.frequency, accuracy)
    rest = _rest(problem, circuits, spectrum, accuracy) if spectrum.steepness else 0.0
    return HarmonicLoss(spectrum, len(circuits), losses, errors, rest, currents, of_mesh)


def _rest(problem: Problem, circuits: Sequence[str], spectrum: Spectrum, accuracy: float) -> float:
    """What is left out costs at most this, whatever its phases: with the sum of the circuits' own resistances [W/m]."""
    last = float(spectrum.frequency.max())
    units = [[float(c.name == name) + 0j for c in problem.circuits] for name in circuits]
    fields = solve(_with_currents(problem, np.array(units).sum(axis=0)), last, accuracy=10 * accuracy).fine.fields
    resistance = sum(SolvedFlow.of(_with_currents(problem, np.array(u)), fields).powers.real.sum() for u in units)
    return float(resistance) * len(circuits) * (spectrum.steepness / (2 * np.pi * last)) ** 2


def _with_currents(problem: Problem, currents: ComplexArray) -> Problem:
    circuits = tuple(replace(c, current=complex(i)) for c, i in zip(problem.circuits, currents, strict=True))
    return replace(problem, circuits=circuits)


def _one_by_one(
    problem: Problem, given: ComplexArray, frequency: FloatArray, accuracy: float
) -> tuple[FloatArray, FloatArray, FloatArray, ComplexArray]:
    losses, errors, of_mesh = np.zeros((3, len(frequency), len(problem.conductors)))
    currents = np.zeros(losses.shape, dtype=complex)
    for k, f in enumerate(frequency):
        if given[k].any():
            solution = solve(_with_currents(problem, given[k]), float(f), accuracy=accuracy)
            losses[k], errors[k] = solution.fine.powers.real, solution.power_errors
            of_mesh[k], currents[k] = solution.mesh_errors, solution.fine.currents
    return losses, errors, of_mesh, currents


def _swept(
    problem: Problem, given: ComplexArray, frequency: FloatArray, accuracy: float
) -> tuple[FloatArray, FloatArray, FloatArray, ComplexArray]:
    strongest = int(np.abs(given).sum(axis=1).argmax())
    found = sweep(_with_currents(problem, given[strongest]), list(map(float, frequency)), accuracy=accuracy)
    fine, coarse = (_Driven(r.problem, r.model, r.frequency, given) for r in (found.fine, found.coarse))
    found = replace(found, fine=fine, coarse=coarse)
    return found.fine.losses, found.power_errors, found.mesh_errors, fine.currents


@dataclass(frozen=True, eq=False)
class _Driven(Response):
    """A response to other currents at every frequency."""

    given: ComplexArray  # (m, circuits) [A rms]

    @cached_property
    def drive(self) -> ComplexArray:
        """Current of every pattern, (m, patterns) [A rms]."""
        return self.answered(self.given)
