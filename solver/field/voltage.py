"""Voltage across the gaps of a run: which conductors face each other, the mean field, what a resonance makes of it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from crosscurrent.geometries.plane.neighbours import finished_gap

from .electrostatic import Capacitance, section_capacitance
from .problem import Problem


@dataclass(frozen=True)
class VoltagePair:
    """Two groups of conductors with a voltage between them.

    Attributes
    ----------
    name : str
    out, back : tuple of str
        Their conductors.
    circuits : tuple of str
        The one that both belong to, or the two whose voltages differ by that between them.
    """

    name: str
    out: tuple[str, ...]
    back: tuple[str, ...]
    circuits: tuple[str, ...]


def voltage_pairs(problem: Problem) -> Iterator[VoltagePair]:
    """Out against back of every circuit; against each other, circuits without a back or with one in common.

    Examples
    --------
    >>> from crosscurrent.solver.field.problem import Circuit
    >>> lines = tuple(Circuit(name, 1.0, (name,)) for name in ("a", "b", "c"))
    >>> [pair.name for pair in voltage_pairs(Problem((), lines))]
    ['a - b', 'a - c', 'b - c']
    >>> phases = tuple(Circuit(name, 1.0, (name,), ("n",)) for name in ("a", "b"))
    >>> [pair.name for pair in voltage_pairs(Problem((), phases))]
    ['a', 'b', 'a - b']
    """
    yield from (VoltagePair(c.name, c.out, c.back, (c.name,)) for c in problem.circuits if c.back)
    for one, other in combinations(problem.circuits, 2):
        if set(one.back) == set(other.back) and not set(one.out) & set(other.out):
            yield VoltagePair(f"{one.name} - {other.name}", one.out, other.out, (one.name, other.name))
        elif set(one.out) == set(other.out) and one.back and other.back and not set(one.back) & set(other.back):
            # from one back to the other: less the first loop, then along the second
            yield VoltagePair(f"{one.name} - {other.name}", one.back, other.back, (one.name, other.name))


def gap_between(problem: Problem, pair: VoltagePair) -> float:
    """Smallest distance between the finished surfaces of the two groups [m]."""
    parts = {c.name: c.part for c in problem.conductors}
    return min(finished_gap(parts[a], parts[b]) for a in pair.out for b in pair.back)


def capacitance_between(problem: Problem, pair: VoltagePair) -> Capacitance:
    """Of the two groups in air, conductors of neither without charge."""
    numbers = {c.name: k for k, c in enumerate(problem.conductors)}
    out, back = (tuple(numbers[name] for name in group) for group in (pair.out, pair.back))
    return section_capacitance(problem.section, out, back)


def resonance_voltage(quality: float, delivered: float, drop: float) -> float:
    """Across the capacitor of a series circuit at resonance [V]: its quality times what the supply delivers [V].

    Never less than the `drop` of the run itself [V]: the current that is stated flows through it.

    Examples
    --------
    >>> resonance_voltage(50.0, 12.0, 100.0), resonance_voltage(2.0, 12.0, 100.0)
    (600.0, 100.0)
    """
    return max(quality * delivered, drop)


def current_change(frequency: float, inductance: float, capacitance: float, length: float) -> float:
    """By how much the current changes along a run shorted at its far end, relative: 1 - cos(w sqrt(L C) l).

    Parameters
    ----------
    frequency : float [Hz]
    inductance : float [H/m]
    capacitance : float [F/m]
    length : float [m]

    Notes
    -----
    A line without losses has the current I(x) = I(l) cos(w sqrt(L C) (l - x)) (any book on transmission lines); beyond
    half a wave the answer stays at 2.

    Examples
    --------
    A quarter of a wave, in air 3.75 m at 20 MHz:

    >>> round(current_change(20e6, 1e-6, 1 / (1e-6 * 299792458.0**2), 299792458.0 / 80e6), 9)
    1.0
    """
    phase = 2 * math.pi * frequency * math.sqrt(inductance * capacitance) * length
    return 1 - math.cos(min(phase, math.pi))
