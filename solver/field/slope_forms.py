"""What the voltages of circuits change with, as sums over walls and regions, from fields that were solved for.

With the currents given, Z is stationary in the field: the field is its own adjoint. For the fields of circuit a alone
and of all currents together (phasors, no conjugates)

    dV_a = -d integral (sigma E_a E + j w nu B_a B),

with E and A held at the nodes of a mesh that moves with the walls (`residuals`); currents that share freely, and those
that are induced in circuits that are shorted, are stationary as well. At 0 Hz, E = E_0 + j w E_1 with w tiny gives
resistance and inductance at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.nested import Nested
from crosscurrent.solver.elements.shape_gradient import node_gradient
from crosscurrent.solver.metals.depth import MU0

from .changes import Differences, prescribed
from .circuits import Connections
from .discretisation import Discretisation
from .flow import SteadyFlow
from .residuals import FlowFields, Gained, Weighed, field_weights
from .solved_flow import SolvedFlow
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
        """Currents of the circuits, (..., k): as they are, or at 0 Hz their real and imaginary part."""
        if self.flow.frequency:
            return currents[..., None]
        return np.stack((currents.real, currents.imag), axis=-1).astype(np.complex128)

    @cached_property
    def alone(self) -> FlowFields:
        """Fields of one ampere in every circuit in turn, all others open but for those that are shorted."""
        problem, (first, *others) = self.flow.problem, self.flow.problem.circuits
        if self.flow.frequency and not others and first.current and not first.shorted:
            return FlowFields.of(self.flow).together(np.array([[1 / first.current]]))
        flows = [
            self.flow.driven(tuple(replace(c, current=float(c.name == one.name)) for c in problem.circuits))
            for one in problem.circuits
        ]
        if isinstance(self.flow, SolvedFlow) and self.flow.frequency:
            fields, currents = self.flow.fields, np.column_stack([flow.currents for flow in flows])
            e, a = np.asarray(fields.electric @ currents), np.asarray(fields.potential @ currents)
            return FlowFields(self.flow, e, a, currents, self.omega)
        found = [
            (flow.electric, flow.potential, flow.currents) if flow.frequency else self._at_rest(flow) for flow in flows
        ]
        e, a, i = (np.column_stack(of) for of in zip(*found, strict=True))
        return FlowFields(self.flow, e, a, i, self.omega)

    def _at_rest(self, flow: SteadyFlow) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """E, A and currents of a tiny frequency: the potential drives what adds up to nothing in every group."""
        d, problem = self._d, flow.problem
        joined = Connections.of(problem.names, problem.circuits, problem.bundles)
        linked = d.resting * (d.lift_mass.T @ flow.potential)
        within = np.array([0.0 if medium is None else medium.inductance for medium in d.strands])
        volts = 1j * self.omega * (linked + within * flow.currents)
        driven = joined.induced(np.diag(d.resting + 0j), volts[:, None])[:, 0]
        free = ~given_unknowns(d)
        induced = d.lift @ np.where(d.given, 0.0, linked) - np.where(free, flow.potential, 0.0)
        electric = flow.electric + d.lift @ (d.resting * driven) + 1j * self.omega * induced
        return np.asarray(electric), flow.potential, flow.currents + driven

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
class Weighing:
    """Fields of the given currents as some orders have them, and what weighs what they gain: all in the finest.

    Attributes
    ----------
    fields : tuple of GivenFields
        The finest first.
    steps : Differences
    """

    fields: tuple[GivenFields, ...]
    steps: Differences

    @property
    def flow(self) -> SteadyFlow:
        """The finest."""
        return self.fields[0].flow

    @cached_property
    def nested(self) -> Nested:
        """How the orders go together."""
        elements = [of.flow.discretisation.elements for of in self.fields]
        return Nested(elements[0], elements[-1])

    @cached_property
    def alone(self) -> tuple[FlowFields, ...]:
        """Fields of one ampere in every circuit in turn, at the unknowns of the finest."""
        first, *others = (of.alone for of in self.fields)
        return first, *(
            FlowFields(self.flow, self.nested.raised(one.electric), self.nested.raised(one.potential), one.currents,
                       first.omega) for one in others
        )  # fmt: skip

    @cached_property
    def steady(self) -> tuple[FlowFields, ...]:
        """The same; at 0 Hz without those of the tiny frequency."""
        if self.flow.frequency:
            return self.alone
        return tuple(
            FlowFields(one.flow, _real(one.electric), _real(one.potential), _real(one.currents), one.omega)
            for one in self.alone
        )

    @cached_property
    def together(self) -> FlowFields:
        """Those of all currents, by orders as columns."""
        return _columns([one.together(self.fields[0].currents[:, None]) for one in self.steady])

    @cached_property
    def gained(self) -> dict[int, Gained]:
        """What forms of the given currents gain, by column."""
        given, flowing = self.fields[0].given, self.fields[0].flowing
        if self.flow.frequency:
            return {k: Gained(self.together, self.steps) for k in flowing}
        return {k: Gained(_columns([one.together(given[:, k : k + 1]) for one in self.alone]), self.steps)
                for k in flowing}  # fmt: skip

    def weighed(self, beside: FurtherFields | None = None) -> dict[int, tuple[Weighed, ...]]:
        """With the fields of the circuits alone, and further ones after those."""
        first, found = self.alone[0], {}
        count, further = first.count, 0 if beside is None else beside.count
        for k, one in self.gained.items():
            e, a, i = every = tuple(
                np.empty((len(self.alone), len(by), count + further), dtype=complex)
                for by in (first.electric, first.potential, first.currents)
            )
            for number, of in enumerate(self.alone):
                for to, by in zip(every, (of.electric, of.potential, of.currents), strict=True):
                    to[number, :, :count] = by
                if beside is not None:
                    beside.put(k, number, tuple(to[number, :, count:] for to in every))
            found[k] = one.weighed(FlowFields(self.flow, e, a, i, first.omega), own=beside is not None)
        return found


class FurtherFields(Protocol):
    """Further fields that weigh what a column of the currents gains."""

    @property
    def count(self) -> int:
        """How many."""
        ...

    def put(self, column: int, number: int, to: tuple[ComplexArray, ...]) -> None:
        """Those of an order, E, A (unknowns, count) and currents (conductors, count), where they are wanted."""
        ...


def _real(field: ComplexArray) -> ComplexArray:
    return np.asarray(field.real, dtype=np.complex128)


def _columns(fields: Sequence[FlowFields]) -> FlowFields:
    """Fields of one column each as columns of one."""
    every = zip(*((of.electric, of.potential, of.currents) for of in fields), strict=True)
    e, a, i = (np.concatenate(by, axis=1) for by in every)
    return FlowFields(fields[0].flow, e, a, i, fields[0].omega)


@dataclass(frozen=True, eq=False)
class SlopeForms:
    """How the voltages of circuits change with some things, at one order.

    Attributes
    ----------
    fields : GivenFields
    growth : (changes,) float
        Relative growth of the outer circle.
    steps : Differences
    gained : dict of Gained
        What forms of the given currents gain, by column.
    weighed : dict of Weighed
        The same with the fields of the circuits alone, and further ones after those.
    """

    fields: GivenFields
    growth: FloatArray
    steps: Differences
    gained: dict[int, Gained]
    weighed: dict[int, Weighed]

    @classmethod
    def of(cls, weighing: Weighing, follow: Following, beside: FurtherFields | None = None) -> tuple[SlopeForms, ...]:
        """Of every order."""
        weighed, growth = weighing.weighed(beside), np.tensordot(follow.growth, weighing.steps.walls, 2)
        return tuple(
            cls(of, growth, weighing.steps, weighing.gained, {k: by[number] for k, by in weighed.items()})
            for number, of in enumerate(weighing.fields)
        )

    @property
    def flow(self) -> SteadyFlow:
        """Whose they are."""
        return self.fields.flow

    @cached_property
    def _volts(self) -> ComplexArray:
        """dV of the circuits at given currents, apart from what frequency is a factor of, (circuits, changes, k)."""
        given = self.fields.given
        found = np.zeros((len(given), len(self.steps.keys), given.shape[1]), dtype=complex)
        for k, one in self.weighed.items():
            found[..., k] = one.values[: len(given)] - np.outer(self._outside @ given[:, k], self.growth)
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

    @cached_property
    def changed(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Slopes of resistance and inductance of the circuits, (circuits, changes), and of the loss, (changes,)."""
        of, more, faster, per = self.fields, self.steps.currents, self.steps.faster, self._per_ampere[:, None]
        volts = of.impedance @ of.given
        by = self._volts + faster[:, None] * volts[:, None] + np.tensordot(of.impedance, of.columns(more), 1)
        (real, imaginary), (d_real, d_imaginary) = self._apart(volts[:, None]), self._apart(by)
        resistance = (per * d_real - per**2 * more * real).real
        reactance = (per * d_imaginary - per**2 * more * imaginary).real
        inductance = (reactance - faster * (per * imaginary).real) / of.omega
        loss = of.currents.conj() @ d_real + (more.conj() * real).sum(axis=0)
        return resistance, inductance, np.asarray(loss.real)

    @cached_property
    def sizes(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Sizes of what `changed` adds up."""
        shape = len(self.fields.currents), len(self.steps.keys)
        summed = sum((one.sizes[: shape[0]] for one in self.weighed.values()), np.zeros(shape, dtype=complex))
        per, real, other = np.abs(self._per_ampere)[:, None], summed.real, summed.imag
        return (
            per * real + per**2 * self.rounding[0], (per * other + per**2 * self.rounding[1]) / self.fields.omega,
            np.asarray(abs(self.fields.currents) @ real + self.rounding[0]),
        )  # fmt: skip

    @cached_property
    def rounding(self) -> FloatArray:
        """Sizes of what rounds off, as far as they count, of loss and w times twice the energy, (2, changes) [W/m]."""
        of = self.fields
        found = np.zeros((2, len(self.steps.keys))) + strand_sizes(of.flow, self.steps)
        for one in self.gained.values():
            found += ROUNDED * one.rounding
        return found

    def _apart(self, volts: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
        """What is in phase with the currents, and a quarter ahead of them, from (..., k), both (...)."""
        if self.flow.frequency:
            return volts[..., 0], np.asarray(volts[..., 0] / 1j)
        both = np.array([1.0, 1j])
        return np.asarray(volts.real @ both), np.asarray(volts.imag @ both)
