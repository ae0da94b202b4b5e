"""What the loss of every conductor alone and the peak force on it change with.

See `adjoint`: fields are solved for of the losses and forces or of the changes, whichever are fewer. What a force gains
by itself as the air around moves is `stress_gradient`'s. At 0 Hz the adjoint of a force is scaled by j w.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.solver.elements.following import Following

from .adjoint import Answering, Loads, OwnLoads, Responses
from .changes import Differences
from .flow import SteadyFlow
from .peak_force import PeakForce, PeakPlaces
from .slope_forms import ROUNDED, GivenFields, SlopeForms, Weighing

DEARER = 2.0  # what the field of a change takes over that of a loss or a force: its residuals at all unknowns


@dataclass(frozen=True, eq=False)
class OwnFields:
    """The fields that losses of conductors, and forces on them, change with.

    Those of the order below are what it keeps of the finest: its own differ by no more than it misses.

    Attributes
    ----------
    of : Weighing
        The fields of the currents at all orders.
    losses : tuple of int
        The conductors.
    forces : sequence of sequence of PeakForce
        By orders.
    """

    of: Weighing
    losses: tuple[int, ...]
    forces: Sequence[Sequence[PeakForce]]

    @property
    def flow(self) -> SteadyFlow:
        """The finest."""
        return self.of.flow

    @cached_property
    def lacking(self) -> IntArray:
        """Which of the changes would have fields of their own."""
        steps, some = self.of.steps, np.zeros(len(self.of.steps.keys), dtype=bool)
        some[steps.moving] = some[steps.filling] = True
        return np.flatnonzero(some)

    @cached_property
    def _first(self) -> OwnLoads:
        return OwnLoads.of(self.of.together, self.losses, self.forces[0])

    def wanted(self, number: int) -> OwnLoads:
        """What their fields answer to, at an order."""
        return OwnLoads.of(self.of.together, self.losses, self.forces[number], number) if number else self._first

    @cached_property
    def left_out(self) -> bool:
        """Whether fields of the changes are the cheaper ones: at 0 Hz losses need none."""
        count = (len(self.losses) if self.flow.frequency else 0) + len(self.forces[0])
        return DEARER * len(self.lacking) < count

    @cached_property
    def _answers(self) -> tuple[tuple[ComplexArray, ComplexArray, ComplexArray], ...]:
        """E, A and currents of losses and forces, by orders; none where they are left out."""
        flow = self.flow
        if self.left_out:
            empty = np.zeros((flow.discretisation.elements.count, 0), dtype=complex)
            return ((empty, empty, np.zeros((len(flow.problem.conductors), 0), dtype=complex)),) * len(self.forces)
        answering = Answering(flow)
        loads = self._first.loads
        return self._kept(answering.to(loads) if flow.frequency else answering.at_rest(loads))

    @cached_property
    def moved(self) -> tuple[tuple[ComplexArray, ComplexArray, ComplexArray], ...]:
        """E, A and currents of the changes that lack something, by orders."""
        flow, answering, residuals = self.flow, Answering(self.flow), self._residuals
        some = Loads(
            *(by[:, self.lacking] for by in (residuals.electric, residuals.potential, residuals.currents))
        )
        if flow.frequency:
            return self._kept(answering.to(some))
        return self._kept(answering.moved(some, magnetic=bool(self.forces[0])))

    def _kept(self, found: Responses) -> tuple[tuple[ComplexArray, ComplexArray, ComplexArray], ...]:
        """The answers of the finest order, and what those below keep of them."""
        first = found.electric, found.potential, found.currents
        if len(self.forces) == 1:
            return (first,)
        lowered = self.of.nested.lowered
        return first, (lowered(found.electric), lowered(found.potential), found.currents)

    @property
    def _residuals(self) -> Loads:
        """Of the given currents together; at 0 Hz those of E_0 and A alone."""
        found = {k: one.residuals for k, one in self.of.gained.items()}
        count, changes = self.flow.discretisation.elements.count, len(self.of.steps.keys)
        if not found:
            empty = np.zeros((count, changes), dtype=complex)
            return Loads(empty, empty, np.zeros((len(self.flow.powers), changes), dtype=complex))
        if self.flow.frequency:
            return Loads(found[0].electric, found[0].potential, found[0].currents)
        electric = sum(1j**k * one.electric.real for k, one in found.items())
        potential = sum(1j**k * one.potential.imag for k, one in found.items())
        currents = sum(1j**k * one.currents.real for k, one in found.items())
        rows = electric, potential / self.of.fields[0].omega, currents
        return Loads(*(np.asarray(by, dtype=np.complex128) for by in rows))

    def per_ampere(self, number: int) -> ComplexArray:
        """Half of what losses and forces gain with the currents of the circuits, at an order, (k, circuits)."""
        alone = self.of.steady[number]
        return self.wanted(number).on(alone.electric, alone.potential, alone.currents)

    @property
    def count(self) -> int:
        """Of the fields of losses and forces, and one more for losses by themselves."""
        return int(self._answers[0][0].shape[1]) + 1

    def put(self, column: int, number: int, to: tuple[ComplexArray, ...]) -> None:
        """What weighs what a column of the currents gains, at an order: E, A and currents.

        Twice the fields of losses and forces, then that of losses by themselves. At 0 Hz so that the real parts of
        products are those with E_0 and A alone.
        """
        given, (electric, potential, currents) = self.of.gained[column].one, to
        e, a = given.electric[:, number], given.potential[:, number]
        if self.flow.frequency:
            for by, found in zip(to, self._answers[number], strict=True):
                np.multiply(found, 2, out=by[:, :-1])
            electric[:, -1], potential[:, -1] = -e.conj(), a.conj()
        else:
            turned = 2 * 1j**column
            for by, found in zip(to, self._answers[number], strict=True):
                by[:, :-1] = (turned * found).real
            potential[:, :-1] /= 1j * self.of.fields[0].omega
            electric[:, -1], potential[:, -1] = -e.real, 0
        currents[:, -1] = 0


@dataclass(frozen=True, eq=False)
class ConductorForms:
    """How the losses of conductors, and forces on them, change, at one order.

    Attributes
    ----------
    whole : SlopeForms
        Of the circuits at the same order.
    own : OwnFields
    number : int
        The order among those, the finest first.
    """

    whole: SlopeForms
    own: OwnFields
    number: int

    @classmethod
    def of(
        cls, flows: Sequence[SteadyFlow], follow: Following, steps: Differences, losses: tuple[int, ...],
        places: PeakPlaces | None = None,
    ) -> tuple[ConductorForms, ...]:  # fmt: skip
        """Of flows of some orders, the finest first, which has the places of the stress."""
        weighing = Weighing(tuple(map(GivenFields, flows)), steps)
        forces = [()] * len(flows) if places is None else places.forces(
            weighing.flow.discretisation.elements, np.ascontiguousarray(weighing.together.potential.T)
        )
        own = OwnFields(weighing, losses, forces)
        whole = SlopeForms.of(weighing, follow, own)
        return tuple(cls(one, own, number) for number, one in enumerate(whole))

    @property
    def forces(self) -> Sequence[PeakForce]:
        """At this order."""
        return self.own.forces[self.number]

    @property
    def _flow(self) -> SteadyFlow:
        return self.whole.flow

    @property
    def _steps(self) -> Differences:
        return self.whole.steps

    @cached_property
    def _with_fields(self) -> FloatArray:
        """What losses and forces gain with the field, (losses + forces, changes)."""
        own, steps = self.own, self._steps
        count = len(own.losses) + len(self.forces)
        found = np.zeros((count, len(steps.keys)))
        if own.left_out:
            found[:, own.lacking] += 2 * own.wanted(self.number).on(*own.moved[self.number]).real
        else:
            for by in self.whole.weighed.values():
                found += by.values.real[-count - 1 : -1]
        if steps.currents.any():
            found += 2 * (own.per_ampere(self.number) @ steps.currents).real
        return found

    @cached_property
    def _directly(self) -> FloatArray:
        """What they gain with the field carried along, (losses + forces, changes)."""
        steps = self._steps
        empty = np.zeros((len(self._flow.powers), len(steps.keys)))
        losses = sum((one.own for one in self.whole.weighed.values()), empty)[list(self.own.losses)]
        if not self.forces:
            return losses
        by_regions = np.stack([force.at_regions for force in self.forces]) @ steps.reluctivity
        return np.concatenate((losses, self._at_nodes @ steps.nodes.reshape(-1, len(steps.keys)) + by_regions))

    @cached_property
    def _at_nodes(self) -> FloatArray:
        """What forces gain per motion of every node along x, then y, in turn, (forces, 2 points)."""
        return np.stack([force.at_nodes.ravel() for force in self.forces])

    @cached_property
    def changed(self) -> FloatArray:
        """Slopes of the losses and forces, per unit of every change, (losses + forces, changes) [W/m], [N/m]."""
        found = self._with_fields + self._directly
        found[: len(self.own.losses)] += np.outer(self._flow.powers.real[list(self.own.losses)], self._steps.faster)
        return found

    @cached_property
    def sizes(self) -> FloatArray:
        """Sizes of what `changed` adds up."""
        own, steps, count = self.own, self._steps, len(self.own.losses)
        found = np.abs(self._directly)
        if own.left_out:
            loads = own.wanted(self.number).loads
            weighing = loads.electric, loads.potential, loads.currents
            for one, other in zip(weighing, own.moved[self.number], strict=True):
                found[:, own.lacking] += 2 * np.abs(one).T @ np.abs(other)
        else:
            for by in self.whole.weighed.values():
                found += by.sizes.real[-len(found) - 1 : -1]
        found[:count] += self.whole.rounding[0]
        if self.forces:
            found[count:] += ROUNDED * (np.abs(self._at_nodes) @ np.abs(steps.nodes.reshape(-1, len(steps.keys))))
        return found
