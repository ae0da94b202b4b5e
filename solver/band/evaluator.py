"""A section at any frequency and temperature of a range, from reduced models: what varies costs small matrices only.

One temperature for the whole section changes all conductivities. Where they all change alike, by a factor k, the
sweep itself knows the answer, Z_k(w) = Z(k w) / k, exactly. Metals with different coefficients change unlike: then the
bases of the coldest and the hottest section are merged, and the solution of the merged space is certified by the
residual it leaves, formed for the conductivities at hand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.elements.factor import one_thread
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.region_metals import smooth_metals
from crosscurrent.solver.field.solve import Progress

from .band_matrices import BandMatrices
from .basis import ReducedBasis, scaled
from .bound import OnTheFlyBound, PrecomputedBound
from .krylov import SweepError
from .passes import first_shift_basis, pencil_for, reduced
from .pencil import Pencil
from .reduced import Reduced
from .response import Response
from .sweep import Sweep, sweep

REST = np.zeros(1)  # [Hz]
ALIKE = 1e-9  # relative difference of factors below which they count as one
TOLERANCE = 1e-9  # of the merged bases, on R and L
LEFT = 1e-7  # part of a vector that must be left outside the other basis


@dataclass(frozen=True, eq=False)
class Merged:
    """A basis for metals that change unlike, and what certifies its solutions.

    Attributes
    ----------
    fine, coarse : ReducedBasis
        At the order of the answers and at the next lower one.
    pencil : Pencil
        Of the hottest section.
    shifts : (k,) float
        Angular frequencies at which its factors are kept, the first 0 [rad/s].
    """

    fine: ReducedBasis
    coarse: ReducedBasis
    pencil: Pencil
    shifts: FloatArray

    def models(self, factors: FloatArray) -> tuple[Reduced, Reduced]:
        """The models of both orders for conductivities multiplied by factors (regions,)."""
        model = Reduced.of(self.fine, factors)
        formed = OnTheFlyBound(self.pencil, self.shifts, self.fine, factors, model.modal_matrix, model.mean_correction)
        return replace(model, certificate=formed), Reduced.of(self.coarse, factors)


@dataclass(frozen=True, eq=False)
class Evaluator:
    """Answers at any frequency and temperature of a range.

    Attributes
    ----------
    sweep : Sweep
        At the temperatures of the problem.
    merged : Merged or None
        None where all conductivities change alike.
    """

    sweep: Sweep
    merged: Merged | None = None

    def evaluate(self, frequency: float | Sequence[float], temperature: float) -> Sweep:
        """Every answer at one or more frequencies [Hz] with the whole section at one temperature [degC].

        Beyond the range it was made for the answers have wider bars.
        """
        problem = at_temperature(self.sweep.problem, temperature)
        factors = _factors(self.sweep.problem, problem)
        if self.merged is None:
            k = float(factors.mean())
            fine, coarse = (r.model.with_conductivity(k) for r in (self.sweep.fine, self.sweep.coarse))
        else:
            fine, coarse = self.merged.models(factors)
        wanted = np.atleast_1d(np.asarray(frequency, dtype=float))
        one, other = (Response(problem, model, wanted) for model in (fine, coarse))
        return replace(self.sweep, problem=problem, frequency=wanted, fine=one, coarse=other)


def evaluator(
    problem: Problem,
    frequencies: tuple[float, float],
    temperatures: tuple[float, float],
    *,
    accuracy: float = 1e-3,
    progress: Progress | None = None,
) -> Evaluator:
    """Prepare a section for any frequency and temperature of a range.

    Parameters
    ----------
    problem : Problem
        With smooth surfaces.
    frequencies : (float, float)
        Lowest and highest [Hz], above 0.
    temperatures : (float, float)
        Coldest and hottest [degC].
    accuracy : float
        Wanted relative bound on the error of every loss and resistance, at the temperatures of the problem.

    Raises
    ------
    SweepError
        As `sweep`; and for what is followed from frequency to frequency (straight strands as a medium, ferrite) where
        metals change unlike with temperature.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> rod = alone(round_bar(0.010), 100.0)
    >>> warm = evaluator(rod, (50.0, 5e3), (20.0, 100.0)).evaluate(500.0, 80.0)
    >>> round(float(warm.fine.losses[0, 0]), 3)
    2.991
    """
    ends = [_factors(problem, at_temperature(problem, t)) for t in temperatures]
    low, high = frequencies[0] * min(1.0, *(f.min() for f in ends)), frequencies[1] * max(1.0, *(f.max() for f in ends))
    count = max(3, round(4 * np.log10(high / low)))
    found = sweep(problem, [float(f) for f in np.geomspace(low, high, count)], accuracy=accuracy, progress=progress)
    if all(np.ptp(f) < ALIKE * f.max() for f in ends):
        return Evaluator(found)
    if found.fine.model.basis.matrices.sharing:
        raise SweepError(
            "a bundle of straight lay, ferrite or a permeability with loss, and metals that change unlike with "
            "temperature: expected one coefficient for all, or temperatures that do not differ"
        )
    say = progress or (lambda what, done: None)
    with one_thread():
        say("merged bases", 0.8)
        d, ports = found.fine.model.discretisation, found.fine.model.ports
        cold, hot = (pencil_for(scaled(d, f), ports, high) for f in ends)
        first, second = (reduced(first_shift_basis(p), low, high, tolerance=TOLERANCE) for p in (cold, hot))
        basis = _merged(d, first, second)
    assert isinstance(second.certificate, PrecomputedBound)
    return Evaluator(found, Merged(basis, basis.lowered(), hot, second.certificate.shifts))


def at_temperature(problem: Problem, temperature: float) -> Problem:
    """The same problem with every conductor at one temperature [degC]."""
    conductors = tuple(replace(c, temperature=temperature) for c in problem.conductors)
    return replace(problem, conductors=conductors)


def _factors(before: Problem, after: Problem) -> FloatArray:
    """Of every region's conductivity, (regions,); what does not conduct goes with the others."""
    old, new = (np.array([m.at(REST, 0).conductivity for m in smooth_metals(p)]) for p in (before, after))
    found = np.divide(new, old, out=np.zeros(len(old)), where=old > 0)
    return np.asarray(np.where(old > 0, found, found[old > 0][0]))


def _merged(discretisation: Discretisation, first: Reduced, second: Reduced) -> ReducedBasis:
    """What two bases span together; the second less its part in the first, twice for the rounding."""
    matrices, vectors, more = BandMatrices(discretisation), first.basis.tall, second.basis.tall
    gram = np.linalg.cholesky(vectors.T @ matrices.weighed(vectors))
    vectors = np.linalg.solve(gram, vectors.T).T
    for _ in range(2):
        more = more - vectors @ (vectors.T @ matrices.weighed(more))
    size, axes = np.linalg.eigh(more.T @ matrices.weighed(more))
    kept = size > LEFT**2
    more = more @ (axes[:, kept] / np.sqrt(size[kept]))
    more = more - vectors @ (vectors.T @ matrices.weighed(more))
    both, states = np.split(np.column_stack((vectors, more)), [matrices.unknowns])
    return ReducedBasis.spanned(matrices, first.ports, first.chi, both, states)
