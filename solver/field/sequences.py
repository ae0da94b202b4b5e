"""Symmetrical components: what three phases are to currents that are alike, or that follow one another."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray

from .bars import FLOOR
from .problem import Circuit
from .solution import Solution
from .steel import BAND

TURN = cmath.exp(2j * math.pi / 3)


@dataclass(frozen=True)
class Sequences:
    """Impedance of three circuits to each sequence of currents.

    Attributes
    ----------
    zero, positive, negative : complex
        Voltage of a sequence per ampere of the same one [ohm/m]. The positive and the negative are alike in any
        section at rest. Without a return the zero sequence is relative to that of the section.
    zero_error, positive_error, negative_error : float
        Bounds on the error of R and of X each [ohm/m].
    mutual : float
        Largest voltage of one sequence per ampere of another, over the positive impedance: 0 for phases that are
        placed alike.
    """

    zero: complex
    positive: complex
    negative: complex
    zero_error: float
    positive_error: float
    negative_error: float
    mutual: float


def sequence_matrix(impedance: ComplexArray) -> ComplexArray:
    """A^-1 Z A of an impedance matrix of three phases: rows and columns zero, positive, negative, (3, 3) [ohm/m].

    C. L. Fortescue, Trans. AIEE 37, 1027-1140, 1918 (from memory).

    Examples
    --------
    Phases placed alike, with self and mutual impedance: Z + 2 M for the zero sequence, Z - M for the others.

    >>> found = sequence_matrix(np.full((3, 3), 1.0 + 0j) + 2.0 * np.eye(3))
    >>> (abs(found).round(12) + 0.0).tolist()
    [[5.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 2.0]]
    """
    to_phases = TURN ** -np.outer(np.arange(3), np.arange(3)).astype(float)
    return np.asarray(to_phases.conj() @ impedance @ to_phases / 3)


def sequences_of(solution: Solution) -> Sequences | None:
    """Of three circuits that are the phases of one system; None for any others."""
    if not are_phases(solution.problem.circuits):
        return None
    found = sequence_matrix(solution.fine.circuit_impedance)
    errors = 2 * np.abs(sequence_matrix(solution.impedance_change)) + FLOOR * np.abs(found)
    if solution.steel is not None and (other := solution.steel.other) is not None:
        errors += BAND * np.abs(found - sequence_matrix(other.circuit_impedance))
    zero, positive, negative = (complex(z) for z in np.diag(found))
    of_zero, of_positive, of_negative = (float(e) for e in np.diag(errors))
    apart = np.abs(found - np.diag(np.diag(found))).max()
    mutual = float(apart / abs(positive)) if positive else 0.0
    return Sequences(zero, positive, negative, of_zero, of_positive, of_negative, mutual)


def are_phases(circuits: Sequence[Circuit]) -> bool:
    """Whether these are three circuits with one return, or none, alike in turns, whose currents follow one another.

    One that is shorted is the phase of nothing.

    Examples
    --------
    >>> lines = [Circuit(name, 100 * TURN**-k, (name,), ("n",)) for k, name in enumerate(("L1", "L2", "L3"))]
    >>> are_phases(lines), are_phases(lines[:2])
    (True, False)
    """
    if len(circuits) != 3 or any(c.shorted for c in circuits):
        return False
    if len({(frozenset(c.back), c.turns) for c in circuits}) > 1:
        return False
    together, onward, backward = np.abs(np.fft.fft([c.current for c in circuits]))
    return bool(max(onward, backward) > together)
