"""Hand formulas for a current that is even over the metal: resistances at rest, inductance by mean distances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.mean_distances import around_distance, box_distance, ring_distance

from .circuits import circuit_voltage, currents_and_voltages
from .hand_formula import HandFormula
from .problem import Circuit, Conductor, Problem
from .recognition import (
    aligned,
    alike,
    bore_radius,
    box_around,
    conductance_at_rest,
    is_round,
    phases,
    plain_loop,
    radius,
    rounding,
)

# relative error of the inductance over (area / depth^2)^2, while currents begin to crowd: of bars face to face,
# with the part that grows with their thickness over their width, and of any others; found with field solves
FACING, THICK, OTHER = 6e-4, 6e-3, 7.5e-3
COATED = 0.01  # of the area of coats, which is that of a convex outline
MEANS = "J. C. Maxwell 1873; E. B. Rosa and F. W. Grover, Bull. Bureau of Standards 8, 1912"


def at_rest(problem: Problem, circuit: Circuit) -> HandFormula | None:
    """Direct current: length over conductivity and area, of all metals in parallel, and mean distances."""
    others = {name for c in problem.circuits if c != circuit for name in c.members}
    if others.intersection(circuit.members) or len(set(circuit.members)) < len(circuit.members):
        return None
    members = [c for c in problem.conductors if c.name in circuit.members]
    names = [c.name for c in members]
    unit = replace(circuit, current=1.0)
    matrix = np.diag([1 / conductance_at_rest(c) for c in members]).astype(complex)
    currents, voltages = currents_and_voltages(matrix, names, [unit])
    coated = COATED if any(c.part.layers for c in members) else 0.0
    loop = circuit.back and len(problem.circuits) == 1
    logs = _logarithms(members) if loop and not any(c.is_magnetic for c in problem.conductors) else None
    inductance = None if logs is None else -MU0 / (2 * math.pi) * float(currents.real @ logs @ currents.real)
    return HandFormula(
        (circuit.name,),
        "length over conductivity and area" if logs is None else "area, mean distances",
        "exact" if logs is None else "Maxwell 1873",
        "definition" if logs is None else MEANS,
        float(circuit_voltage(unit, names, voltages).real),
        inductance,
        coated,
        0.0 if inductance is None else coated + _corners(members),
    )


def loop_of_bars(problem: Problem, frequency: float) -> HandFormula | None:
    """Inductance of a bar out and a bar back whose currents hardly crowd yet."""
    members = plain_loop(problem)
    logs = None if members is None else _of_like_bars(members)
    if members is None or logs is None:
        return None
    inductance = MU0 / (2 * math.pi) * float(2 * logs[0, 1] - logs[0, 0] - logs[1, 1])
    return _means((problem.circuits[0].name,), members, inductance, frequency)


def three_bars(problem: Problem, frequency: float) -> HandFormula | None:
    """Mean inductance of three phases in bars whose currents hardly crowd yet: distance of phases over that within."""
    members = phases(problem)
    logs = None if members is None else _of_like_bars(members)
    if members is None or logs is None:
        return None
    inductance = MU0 / (6 * math.pi) * float(logs[0, 1] + logs[1, 2] + logs[2, 0] - np.trace(logs))
    return _means(tuple(c.name for c in problem.circuits), members, inductance, frequency)


def _means(
    circuits: tuple[str, ...], members: Sequence[Conductor], inductance: float, frequency: float
) -> HandFormula:
    crowding = max(c.part.area / c.material.skin_depth(frequency, c.temperature) ** 2 for c in members)
    boxes = aligned(members)
    width, thick = map(float, boxes[0][1] - boxes[0][0]) if boxes else (1.0, math.inf)
    error = min(OTHER, FACING + THICK * (thick / width) ** 2) * crowding**2 + _corners(members)
    return HandFormula(circuits, "mean distances", "Maxwell 1873", MEANS, None, inductance, 0.0, error)


def _of_like_bars(members: Sequence[Conductor]) -> FloatArray | None:
    return None if is_round(members[0]) or not alike(members) else _logarithms(members)


def _logarithms(members: Sequence[Conductor]) -> FloatArray | None:
    """Logarithms of the mean distances of all pairs [ln m]; None where some are not known."""
    if any(c.part.layers for c in members):
        return None
    found = np.array([[_logarithm(one, other) for other in members] for one in members], dtype=float)
    return found if np.isfinite(found).all() else None


def _logarithm(one: Conductor, other: Conductor) -> float:
    if is_round(one) and is_round(other):
        outlines = [c.part.shape.outer for c in (one, other)]
        if one is other:
            return ring_distance(radius(outlines[0]), bore_radius(one))
        apart = float(np.hypot(*(outlines[0].centroid - outlines[1].centroid)))
        if apart >= (1 - 1e-9) * (radius(outlines[0]) + radius(outlines[1])):
            return math.log(apart)
        outer = max((one, other), key=lambda c: radius(c.part.shape.outer))
        return around_distance(radius(outer.part.shape.outer), bore_radius(outer))
    boxes = [box_around(c) for c in (one, other)]
    if boxes[0] is None or boxes[1] is None:
        return math.nan
    return box_distance(boxes[0], boxes[1])


def _corners(members: Sequence[Conductor]) -> float:
    """What rounded edges make unsure."""
    return max((rounding(c) for c in members if not is_round(c)), default=0.0)
