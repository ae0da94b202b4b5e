"""What the circuits of a problem do at many frequencies at once: every answer from small matrices."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.mesh import AIR
from ..geometries.outline import FloatArray
from ..geometries.shape_functions import gradients, quadrature
from ..geometries.sides import IntArray
from .chain import angular
from .field import ComplexArray, Fields
from .flow import Flow
from .materials import MU0
from .ports import Sharing, terminal
from .problem import Circuit, Problem
from .reduced import Reduced

BLOCK = 128  # elements whose fields are held at once


@dataclass(frozen=True, eq=False)
class SweptFlow(Flow):
    """A flow whose fields are sums of modes, known for the currents that flow and no others.

    Attributes
    ----------
    driven_potential, driven_electric : (unknowns,) complex
        A [Vs/m] and E [V/m].
    resting_flux : (conductors,) float
        Flux of the conductors at 0 Hz [Vs/m].
    """

    driven_potential: ComplexArray
    driven_electric: ComplexArray
    resting_flux: ComplexArray

    @cached_property
    def potential(self) -> ComplexArray:
        """A at all unknowns [Vs/m]."""
        return self.driven_potential

    @cached_property
    def electric(self) -> ComplexArray:
        """E at the unknowns in the metal [V/m]."""
        return self.driven_electric

    def inductance(self, circuit: Circuit) -> float:
        """Reactance over w, or at 0 Hz the flux of its own current per ampere [H/m]."""
        if self.fields.frequency:
            return super().inductance(circuit)
        return float((terminal(circuit, self.problem) @ self.resting_flux / circuit.current).real)


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
        d, member = self.model.discretisation, self.model.ports.member
        own = self._uniform @ member.T * d.conductance
        alone = member.sum(axis=0)[member.argmax(axis=1)] == 1
        induced = -1j * self._omega * (self._swirl @ ((d.mass @ d.lift).T @ self.model.modes).T)
        return np.asarray(own + np.where(alone, 0, induced))

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
        """Of a circuit, (m,) [H/m]; at 0 Hz the flux of all currents in phase with its own, per ampere."""
        weight = self.model.ports.member.T @ terminal(circuit, self.problem)
        uniform = self._uniform @ weight / np.where(self._omega[:, 0] > 0, self._omega[:, 0], np.inf)
        return np.asarray(((self._flux @ weight - 1j * uniform) / circuit.current).real)

    @cached_property
    def _regions(self) -> list[tuple[int, FloatArray, FloatArray]]:
        """Of every region: its group; sigma and (1 / mu) grad grad projected on 1 and the modes."""
        d, modes = self.model.discretisation, self.model.modes
        e, label = d.elements, d.mesh.region[d.elements.metal]
        found = []
        for number, (part, _) in enumerate(d.mesh.regions):
            rows = np.flatnonzero(label == number)
            inside = np.unique(e.dofs[e.metal[rows]])
            field = np.column_stack((np.ones(len(inside)), modes[inside]))
            mass = e.assemble(e.mass_blocks[rows] * d.sigma[rows, None, None], e.metal[rows])[inside][:, inside]
            nu = d.reluctivity[e.metal[rows], None, None] / MU0
            stiffness = e.assemble(e.stiffness_blocks[e.metal[rows]] * nu, e.metal[rows])[inside][:, inside]
            group = int(self.model.ports.member[part].argmax())
            found.append((group, field.T @ (mass @ field), field[:, 1:].T @ (stiffness @ field[:, 1:])))
        return found

    @cached_property
    def region_powers(self) -> ComplexArray:
        """Loss + j w integral |B|^2 / mu of every region of metal, (m, regions) [W/m]."""
        eddy = -1j * self._omega * self._swirl
        powers = []
        for group, mass, stiffness in self._regions:
            e = np.column_stack((self._uniform[:, group], eddy))
            energy = _quadratic(self._swirl, stiffness)
            powers.append(_quadratic(e, mass) + 1j * self._omega[:, 0] * energy)
        return np.column_stack(powers)

    @cached_property
    def region_currents(self) -> ComplexArray:
        """integral J of every region of metal, (m, regions) [A]."""
        eddy = -1j * self._omega * self._swirl
        uniform = [self._uniform[:, g] * m[0, 0] + eddy @ m[0, 1:] for g, m, _ in self._regions]
        return np.column_stack(uniform)

    @cached_property
    def powers(self) -> ComplexArray:
        """Complex power of every conductor's own volume, (m, conductors) [W/m]."""
        part = np.array([p for p, _ in self.model.discretisation.mesh.regions])
        belongs = part[:, None] == np.arange(len(self.problem.conductors))
        return np.asarray(self.region_powers @ belongs)

    @property
    def losses(self) -> FloatArray:
        """Of every conductor, (m, conductors) [W/m]."""
        return self.powers.real

    @cached_property
    def force(self) -> FloatArray:
        """Time-average force on every conductor, (m, conductors, 2) [N/m]; see Flow.force."""
        field = np.concatenate((self._flux, self._swirl), axis=1)
        matrices = _force_matrices(self.model, len(self.problem.conductors))
        return np.stack([[_quadratic(field, m) for m in pair] for pair in matrices]).transpose(2, 0, 1)

    @cached_property
    def reduction(self) -> FloatArray:
        """Bound on the complex power that the reduced model misses, (m,) [W/m]."""
        bound = self.model.bound(self.frequency)
        return np.asarray(np.einsum("mi,mij,mj->m", self.drive.conj(), bound, self.drive, optimize=True).real)

    def flow(self, number: int, *, lifted: bool) -> Flow:
        """The flow at frequency number `number`, for the pictures and for all that a single point answers."""
        model, d, frequency = self.model, self.model.discretisation, float(self.frequency[number])
        turning, member = 1j * 2 * np.pi * frequency, self.model.ports.member
        swirl = model.modes @ self._swirl[number]
        electric = d.lift @ (member @ self._uniform[number]) - turning * swirl
        potential = model.chi @ self._flux[number] + swirl
        unknown = np.full((len(member), len(member)), np.nan, dtype=complex)
        impedance = self.impedance[number] if model.ports.matrix else unknown
        nothing = np.zeros((0, len(member)), dtype=complex)
        fields = Fields(d, frequency, impedance, nothing, nothing, lifted=lifted)
        return SweptFlow(
            self.problem, fields, self.currents[number], self.voltages[number], potential, electric,
            member @ self._flux[number],
        )  # fmt: skip


