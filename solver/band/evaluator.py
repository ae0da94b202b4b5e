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

from ..geometries.outline import FloatArray
from .certificate import Formed, Known
from .factor import one_thread
from .field import Discretisation
from .krylov import glimpse, lead, reduced
from .pencil import Pencil
from .problem import Problem
from .reduced import Reduced
from .response import Response
from .solve import Progress
from .space import Space, scaled
from .sweep import Sweep, smooth_metals, sweep

ALIKE = 1e-9  # relative difference of factors below which they count as one
TOLERANCE = 1e-9  # of the merged bases, on R and L
LEFT = 1e-7  # part of a vector that must be left outside the other basis


@dataclass(frozen=True, eq=False)
class Merged:
    """A space for metals that change unlike, and what certifies its solutions.

    Attributes
    ----------
    fine, coarse : Space
        At the order of the answers and at the next lower one.
    pencil : Pencil
        Of the hottest section.
    shifts : (k,) float
        Angular frequencies at which its factors are kept, the first 0 [rad/s].
    """

    fine: Space
    coarse: Space
    pencil: Pencil
    shifts: FloatArray

    def models(self, factors: FloatArray) -> tuple[Reduced, Reduced]:
        """The models of both orders for conductivities multiplied by factors (regions,)."""
        model = Reduced.of(self.fine, factors)
        formed = Formed(self.pencil, self.shifts, self.fine, factors, model.turn, model.slip)
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
        As `sweep`.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Circuit, Conductor
    >>> rod = Conductor(Part("rod", round_bar(0.010)), MATERIALS["copper"])
    >>> alone = Problem((rod,), (Circuit("feed", 100.0, ("rod",)),))
    >>> warm = evaluator(alone, (50.0, 5e3), (20.0, 100.0)).evaluate(500.0, 80.0)
    >>> round(float(warm.fine.losses[0, 0]), 3)
    2.991
    """
    ends = [_factors(problem, at_temperature(problem, t)) for t in temperatures]
    low, high = frequencies[0] * min(1.0, *(f.min() for f in ends)), frequencies[1] * max(1.0, *(f.max() for f in ends))
    count = max(3, round(4 * np.log10(high / low)))
    found = sweep(problem, [float(f) for f in np.geomspace(low, high, count)], accuracy=accuracy, progress=progress)
    if all(np.ptp(f) < ALIKE * f.max() for f in ends):
        return Evaluator(found)
    say = progress or (lambda what, done: None)
    with one_thread():
        say("merged bases", 0.8)
        d, ports = found.fine.model.discretisation, found.fine.model.ports
        cold, hot = (Pencil(scaled(d, f), ports, lead(high)) for f in ends)
        first, second = (reduced(glimpse(p), low, high, tolerance=TOLERANCE) for p in (cold, hot))
        space = _merged(d, first, second)
    assert isinstance(second.certificate, Known)
    return Evaluator(found, Merged(space, space.lowered(), hot, second.certificate.shifts))


def at_temperature(problem: Problem, temperature: float) -> Problem:
    """The same problem with every conductor at one temperature [degC]."""
    conductors = tuple(replace(c, temperature=temperature) for c in problem.conductors)
    return replace(problem, conductors=conductors)


def _factors(before: Problem, after: Problem) -> FloatArray:
    """Of every region's conductivity, (regions,)."""
    old, new = (np.array([m.conductivity for m in smooth_metals(p)]) for p in (before, after))
    return np.asarray(new / old)


def _merged(discretisation: Discretisation, first: Reduced, second: Reduced) -> Space:
    """What two bases span together; the second less its part in the first, twice for the rounding."""
    mass, basis, more = discretisation.mass, first.space.basis, second.space.basis
    gram = np.linalg.cholesky(basis.T @ (mass @ basis))
    basis = np.linalg.solve(gram, basis.T).T
    for _ in range(2):
        more = more - basis @ (basis.T @ (mass @ more))
    size, turn = np.linalg.eigh(more.T @ (mass @ more))
    kept = size > LEFT**2
    more = more @ (turn[:, kept] / np.sqrt(size[kept]))
    more = more - basis @ (basis.T @ (mass @ more))
    return Space.spanned(discretisation, first.ports, first.chi, np.column_stack((basis, more)))
