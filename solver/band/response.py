"""What the circuits of a problem do at many frequencies at once: every answer from small matrices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import ClassVar

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.circuits import Connections, circuit_voltage, terminal_weights
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.force import Forces
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.metals.band_medium import BandMedium

from .foster import angular
from .reduced import Reduced


@dataclass(frozen=True, eq=False)
class SweptFlow:
    """One frequency of a response, as a flow: known for the currents that flow and no others.

    Attributes
    ----------
    response : Response
    number : int
        Of the frequency.
    """

    response: Response
    number: int
    lifted: ClassVar[bool] = False  # the basis holds the whole metal

    def driven(self, circuits: tuple[Circuit, ...]) -> SweptFlow:
        """The same model with other currents in the same circuits."""
        problem = replace(self.problem, circuits=circuits)
        return Response(problem, self.response.model, self.response.frequency[[self.number]]).flow(0)

    @property
    def problem(self) -> Problem:
        """The problem of the response."""
        return self.response.problem

    @property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        return self._discretisation

    @cached_property
    def _discretisation(self) -> Discretisation:
        return self.response.model.at(self.response.frequency, self.number)

    @property
    def frequency(self) -> float:
        """[Hz]"""
        return float(self.response.frequency[self.number])

    @property
    def impedance(self) -> ComplexArray | None:
        """Of all conductors against the common return [ohm/m]; None where only the circuits are ports."""
        ports, found = self.response.model.ports, self.response.impedance[[self.number]]
        return ports.of_conductors(found)[0] if ports.matrix else None

    @property
    def circuit_impedance(self) -> ComplexArray:
        """Terminal voltage of every circuit per ampere of each, all others open, (circuits, circuits) [ohm/m]."""
        return self.response.circuit_impedance(self.number)

    @property
    def currents(self) -> ComplexArray:
        """Of every conductor, (conductors,) [A rms]."""
        return np.asarray(self.response.currents[self.number])

    @property
    def voltages(self) -> ComplexArray:
        """Along every conductor, (conductors,) [V/m rms]."""
        return np.asarray(self.response.voltages[self.number])

    @cached_property
    def potential(self) -> ComplexArray:
        """A at all unknowns [Vs/m]."""
        return self.response.potential(self.number)

    @cached_property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return self.response.electric(self.number)

    @property
    def active(self) -> FloatArray:
        """1 for all triangles of metal, (m,): none is left out."""
        return self.discretisation.active_metal(lifted=self.lifted)

    @property
    def region_powers(self) -> ComplexArray:
        """Complex power of every region [W/m]."""
        return np.asarray(self.response.region_powers[self.number])

    @property
    def region_losses(self) -> FloatArray:
        """Loss of every region of metal [W/m]."""
        return self.region_powers.real

    @property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal [A]."""
        return np.asarray(self.response.region_currents[self.number])

    @property
    def powers(self) -> ComplexArray:
        """Complex power of every conductor's own volume [W/m]."""
        d, powers = self.discretisation, self.region_powers
        return d.by_conductor(powers.real) + 1j * d.by_conductor(powers.imag)

    @property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (conductors, 2) [N/m]."""
        return np.asarray(self.response.force[self.number])

    @cached_property
    def forces(self) -> Forces:
        """Mean and swing of the force from the fields, with what their errors are found from."""
        return Forces.of(self.discretisation, self.electric, self.potential, lifted=self.lifted)

    def circuit(self, circuit: Circuit) -> complex:
        """Terminal voltage of a circuit [V/m rms]."""
        return circuit_voltage(circuit, self.problem.names, self.voltages)

    def inductance(self, circuit: Circuit) -> float:
        """Reactance over w, or its limit at 0 Hz [H/m]."""
        return float(self.response.inductance(circuit, [self.number])[0])


@dataclass(frozen=True, eq=False)
class Response:
    """Currents, voltages, losses and forces at frequencies (m,).

    Attributes
    ----------
    problem : Problem
    model : Reduced
    frequency : (m,) float
        [Hz], 0 allowed.
    """

    problem: Problem
    model: Reduced
    frequency: FloatArray

    @cached_property
    def impedance(self) -> ComplexArray:
        """Of the ports: circuits or conductors, (m, patterns, patterns) [ohm/m]."""
        return self.model.foster.impedance(self.frequency)

    def circuit_impedance(self, number: int) -> ComplexArray:
        """Terminal voltage of every circuit per ampere of each at one frequency, (circuits, circuits) [ohm/m]."""
        ports, found = self.model.ports, self.impedance[number]
        if ports.matrix:
            return np.asarray(self._joined.terminal(ports.of_conductors(found[None]))[0])
        return found if ports.drive is None else np.asarray(ports.drive.T @ found @ ports.drive)

    @cached_property
    def _joined(self) -> Connections:
        return Connections.of(self.problem.names, self.problem.circuits, self.problem.bundles)

    @cached_property
    def drive(self) -> ComplexArray:
        """Current of every pattern, (m, patterns) [A rms]."""
        if self.model.ports.matrix:
            every = self._joined.shared(self.model.ports.of_conductors(self.impedance))
            return np.asarray(every @ self.model.ports.member)
        return self.answered(np.array([0.0 if c.shorted else c.current for c in self.problem.circuits], dtype=complex))

    def answered(self, given: ComplexArray) -> ComplexArray:
        """Current of every pattern for currents of the circuits, with those that flow in circuits that are shorted.

        Parameters
        ----------
        given : (m, circuits) or (circuits,) complex
            [A rms]; nothing in circuits that are shorted.

        Returns
        -------
        (m, patterns) complex
            [A rms]
        """
        ports, count = self.model.ports, len(self.problem.circuits)
        given = np.broadcast_to(given, (len(self.frequency), count))
        if ports.matrix:
            joined = self._joined
            each = joined.answered(ports.of_conductors(self.impedance), joined.pattern.astype(complex))
            return np.asarray((each @ given[..., None])[..., 0] @ ports.member)
        shorted = np.array([c.shorted for c in self.problem.circuits])
        if shorted.any():
            found = self.impedance if ports.drive is None else ports.drive.T @ self.impedance @ ports.drive
            ends = found[:, shorted]
            answer = np.linalg.solve(ends[:, :, shorted], ends @ given[..., None])[..., 0]
            given = given.copy()
            given[:, shorted] -= answer
        return ports.driven(given)

    @cached_property
    def _mean_potential(self) -> ComplexArray:
        """Mean potential of every group, (m, groups) [Vs/m]."""
        return np.asarray((self.model.foster.mean_potential(self.frequency) @ self.drive[..., None])[..., 0])

    @cached_property
    def _modal_amplitudes(self) -> ComplexArray:
        """Amplitudes of the modes in A, (m, r)."""
        return np.asarray(self.model.foster.amplitudes(self.frequency, self.drive))

    @cached_property
    def _uniform(self) -> ComplexArray:
        """Mean E of every group, (m, groups) [V/m]."""
        return np.asarray(self.drive @ self.model.ports.pattern.T / self.model.foster.conductance)

    @cached_property
    def _omega(self) -> FloatArray:
        return angular(self.frequency)[:, None]

    @cached_property
    def currents(self) -> ComplexArray:
        """Of every conductor, (m, conductors) [A rms]."""
        member = self.model.ports.member
        alone = member.sum(axis=0)[member.argmax(axis=1)] == 1
        prescribed = self.drive @ (member @ self.model.ports.pattern).T
        alone |= member.sum(axis=1) == 0  # closed: through no terminals
        return np.where(alone, prescribed, self._by_conductor(self.region_currents))

    @cached_property
    def voltages(self) -> ComplexArray:
        """Along every conductor, (m, conductors) [V/m rms]."""
        along = self._uniform + 1j * self._omega * self._mean_potential
        if self.model.foster.stranded:
            resistance, inductance = self._excess
            along += (resistance + 1j * self._omega * inductance) * self._group_currents
        return np.asarray(along @ self.model.ports.member.T)

    @cached_property
    def _excess(self) -> tuple[FloatArray, FloatArray]:
        """R and L that strands add to every group, each (m, groups) [ohm/m], [H/m]."""
        return self.model.foster.excess(self.frequency)

    @cached_property
    def _group_currents(self) -> ComplexArray:
        """Of every group, (m, groups) [A]."""
        return np.asarray(self.drive @ self.model.ports.pattern.T)

    def circuit(self, circuit: Circuit) -> ComplexArray:
        """Terminal voltage of a circuit, (m,) [V/m rms]."""
        return np.asarray(self.voltages @ terminal_weights(circuit, self.problem.names))

    def resistance(self, circuit: Circuit) -> FloatArray:
        """Of a circuit, out and back together, (m,) [ohm/m]."""
        return np.asarray((self.circuit(circuit) / circuit.current).real)

    def inductance(self, circuit: Circuit, numbers: Sequence[int] | None = None) -> FloatArray:
        """Of a circuit, (m,) or at some frequencies [H/m]; at 0 Hz the flux that direct currents link, per ampere."""
        at = slice(None) if numbers is None else list(numbers)
        member, weight = self.model.ports.member, terminal_weights(circuit, self.problem.names)
        if circuit.sharing == "free" and self.model.ports.matrix:
            # conductors in parallel have one voltage, but not one flux: at rest each counts with its current
            for side, sign in ((weight > 0, 1.0), (weight < 0, -1.0)):
                share = (member @ self.model.foster.conductance) * side
                weight = np.where(side, sign * share / (share.sum() or 1.0), weight)
        weight = member.T @ weight
        omega = self._omega[at, 0]
        flux, along = self._mean_potential[at], self._uniform[at]
        if self.model.foster.stranded:
            resistance, inductance = (part[at] for part in self._excess)
            currents = self._group_currents[at]
            flux, along = flux + inductance * currents, along + resistance * currents
        uniform = along @ weight / np.where(omega > 0, omega, np.inf)
        return np.asarray(((flux @ weight - 1j * uniform) / circuit.current).real)

    @cached_property
    def _modal_parts(self) -> tuple[ComplexArray, ComplexArray]:
        """The modes' A in terms of the basis (m, r), and its mean over every group (m, groups) [Vs/m]."""
        modal = self._modal_amplitudes @ self.model.modal_matrix.T
        return modal, modal @ self.model.mean_correction.T

    @cached_property
    def region_powers(self) -> ComplexArray:
        """Loss + j w integral |B|^2 / mu of every region of metal, (m, regions) [W/m]."""
        modal, level = self._modal_parts
        mean = self._driving + 1j * self._omega * level
        powers, metals = [], self.model.discretisation.metals
        for region, factor, metal in zip(self.model.basis.regions, self.model.factors, metals, strict=True):
            if isinstance(metal.band, BandMedium) and metal.given:
                energy = _quadratic(self._amplitudes, region.energy)
                powers.append(self._strand_powers(metal.band, self._group_currents[:, region.group], energy))
                continue
            e = np.column_stack((mean[:, region.group], -1j * self._omega * modal))
            stored, heated = 1j * self._omega[:, 0] * _quadratic(modal, region.energy), factor
            if metal.band is not None:
                stored = stored / metal.band.over(self.frequency)[0].conj()
                heated = factor * metal.band.conducting(self.frequency).conj()
            powers.append(heated * _quadratic(e, region.mass) + stored)
            if metal.band is not None:
                edge = metal.band.edge(self.frequency)
                powers[-1] = powers[-1] + edge * np.abs(self._group_currents[:, region.group]) ** 2
        return np.column_stack(powers)

    @cached_property
    def _driving(self) -> ComplexArray:
        """As `_uniform`, of strands that share as the field asks with all that drives their current."""
        return np.asarray(self._uniform + self.model.foster.driven_field(self.frequency) * self._group_currents)

    def _strand_powers(self, strands: BandMedium, current: ComplexArray, energy: FloatArray) -> ComplexArray:
        """Of a current [A] and of twice the energy of the field in free space [J/m], (m,) each."""
        permeability, impedance = strands.over(self.frequency)
        return np.asarray(impedance * np.abs(current) ** 2 + 1j * self._omega[:, 0] * energy / permeability.conj())

    @cached_property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal, (m, regions) [A]."""
        modal, level = self._modal_parts
        mean = self._driving + 1j * self._omega * level
        found, metals = [], self.model.discretisation.metals
        for region, factor, metal in zip(self.model.basis.regions, self.model.factors, metals, strict=True):
            own = mean[:, region.group] * region.load[0] - 1j * self._omega[:, 0] * (modal @ region.load[1:])
            if metal.band is not None and not metal.given:
                own = own * metal.band.conducting(self.frequency)
            found.append(factor * own)
        return np.column_stack(found)

    def _by_conductor(self, by_region: ComplexArray) -> ComplexArray:
        part = self.model.discretisation.mesh.part_of_region
        return np.asarray(by_region @ (part[:, None] == np.arange(len(self.problem.conductors))))

    @cached_property
    def powers(self) -> ComplexArray:
        """Complex power of every conductor's own volume, (m, conductors) [W/m]."""
        return self._by_conductor(self.region_powers)

    @property
    def losses(self) -> FloatArray:
        """Of every conductor, (m, conductors) [W/m]."""
        return self.powers.real

    @cached_property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (m, conductors, 2) [N/m]; see field.force."""
        found = [[_quadratic(self._amplitudes, m) for m in pair] for pair in self.model.basis.pressures]
        return np.asarray(found).transpose(2, 0, 1)

    @cached_property
    def _amplitudes(self) -> ComplexArray:
        """A in terms of chi and the basis, (m, groups + r)."""
        modal, level = self._modal_parts
        return np.concatenate((self._mean_potential - level, modal), axis=1)

    @cached_property
    def bound(self) -> ComplexArray:
        """Of what the reduced model misses of the impedance, for any currents, (m, patterns, patterns) [ohm/m]."""
        return self.model.bound(self.frequency)

    @cached_property
    def reduction(self) -> FloatArray:
        """Bound on the complex power that the reduced model misses, (m,) [W/m]."""
        found = np.einsum("mi,mij,mj->m", self.drive.conj(), self.bound, self.drive, optimize=True).real
        return np.asarray(np.maximum(found, 0.0))  # rounding, where it misses nothing

    def flow(self, number: int) -> SweptFlow:
        """The flow at frequency number `number`, for the pictures and for all that a single point answers."""
        return SweptFlow(self, number)

    def potential(self, number: int) -> ComplexArray:
        """A at all unknowns [Vs/m]."""
        return self._field(self._mean_potential[number], number)

    def potentials(self, numbers: Sequence[int]) -> ComplexArray:
        """A at all unknowns at some frequencies, (numbers, unknowns) [Vs/m]."""
        basis, at = self.model.basis, list(numbers)
        columns = np.ascontiguousarray(self._amplitudes[at].T).view(float)
        count = basis.chi.shape[1]
        return np.asarray((basis.chi @ columns[:count] + basis.vectors @ columns[count:]).view(complex).T)

    def electric(self, number: int) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return np.asarray(self.electric_fields([number])[0])

    def electric_fields(self, numbers: Sequence[int]) -> ComplexArray:
        """E at the unknowns in the metal at some frequencies, 0 at the others, (numbers, unknowns) [V/m]."""
        basis, at = self.model.basis, list(numbers)
        modal, level = (part[at] for part in self._modal_parts)
        turning = 1j * self._omega[at]
        # real matrices on real columns, and no rows picked: a copy of the basis would cost more than the product
        both = np.concatenate((self._driving[at] + turning * level, -turning * modal), axis=1).T
        columns = np.ascontiguousarray(both).view(float)
        count = basis.chi.shape[1]
        found = (basis.chi @ columns[:count] + basis.vectors @ columns[count:]).view(complex)
        beyond = np.ones(len(found), dtype=bool)
        beyond[basis.metal_unknowns] = False
        found[beyond] = 0
        for bundle in basis.bundles:  # whose even current takes a field that rises with the distance from an axis
            lift = basis.discretisation.lift[bundle.inside, basis.discretisation.mesh.part_of_region[bundle.region]]
            found[bundle.inside] = lift[:, None] * self._uniform[at, basis.group(bundle.region)]
        return np.asarray(found.T)

    def electric_sums(self, weights: sparse.csr_array) -> ComplexArray:
        """Sums of E over unknowns of metal that carries the current the field lets it, by weights, at all frequencies.

        Parameters
        ----------
        weights : (k, unknowns) complex

        Returns
        -------
        (m, k) complex
            [V/m]
        """
        (modal, level), basis, turning = self._modal_parts, self.model.basis, 1j * self._omega
        parts = (self._driving + turning * level, basis.chi), (-turning * modal, basis.vectors)
        return np.asarray(sum(amplitudes @ (weights @ vectors).T for amplitudes, vectors in parts))

    def _field(self, mean: ComplexArray, number: int) -> ComplexArray:
        modal, level = (part[number] for part in self._modal_parts)
        basis, both = self.model.basis, np.concatenate((mean - level, modal))
        # real matrices on two real columns: a complex copy of the basis would cost more than the product
        columns = np.column_stack((both.real, both.imag))
        found = basis.chi @ columns[: len(level)] + basis.vectors @ columns[len(level) :]
        return np.asarray(found[:, 0] + 1j * found[:, 1])


def _quadratic(field: ComplexArray, matrix: FloatArray) -> FloatArray:
    """field* matrix field for every row, (m,)."""
    real, imaginary = field.real, field.imag
    return np.asarray(((real @ matrix) * real).sum(axis=1) + ((imaginary @ matrix) * imaginary).sum(axis=1))