def _quadratic(field: ComplexArray, matrix: FloatArray) -> FloatArray:
    """field* matrix field for every row, (m,)."""
    real, imaginary = field.real, field.imag
    return np.asarray(((real @ matrix) * real).sum(axis=1) + ((imaginary @ matrix) * imaginary).sum(axis=1))


def _force_matrices(model: Reduced, count: int) -> list[list[FloatArray]]:
    """Maxwell's stress around every conductor, projected on chi and the modes, x and y [N/m per (Vs/m)^2]."""
    d = model.discretisation
    mesh, elements = d.mesh, d.elements
    owner = np.full(len(mesh.points), -1)
    part = np.array([p for p, _ in mesh.regions])
    owner[mesh.triangles[elements.metal]] = part[mesh.region[elements.metal]][:, None]
    air = np.flatnonzero(mesh.region == AIR)
    basis = np.column_stack((model.chi, model.modes))
    return [_stress(model, basis, air[(owner[mesh.triangles[air]] == k).any(axis=1)], owner == k) for k in range(count)]


def _stress(model: Reduced, basis: FloatArray, near: IntArray, ours: FloatArray) -> list[FloatArray]:
    elements = model.discretisation.elements
    places, weights = quadrature(2 * elements.order + 2)
    reference = gradients(elements.order, places)
    corner_gradient = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])
    total = np.zeros((2, basis.shape[1], basis.shape[1]))
    for first in range(0, len(near), BLOCK):
        rows = near[first : first + BLOCK]
        determinant, inverse = elements.maps(rows, places)
        by_reference = np.einsum("tnb,pnr->tprb", basis[elements.dofs[rows]], reference, optimize=True)
        slope = inverse @ by_reference
        b = np.stack((slope[:, :, 1], -slope[:, :, 0]), axis=2)
        weight = ours[elements.mesh.triangles[rows]].astype(float) @ corner_gradient
        fall = np.einsum("tpdr,tr->tpd", inverse, weight) * (determinant * weights)[..., None]
        along = np.einsum("tpdb,tpd->tpb", b, fall, optimize=True).reshape(-1, basis.shape[1])
        for k in range(2):
            flat = b[:, :, k].reshape(-1, basis.shape[1])
            pressure = sum((b[:, :, c] * fall[:, :, k, None]).reshape(flat.shape).T @ b[:, :, c].reshape(flat.shape)
                           for c in range(2))  # fmt: skip
            total[k] += flat.T @ along - 0.5 * pressure
    return [-(t + t.T) / (2 * MU0) for t in total]
