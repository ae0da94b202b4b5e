"""The flow of current from fields solved for: every conductor's current, voltage, loss, stored energy and force."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.solver.elements.condensed import energies
from crosscurrent.solver.metals.depth import MU0

from .circuits import Connections, circuit_voltage, currents_and_voltages
from .discretisation import Discretisation
from .force import Forces
from .problem import Circuit, Problem
from .unit_fields import Fields


@dataclass(frozen=True, eq=False)
class SolvedFlow:
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
    def of(cls, problem: Problem, fields: Fields) -> SolvedFlow:
        """Drive the fields with the circuits of a problem."""
        wiring = problem.names, problem.circuits, problem.bundles
        return cls(problem, fields, *currents_and_voltages(fields.impedance, *wiring))

    def driven(self, circuits: tuple[Circuit, ...]) -> SolvedFlow:
        """The same fields with other currents in the same circuits."""
        return SolvedFlow.of(replace(self.problem, circuits=circuits), self.fields)

    @property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        return self.fields.discretisation

    @property
    def frequency(self) -> float:
        """[Hz]"""
        return self.fields.frequency

    @property
    def lifted(self) -> bool:
        """Whether field-free cores of the metal were left out."""
        return self.fields.lifted

    @property
    def impedance(self) -> ComplexArray:
        """Of all conductors against the common return, (conductors, conductors) [ohm/m]."""
        return self.fields.impedance

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
        """integral sigma |E|^2 [W/m] and integral |B|^2 / mu [J/m] of every region, for smooth solid metal."""
        d = self.discretisation
        rows, blocks = d.elements.metal, d.elements.stiffness_blocks
        e = self.electric.take(d.elements.dofs[rows])
        # grad E = -j w grad A in solid metal: take the one that was solved for
        a = self.potential.take(d.elements.dofs[rows])
        if self.lifted:
            given = d.given if self.fields.plain is None else d.given | self.fields.plain
            a = np.where(given[d.mesh.part[rows], None], a, e / (2 * np.pi * self.frequency))
        a = d.elements.centred(a, rows)
        loss = d.sigma * energies(d.elements.mass_blocks, e)
        energy = energies(blocks.take(rows, axis=0), a)
        label, count = d.mesh.region[rows], len(d.mesh.regions)
        energy = energy * d.reluctivity[rows] / MU0
        if d.effective is not None:
            held = self.electric / (2 * np.pi * self.frequency) if self.lifted else self.potential
            energy[np.isin(rows, d.effective.rows)] = d.effective.energies(d.elements, held) / MU0
        return _summed(label, loss * self.active, count), _summed(label, energy * self.active, count)

    @cached_property
    def active(self) -> FloatArray:
        """1 for the triangles of metal that were solved for, 0 for those of a field-free core left out, (m,)."""
        return self.discretisation.active_metal(lifted=self.lifted)

    @cached_property
    def region_powers(self) -> ComplexArray:
        """Complex power of every region: loss + j w integral |B|^2 / mu, rough surfaces and strands included [W/m]."""
        loss, energy = self._region_powers
        metals = self.discretisation.metals
        heating = np.array([m.heating for m in metals])
        found = loss * heating + 2j * np.pi * self.frequency * energy / np.conj([m.softness for m in metals])
        if (edges := np.array([m.edge for m in metals])).any():
            found += edges * np.abs(self.region_currents) ** 2
        return np.asarray(found)

    @property
    def region_losses(self) -> FloatArray:
        """Loss of every region of metal [W/m]."""
        return self.region_powers.real

    @cached_property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal [A]."""
        d = self.discretisation
        e = self.electric.take(d.elements.dofs[d.elements.metal])
        current = self.active * d.sigma * d.smoothing * (d.elements.load_blocks * e).sum(axis=1)
        label, count = d.mesh.region[d.elements.metal], len(d.mesh.regions)
        return _summed(label, current.real, count) + 1j * _summed(label, current.imag, count)

    @cached_property
    def powers(self) -> ComplexArray:
        """Complex power of every conductor's own volume: loss + j w integral |B|^2 / mu [W/m]."""
        powers = self.region_powers
        return self.discretisation.by_conductor(powers.real) + 1j * self.discretisation.by_conductor(powers.imag)

    @cached_property
    def forces(self) -> Forces:
        """Mean and swing of the force, with what their errors are found from."""
        return Forces.of(self.discretisation, self.electric, self.potential, lifted=self.lifted)

    @property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (conductors, 2) [N/m]."""
        return self.forces.mean

    def circuit(self, circuit: Circuit) -> complex:
        """Terminal voltage of a circuit [V/m rms]."""
        return circuit_voltage(circuit, self.problem.names, self.voltages)

    @cached_property
    def circuit_impedance(self) -> ComplexArray:
        """Terminal voltage of every circuit per ampere of each, all others open, (circuits, circuits) [ohm/m]."""
        joined = Connections.of(self.problem.names, self.problem.circuits, self.problem.bundles)
        return np.asarray(joined.terminal(self.impedance[None])[0])

    def inductance(self, circuit: Circuit) -> float:
        """Reactance over w [H/m]; at 0 Hz its limit: the flux that direct current links, path by path."""
        if self.frequency:
            return (self.circuit(circuit) / circuit.current).imag / (2 * np.pi * self.frequency)
        alone = replace(circuit, current=1.0, shorted=False)
        paths, _ = currents_and_voltages(self.impedance, self.problem.names, [alone], self.problem.bundles)
        return float((paths @ self.fields.inductance_at_rest @ (self.currents / circuit.current)).real)


def _summed(label: IntArray, values: FloatArray, count: int) -> FloatArray:
    """Sums of values by label 0..count - 1."""
    return np.asarray(np.bincount(label, values, minlength=count), dtype=float)
