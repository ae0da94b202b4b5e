"""Coils beside one another: their impedances with all others open, mutual inductance, coupling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .bars import FLOOR
from .circuits import Connections
from .solution import DirectSolution


@dataclass(frozen=True, eq=False)
class Coupled:
    """Circuits with all others open.

    Attributes
    ----------
    resistance, resistance_error : (c,) float
        [ohm] and a bound on its error.
    inductance, inductance_error : (c, c) float
        Own and mutual, [H] and a bound on its error.
    """

    resistance: FloatArray
    resistance_error: FloatArray
    inductance: FloatArray
    inductance_error: FloatArray

    def coupling(self, one: int, other: int) -> tuple[float, float]:
        """Coupling factor of two circuits, and a bound on its error."""
        own = np.diag(self.inductance)
        factor = float(self.inductance[one, other] / np.sqrt(own[one] * own[other]))
        relative = np.diag(self.inductance_error) / own
        mutual = self.inductance_error[one, other] / np.sqrt(own[one] * own[other])
        return factor, float(mutual + 0.5 * abs(factor) * (relative[one] + relative[other]))


def coupled(solution: DirectSolution) -> Coupled:
    """Resistance and inductances of the circuits of a solution at its frequency; at rest the inductances' limits.

    The error of an element of the matrix is an inner product of the errors of two fields: it is no larger than the
    root of the product of the circuits' own.

    Examples
    --------
    Two rings of round wire on one axis, 20 mm apart; Maxwell's mutual inductance of circles of radius 50 mm, 67.5 nH:

    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> wire = round_bar(0.002)
    >>> parts = Part("one", wire.placed((0.05, 0.0))), Part("other", wire.placed((0.05, 0.02)))
    >>> rings = tuple(Conductor(part, MATERIALS["copper"]) for part in parts)
    >>> feeds = Circuit("one", 1.0, ("one",)), Circuit("other", 0.0, ("other",))
    >>> found = coupled(solve(Problem(rings, feeds, axial=True), 0.0))
    >>> round(float(found.inductance[0, 1] * 1e9), 1)
    67.5
    """
    flow, change = solution.fine, solution.impedance_change
    if solution.frequency:
        omega = 2 * np.pi * solution.frequency
        resistance, inductance = flow.circuit_impedance.real, flow.circuit_impedance.imag / omega
        lost, changed = change.real, change.imag / omega
    else:
        joined = Connections.of(flow.problem.names, flow.problem.circuits, flow.problem.bundles)
        resistance, lost = flow.circuit_impedance.real, change.real
        paths = joined.spread(flow.impedance[None], joined.pattern.astype(complex))[0].real
        inductance, coarse = (paths.T @ f.fields.inductance_at_rest @ paths for f in (flow, solution.coarse))
        changed = solution.left * (inductance - coarse)
    own = _own(solution, np.diag(inductance), 2 * np.abs(np.diag(changed)))
    error = 2 * np.abs(changed) + np.sqrt(np.outer(own, own))
    error[np.diag_indices_from(error)] = own
    bars = 2 * np.abs(np.diag(lost)) + FLOOR * np.diag(resistance)
    for k, circuit in enumerate(flow.problem.circuits):
        if _alone(solution, k):
            bars[k] = max(bars[k], solution.circuit_errors(circuit)[0] * abs(resistance[k, k]))
    return Coupled(np.diag(resistance), bars, np.asarray(inductance), error)


def _own(solution: DirectSolution, inductance: FloatArray, changed: FloatArray) -> FloatArray:
    """Bounds on the errors of the circuits' own inductances [H]."""
    found = changed + FLOOR * np.abs(inductance)
    for k, circuit in enumerate(solution.problem.circuits):
        if _alone(solution, k):
            found[k] = max(found[k], solution.circuit_errors(circuit)[1] * abs(inductance[k]))
    return found


def _alone(solution: DirectSolution, number: int) -> bool:
    """Whether a circuit is the only one with a current, so that its bars are those of all others open."""
    driven = [k for k, c in enumerate(solution.problem.circuits) if c.current or c.shorted]
    return driven == [number]
