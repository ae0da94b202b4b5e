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
from .certificate import Formed
from .factor import one_thread
from .krylov import DROP, shifts_of
from .pencil import Pencil
from .problem import Problem
from .reduced import Reduced
from .response import Response
from .solve import Progress
from .space import Space, scaled
from .sweep import Sweep, reduced, smooth_metals, sweep

ALIKE = 1e-9  # relative difference of factors below which they count as one
TOLERANCE = 1e-9  # of the merged bases, on R and L


@dataclass(frozen=True, eq=False)
class Evaluator:
    """Answers at any frequency and temperature of a range.

    Attributes
    ----------
    sweep : Sweep
        At the temperatures of the problem.
    coldest, hottest : float
        Range of the temperature [degC].
    merged : Space or None
        For metals that change unlike.
    pencil : Pencil
        With the factors that certify.
    shifts : (k,) float
        Its angular frequencies, the first 0 [rad/s].
    """

    sweep: Sweep
    coldest: float
    hottest: float
    merged: Space | None
    pencil: Pencil
    shifts: FloatArray

    def evaluate(self, frequency: float | Sequence[float], temperature: float) -> Sweep:
        """Every answer at one or more frequencies [Hz] with the whole section at one temperature [degC].

        Frequencies and temperatures beyond the range are answered too, with wider bars.
        """
        wanted = np.atleast_1d(np.asarray(frequency, dtype=float))
        problem, factors = _at(self.sweep.problem, temperature)
        if self.merged is None or _alike(factors):
            k = float(factors.mean())
            fine, coarse = (r.model.with_conductivity(k) for r in (self.sweep.fine, self.sweep.coarse))
        else:
            fine = Reduced.of(self.merged, factors)
            known = Formed(self.pencil, self.shifts, self.merged, factors, fine.turn, fine.slip)
            fine, coarse = replace(fine, certificate=known), Reduced.of(self._below, factors)
        responses = (Response(problem, model, wanted) for model in (fine, coarse))
        one, other = responses
        return replace(self.sweep, problem=problem, frequency=wanted, fine=one, coarse=other, warnings=())

    @property
    def _below(self) -> Space:
        assert self.merged is not None
        if self.merged not in _LOWERED:
            _LOWERED[self.merged] = self.merged.lowered()
        return _LOWERED[self.merged]
