"""What the loss of every conductor alone and the peak force on it change with.

See `adjoint`: fields are solved for of the losses and forces or of the changes, whichever are fewer. What a force gains
by itself as the air around moves is `stress_gradient`'s. At 0 Hz the adjoint of a force is scaled by j w.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.following import Following

from .adjoint import Answering, Loads
from .changes import Differences
from .flow import SteadyFlow
from .peak_force import PeakForce
from .slope_forms import ROUNDED, GivenFields, SlopeForms

DEARER = 2.0  # what the field of a change takes over that of a loss or a force: its residuals at all unknowns


@dataclass(frozen=True, eq=False)
class OwnFields:
    """The fields that losses of conductors, and forces on them, change with.

    Attributes
    ----------
    of : GivenFields
        Of the currents.
    losses : tuple of int
        The conductors.
    forces : sequence of PeakForce
    changes : int
        How many would have fields of their own.
    """

    of: GivenFields
    losses: tuple[int, ...]
    forces: Sequence[PeakForce]
    changes: int

    @cached_property
    def wanted(self) -> Loads:
        """What their fields answer to."""
        return Loads.of(self.of.flow, self.losses, self.forces)

    @cached_property
    def left_out(self) -> bool:
        """Whether fields of the changes are the cheaper ones: at 0 Hz losses need none."""
        count = (len(self.losses) if self.of.flow.frequency else 0) + len(self.forces)
        return DEARER * self.changes < count

    @cached_property
    def _answers(self) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """E, A and currents of losses and forces; none where they are left out."""
        flow = self.of.flow
        if self.left_out:
            empty = np.zeros((flow.discretisation.elements.count, 0), dtype=complex)
            return empty, empty, np.zeros((len(flow.problem.conductors), 0), dtype=complex)
        answering = Answering(flow)
        found = answering.to(self.wanted) if flow.frequency else answering.at_rest(self.wanted)
        return found.electric, found.potential, found.currents

    def beside(self, column: int) -> tuple[ComplexArray, ...]:
        """What weighs what a column of the currents gains: twice those fields, and that of losses by themselves.

        At 0 Hz so that the real parts of products are those with E_0 and A alone.
        """
        of, (electric, potential, currents) = self.of, self._answers
        by_itself = np.zeros((len(currents), 1), dtype=complex)
        e, a = (by @ of.given[:, column] for by in (of.alone.electric, of.alone.potential))
        if of.flow.frequency:
            both = np.column_stack((2 * electric, -e.conj())), np.column_stack((2 * potential, a.conj()))
            return *both, np.column_stack((2 * currents, by_itself))
        turned = 2 * 1j**column
        real = np.asarray(np.column_stack(((turned * electric).real, -e.real)), dtype=np.complex128)
        turning = np.column_stack(((turned * potential).real / (1j * of.omega), 0 * a))
        return real, turning, np.column_stack(((turned * currents).real, by_itself))


@dataclass(frozen=True, eq=False)
class ConductorForms:
    """How the losses of conductors, and forces on them, change, at one order.

    Attributes
    ----------
    whole : SlopeForms
        Of the circuits at the same order.
    own : OwnFields
    """

    whole: SlopeForms
    own: OwnFields

    @classmethod
    def of(
        cls, flow: SteadyFlow, follow: Following, steps: Differences, losses: tuple[int, ...],
        forces: Sequence[PeakForce],
    ) -> ConductorForms:  # fmt: skip
        """Of a flow."""
        fields = GivenFields(flow)
        own = OwnFields(fields, losses, forces, len(np.union1d(steps.moving, steps.filling)))
        return cls(SlopeForms(fields, follow, steps, own.beside), own)

    @property
    def _flow(self) -> SteadyFlow:
        return self.whole.flow

    @property
    def _steps(self) -> Differences:
        return self.whole.steps

    @cached_property
    def _residuals(self) -> Loads:
        """Of the given currents together; at 0 Hz those of E_0 and A alone."""
        found = {k: one.residuals for k, one in self.whole.gained.items()}
        count, changes = self._flow.discretisation.elements.count, len(self._steps.keys)
        if not found:
            empty = np.zeros((count, changes), dtype=complex)
            return Loads(empty, empty, np.zeros((len(self._flow.powers), changes), dtype=complex))
        if self._flow.frequency:
            return Loads(found[0].electric, found[0].potential, found[0].currents)
        electric = sum(1j**k * one.electric.real for k, one in found.items())
        potential = sum(1j**k * one.potential.imag for k, one in found.items())
        currents = sum(1j**k * one.currents.real for k, one in found.items())
        rows = electric, potential / self.whole.fields.omega, currents
        return Loads(*(np.asarray(by, dtype=np.complex128) for by in rows))

    @cached_property
    def _terms(self) -> tuple[FloatArray, FloatArray]:
        """What losses and forces gain with the field, and its size, both (losses + forces, changes)."""
        flow, steps, wanted = self._flow, self._steps, self.own.wanted
        count = wanted.electric.shape[1]
        found, size = np.zeros((count, len(steps.keys))), np.zeros((count, len(steps.keys)))
        if not self.own.left_out:
            for by in self.whole.weighed.values():
                found += by.values.real[-count - 1 : -1]
                size += by.sizes.real[-count - 1 : -1]
        else:
            residuals, lacking = self._residuals, np.union1d(steps.moving, steps.filling)
            some = Loads(*(by[:, lacking] for by in (residuals.electric, residuals.potential, residuals.currents)))
            answering = Answering(flow)
            moved = answering.to(some) if flow.frequency else answering.moved(some, magnetic=bool(self.own.forces))
            pairs = ((wanted.electric, moved.electric), (wanted.potential, moved.potential),
                     (wanted.currents, moved.currents))  # fmt: skip
            for one, other in pairs:
                found[:, lacking] += 2 * (one.T @ other).real
                size[:, lacking] += 2 * np.abs(one).T @ np.abs(other)
        currents = steps.currents
        if currents.any():
            alone = self.whole.fields.alone
            electric = alone.electric if flow.frequency else alone.electric.real
            flowing = alone.currents if flow.frequency else alone.currents.real
            found = found + 2 * wanted.on(electric @ currents, alone.potential @ currents, flowing @ currents).real
        return found, size

    @cached_property
    def _direct(self) -> FloatArray:
        """What they gain with the field carried along, (losses + forces, changes)."""
        steps = self._steps
        by_nodes = [np.tensordot(force.at_nodes, steps.nodes, 2) + force.at_regions @ steps.reluctivity
                    for force in self.own.forces]  # fmt: skip
        empty = np.zeros((len(self._flow.powers), len(steps.keys)))
        losses = sum((one.own for one in self.whole.weighed.values()), empty)[list(self.own.losses)]
        return np.concatenate((losses, *(by[None] for by in by_nodes)))

    @cached_property
    def changed(self) -> FloatArray:
        """Slopes of the losses and forces, per unit of every change, (losses + forces, changes) [W/m], [N/m]."""
        found = self._terms[0] + self._direct
        found[: len(self.own.losses)] += np.outer(self._flow.powers.real[list(self.own.losses)], self._steps.faster)
        return found

    @cached_property
    def sizes(self) -> FloatArray:
        """Sizes of what `changed` adds up."""
        found = self._terms[1] + np.abs(self._direct)
        found[: len(self.own.losses)] += self.whole.rounding[0]
        for found_k, force in zip(found[len(self.own.losses) :], self.own.forces, strict=True):
            found_k += ROUNDED * np.tensordot(np.abs(force.at_nodes), np.abs(self._steps.nodes), 2)
        return found
