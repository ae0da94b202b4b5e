"""What the equations of a field lack once its section has changed a little, the field carried along.

For a change c and any field (E_l, A_l), `Residuals.electric` . E_l + `Residuals.potential` . A_l is what

    -integral (sigma E_l E + j w nu B_l B)

gains: with the field of one ampere in a circuit, the voltage that it gains; with that of an adjoint, a loss or a force.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.solver.elements.shape_gradient import LocalFields, Weights, blocks, gains
from crosscurrent.solver.metals.depth import MU0

from .changes import Differences
from .discretisation import Discretisation
from .flow import SteadyFlow
from .strand_forms import strand_residuals

WIDE = 8  # changes whose products are held at once, as blocks count


@dataclass(frozen=True, eq=False)
class Residuals:
    """Of all changes, for one given field.

    Attributes
    ----------
    electric, potential : (unknowns, c) complex
        What E in the metal and A anywhere are to be multiplied with.
    own : (conductors, c) float
        What the loss of every conductor gains by itself [W/m].
    """

    electric: ComplexArray
    potential: ComplexArray
    own: FloatArray

    @classmethod
    def of(cls, fields: FlowFields, steps: Differences) -> Residuals:
        """For one field of a flow."""
        flow, given, omega = fields.flow, fields.everywhere, fields.omega
        d = flow.discretisation
        count = len(steps.keys)
        found = _Sums(
            flow, given, omega, np.zeros((2, count, d.elements.count), dtype=complex),
            np.zeros((count, len(flow.problem.conductors))),
        )  # fmt: skip
        if len(moving := steps.moving):
            found.add_motion(steps.nodes[..., moving], moving)
        if len(filling := steps.filling):
            found.add_filling(steps.sigma[:, filling], steps.nu[:, filling], filling)
        electric, potential, own = found.at_unknowns[0].T, found.at_unknowns[1].T, found.own.T
        if any(medium is not None for medium in d.strands):
            more = strand_residuals(d, fields.electric[:, 0], fields.potential[:, 0], omega, steps)
            electric, potential, own = electric + more[0], potential + more[1], own + more[2]
        return cls(electric, potential, own)


@dataclass(frozen=True, eq=False)
class _Sums:
    """What triangles add up to."""

    flow: SteadyFlow
    given: LocalFields
    omega: float
    at_unknowns: ComplexArray  # (2, c, unknowns)
    own: FloatArray  # (c, conductors)

    @property
    def _at_rest(self) -> bool:
        return not self.flow.frequency

    @property
    def _d(self) -> Discretisation:
        return self.flow.discretisation

    @cached_property
    def _metal(self) -> IntArray:
        """Place of every triangle among those of metal, -1 in air."""
        found = np.full(len(self._d.mesh.triangles), -1)
        found[self._d.elements.metal] = np.arange(len(self._d.elements.metal))
        return found

    def add_motion(self, nodes: FloatArray, which: IntArray) -> None:
        """What moving nodes (points, 2, c) gain."""
        d = self._d
        for one in gains(d.elements, self.given, field_weights(self.flow, self.omega), nodes):
            inside = self._metal[one.rows] >= 0
            self._add(one.rows[~inside], None, one.potential[~inside], which)
            self._add(one.rows[inside], one.electric[inside], one.potential[inside], which)

    def add_filling(self, sigma: ComplexArray, nu: ComplexArray, which: IntArray) -> None:
        """What other metals (regions, c) gain."""
        d, elements = self._d, self._d.elements
        for some in blocks(len(elements.metal), elements, WIDE * len(which)):
            rows, active = elements.metal[some], self.flow.active[some, None]
            driving = (elements.mass_blocks[some] @ self.given.electric[rows])[:, None, :, 0]
            linked = (elements.stiffness_blocks[rows] @ self.given.potential[rows])[:, None, :, 0]
            by_region = (-sigma, -1j * self.omega / MU0 * nu)
            here = (active[..., None] * of[d.mesh.region[rows]][..., None] for of in by_region)
            electric, potential = (of * by for of, by in zip(here, (driving, linked), strict=True))
            self._add(rows, electric, potential, which)

    def _add(self, rows: IntArray, electric: ComplexArray | None, potential: ComplexArray, which: IntArray) -> None:
        """Of triangles, (t, c, n) each; of air without the first."""
        dofs, sums = self._d.elements.dofs[rows].ravel(), self.at_unknowns
        if electric is not None:
            own = self._own(rows, electric, potential)
            for k, change in enumerate(which):
                self.own[change] += np.bincount(self._d.mesh.part[rows], own[:, k], minlength=self.own.shape[1])
            if self.flow.lifted:  # A is taken from E where the field drives the current
                from_electric = ~self._d.given[self._d.mesh.part[rows], None, None]
                electric = electric + np.where(from_electric, potential, 0.0) / (-1j * self.omega)
                potential = np.where(from_electric, 0.0, potential) if self._d.given.any() else potential[:0]
            for k, change in enumerate(which):
                sums[0, change] += _counted(dofs, electric[:, k].ravel(), sums.shape[2])
        if len(potential):
            for k, change in enumerate(which):
                sums[1, change] += _counted(dofs, potential[:, k].ravel(), sums.shape[2])


    def _own(self, rows: IntArray, electric: ComplexArray, potential: ComplexArray) -> FloatArray:
        """What the loss in triangles of metal gains by itself, (t, c): half of its own |E|^2 goes with -conj(E)."""
        e, a = self.given.electric[rows], self.given.potential[rows]
        if self._at_rest:
            return np.asarray(-(electric.real @ e.real)[..., 0])
        return np.asarray((potential @ a.conj() - electric @ e.conj())[..., 0].real)


def _counted(places: IntArray, values: ComplexArray, count: int) -> ComplexArray:
    real, imaginary = (np.bincount(places, part, minlength=count) for part in (values.real, values.imag))
    return np.asarray(real + 1j * imaginary)


def field_weights(flow: SteadyFlow, omega: float) -> Weights:
    """-sigma and -j w nu / mu0 of every triangle, 0 where no field was solved for; no sigma of given currents."""
    d = flow.discretisation
    active = np.ones(len(d.mesh.triangles))
    active[d.elements.metal] = flow.active
    mass, stiffness = np.zeros(len(active), dtype=complex), active / MU0 + 0j
    mass[d.elements.metal] = d.eddying
    stiffness[d.elements.metal] *= d.stiff
    return Weights((-mass * active)[:, None], -1j * omega * stiffness[:, None])


def rounding(flow: SteadyFlow, given: LocalFields, omega: float, nodes: FloatArray) -> FloatArray:
    """Sizes of what moving nodes (points, 2, c) gains triangle by triangle, where shifts of them should gain nothing.

    Of the loss and of w times twice the stored energy, (2, c) [W/m per unit].
    """
    d, weights = flow.discretisation, field_weights(flow, omega)
    mesh, metal = d.mesh, d.elements.metal
    density = weights.stiffness[:, 0] * _forms(d.elements.stiffness_blocks, given.potential)
    density[metal] += weights.mass[metal, 0] * _forms(d.elements.mass_blocks, given.electric[metal])
    place = mesh.points[mesh.triangles] @ np.array([1, 1j])
    sides = place - np.roll(place, 1, axis=1)
    steep = np.abs(sides).max(axis=1) / np.abs((sides[:, 0].conj() * sides[:, 1]).imag)
    far = np.abs(nodes).max(axis=1)[mesh.triangles].max(axis=1)
    return np.asarray(np.abs([density.real, density.imag]) * steep @ far)


def _forms(blocks: FloatArray, field: ComplexArray) -> FloatArray:
    """x* K x of every triangle, (t,)."""
    return np.asarray(((blocks @ field)[..., 0] * field[..., 0].conj()).sum(axis=1).real)


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

    def together(self, factors: ComplexArray) -> FlowFields:
        """Sums with some factors (k, m)."""
        return FlowFields(self.flow, self.electric @ factors, self.potential @ factors, self.omega)

    def on(self, rows: IntArray) -> LocalFields:
        """In some triangles."""
        d = self.flow.discretisation
        dofs, metal = d.elements.dofs[rows], d.mesh.region[rows] != AIR
        e = np.zeros((*dofs.shape, self.count), dtype=complex)
        e[metal] = self.electric[dofs[metal]]
        if self.flow.lifted:
            a = self.potential[dofs]
            driven = metal & ~np.isin(d.mesh.part[rows], np.flatnonzero(d.given))
            a[driven] = e[driven] / (-1j * self.omega)
        else:
            a = self.potential[dofs]
        return LocalFields(e, d.elements.centred(a, rows))

    @property
    def everywhere(self) -> LocalFields:
        """In all triangles."""
        return self.on(np.arange(len(self.flow.discretisation.mesh.triangles)))
