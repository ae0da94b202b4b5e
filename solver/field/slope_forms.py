"""What the voltages of circuits change with, as sums over walls and regions, from fields that were solved for.

With the currents given, Z is stationary in the field: the field is its own adjoint. For the fields of circuit a alone
and of all currents together (phasors, no conjugates)

    dV_a = -d integral (sigma E_a E + j w nu B_a B),

with E and A held at the nodes of a mesh that moves with the walls (`residuals`); currents that share freely, and those
that are induced in circuits that are shorted, are stationary as well. At 0 Hz, E = E_0 + j w E_1 with w tiny gives
resistance and inductance at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.shape_gradient import LocalFields, node_gradient
from crosscurrent.solver.metals.depth import MU0

from .changes import Differences, prescribed
from .circuits import Connections
from .discretisation import Discretisation
from .flow import SteadyFlow
from .residuals import FlowFields, Residuals, field_weights, rounding
from .strand_forms import given_unknowns, strand_sizes

ROUNDED = 3e-7  # of what rounding leaves, over what orders cannot tell: rigid motions should gain nothing
REST = 1e-6  # (size over skin)^2 of the tiny frequency that stands for 0 Hz


@dataclass(frozen=True, eq=False)
class GivenFields:
    """The fields of the given currents, at one order.

    Attributes
    ----------
    flow : SteadyFlow
    """

    flow: SteadyFlow

    @cached_property
    def omega(self) -> float:
        """[rad/s]; at rest the tiny one that stands for it."""
        mesh, found = self._d.mesh, 2 * np.pi * self.flow.frequency
        return found or REST / (MU0 * float(self._d.sigma.max()) * mesh.radius**2)

    @property
    def _d(self) -> Discretisation:
        return self.flow.discretisation

    @cached_property
    def currents(self) -> ComplexArray:
        """Of the circuits [A], 0 of those that are shorted."""
        return prescribed(self.flow.problem)

    @cached_property
    def given(self) -> ComplexArray:
        """The same as columns, (circuits, k): at 0 Hz their real and imaginary part."""
        return self.columns(self.currents)

    def columns(self, currents: ComplexArray) -> ComplexArray:
        """Currents of the circuits, (circuits, k): as they are, or at 0 Hz their real and imaginary part."""
        if self.flow.frequency:
            return currents[:, None]
        return np.column_stack((currents.real, currents.imag)).astype(np.complex128)

    @cached_property
    def alone(self) -> FlowFields:
        """Fields of one ampere in every circuit in turn, all others open but for those that are shorted."""
        problem = self.flow.problem
        electric, potential = [], []
        for name in (c.name for c in problem.circuits):
            one = tuple(replace(c, current=float(c.name == name)) for c in problem.circuits)
            flow = self.flow.driven(one)
            electric.append(flow.electric if flow.frequency else self._at_rest(flow))
            potential.append(flow.potential)
        return FlowFields(self.flow, np.column_stack(electric), np.column_stack(potential), self.omega)

    def _at_rest(self, flow: SteadyFlow) -> ComplexArray:
        """E of a tiny frequency: the potential drives a current that adds up to nothing in every group."""
        d, problem = self._d, flow.problem
        joined = Connections.of(problem.names, problem.circuits, problem.bundles)
        linked = d.resting * (d.lift_mass.T @ flow.potential)
        within = np.array([0.0 if medium is None else medium.inductance for medium in d.strands])
        volts = 1j * self.omega * (linked + within * flow.currents)
        along = d.resting * joined.induced(np.diag(d.resting + 0j), volts[:, None])[:, 0]
        free = ~given_unknowns(d)
        induced = d.lift @ np.where(d.given, 0.0, linked) - np.where(free, flow.potential, 0.0)
        return np.asarray(flow.electric + d.lift @ along + 1j * self.omega * induced)

    def local(self, column: int) -> LocalFields:
        """The fields of a column by triangle, (t, n, 1)."""
        return self.alone.together(self.given[:, column : column + 1]).everywhere

    @cached_property
    def flowing(self) -> tuple[int, ...]:
        """Which of the columns are not empty."""
        return tuple(int(k) for k in np.flatnonzero(self.given.any(axis=0)))

    @cached_property
    def impedance(self) -> ComplexArray:
        """Of the circuits, (circuits, circuits) [ohm/m]; at rest with the reactance of the tiny frequency."""
        found, circuits = self.flow.circuit_impedance, self.flow.problem.circuits
        if not self.flow.frequency:
            for b in range(len(circuits)):
                flow = self.flow.driven(tuple(replace(c, current=float(k == b)) for k, c in enumerate(circuits)))
                linked = [flow.inductance(replace(c, current=1.0)) for c in circuits]
                found = found + 1j * self.omega * np.array(linked)[:, None] * (np.arange(len(circuits)) == b)
            return found
        shorted = np.array([c.shorted for c in circuits])
        if shorted.any():
            found = found - found[:, shorted] @ np.linalg.solve(found[np.ix_(shorted, shorted)], found[shorted])
        return found

    def loss_on_walls(self, follow: Following) -> FloatArray:
        """What the loss of all conductors gains per motion of the nodes on the walls, (w, 2) [W/m per m]."""
        weights, found = field_weights(self.flow, self.omega), np.zeros((len(follow.walls), 2))
        for k in self.flowing:
            column = self.given[:, k : k + 1]
            fields, given = (self.alone.together(of).everywhere for of in (column.conj(), column))
            by = node_gradient(self._d.elements, fields, given, weights).real
            found += follow.on_walls(by)[..., 0]
        return found


@dataclass(frozen=True, eq=False)
class SlopeForms:
    """How the voltages of circuits change with some things, at one order.

    Attributes
    ----------
    fields : GivenFields
    follow : Following
        How the mesh follows its walls.
    steps : Differences
    """

    fields: GivenFields
    follow: Following
    steps: Differences

    @classmethod
    def of(cls, flow: SteadyFlow, follow: Following, steps: Differences) -> SlopeForms:
        """Of a flow."""
        return cls(GivenFields(flow), follow, steps)

    @property
    def flow(self) -> SteadyFlow:
        """Whose they are."""
        return self.fields.flow

    @cached_property
    def residuals(self) -> dict[int, Residuals]:
        """Of the given currents, by column."""
        of = self.fields
        return {k: Residuals.of(of.alone.together(of.given[:, k : k + 1]), self.steps) for k in of.flowing}

    @cached_property
    def _volts(self) -> ComplexArray:
        """dV of the circuits at given currents, apart from what frequency is a factor of, (circuits, changes, k)."""
        of, given = self.fields, self.fields.given
        found = np.zeros((len(given), len(self.steps.keys), given.shape[1]), dtype=complex)
        growth = np.tensordot(self.follow.growth, self.steps.walls, 2)
        for k, one in self.residuals.items():
            found[..., k] = of.alone.electric.T @ one.electric + of.alone.potential.T @ one.potential
            if not self.flow.frequency:  # a product of two that go with the tiny frequency
                found[..., k] += of.alone.electric.imag.T @ one.electric.imag
            found[..., k] -= np.outer(self._outside @ given[:, k], growth)
        return found

    @cached_property
    def _outside(self) -> ComplexArray:
        """What the circuits' voltages lose as the circle grows, relative: what returns outside does so where it did."""
        problem = self.flow.problem
        net = Connections.of(problem.names, problem.circuits, problem.bundles).pattern.sum(axis=0)
        return np.asarray(1j * self.fields.omega * MU0 / (2 * np.pi) * np.outer(net, net))

    @property
    def _per_ampere(self) -> ComplexArray:
        """One over the currents of the circuits, nan where none flows."""
        currents = self.fields.currents
        return np.where(currents != 0, 1 / np.where(currents != 0, currents, 1.0), np.nan)

    def changed(self, number: int) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Slopes of resistance and inductance of the circuits and of the loss, per unit of a change."""
        of, more, faster = self.fields, self.steps.currents[:, number], float(self.steps.faster[number])
        volts = of.impedance @ of.given
        by = self._volts[:, number] + faster * volts + of.impedance @ of.columns(more)
        (real, imaginary), (d_real, d_imaginary) = self._apart(volts), self._apart(by)
        per = self._per_ampere
        resistance = (per * d_real - per**2 * more * real).real
        reactance = (per * d_imaginary - per**2 * more * imaginary).real
        inductance = (reactance - faster * (per * imaginary).real) / of.omega
        return resistance, inductance, (of.currents.conj() @ d_real + more.conj() @ real).real

    def sizes(self, number: int) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Sizes of what `changed` adds up."""
        real, other = np.zeros((2, len(self.fields.currents)))
        alone, rounding = self.fields.alone, self.rounding[:, number]
        for one in self.residuals.values():
            by = alone.electric * one.electric[:, number, None] + alone.potential * one.potential[:, number, None]
            real, other = real + np.abs(by.real).sum(axis=0), other + np.abs(by.imag).sum(axis=0)
        per, omega = np.abs(self._per_ampere), self.fields.omega
        return (
            per * real + per**2 * rounding[0], (per * other + per**2 * rounding[1]) / omega,
            np.asarray(abs(self.fields.currents) @ real + rounding[0]),
        )  # fmt: skip

    @cached_property
    def rounding(self) -> FloatArray:
        """Sizes of what rounds off, as far as they count, of loss and w times twice the energy, (2, changes) [W/m]."""
        of = self.fields
        found = np.zeros((2, len(self.steps.keys))) + strand_sizes(of.flow, self.steps)
        for k in of.flowing:
            found += ROUNDED * rounding(of.flow, of.local(k), of.omega, self.steps.nodes)
        return found

    def _apart(self, volts: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
        """What is in phase with the currents, and a quarter ahead of them, from (circuits, k), both (circuits,)."""
        if self.flow.frequency:
            return volts[:, 0], np.asarray(volts[:, 0] / 1j)
        both = np.array([1.0, 1j])
        return np.asarray(volts.real @ both), np.asarray(volts.imag @ both)
