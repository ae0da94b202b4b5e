"""What the equations of a field lack once its section has changed a little, the field carried along.

For a change and any field (E_l, A_l), `Gained.weighed` is what

    -integral (sigma E_l E + j w nu B_l B)

gains: with the field of one ampere in a circuit, the voltage that it gains; with that of an adjoint, a loss or a force.
`Gained.residuals` tell the same for fields that are not known yet: by `electric` . E_l + `potential` . A_l.
"""

from __future__ import annotations

from collections.abc import Sequence
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
    """What forms of one given field, as some orders have it, with any other gain with some changes.

    Attributes
    ----------
    one : FlowFields
        The given field, by orders as columns, the finest first.
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
        """It by triangle, (t, n, orders)."""
        return self.one.everywhere

    @cached_property
    def _stranded(self) -> list[tuple[ComplexArray, ComplexArray, FloatArray]]:
        """What strands that count as a medium gain beside their triangles, by currents, by A and by themselves."""
        if all(medium is None for medium in self._d.strands):
            return []
        one = self.one
        return list(strand_residuals(self._d, one.currents, one.potential, one.omega, self.steps))

    @cached_property
    def _moved(self) -> list[tuple[Gains, FloatArray | None]]:
        """By ways to be strained, and how far motions do; none where nothing moves."""
        if not len(self.steps.moving):
            return []
        return self.steps.moved.gains(self._d.elements, self.given, self._weights)

    @cached_property
    def _weights(self) -> Weights:
        return field_weights(self.flow, self.one.omega)

    @cached_property
    def rounding(self) -> FloatArray:
        """As `rounding` has it, of the finest order."""
        return rounding(self.flow, self.given, self._weights, self.steps.nodes)

    @cached_property
    def _filled(self) -> tuple[ComplexArray, ComplexArray | None]:
        """By what the conductivity and the reluctivity of triangles of metal gain, both (orders, m, n).

        Without the second where no reluctivity changes.
        """
        elements, active, driving = self._d.elements, self.flow.active[:, None], self.one.driving
        if not self.steps.nu.any():
            return -active * driving, None
        linked = times(elements.stiffness_blocks[elements.metal], self.given.potential[elements.metal])
        return -active * driving, -1j * self.one.omega / MU0 * active * linked.transpose(2, 0, 1)

    def weighed(self, fields: FlowFields, *, own: bool) -> tuple[Weighed, ...]:
        """With some fields, which may be by orders as well; of the last by conductor too if wanted."""
        steps, mesh, count = self.steps, self._d.mesh, len(self.flow.problem.conductors)
        shape, moving = (self.one.count, fields.count, len(steps.keys)), steps.moving
        values, apart = np.zeros(shape, dtype=complex), np.zeros((shape[0], count, shape[2]))
        moved: list[tuple[ComplexArray, FloatArray | None]] = []
        for one, ways in self._moved:
            by = one.with_others(fields.on(one.rows), at_rest=not self.flow.frequency)
            moved.append((by, ways))
            inside = np.flatnonzero(mesh.region[one.rows] != AIR)
            owned = (mesh.part[one.rows[inside]] == np.arange(count)[:, None]).astype(float)
            for k, each in enumerate(by):
                values[k][:, moving] += _summed(each, ways).T
                if own:
                    apart[k][:, moving] += _owned(each[inside, :, -1].real, ways, inside, owned)
        found = tuple(
            Weighed(by, of, np.zeros(shape[1:], dtype=complex), moving, [(each[k], ways) for each, ways in moved])
            for k, (by, of) in enumerate(zip(values, apart, strict=True))
        )
        if len(filling := steps.filling):
            self._fill(found, fields, filling)
        for k, (one_found, stranded) in enumerate(zip(found, self._stranded, strict=False)):
            _strand(one_found, fields.order(k), stranded, at_rest=not self.flow.frequency, own=own)
        return found

    def _fill(self, found: Sequence[Weighed], fields: FlowFields, filling: IntArray) -> None:
        d, rows = self._d, self._d.elements.metal
        dofs, (driving, linked) = d.elements.dofs[rows], self._filled
        e = np.take(fields.electric, dofs, axis=-2)
        conducted = (driving[:, :, None] @ e)[:, :, 0]
        if not self.flow.frequency:
            conducted += (driving.imag[:, :, None] @ e.imag)[:, :, 0]
        each = self._of_regions(conducted)[..., None] * self.steps.sigma[:, None, filling]
        if linked is not None:
            a = e / (-1j * self.one.omega)
            given = np.flatnonzero(~(self.flow.lifted & ~d.given[d.mesh.part[rows]]))
            a[..., given, :, :] = np.take(fields.potential, dofs[given], axis=-2)
            stored = self._of_regions((linked[:, :, None] @ a)[:, :, 0])
            each += stored[..., None] * self.steps.nu[:, None, filling]
        owned = d.mesh.part_of_region == np.arange(len(found[0].own))[:, None]
        for one, by in zip(found, each, strict=True):
            one.values[:, filling] += by.sum(axis=0)
            one.filled[:, filling] += _sizes(by).sum(axis=0)
            one.own[:, filling] += owned @ by[:, -1].real

    def _of_regions(self, values: ComplexArray) -> ComplexArray:
        """Sums of values of triangles of metal, (orders, m, k), by region, (orders, regions, k)."""
        mesh = self._d.mesh
        within = mesh.region[self._d.elements.metal] == np.arange(len(mesh.regions))[:, None]
        return times(within.astype(float), values)

    @cached_property
    def residuals(self) -> Residuals:
        """At every unknown, of the finest order."""
        d, steps = self._d, self.steps
        found = np.zeros((2, len(steps.keys), d.elements.count), dtype=complex)
        for one, ways in self._moved:
            inside = d.mesh.region[one.rows] != AIR
            electric, potential = one.moved(ways)
            self._add(found, one.rows[~inside], None, potential[0, ~inside], steps.moving)
            self._add(found, one.rows[inside], electric[0, inside], potential[0, inside], steps.moving)
        if len(filling := steps.filling):
            rows = d.elements.metal
            driving, linked = self._filled
            driven = steps.sigma[d.mesh.region[rows]][:, filling, None] * driving[0][:, None]
            stored = None if linked is None else steps.nu[d.mesh.region[rows]][:, filling, None] * linked[0][:, None]
            self._add(found, rows, driven, np.zeros_like(driven) if stored is None else stored, filling)
        electric, potential = found[0].T, found[1].T
        if not self._stranded:
            return Residuals(electric, potential, np.zeros((len(d.strands), len(steps.keys)), dtype=complex))
        return Residuals(electric, potential + self._stranded[0][1], self._stranded[0][0])

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


def _owned(last: FloatArray, ways: FloatArray | None, inside: IntArray, owned: FloatArray) -> FloatArray:
    """What conductors gain, (conductors, m), from triangles (t, w) that are theirs (conductors, t)."""
    if ways is None:
        return owned @ last
    flat = ways[inside].reshape(-1, ways.shape[2])
    return np.asarray((owned[..., None] * last).reshape(len(owned), -1) @ flat)


def _strand(
    found: Weighed, fields: FlowFields, stranded: tuple[ComplexArray, ComplexArray, FloatArray], *, at_rest: bool,
    own: bool,
) -> None:  # fmt: skip
    """Add what strands gain."""
    currents, potential, by_itself = stranded
    found.values[...] += fields.currents.T @ currents + fields.potential.T @ potential
    if at_rest:
        found.values[...] += fields.currents.imag.T @ currents.imag
    for of, by in ((fields.currents, currents), (fields.potential, potential)):
        found.filled[...] += np.abs(of).T @ np.abs(by) * (1 + 1j)
    if own:
        found.own[...] += by_itself


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


def rounding(flow: SteadyFlow, given: LocalFields, weights: Weights, nodes: FloatArray) -> FloatArray:
    """Sizes of what moving nodes (points, 2, c) gains triangle by triangle, where shifts of them should gain nothing.

    Of the loss and of w times twice the stored energy, (2, c) [W/m per unit], of the first of the given fields.
    """
    d, mesh, metal = flow.discretisation, flow.discretisation.mesh, flow.discretisation.elements.metal
    density = weights.stiffness[:, 0] * _forms(d.elements.stiffness_blocks, given.potential)
    density[metal] += weights.mass[metal, 0] * _forms(d.elements.mass_blocks, given.electric[metal])
    place = mesh.points[mesh.triangles] @ np.array([1, 1j])
    sides = place - np.roll(place, 1, axis=1)
    steep = np.abs(sides).max(axis=1) / np.abs((sides[:, 0].conj() * sides[:, 1]).imag)
    far = np.take(np.abs(nodes).max(axis=1), mesh.triangles, axis=0).max(axis=1)
    return np.asarray(np.abs([density.real, density.imag]) * steep @ far)


def _forms(blocks: FloatArray, field: ComplexArray) -> FloatArray:
    """x* K x of every triangle, (t,)."""
    first = field[..., :1]
    return np.asarray((times(blocks, first) * first.conj()).real.sum(axis=(1, 2)))


@dataclass(frozen=True, eq=False)
class FlowFields:
    """Fields by triangle, E in the metal alone; A is taken from E where that was solved for.

    E has all its digits there, and slopes as A does.

    Attributes
    ----------
    flow : SteadyFlow
    electric, potential : (unknowns, k) or (orders, unknowns, k) complex
    currents : (conductors, k) or (orders, conductors, k) complex
    omega : float
    """

    flow: SteadyFlow
    electric: ComplexArray
    potential: ComplexArray
    currents: ComplexArray
    omega: float

    @classmethod
    def of(cls, flow: SteadyFlow) -> FlowFields:
        """That of all currents of a flow, (unknowns, 1)."""
        e, a, i = (np.asarray(of, dtype=complex)[:, None] for of in (flow.electric, flow.potential, flow.currents))
        return cls(flow, e, a, i, 2 * np.pi * flow.frequency)

    @property
    def count(self) -> int:
        """How many."""
        return int(self.potential.shape[-1])

    def order(self, number: int) -> FlowFields:
        """Those of one order; all of them where orders are not told apart."""
        if self.potential.ndim == 2:
            return self
        return FlowFields(
            self.flow, self.electric[number], self.potential[number], self.currents[number], self.omega
        )

    def together(self, factors: ComplexArray) -> FlowFields:
        """Sums with some factors (k, m)."""
        e, a, i = (by @ factors for by in (self.electric, self.potential, self.currents))
        return FlowFields(self.flow, e, a, i, self.omega)

    def on(self, rows: IntArray) -> LocalFields:
        """In some triangles."""
        d, dofs = self.flow.discretisation, self.flow.discretisation.elements.dofs[rows]
        metal = d.mesh.region[rows] != AIR
        inside = np.flatnonzero(metal)
        e = np.take(self.electric, dofs[inside], axis=-2)
        driven = ~d.given[d.mesh.part[rows[inside]]] & self.flow.lifted
        if driven.all():
            return LocalFields(e, np.take(self.potential, dofs[~metal], axis=-2), inside, 1j / self.omega)
        a = np.take(self.potential, dofs, axis=-2)
        if driven.any():
            a[..., inside[driven], :, :] = e[..., driven, :, :] * (1j / self.omega)
        return LocalFields(e, a, inside)

    @cached_property
    def driving(self) -> ComplexArray:
        """Mass times E of every triangle of metal, (k, m, n)."""
        elements = self.flow.discretisation.elements
        found = times(elements.mass_blocks, np.take(self.electric, elements.dofs[elements.metal], axis=0))
        return found.transpose(2, 0, 1)

    @property
    def everywhere(self) -> LocalFields:
        """In all triangles, (t, n, k), A as centred as may be."""
        elements, every = self.flow.discretisation.elements, np.arange(len(self.flow.discretisation.mesh.triangles))
        found = self.on(every)
        electric = np.zeros((*elements.dofs.shape, self.count), dtype=complex)
        electric[found.inside] = found.electric
        if found.linked is None:
            return LocalFields(electric, elements.centred(found.potential, every))
        potential = electric * found.linked
        potential[found.outside(len(every))] = found.potential
        return LocalFields(electric, elements.centred(potential, every))
