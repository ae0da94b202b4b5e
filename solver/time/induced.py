"""What flows in circuits that are shorted while currents in time flow in others: sums of exponentials as well.

With the modes of `solver.band.foster`, x_k = w_k a_k, and currents i of stated circuits and y of shorted ones,

    x' / w + x + C_s y = -C_i i,    L_ss y' + C_s' x + (R_ss + C_s' C_s) y = -L_si i' - C_s' C_i i:

two symmetric positive definite matrices, so all of it decays. Each of its modes answers an exponential by that and by
its own decay; a sudden step of i leaves the flux through what is shorted as it was.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import BoolArray
from crosscurrent.solver.band.foster import FosterForm, eigenpairs
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.sweep import Sweep

from .excitation import Excitation, Term

SLIGHT = 1e-12  # part of the largest amplitude that is rounding
APART = 1e-8  # by how much a decay is moved off one that drives it, relative


def with_induced(sweep: Sweep, given: Sequence[Excitation | None]) -> tuple[Excitation | None, ...]:
    """The currents of all circuits in time, those of shorted ones found from the others.

    Parameters
    ----------
    sweep : Sweep
        With a drive for each circuit.
    given : sequence of (Excitation or None)
        One for each circuit; None for those that are shorted.

    Raises
    ------
    SweepError
        A bundle of strands in a circuit that is shorted.
    """
    circuits = sweep.problem.circuits
    shorted = np.array([c.shorted for c in circuits])
    if not shorted.any():
        return tuple(given)
    foster = sweep.fine.model.foster
    driven = (foster.pattern[:, shorted] != 0).any(axis=1)
    if any(strands and on for strands, on in zip(foster.within, driven, strict=False)):
        raise SweepError(
            "a current in time beside a shorted coil of bundles: expected solid turns in it, since the strands of a "
            "medium are no cells that answer by themselves; give it turns of solid wire or leave the fault out"
        )
    answer = _Answer(foster, shorted)
    found = list(given)
    duration = max(one.duration for one in given if one)
    for row, number in enumerate(np.flatnonzero(shorted)):
        terms = [t for k, one in enumerate(given) if one for t in answer.terms(row, k, one.terms)]
        found[number] = Excitation(tuple(terms), duration)
    return tuple(found)


class _Answer:
    """Modes of a section with shorted circuits, and how the currents of others drive them."""

    def __init__(self, foster: FosterForm, shorted: BoolArray) -> None:
        own = foster.coupling @ foster.pattern[:, shorted]  # C_s (r, s)
        every = foster.coupling @ foster.pattern  # C_i (r, circuits)
        surface = foster.pattern.T @ foster.surface_inductance @ foster.pattern
        count, more = own.shape
        resting = foster.resting_resistance
        system = np.block([[np.eye(count), own], [own.T, resting[np.ix_(shorted, shorted)] + own.T @ own]])
        stored = np.block([
            [np.diag(1 / foster.rates), np.zeros((count, more))],
            [np.zeros((more, count)), surface[np.ix_(shorted, shorted)]],
        ])
        self.rates, vectors = eigenpairs(system, stored)
        self.own = vectors[count:]  # current of each shorted circuit in every mode, (s, n)
        self.by_current = -vectors.T @ np.concatenate((every, own.T @ every + resting[shorted]))
        self.by_change = -vectors[count:].T @ surface[shorted]

    def terms(self, row: int, circuit: int, driving: Sequence[Term]) -> list[Term]:
        """Of one shorted circuit for the current of one other."""
        own, level, change = self.own[row], self.by_current[:, circuit], self.by_change[:, circuit]
        found = []
        for term in driving:
            total = term.rate + self.rates
            rates = np.where(np.abs(total) < APART * self.rates, self.rates * (1 + APART), self.rates)
            total = term.rate + rates
            steady = complex(own @ ((level + change * term.rate) / total))
            found.append(Term(term.amplitude * steady, term.rate, term.start))
            amplitudes = -term.amplitude * own * (level - change * rates) / total
            kept = np.abs(amplitudes) > SLIGHT * np.abs(amplitudes).max()
            found += [
                Term(complex(a), complex(-w), term.start) for a, w in zip(amplitudes[kept], rates[kept], strict=True)
            ]
        return found

