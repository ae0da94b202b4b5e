"""What the equations of a field lack once its section has changed a little, the field carried along.

For a change and any field (E_l, A_l), `Gained.weighed` is what

    -integral (sigma E_l E + j w nu B_l B)

gains: with the field of one ampere in a circuit, the voltage that it gains; with that of an adjoint, a loss or a force.
`Gained.residuals` tell the same for fields that are not known yet: by `electric` . E_l + `potential` . A_l.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.solver.elements.condensed import summed
from crosscurrent.solver.elements.shape_gradient import Gains, LocalFields, Weights, times
from crosscurrent.solver.metals.depth import MU0

from .changes import Differences
from .discretisation import Discretisation
from .flow import SteadyFlow
from .strand_forms import strand_residuals


@dataclass(frozen=True, eq=False)
class Residuals:
    """What E in the metal and A are to be multiplied with, both (unknowns, c), and currents (conductors, c)."""

    electric: ComplexArray
    potential: ComplexArray
    currents: ComplexArray


@dataclass(frozen=True, eq=False)
class Weighed:
    """What forms with some fields gain.

    Attributes
    ----------
    values : (k, c) complex
    own : (conductors, c) float
        What those with the last of the fields gain in every conductor, real parts; 0 unless asked for.
    filled : (k, c) complex
        Sizes of what regions gain by what fills them, as `sizes` has them.
    moving : (m,) int
        Which of the changes move anything.
    moved : list
        What triangles gain by ways to be strained (t, w, k), and how far those that move do, (t, w, m); none where each
        is such a way.
    """

    values: ComplexArray
    own: FloatArray
    filled: ComplexArray
    moving: IntArray
    moved: list[tuple[ComplexArray, FloatArray | None]]

    @cached_property
    def sizes(self) -> ComplexArray:
        """Of what `values` add up, (k, c): sums of the sizes of real parts, and of imaginary parts."""
        found = self.filled.copy()
        for by, ways in self.moved:
            each = by if ways is None else times(ways.swapaxes(1, 2), by)
            found[:, self.moving] += np.abs(each.view(float)).sum(axis=0).view(complex).T
        return found


@dataclass(frozen=True, eq=False)
class Gained:
    """What forms of one given field with any other gain with some changes.

    Attributes
    ----------
    one : FlowFields
        The given field.
    steps : Differences
    """

    one: FlowFields
    steps: Differences

    @property
    def flow(self) -> SteadyFlow:
        """Whose it is."""
        return self.one.flow

    @property
    def _d(self) -> Discretisation:
        return self.flow.discretisation

    @cached_property
    def given(self) -> LocalFields:
        """It by triangle, (t, n, 1)."""
        return self.one.everywhere

    @cached_property
    def _stranded(self) -> tuple[ComplexArray, ComplexArray, FloatArray] | None:
        """What strands that count as a medium gain beside their triangles, by currents, by A and by themselves."""
        if all(medium is None for medium in self._d.strands):
            return None
        return strand_residuals(self._d, self.one.currents[:, 0], self.one.potential[:, 0], self.one.omega, self.steps)

    @cached_property
    def _moved(self) -> list[tuple[Gains, FloatArray | None]]:
        """By ways to be strained, and how far motions do; none where nothing moves."""
        if not len(self.steps.moving):
            return []
        return self.steps.moved.gains(self._d.elements, self.given, field_weights(self.flow, self.one.omega))

    @cached_property
    def _filled(self) -> tuple[ComplexArray, ComplexArray]:
        """By what the conductivity and the reluctivity of triangles of metal gain, both (m, n)."""
        elements, active = self._d.elements, self.flow.active[:, None]
        driving = elements.mass_blocks @ self.given.electric[elements.metal]
        linked = elements.stiffness_blocks[elements.metal] @ self.given.potential[elements.metal]
        return -active * driving[..., 0], -1j * self.one.omega / MU0 * active * linked[..., 0]

    def weighed(self, fields: FlowFields, *, own: bool) -> Weighed:
        """With some fields; of the last by conductor as well if wanted."""
        steps, mesh, count = self.steps, self._d.mesh, len(self.flow.problem.conductors)
        shape, moving = (fields.count, len(steps.keys)), steps.moving
        moved: list[tuple[ComplexArray, FloatArray | None]] = []
        found = Weighed(np.zeros(shape, dtype=complex), np.zeros((count, shape[1])), np.zeros(shape, dtype=complex),
                        moving, moved)  # fmt: skip
        for one, ways in self._moved:
            by = one.with_others(fields.on(one.rows), at_rest=not self.flow.frequency)
            moved.append((by, ways))
            found.values[:, moving] += _summed(by, ways).T
            if own:
                inside = np.flatnonzero(mesh.region[one.rows] != AIR)
                last = by[inside, :, -1].real
                each = last if ways is None else (last[:, None] @ ways[inside])[:, 0]
                owned = mesh.part[one.rows[inside]] == np.arange(count)[:, None]
                found.own[:, moving] += owned.astype(float) @ each
        if len(filling := steps.filling):
            self._fill(found, fields, filling)
        if self._stranded is not None:
            currents, potential, by_itself = self._stranded
            found.values[...] += fields.currents.T @ currents + fields.potential.T @ potential
            if not self.flow.frequency:
                found.values[...] += fields.currents.imag.T @ currents.imag
            for of, by in ((fields.currents, currents), (fields.potential, potential)):
                found.filled[...] += np.abs(of).T @ np.abs(by) * (1 + 1j)
            if own:
                found.own[...] += by_itself
        return found

    @cached_property
    def _by_region(self) -> tuple[ComplexArray, ComplexArray]:
        """The same by region and unknown of E and A, (regions, unknowns) each."""
        d, rows = self._d, self._d.elements.metal
        regions, count = len(d.mesh.regions), d.elements.count
        places = (d.mesh.region[rows, None] * count + d.elements.dofs[rows]).ravel()
        driving, linked = (
            _counted(places, by.ravel(), regions * count).reshape(regions, count) for by in self._filled
        )
        return driving, linked

    def _fill(self, found: Weighed, fields: FlowFields, filling: IntArray) -> None:
        d, (driving, linked) = self._d, self._by_region
        conducted, stored = driving @ fields.electric, np.empty((len(linked), fields.count), dtype=complex)
        if not self.flow.frequency:
            conducted += driving.imag @ fields.electric.imag
        from_electric = self.flow.lifted & ~d.given[d.mesh.part_of_region]
        stored[from_electric] = linked[from_electric] @ fields.electric / (-1j * self.one.omega)
        stored[~from_electric] = linked[~from_electric] @ fields.potential
        each = conducted[..., None] * self.steps.sigma[:, None, filling]
        each += stored[..., None] * self.steps.nu[:, None, filling]
        found.values[:, filling] += each.sum(axis=0)
        found.filled[:, filling] += _sizes(each).sum(axis=0)
        owned = d.mesh.part_of_region == np.arange(len(found.own))[:, None]
        found.own[:, filling] += owned @ each[:, -1].real

    @cached_property
    def residuals(self) -> Residuals:
        """At every unknown."""
        d, steps = self._d, self.steps
        found = np.zeros((2, len(steps.keys), d.elements.count), dtype=complex)
        for one, ways in self._moved:
            inside = d.mesh.region[one.rows] != AIR
            electric, potential = one.moved(ways)
            self._add(found, one.rows[~inside], None, potential[~inside], steps.moving)
            self._add(found, one.rows[inside], electric[inside], potential[inside], steps.moving)
        if len(filling := steps.filling):
            rows = d.elements.metal
            driven, linked = (
                by[d.mesh.region[rows]][:, filling, None] * one[:, None]
                for by, one in zip((steps.sigma, steps.nu), self._filled, strict=True)
            )
            self._add(found, rows, driven, linked, filling)
        electric, potential = found[0].T, found[1].T
        if self._stranded is None:
            return Residuals(electric, potential, np.zeros((len(d.strands), len(steps.keys)), dtype=complex))
        return Residuals(electric, potential + self._stranded[1], self._stranded[0])

    def _add(
        self, sums: ComplexArray, rows: IntArray, electric: ComplexArray | None, potential: ComplexArray,
        which: IntArray,
    ) -> None:  # fmt: skip
        """Of triangles, (t, c, n) each; of air without the first."""
        dofs = self._d.elements.dofs[rows].ravel()
        if electric is not None:
            if self.flow.lifted:  # A is taken from E where the field drives the current
                from_electric = ~self._d.given[self._d.mesh.part[rows], None, None]
                electric = electric + np.where(from_electric, potential, 0.0) / (-1j * self.one.omega)
                potential = np.where(from_electric, 0.0, potential) if self._d.given.any() else potential[:0]
            for k, change in enumerate(which):
                sums[0, change] += _counted(dofs, electric[:, k].ravel(), sums.shape[2])
        if len(potential):
            for k, change in enumerate(which):
                sums[1, change] += _counted(dofs, potential[:, k].ravel(), sums.shape[2])


def _summed(by: ComplexArray, ways: FloatArray | None) -> ComplexArray:
    """What all triangles gain (t, w, k) as they are strained, (m, k)."""
    if ways is None:
        return np.asarray(by.sum(axis=0))
    flat = ways.reshape(-1, ways.shape[2])
    return np.asarray((flat.T @ by.reshape(len(flat), -1).view(float)).view(complex))


def _sizes(values: ComplexArray) -> ComplexArray:
    return np.asarray(np.abs(values.real) + 1j * np.abs(values.imag))


def _counted(places: IntArray, values: ComplexArray, count: int) -> ComplexArray:
    return np.asarray(summed(places, values[:, None], count)[:, 0])


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
    currents : (conductors, k) complex
    omega : float
    """

    flow: SteadyFlow
    electric: ComplexArray
    potential: ComplexArray
    currents: ComplexArray
    omega: float

    @property
    def count(self) -> int:
        """How many."""
        return int(self.potential.shape[1])

    def together(self, factors: ComplexArray) -> FlowFields:
        """Sums with some factors (k, m)."""
        e, a, i = (by @ factors for by in (self.electric, self.potential, self.currents))
        return FlowFields(self.flow, e, a, i, self.omega)

    def on(self, rows: IntArray) -> LocalFields:
        """In some triangles."""
        d = self.flow.discretisation
        dofs, inside = d.elements.dofs[rows], np.flatnonzero(d.mesh.region[rows] != AIR)
        e, a = self.electric[dofs[inside]], np.empty((*dofs.shape, self.count), dtype=complex)
        driven = ~d.given[d.mesh.part[rows[inside]]] & self.flow.lifted
        free = np.ones(len(rows), dtype=bool)
        free[inside[driven]] = False
        a[free], a[inside[driven]] = self.potential[dofs[free]], e[driven] / (-1j * self.omega)
        return LocalFields(e, a, inside)

    @property
    def everywhere(self) -> LocalFields:
        """In all triangles, A as centred as may be."""
        d = self.flow.discretisation
        every = np.arange(len(d.mesh.triangles))
        found = self.on(every)
        electric = np.zeros_like(found.potential)
        electric[found.inside] = found.electric
        return LocalFields(electric, d.elements.centred(found.potential, every))
