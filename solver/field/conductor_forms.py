"""What the loss of every conductor alone and the peak force on it change with.

See `adjoint`: fields are solved for of the losses and forces or of the changes, whichever are fewer. What a force gains
by itself as the air around moves is `stress_gradient`'s. At 0 Hz the adjoint of a force is scaled by j w.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .adjoint import Answering, Loads
from .changes import Differences
from .flow import SteadyFlow
from .peak_force import PeakForce
from .slope_forms import ROUNDED, SlopeForms


@dataclass(frozen=True, eq=False)
class ConductorForms:
    """How the losses of conductors, and forces on them, change, at one order.

    Attributes
    ----------
    whole : SlopeForms
        Of the circuits at the same order.
    losses : tuple of int
        The conductors.
    forces : sequence of PeakForce
    """

    whole: SlopeForms
    losses: tuple[int, ...]
    forces: Sequence[PeakForce]

    @property
    def _flow(self) -> SteadyFlow:
        return self.whole.flow

    @property
    def _steps(self) -> Differences:
        return self.whole.steps

    @cached_property
    def _residuals(self) -> Loads:
        """Of the given currents together; at 0 Hz those of E_0 and A alone."""
        found = self.whole.residuals
        if self._flow.frequency or not found:
            rows = [(one.electric, one.potential) for one in found.values()]
            empty = np.zeros((self._flow.discretisation.elements.count, len(self._steps.keys)), dtype=complex)
            return Loads(*(rows[0] if rows else (empty, empty)))
        electric = sum(1j**k * one.electric.real for k, one in found.items())
        potential = sum(1j**k * one.potential.imag for k, one in found.items())
        return Loads(*(np.asarray(by, dtype=np.complex128) for by in (electric, potential / self.whole.fields.omega)))

    @cached_property
    def _terms(self) -> tuple[FloatArray, FloatArray]:
        """What losses and forces gain with the field, and its size, both (losses + forces, changes)."""
        flow, steps, wanted = self._flow, self._steps, Loads.of(self._flow, self.losses, self.forces)
        answering, residuals = Answering(flow), self._residuals
        lacking = np.union1d(steps.moving, steps.filling)
        some = Loads(residuals.electric[:, lacking], residuals.potential[:, lacking])
        found = np.zeros((wanted.electric.shape[1], len(steps.keys)))
        size = np.zeros_like(found)
        if self._forward(len(lacking)):
            moved = answering.to(some) if flow.frequency else answering.moved(some, magnetic=bool(self.forces))
            pairs = (wanted.electric, moved.electric), (wanted.potential, moved.potential)
        else:
            moved = answering.to(wanted) if flow.frequency else answering.at_rest(wanted)
            pairs = (moved.electric, some.electric), (moved.potential, some.potential)
        for one, other in pairs:
            found[:, lacking] += 2 * (one.T @ other).real
            size[:, lacking] += 2 * np.abs(one).T @ np.abs(other)
        currents = steps.currents
        if currents.any():
            alone = self.whole.fields.alone
            electric = alone.electric if flow.frequency else alone.electric.real
            found += 2 * wanted.on(electric @ currents, alone.potential @ currents).real
        return found, size

    def _forward(self, changes: int) -> bool:
        """Whether fields of the changes are the cheaper ones: at 0 Hz losses need none."""
        return changes < (len(self.losses) if self._flow.frequency else 0) + len(self.forces)

    @cached_property
    def _direct(self) -> FloatArray:
        """What they gain with the field carried along, (losses + forces, changes)."""
        losses = [one.own[list(self.losses)] for one in self.whole.residuals.values()]
        steps = self._steps
        by_nodes = [np.tensordot(force.at_nodes, steps.nodes, 2) + force.at_regions @ steps.reluctivity
                    for force in self.forces]  # fmt: skip
        empty = np.zeros((len(self.losses), len(steps.keys)))
        return np.concatenate((sum(losses, empty), *(by[None] for by in by_nodes)))

    @cached_property
    def changed(self) -> FloatArray:
        """Slopes of the losses and forces, per unit of every change, (losses + forces, changes) [W/m], [N/m]."""
        found = self._terms[0] + self._direct
        found[: len(self.losses)] += np.outer(self._flow.powers.real[list(self.losses)], self._steps.faster)
        return found

    @cached_property
    def sizes(self) -> FloatArray:
        """Sizes of what `changed` adds up."""
        found = self._terms[1] + np.abs(self._direct)
        found[: len(self.losses)] += self.whole.rounding[0]
        for found_k, force in zip(found[len(self.losses) :], self.forces, strict=True):
            found_k += ROUNDED * np.tensordot(np.abs(force.at_nodes), np.abs(self._steps.nodes), 2)
        return found
