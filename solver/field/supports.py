"""What the forces on conductors ask of their supports: in service and at a fault, the spacing, resonances."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from .beams import (
    Bending,
    Fixing,
    Push,
    bending,
    courses,
    largest_spacing,
    natural_frequencies,
    peak_errors,
    pushes,
)
from .flow import is_steady
from .solution import Solution

NEAR = 0.3  # within this part of a force's frequency a support resonates


@dataclass(frozen=True)
class SupportLoad:
    """A conductor with its forces and what they ask of its supports.

    Attributes
    ----------
    name : str
    frequency : float
        [Hz]
    push : Push
        In service.
    fault : float or None
        Peak at the fault [N/m].
    worst : float
        The peak that the supports must stand [N/m].
    error : float
        Bound on its error [N/m].
    beam : Bending
    spacing : float or None
        Largest that keeps the stress [m].
    span : float or None
        As stated, else that largest [m].
    resonance : tuple of float or None
        Lowest and highest natural frequency at that span [Hz].
    live : bool
        Whether it belongs to a circuit.
    """

    name: str
    frequency: float
    push: Push
    fault: float | None
    worst: float
    error: float
    beam: Bending
    spacing: float | None
    span: float | None
    resonance: tuple[float, float] | None
    live: bool


def support_loads(
    solution: Solution, *, ratio: float | None, stress: float | None, spacing: float | None, fixing: Fixing
) -> list[SupportLoad]:
    """Of every conductor in a circuit, and of those whose force stands out from its error bar.

    Parameters
    ----------
    solution : Solution
    ratio : float or None
        Peak factor of a fault times its initial rms current over that in service.
    stress : float or None
        That the bending may add [Pa].
    spacing : float or None
        Of the supports [m].
    fixing : "simple", "continuous" or "clamped"
    """
    problem, steady = solution.problem, is_steady(solution.fine)
    live = problem.live
    rows = zip(problem.conductors, pushes(solution.fine), courses(solution.fine), peak_errors(solution), strict=True)
    found = []
    for number, (conductor, push, course, bound) in enumerate(rows):
        error = float(bound)
        if conductor.name not in live and push.peak <= error:
            continue
        fault = None if ratio is None else fault_peak(push.peak, ratio, steady=steady)
        worst = push.peak if fault is None else fault
        scale = worst / push.peak if push.peak else 0.0
        beam = bending(solution.fine, number, course)
        largest = None
        if stress is not None and worst > error * scale:
            largest = largest_spacing(worst, beam.section_modulus, stress, fixing)
        span = spacing if spacing is not None else largest
        resonance = None
        if span is not None and math.isfinite(span) and beam.stiffness and beam.mass:
            resonance = natural_frequencies(span, beam.stiffness, beam.mass, fixing)
        found.append(
            SupportLoad(
                conductor.name, solution.frequency, push, fault, worst, error * scale, beam, largest, span, resonance,
                conductor.name in live,
            )
        )  # fmt: skip
    return found


def fault_peak(peak: float, ratio: float, *, steady: bool) -> float:
    """Peak force at a fault [N/m] from that in service [N/m].

    The peak of the fault stands sqrt(2) kappa above its rms current, kappa the peak factor in `ratio`; the peak in
    service sqrt(2) above its own, of a direct current not at all.

    Examples
    --------
    >>> fault_peak(10.0, 1.8 * 20.0, steady=False)
    12960.0
    """
    return peak * ratio**2 * (2.0 if steady else 1.0)


def stress_at(spacing: float, largest: float, stress: float) -> float:
    """Stress at a spacing [m] by that at the largest one allowed, which grows with the square of it [Pa].

    Examples
    --------
    >>> stress_at(0.9, 0.6, 80e6)
    180000000.0
    """
    return stress * (spacing / largest) ** 2


def shaken(resonance: tuple[float, float], forces: Iterable[float]) -> list[float]:
    """Those of the forces' frequencies that a bar swings close to, rising [Hz].

    Examples
    --------
    >>> shaken((90.0, 240.0), (50.0, 100.0, 300.0))
    [100.0, 300.0]
    """
    low, high = resonance
    return [f for f in sorted(forces) if low < (1 + NEAR) * f and high > (1 - NEAR) * f]


def quiet_span(span: float, lowest: float, forces: Iterable[float]) -> float:
    """Span that keeps the lowest natural frequency above all of the forces' [m]; it falls with the square of the span.

    Examples
    --------
    >>> round(quiet_span(1.0, 130.0, (50.0, 400.0)), 9)
    0.5
    """
    return span * math.sqrt(lowest / ((1 + NEAR) * max(forces)))
