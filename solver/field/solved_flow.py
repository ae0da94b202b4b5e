"""The flow of current at one frequency and one order: every conductor's current, voltage, loss and stored energy."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.outline import FloatArray
from ..geometries.sides import IntArray
from .circuits import circuit_voltage, currents_and_voltages
from .field import ComplexArray, Discretisation, Fields, inductance_at_rest
from .force import Force
from .materials import MU0
from .problem import Circuit, Problem


@dataclass(frozen=True, eq=False)
class Flow:
    """Fields driven by the circuits of a problem.

    Attributes
    ----------
    problem : Problem
    fields : Fields
    currents, voltages : (conductors,) complex [A rms], [V/m rms]
    """

    problem: Problem
    fields: Fields
    currents: ComplexArray
    voltages: ComplexArray

    @classmethod
    def of(cls, problem: Problem, fields: Fields) -> Flow:
        """Drive the fields with the circuits of a problem."""
        names = [c.name for c in problem.conductors]
        return cls(problem, fields, *currents_and_voltages(fields.impedance, names, problem.circuits))

    @property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        return self.fields.discretisation

    @cached_property
    def potential(self) -> ComplexArray:
        """A at all unknowns [Vs/m]."""
        return np.asarray(self.fields.potential @ self.currents)

    @cached_property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return np.asarray(self.fields.electric @ self.currents)

    @cached_property
    def _region_powers(self) -> tuple[FloatArray, FloatArray]:
        """integral sigma |E|^2 [W/m] and integral |B|^2 / mu [J/m] of every region of metal, for smooth surfaces."""
        d = self.discretisation
        rows, blocks = d.elements.metal, d.elements.stiffness_blocks
        e = self.electric[d.elements.dofs[rows]]
        # grad E = -j w grad A in the metal: take the one that was solved for
        a = e / (2 * np.pi * self.fields.frequency) if self.fields.lifted else self.potential[d.elements.dofs[rows]]
        a = a - a.mean(axis=1, keepdims=True)
        loss = d.sigma * np.einsum("ti,tij,tj->t", e.conj(), d.elements.mass_blocks, e, optimize=True).real
        energy = np.einsum("ti,tij,tj->t", a.conj(), blocks[rows], a, optimize=True).real
        label, count = d.mesh.region[rows], len(d.mesh.regions)
        energy = energy * d.reluctivity[rows] / MU0
        return _summed(label, loss * self.lit, count), _summed(label, energy * self.lit, count)

    @cached_property
    def lit(self) -> FloatArray:
        """1 for the triangles of metal that were solved for, 0 for those of a dark core left out, (m,)."""
        d = self.discretisation
        dark = d.mesh.dark[d.elements.metal] & self.fields.lifted
        return np.where(dark, 0.0, 1.0)

    @cached_property
    def region_powers(self) -> ComplexArray:
        """Complex power of every region: loss + j w integral |B|^2 / mu, rough surfaces included [W/m]."""
        loss, energy = self._region_powers
        surface = np.array([m.surface for m in self.discretisation.metals])
        return np.asarray((loss + 2j * np.pi * self.fields.frequency * energy) / np.conj(surface))

    @property
    def region_losses(self) -> FloatArray:
        """Loss of every region of metal [W/m]."""
        return self.region_powers.real

    @cached_property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal [A]."""
        d = self.discretisation
        e = self.electric[d.elements.dofs[d.elements.metal]]
        current = self.lit * d.sigma * d.smoothing * np.einsum("tij,tj->t", d.elements.mass_blocks, e, optimize=True)
        label, count = d.mesh.region[d.elements.metal], len(d.mesh.regions)
        return _summed(label, current.real, count) + 1j * _summed(label, current.imag, count)

    def per_conductor(self, per_region: FloatArray) -> FloatArray:
        """Sum the regions of every conductor."""
        part = np.array([p for p, _ in self.discretisation.mesh.regions])
        return _summed(part, per_region, len(self.problem.conductors))

    @cached_property
    def powers(self) -> ComplexArray:
        """Complex power of every conductor's own volume: loss + j w integral |B|^2 / mu [W/m]."""
        powers = self.region_powers
        return self.per_conductor(powers.real) + 1j * self.per_conductor(powers.imag)

    @cached_property
    def _force(self) -> Force:
        return Force.of(self)

    @property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (conductors, 2) [N/m]."""
        return self._force.mean

    @property
    def force_swing(self) -> ComplexArray:
        """Phasor of the force at twice the frequency, (conductors, 2) [N/m]: f(t) = force + Re(swing exp(2jwt))."""
        return self._force.swing

    def force_errors(self, before: Flow) -> FloatArray:
        """Bound on the error of the force, mean and swing each, from the flow one order below, (conductors,) [N/m]."""
        return self._force.errors(before._force)

    def circuit(self, circuit: Circuit) -> complex:
        """Terminal voltage of a circuit [V/m rms]."""
        return circuit_voltage(circuit, [c.name for c in self.problem.conductors], self.voltages)

    def inductance(self, circuit: Circuit) -> float:
        """Reactance over w [H/m]; at 0 Hz its limit: the flux that direct current links, path by path."""
        if self.fields.frequency:
            return (self.circuit(circuit) / circuit.current).imag / (2 * np.pi * self.fields.frequency)
        names = [c.name for c in self.problem.conductors]
        alone = Circuit(circuit.name, 1.0, circuit.out, circuit.back, circuit.sharing)
        paths, _ = currents_and_voltages(self.fields.impedance, names, [alone])
        return float((paths @ inductance_at_rest(self.fields) @ (self.currents / circuit.current)).real)


def _summed(label: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Sums of values by label 0..count - 1."""
    return np.asarray(np.bincount(label, values, minlength=count), dtype=float)
