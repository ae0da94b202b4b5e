"""What the loss of every conductor alone changes with, as sums over walls and regions: see `adjoint`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.shape_gradient import LocalFields, Weights, node_gradient
from crosscurrent.solver.metals.depth import MU0

from .adjoint import Adjoint
from .changes import Difference, filling
from .discretisation import Discretisation


@dataclass(frozen=True, eq=False)
class LossForms:
    """What the losses of conductors are dot products with, at one order.

    Attributes
    ----------
    adjoint : Adjoint
    follow : Following
        How the mesh follows its walls.
    """

    adjoint: Adjoint
    follow: Following

    @property
    def _d(self) -> Discretisation:
        return self.adjoint.flow.discretisation

    @property
    def _omega(self) -> float:
        return 2 * np.pi * self.adjoint.flow.frequency

    def _local(self, electric: ComplexArray, potential: ComplexArray) -> LocalFields:
        """Fields (unknowns, k) by triangle, E in the metal alone; A is taken from E where that was solved for."""
        d = self._d
        metal = d.elements.metal
        e, a = electric[d.elements.dofs], potential[d.elements.dofs]
        if self.adjoint.flow.lifted:
            a[metal] = e[metal] / (-1j * self._omega)
        e[np.setdiff1d(np.arange(len(e)), metal)] = 0.0
        return LocalFields(e, a - a.mean(axis=1, keepdims=True))

    @cached_property
    def _given(self) -> LocalFields:
        flow = self.adjoint.flow
        potential = flow.potential if self._omega else np.zeros_like(flow.potential)
        return self._local(flow.electric[:, None], potential[:, None])

    @cached_property
    def _alone(self) -> LocalFields:
        return self._local(self.adjoint.electric, self.adjoint.potential)

    @cached_property
    def _weights(self) -> tuple[Weights, Weights]:
        """Of -dQ, and of dH."""
        d, flow = self._d, self.adjoint.flow
        rows, count = d.elements.metal, len(d.mesh.triangles)
        mass, stiffness = np.zeros((count, 1), dtype=complex), d.reluctivity[:, None] / MU0 + 0j
        mass[rows, 0] = flow.active * d.sigma * d.smoothing
        stiffness[rows, 0] *= flow.active * d.smoothing
        return Weights(-mass, -1j * self._omega * stiffness), Weights(mass.real, self._omega * stiffness.imag)

    @cached_property
    def on_walls(self) -> FloatArray:
        """What the losses gain per motion of the nodes on the walls, (w, 2, conductors) [W/m per m]."""
        given, alone, (through, within) = self._given, self._alone, self._weights
        fields = LocalFields(*(
            np.concatenate((getattr(alone, key), getattr(given, key), getattr(given, key).conj()), axis=2)
            for key in ("electric", "potential")
        ))  # fmt: skip
        count, mesh = alone.electric.shape[2], self._d.mesh
        both = Weights(*(
            np.column_stack((np.repeat(2 * one, count, axis=1), 0 * one, other))
            for one, other in ((through.mass, within.mass), (through.stiffness, within.stiffness))
        ))  # fmt: skip
        found = node_gradient(self._d.elements, fields, np.arange(count + 2) == count, both)
        owner = np.zeros((len(mesh.points), 1, count))  # no two conductors share a node
        for k in range(count):
            owner[mesh.triangles[mesh.part == k], 0, k] = 1.0
        return np.asarray(self.follow.on_walls(found[..., :count] + owner * found[..., -1:]).real)

    @cached_property
    def _regions(self) -> tuple[ComplexArray, ComplexArray, FloatArray, FloatArray]:
        """Per region and conductor: what the losses gain per sigma and nu through the fields, and by themselves."""
        d = self._d
        rows = d.elements.metal
        region = np.eye(len(d.mesh.regions))[d.mesh.region[rows]] * self.adjoint.flow.active[:, None]
        own = np.eye(len(self.adjoint.flow.problem.conductors))[d.mesh.part_of_region]
        through, within, stored = [], [], d.elements.stiffness_blocks[rows] / MU0
        for blocks, key in ((d.elements.mass_blocks, "electric"), (stored, "potential")):
            given, alone = (getattr(fields, key)[rows] for fields in (self._given, self._alone))
            seen = blocks @ given
            through.append(np.einsum("tr,tck->rck", region, alone.swapaxes(1, 2) @ seen)[..., 0])
            within.append(region.T @ (given.conj() * seen).sum(axis=(1, 2)).real)
        of_b = -2j * self._omega * through[1]
        return -2 * through[0], of_b, within[0][:, None] * own, self._omega * within[1][:, None] * own

    @property
    def _metals(self) -> tuple[ComplexArray, ComplexArray]:
        return filling(self.adjoint.flow.problem, self.adjoint.flow.frequency)

    def changed(self, step: Difference) -> FloatArray:
        """Slopes of the losses of all conductors, per unit of a change, (conductors,) [W/m]."""
        found = sum(term.sum(axis=0) for term in self._terms(step))
        found = found + 2 * (step.currents @ self.adjoint.terminals).real
        if self._omega and step.omega:  # faster is as if all metals were better, times the frequency
            through, _, within, _ = self._regions
            sigma = self._metals[0]
            better = (sigma @ through).real + sigma.real @ within
            found = found + step.omega / self._omega * (better + self.adjoint.flow.powers.real)
        return np.asarray(found, dtype=float)

    def sizes(self, step: Difference) -> FloatArray:
        """Sizes of what `changed` adds up, (conductors,)."""
        return np.asarray(sum(np.abs(term).sum(axis=0) for term in self._terms(step)), dtype=float)

    def _terms(self, step: Difference) -> list[FloatArray]:
        through, of_b, within, stored = self._regions
        terms = [
            (step.sigma[:, None] * through).real + step.sigma.real[:, None] * within,
            (step.nu[:, None] * of_b).real + step.nu.imag[:, None] * stored,
        ]
        if step.motion.any():
            terms.append((step.motion[..., None] * self.on_walls).reshape(-1, self.on_walls.shape[-1]))
        return terms
