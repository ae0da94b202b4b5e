"""What the loss of every conductor alone and the peak force on it change with: sums over walls and regions.

See `adjoint`; what a force gains by itself as the air around moves, `stress_gradient`. At 0 Hz the adjoint of a force
is scaled by j w, and has sums of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.shape_gradient import LocalFields, Weights, node_gradient
from crosscurrent.solver.metals.depth import MU0

from .adjoint import Adjoint
from .changes import Difference, filling
from .discretisation import Discretisation
from .peak_force import PeakForce
from .slope_forms import FlowFields, SlopeForms


@dataclass(frozen=True, eq=False)
class ConductorForms:
    """What the losses of conductors, and forces on them, are dot products with, at one order.

    Attributes
    ----------
    adjoint : Adjoint
    forces : sequence of PeakForce
        Those of the adjoint.
    follow : Following
        How the mesh follows its walls.
    """

    adjoint: Adjoint
    forces: Sequence[PeakForce]
    follow: Following

    @property
    def _d(self) -> Discretisation:
        return self.adjoint.flow.discretisation

    @property
    def _omega(self) -> float:
        return 2 * np.pi * self.adjoint.flow.frequency

    @cached_property
    def _given(self) -> LocalFields:
        flow = self.adjoint.flow
        fields = FlowFields(flow, flow.electric[:, None], flow.potential[:, None], self._omega)
        return fields.on(np.arange(len(self._d.mesh.triangles)))

    @cached_property
    def whole(self) -> SlopeForms:
        """The forms of the circuits at the same order."""
        if not self._omega:
            return SlopeForms(self.adjoint.flow, self.follow)
        return SlopeForms(self.adjoint.flow, self.follow, self, None if self._air is None else 0.5 * self._air)

    @cached_property
    def _air(self) -> FloatArray | None:
        """What forces gain by themselves per motion of every node, (points, 2, forces)."""
        return np.stack([force.at_nodes for force in self.forces], axis=-1) if self.forces else None

    @cached_property
    def _alone(self) -> FlowFields:
        return FlowFields(self.adjoint.flow, self.adjoint.electric, self.adjoint.potential, self._omega)

    @property
    def count(self) -> int:
        """Of losses and forces."""
        return self._alone.count

    def on(self, rows: IntArray) -> LocalFields:
        """Fields of the adjoint; beside E_l E a loss has half of its own |E|^2, which goes along with -conj(E)."""
        own, given = self._alone.on(rows), self._given
        column = np.full(len(self.adjoint.flow.problem.conductors) + 1, -1)
        column[list(self.adjoint.losses)] = np.arange(len(self.adjoint.losses))
        k = column[self._d.mesh.part[rows]]
        here = np.flatnonzero(k >= 0)
        own.electric[here, :, k[here]] -= 0.5 * given.electric[rows[here], :, 0].conj()
        if self._omega:
            own.potential[here, :, k[here]] += 0.5 * given.potential[rows[here], :, 0].conj()
        return own

    @cached_property
    def on_walls(self) -> FloatArray:
        """What losses and forces gain per motion of the nodes on the walls, (w, 2, k) [W/m per m], [N/m per m]."""
        return np.asarray(2 * self.whole.more_on_walls.real) if self._omega else self._at_rest

    @property
    def _at_rest(self) -> FloatArray:
        d = self._d
        mass, stiffness = np.zeros((len(d.mesh.triangles), 1)), d.reluctivity[:, None] / MU0
        mass[d.elements.metal, 0] = d.sigma
        found = node_gradient(d.elements, self, self._given, Weights(-2 * mass, -2 * stiffness)).real
        if self._air is not None:
            found[:, :, len(self.adjoint.losses) :] += self._air
        return np.asarray(self.follow.on_walls(found))

    @cached_property
    def _regions(self) -> tuple[ComplexArray, ComplexArray]:
        """What losses and forces gain per conductivity and reluctivity of every region, both (regions, k)."""
        if self._omega:
            electric, magnetic = self.whole.more_regions
            return 2 * electric, 2 * magnetic
        d, found = self._d, []
        rows = d.elements.metal
        region = np.eye(len(d.mesh.regions))[d.mesh.region[rows]]
        blocks = (d.elements.mass_blocks, d.elements.stiffness_blocks[rows] / MU0)
        every = self.on(rows), self._given.on(rows)
        for block, key in zip(blocks, ("electric", "potential"), strict=True):
            alone, given = (getattr(fields, key) for fields in every)
            seen = (block @ given).swapaxes(1, 2) @ alone
            found.append(-2 * (region.T @ seen[:, 0]))
        return found[0], found[1]

    def changed(self, step: Difference) -> FloatArray:
        """Slopes of the losses and forces, per unit of a change, (k,) [W/m], [N/m]."""
        flow, losses = self.adjoint.flow, list(self.adjoint.losses)
        found = sum(term.sum(axis=0) for term in self._terms(step))
        found = found + 2 * (step.currents @ self.adjoint.terminals).real
        if self._omega and step.omega:  # faster is as if all metals were better, times the frequency
            better = (filling(flow.problem, flow.frequency)[0] @ self._regions[0]).real
            better[: len(losses)] += flow.powers.real[losses]
            found = found + step.omega / self._omega * better
        return np.asarray(found, dtype=float)

    def sizes(self, step: Difference) -> FloatArray:
        """Sizes of what `changed` adds up, (k,)."""
        return np.asarray(sum(np.abs(term).sum(axis=0) for term in self._terms(step)), dtype=float)

    def _terms(self, step: Difference) -> list[FloatArray]:
        terms = [(one[:, None] * by).real for one, by in zip((step.sigma, step.nu), self._regions, strict=True)]
        if step.motion.any():
            terms.append((step.motion[..., None] * self.on_walls).reshape(-1, self.on_walls.shape[-1]))
        return terms
