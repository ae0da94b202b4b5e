"""What the voltages of circuits change with, as sums over walls and regions, from fields that were solved for.

With the currents given, Z is stationary in the field: the field is its own adjoint. For the fields of circuit a alone
and of all currents together (phasors, no conjugates)

    dV_a = -d integral (sigma E_a E + j w nu B_a B),

with E and A held at the nodes of a mesh that moves with the walls (`elements.shape_gradient`); currents that share
freely are stationary as well. At 0 Hz, E = E_0 + j w E_1 with w tiny gives resistance and inductance at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.shape_gradient import FieldsByTriangle, LocalFields, Weights, blocks, node_gradient
from crosscurrent.solver.metals.depth import MU0

from .changes import Difference, filling
from .circuits import Connections
from .discretisation import Discretisation
from .flow import SteadyFlow

REST = 1e-6  # (size over skin)^2 of the tiny frequency that stands for 0 Hz


@dataclass(frozen=True, eq=False)
class SlopeForms:
    """What dV of every circuit is a dot product with, at one order.

    Attributes
    ----------
    flow : SteadyFlow
    follow : Following
        How the mesh follows its walls.
    more : FieldsByTriangle, optional
        Further fields, at positive frequencies: what their products with the given one come to is found along.
    air : (points, 2, few) float, optional
        What the last of these gain beside per motion of every node.
    """

    flow: SteadyFlow
    follow: Following
    more: FieldsByTriangle | None = None
    air: FloatArray | None = None

    @cached_property
    def _omega(self) -> float:
        mesh = self._d.mesh
        return self.omega or REST / (MU0 * float(self._d.sigma.max()) * mesh.radius**2)

    @property
    def omega(self) -> float:
        """[rad/s]; 0 at rest."""
        return 2 * np.pi * self.flow.frequency

    @property
    def _d(self) -> Discretisation:
        return self.flow.discretisation

    @property
    def _currents(self) -> ComplexArray:
        return np.array([c.current for c in self.flow.problem.circuits], dtype=complex)

    @property
    def _per_ampere(self) -> ComplexArray:
        """One over the currents of the circuits, nan where none flows."""
        flows = self._currents != 0
        return np.where(flows, 1 / np.where(flows, self._currents, 1.0), np.nan)

    @cached_property
    def _given(self) -> ComplexArray:
        return self._columns(self._currents)

    @cached_property
    def _alone(self) -> LocalFields:
        """Fields of one ampere in every circuit in turn."""
        problem = self.flow.problem
        electric, potential = [], []
        for name in (c.name for c in problem.circuits):
            one = tuple(replace(c, current=float(c.name == name)) for c in problem.circuits)
            flow = self.flow.driven(one)
            electric.append(flow.electric if flow.frequency else self._at_rest(flow))
            potential.append(flow.potential)
        fields = FlowFields(self.flow, np.column_stack(electric), np.column_stack(potential), self._omega)
        return fields.on(np.arange(len(self._d.mesh.triangles)))

    @cached_property
    def _together(self) -> list[LocalFields]:
        """The fields of the given currents."""
        return [self._alone.together(given) for given in self._given.T]

    @property
    def count(self) -> int:
        """Of all fields: those of the circuits, and the further ones."""
        return self._alone.count + (self.more.count if self.more else 0)

    def on(self, rows: IntArray) -> LocalFields:
        """All fields in some triangles."""
        alone = self._alone.on(rows)
        return alone.beside(self.more.on(rows)) if self.more else alone

    def _at_rest(self, flow: SteadyFlow) -> ComplexArray:
        """E of a tiny frequency: the potential drives a current that adds up to nothing in every group."""
        d, member = self._d, Connections.of(flow.problem.names, flow.problem.circuits, flow.problem.bundles).member
        linked = member.T @ (d.lift_mass.T @ flow.potential)
        mean = member @ (linked / (member.T @ d.conductance))
        return np.asarray(flow.electric + 1j * self._omega * (d.lift @ mean - flow.potential))

    @cached_property
    def _active(self) -> FloatArray:
        """1 for the triangles of metal that hold a field, and for air, (t,)."""
        active = np.ones(len(self._d.mesh.triangles))
        active[self._d.elements.metal] = self.flow.active
        return active

    @cached_property
    def _weights(self) -> Weights:
        d = self._d
        mass, stiffness = np.zeros(len(self._active), dtype=complex), self._active / MU0 * d.reluctivity + 0j
        metal = d.elements.metal
        mass[metal] = d.sigma * d.smoothing
        stiffness[metal] *= d.smoothing
        return Weights((-mass * self._active)[:, None], -1j * self._omega * stiffness[:, None])

    @cached_property
    def _all_on_walls(self) -> ComplexArray:
        """Of all fields with the given ones, per motion of the nodes on the walls, (w, 2, fields, k)."""
        d, flows = self._d, np.asarray(self._given.any(axis=0))
        rows = [node_gradient(d.elements, self, given, self._weights)
                for given, flow in zip(self._together, flows, strict=True) if flow]  # fmt: skip
        found: ComplexArray = np.zeros((len(self.follow.walls), 2, self.count, len(flows)), dtype=np.complex128)
        if rows:
            every = np.stack(rows, axis=-1)
            if self.air is not None:
                every[:, :, self.count - self.air.shape[2] :, 0] += self.air
            found[..., flows] = self.follow.on_walls(every)
        return np.asarray(found)

    @property
    def more_on_walls(self) -> ComplexArray:
        """Of the further fields, (w, 2, more)."""
        return np.asarray(self._all_on_walls[:, :, len(self._given) :, 0])

    @cached_property
    def on_walls(self) -> ComplexArray:
        """dV per motion of the nodes on the walls, (w, 2, circuits, k) [V/m per m]."""
        found = self._all_on_walls[:, :, : len(self._given)]
        # currents that return outside do so where they did, while the circle grows
        net = Connections.of(self.flow.problem.names, self.flow.problem.circuits).pattern.sum(axis=0)
        outside = 1j * self._omega * MU0 / (2 * np.pi) * np.outer(net, net @ self._given)
        return np.asarray(found - self.follow.growth[..., None, None] * outside)

    @property
    def loss_on_walls(self) -> FloatArray:
        """What the loss of all conductors gains per motion of the nodes on the walls, (w, 2) [W/m per m]."""
        phase = np.ones(1) if self.flow.frequency else np.array([1.0, 1j])
        by = self.on_walls if self.flow.frequency else self.on_walls.real
        return np.asarray((self._currents.conj() @ (by @ phase)[..., None])[..., 0].real)

    @cached_property
    def regions(self) -> tuple[ComplexArray, ComplexArray]:
        """-integral E_a E and -j w integral B_a B / mu0 of every region, (regions, circuits, k)."""
        electric, magnetic = self._all_regions
        return electric[:, : len(self._given)], magnetic[:, : len(self._given)]

    @property
    def more_regions(self) -> tuple[ComplexArray, ComplexArray]:
        """The same of the further fields, both (regions, more)."""
        electric, magnetic = self._all_regions
        return electric[:, len(self._given) :, 0], magnetic[:, len(self._given) :, 0]

    @cached_property
    def _all_regions(self) -> tuple[ComplexArray, ComplexArray]:
        d, count = self._d, len(self._d.mesh.regions)
        electric, magnetic = np.zeros((2, count, self.count, self._given.shape[1]), dtype=complex)
        for some in blocks(len(d.elements.metal), d.elements, self.count):
            rows = d.elements.metal[some]
            own, active = self.on(rows), self.flow.active[some, None, None]
            which, held = np.unique(d.mesh.region[rows], return_inverse=True)
            region = (np.arange(len(which))[:, None] == held).astype(float)
            for k, given in enumerate(self._together):
                driving = active * (d.elements.mass_blocks[some] @ given.electric[rows])
                linked = active * (d.elements.stiffness_blocks[rows] @ given.potential[rows])
                electric[which, :, k] -= region @ (driving.swapaxes(1, 2) @ own.electric)[:, 0]
                magnetic[which, :, k] += region @ (linked.swapaxes(1, 2) @ own.potential)[:, 0]
        return electric, -1j * self._omega / MU0 * magnetic

    @cached_property
    def _impedance(self) -> ComplexArray:
        """Of the circuits, (circuits, circuits) [ohm/m]; at rest with the reactance of the tiny frequency."""
        found, circuits = self.flow.circuit_impedance, self.flow.problem.circuits
        if self.flow.frequency:
            return found
        for b in range(len(circuits)):
            flow = self.flow.driven(tuple(replace(c, current=float(k == b)) for k, c in enumerate(circuits)))
            linked = [flow.inductance(replace(c, current=1.0)) for c in circuits]
            found = found + 1j * self._omega * np.array(linked)[:, None] * (np.arange(len(circuits)) == b)
        return found

    def _by(self, step: Difference) -> ComplexArray:
        """dV of the circuits at given currents and frequency, (circuits, k)."""
        sigma, nu = self.regions
        found = np.tensordot(step.sigma, sigma, 1) + np.tensordot(step.nu, nu, 1)
        if step.motion.any():
            found += np.tensordot(step.motion, self.on_walls, 2)
        return np.asarray(found)

    def changed(self, step: Difference) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Slopes of resistance and inductance of the circuits and of the loss, per unit of a change."""
        own = np.tensordot(filling(self.flow.problem, self.flow.frequency)[0], self.regions[0], 1)
        volts, faster = self._impedance @ self._given, step.omega / self._omega if self.flow.frequency else 0.0
        by = self._by(step) + faster * (volts + own) + self._impedance @ self._columns(step.currents)
        (real, imaginary), (d_real, d_imaginary) = self._apart(volts), self._apart(by)
        per, more = self._per_ampere, step.currents
        resistance = (per * d_real - per**2 * more * real).real
        reactance = (per * d_imaginary - per**2 * more * imaginary).real
        inductance = (reactance - faster * (per * imaginary).real) / self._omega
        return resistance, inductance, (self._currents.conj() @ d_real + more.conj() @ real).real

    def sizes(self, step: Difference) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Sizes of what `changed` adds up."""
        sums = [(abs(step.sigma), self.regions[0]), (abs(step.nu), self.regions[1])]
        if step.motion.any():
            sums.append((abs(step.motion).ravel(), self.on_walls.reshape(step.motion.size, *self._given.shape)))
        real = sum((np.tensordot(size, abs(by.real), 1).sum(axis=1) for size, by in sums), np.zeros(len(self._given)))
        other = sum((np.tensordot(size, abs(by.imag), 1).sum(axis=1) for size, by in sums), np.zeros(len(self._given)))
        per = np.abs(self._per_ampere)
        return per * real, per * other / self._omega, np.asarray(abs(self._currents) @ real)

    def _apart(self, volts: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
        """What is in phase with the currents, and a quarter ahead of them, from (circuits, k), both (circuits,)."""
        if self.flow.frequency:
            return volts[:, 0], np.asarray(volts[:, 0] / 1j)
        both = np.array([1.0, 1j])
        return np.asarray(volts.real @ both), np.asarray(volts.imag @ both)

    def _columns(self, currents: ComplexArray) -> ComplexArray:
        """Currents of the circuits, (circuits, k): as they are, or at 0 Hz their real and imaginary part."""
        if self.flow.frequency:
            return currents[:, None]
        return np.column_stack((currents.real, currents.imag)).astype(np.complex128)


@dataclass(frozen=True, eq=False)
class FlowFields:
    """Fields by triangle, E in the metal alone; A is taken from E where that was solved for.

    E has all its digits there, and slopes as A does.

    Attributes
    ----------
    flow : SteadyFlow
    electric, potential : (unknowns, k) complex
    omega : float
    """

    flow: SteadyFlow
    electric: ComplexArray
    potential: ComplexArray
    omega: float

    @property
    def count(self) -> int:
        """How many."""
        return int(self.potential.shape[1])

    def on(self, rows: IntArray) -> LocalFields:
        """In some triangles."""
        d = self.flow.discretisation
        dofs, metal = d.elements.dofs[rows], d.mesh.region[rows] != AIR
        e = np.zeros((*dofs.shape, self.count), dtype=complex)
        e[metal] = self.electric[dofs[metal]]
        if self.flow.lifted:
            a = np.empty_like(e)
            a[~metal] = self.potential[dofs[~metal]]
            a[metal] = e[metal] / (-1j * self.omega)
        else:
            a = self.potential[dofs]
        return LocalFields(e, d.elements.centred(a, rows))
