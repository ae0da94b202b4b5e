"""What the circuits of a problem do at many frequencies at once: every answer from small matrices."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.outline import FloatArray
from .chain import angular
from .field import ComplexArray, Fields
from .flow import Flow
from .ports import Sharing, terminal
from .problem import Circuit, Problem
from .reduced import Reduced


@dataclass(frozen=True, eq=False)
class SweptFlow(Flow):
    """One frequency of a response, as a flow: known for the currents that flow and no others.

    Attributes
    ----------
    response : Response
    number : int
        Of the frequency.
    """

    response: Response
    number: int

    @cached_property
    def potential(self) -> ComplexArray:
        """A at all unknowns [Vs/m]."""
        return self.response.potential(self.number)

    @cached_property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return self.response.electric(self.number)

    @cached_property
    def region_powers(self) -> ComplexArray:
        """Complex power of every region [W/m]."""
        return np.asarray(self.response.region_powers[self.number])

    @cached_property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal [A]."""
        return np.asarray(self.response.region_currents[self.number])

    @cached_property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (conductors, 2) [N/m]."""
        return np.asarray(self.response.force[self.number])

    def inductance(self, circuit: Circuit) -> float:
        """Reactance over w, or its limit at 0 Hz [H/m]."""
        return float(self.response.inductance(circuit)[self.number])


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
        return self.model.chain.impedance(self.frequency)

    @cached_property
    def drive(self) -> ComplexArray:
        """Current of every pattern, (m, patterns) [A rms]."""
        sharing, pattern = Sharing.of(self.problem), self.model.ports.pattern
        if self.model.ports.matrix:
            return sharing.shared(self.impedance)
        return np.asarray(np.broadcast_to(sharing.currents, (len(self.frequency), pattern.shape[1])))

    @cached_property
    def _flux(self) -> ComplexArray:
        """Mean potential of every group, (m, groups) [Vs/m]."""
        return np.asarray((self.model.chain.flux(self.frequency) @ self.drive[..., None])[..., 0])

    @cached_property
    def _swirl(self) -> ComplexArray:
        """Amplitudes of the modes in A, (m, r)."""
        return np.asarray(self.model.chain.amplitudes(self.frequency, self.drive))

    @cached_property
    def _uniform(self) -> ComplexArray:
        """Mean E of every group, (m, groups) [V/m]."""
        return np.asarray(self.drive @ self.model.ports.pattern.T / self.model.chain.conductance)

    @cached_property
    def _omega(self) -> FloatArray:
        return angular(self.frequency)[:, None]

    @cached_property
    def currents(self) -> ComplexArray:
        """Of every conductor, (m, conductors) [A rms]."""
        member = self.model.ports.member
        alone = member.sum(axis=0)[member.argmax(axis=1)] == 1
        prescribed = self.drive @ (member @ self.model.ports.pattern).T
        return np.where(alone, prescribed, self._by_conductor(self.region_currents))

    @cached_property
    def voltages(self) -> ComplexArray:
        """Along every conductor, (m, conductors) [V/m rms]."""
        return np.asarray((self._uniform + 1j * self._omega * self._flux) @ self.model.ports.member.T)

    def circuit(self, circuit: Circuit) -> ComplexArray:
        """Terminal voltage of a circuit, (m,) [V/m rms]."""
        return np.asarray(self.voltages @ terminal(circuit, self.problem))

    def resistance(self, circuit: Circuit) -> FloatArray:
        """Of a circuit, out and back together, (m,) [ohm/m]."""
        return np.asarray((self.circuit(circuit) / circuit.current).real)

    def inductance(self, circuit: Circuit) -> FloatArray:
        """Of a circuit, (m,) [H/m]; at 0 Hz the flux that the paths of direct current link, per ampere."""
        member, weight = self.model.ports.member, terminal(circuit, self.problem)
        if circuit.sharing == "free" and self.model.ports.matrix:
            # conductors in parallel have one voltage, but not one flux: at rest each counts with its current
            for side, sign in ((weight > 0, 1.0), (weight < 0, -1.0)):
                share = self.model.chain.conductance * side
                weight = np.where(side, sign * share / (share.sum() or 1.0), weight)
        weight = member.T @ weight
        uniform = self._uniform @ weight / np.where(self._omega[:, 0] > 0, self._omega[:, 0], np.inf)
        return np.asarray(((self._flux @ weight - 1j * uniform) / circuit.current).real)

    @cached_property
    def _eddy(self) -> tuple[ComplexArray, ComplexArray]:
        """The modes' A in terms of the basis (m, r), and its mean over every group (m, groups) [Vs/m]."""
        basis = self._swirl @ self.model.turn.T
        return basis, basis @ self.model.slip.T

    @cached_property
    def region_powers(self) -> ComplexArray:
        """Loss + j w integral |B|^2 / mu of every region of metal, (m, regions) [W/m]."""
        basis, level = self._eddy
        even = self._uniform + 1j * self._omega * level
        powers = []
        for region, factor in zip(self.model.space.regions, self.model.factors, strict=True):
            e = np.column_stack((even[:, region.group], -1j * self._omega * basis))
            loss, energy = factor * _quadratic(e, region.mass), _quadratic(basis, region.energy)
            powers.append(loss + 1j * self._omega[:, 0] * energy)
        return np.column_stack(powers)

    @cached_property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal, (m, regions) [A]."""
        basis, level = self._eddy
        even = self._uniform + 1j * self._omega * level
        found = [
            factor * (even[:, region.group] * region.mass[0, 0] - 1j * self._omega[:, 0] * (basis @ region.mass[0, 1:]))
            for region, factor in zip(self.model.space.regions, self.model.factors, strict=True)
        ]
        return np.column_stack(found)

    def _by_conductor(self, by_region: ComplexArray) -> ComplexArray:
        part = np.array([p for p, _ in self.model.discretisation.mesh.regions])
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
        """Time-average force on every conductor, (m, conductors, 2) [N/m]; see Flow.force."""
        basis, level = self._eddy
        field = np.concatenate((self._flux - level, basis), axis=1)
        found = [[_quadratic(field, m) for m in pair] for pair in self.model.space.pressures]
        return np.asarray(found).transpose(2, 0, 1)

    @cached_property
    def bound(self) -> ComplexArray:
        """Of what the reduced model misses of the impedance, for any currents, (m, patterns, patterns) [ohm/m]."""
        return self.model.bound(self.frequency)

    @cached_property
    def reduction(self) -> FloatArray:
        """Bound on the complex power that the reduced model misses, (m,) [W/m]."""
        return np.asarray(np.einsum("mi,mij,mj->m", self.drive.conj(), self.bound, self.drive, optimize=True).real)

    def flow(self, number: int) -> SweptFlow:
        """The flow at frequency number `number`, for the pictures and for all that a single point answers."""
        count = len(self.problem.conductors)
        unknown = np.full((count, count), np.nan, dtype=complex)
        impedance = self.impedance[number] if self.model.ports.matrix else unknown
        nothing = np.zeros((0, count), dtype=complex)
        fields = Fields(self.model.discretisation, float(self.frequency[number]), impedance, nothing, nothing)
        return SweptFlow(self.problem, fields, self.currents[number], self.voltages[number], self, number)

    def potential(self, number: int) -> ComplexArray:
        """A at all unknowns [Vs/m]."""
        return self._field(self._flux[number], number)

    def electric(self, number: int) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        turning = 1j * float(self._omega[number, 0])
        flat = self.model.discretisation.lift @ (self.model.ports.member @ self._uniform[number])
        return np.asarray(flat - turning * self._field(np.zeros(self._flux.shape[1], complex), number))

    def _field(self, mean: ComplexArray, number: int) -> ComplexArray:
        basis, level = (part[number] for part in self._eddy)
        space, both = self.model.space, np.concatenate((mean - level, basis))
        # real matrices on two real columns: a complex copy of the basis would cost more than the product
        columns = np.column_stack((both.real, both.imag))
        found = space.chi @ columns[: len(level)] + space.basis @ columns[len(level) :]
        return np.asarray(found[:, 0] + 1j * found[:, 1])


def _quadratic(field: ComplexArray, matrix: FloatArray) -> FloatArray:
    """field* matrix field for every row, (m,)."""
    real, imaginary = field.real, field.imag
    return np.asarray(((real @ matrix) * real).sum(axis=1) + ((imaginary @ matrix) * imaginary).sum(axis=1))
