"""What flows in circuits that are shorted while currents in time flow in others: sums of exponentials as well.

With the modes of `solver.band.foster`, x_k = w_k a_k, and currents i of stated circuits and y of shorted ones,

    x' / w + x + C_s y = -C_i i,    L_ss y' + C_s' x + (R_ss + C_s' C_s) y = -L_si i' - C_s' C_i i:

two symmetric positive definite matrices, so all of it decays. Each of its modes answers an exponential by that and by
its own decay; a sudden step of i leaves the flux through what is shorted as it was.

Strands in what is shorted add cells c s / (s + w) and an inductance each: rows like those of the modes, with the sign
of c, which may be below zero. The whole takes energy still, so all of it decays, some of it turning.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from scipy import linalg

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.solver.band.foster import FosterForm, eigenpairs
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.elements.factor import Numbers

from .excitation import Excitation, Term
from .strand_excess import StrandExcess

SLIGHT = 1e-12  # part of the largest amplitude that is rounding
APART = 1e-8  # by how much a decay is moved off one that drives it, relative


def with_induced(
    sweep: Sweep, given: Sequence[Excitation | None], excess: Mapping[int, StrandExcess]
) -> tuple[Excitation | None, ...]:
    """The currents of all circuits in time, those of shorted ones found from the others.

    Parameters
    ----------
    sweep : Sweep
        With a drive for each circuit.
    given : sequence of (Excitation or None)
        One for each circuit; None for those that are shorted.
    excess : mapping of int to StrandExcess
        What strands add, by the groups of the reduced model.
    """
    circuits = sweep.problem.circuits
    shorted = np.array([c.shorted for c in circuits])
    if not shorted.any():
        return tuple(given)
    answer = _Answer(sweep.fine.model.foster, shorted, excess)
    found = list(given)
    duration = max(one.duration for one in given if one)
    for row, number in enumerate(np.flatnonzero(shorted)):
        terms = [t for k, one in enumerate(given) if one for t in answer.terms(row, k, one.terms)]
        found[number] = Excitation(tuple(terms), duration)
    return tuple(found)


class _Answer:
    """Modes of a section with shorted circuits, and how the currents of others drive them."""

    def __init__(self, foster: FosterForm, shorted: BoolArray, excess: Mapping[int, StrandExcess]) -> None:
        own = foster.coupling @ foster.pattern[:, shorted]  # C_s (r, s)
        every = foster.coupling @ foster.pattern  # C_i (r, circuits)
        surface = foster.pattern.T @ foster.surface_inductance @ foster.pattern
        within = {group: cells for group, cells in excess.items() if foster.pattern[group, shorted].any()}
        patterns = foster.pattern[np.array(sorted(within), dtype=np.int64)][:, shorted]
        inner = surface[np.ix_(shorted, shorted)]
        for pattern, cells in zip(patterns, within.values(), strict=True):
            inner = inner + cells.inductance * np.outer(pattern, pattern)
        rows, rates = _strand_rows(patterns, list(within.values()))
        signs = np.concatenate((np.ones(len(own)), np.sign(rates)))
        count, coupled = len(own), np.concatenate((own, rows))
        resting = foster.resting_resistance
        resistance = resting[np.ix_(shorted, shorted)] + coupled.T @ (signs[:, None] * coupled)
        system = np.block([[np.diag(signs), coupled], [coupled.T, resistance]])
        decay = np.concatenate((foster.rates, np.abs(rates)))
        self.rates, modes, answering = _modes(system, signs, decay, inner)
        self.own = modes[len(signs) :]  # current of each shorted circuit in every mode, (s, n)
        across = answering[:, len(signs) :]
        self.by_current = -answering[:, :count] @ every - across @ (own.T @ every + resting[shorted])
        self.by_change = -across @ surface[shorted]

    def terms(self, row: int, circuit: int, driving: Sequence[Term]) -> list[Term]:
        """Of one shorted circuit for the current of one other."""
        own, level, change = self.own[row], self.by_current[:, circuit], self.by_change[:, circuit]
        found = []
        for term in driving:
            total = term.rate + self.rates
            rates = np.where(np.abs(total) < APART * np.abs(self.rates), self.rates * (1 + APART), self.rates)
            total = term.rate + rates
            steady = complex(own @ ((level + change * term.rate) / total))
            found.append(Term(term.amplitude * steady, term.rate, term.start))
            amplitudes = -term.amplitude * own * (level - change * rates) / total
            kept = np.abs(amplitudes) > SLIGHT * np.abs(amplitudes).max()
            found += [
                Term(complex(a), complex(-w), term.start) for a, w in zip(amplitudes[kept], rates[kept], strict=True)
            ]
        return found


def _strand_rows(patterns: FloatArray, cells: Sequence[StrandExcess]) -> tuple[FloatArray, FloatArray]:
    """Coupling to shorted circuits (k, s) of cells of strands and their rates (k,), below zero for those of c < 0.

    Parameters
    ----------
    patterns : (groups, s) float
        Current of every bundle per current of a shorted circuit.
    cells : one for each of them
        Those of one rate make one of as many rows as there are circuits.
    """
    alike: dict[bytes, list[int]] = {}
    for number, one in enumerate(cells):
        alike.setdefault(one.rates.tobytes(), []).append(number)
    rows, rates = [np.zeros((0, patterns.shape[1]))], [np.zeros(0)]
    for numbers in alike.values():
        matrices = sum(cells[k].resistance[:, None, None] * np.outer(patterns[k], patterns[k]) for k in numbers)
        values, axes = np.linalg.eigh(matrices)
        kept = np.abs(values) > SLIGHT * np.abs(values).max()
        scaled = np.sign(values)[:, None] * np.sqrt(np.abs(values))[:, None] * axes
        rows.append(scaled.swapaxes(1, 2)[kept])
        rates.append((np.sign(values) * cells[numbers[0]].rates[:, None])[kept])
    return np.concatenate(rows), np.concatenate(rates)


def _modes(
    system: FloatArray, signs: FloatArray, decay: FloatArray, inductance: FloatArray
) -> tuple[Numbers, Numbers, Numbers]:
    """Rates (n,), modes (n, n) and what drives each (n, n), of stored z' + system z = f.

    What is stored is signs / decay (k,) and the inductance (s, s).
    """
    if (signs > 0).all():
        rates, modes = eigenpairs(system, linalg.block_diag(np.diag(1 / decay), inductance))
        return rates, modes, modes.T
    own = linalg.cholesky(inductance)
    scale = linalg.block_diag(np.diag(np.sqrt(decay)), np.linalg.inv(own))
    signed = np.concatenate((signs, np.ones(len(own))))[:, None]
    rates, modes = np.linalg.eig(signed * (scale.T @ system @ scale))
    return rates, scale @ modes, np.linalg.solve(modes, signed * scale.T)
