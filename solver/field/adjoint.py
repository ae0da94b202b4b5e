"""The fields that say what the loss of one conductor alone, and the force on it, change with.

With Q x = b for what is solved for, x = (A, voltages), and P = x* H x the loss of one conductor,

    dP = 2 Re h'dx + x* dH x,    h = conj(H x),    Q dx = db - dQ x = r,

and since Q is symmetric h'Q^-1 r is one number whichever side is solved for: fields of the loads h, one for each loss
and force, or fields of the residuals r, one for each change. The same holds for a force, a form of A in the air.
Groups of conductors carry no net current in these fields. They cost one more right-hand side each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, IntArray
from crosscurrent.solver.elements.condensed import CondensedSystem, summed
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.elements.shape_gradient import times
from crosscurrent.solver.metals.depth import MU0

from .circuits import Connections
from .flow import SteadyFlow
from .peak_force import PeakForce
from .residuals import FlowFields
from .solved_flow import SolvedFlow
from .strand_forms import given_unknowns
from .unit_fields import fields_of


@dataclass(frozen=True, eq=False)
class Loads:
    """What E in the metal and A are multiplied with, both (unknowns, k), and currents (conductors, k)."""

    electric: ComplexArray
    potential: ComplexArray
    currents: ComplexArray

    @classmethod
    def of(cls, given: FlowFields, losses: Sequence[int]) -> Loads:
        """Half of what losses of conductors gain in the first of some fields of all currents."""
        return OwnLoads.of(given, losses).loads

    def on(self, electric: ComplexArray, potential: ComplexArray, currents: ComplexArray) -> ComplexArray:
        """Products with fields (unknowns, m) and currents (conductors, m), (k, m)."""
        return np.asarray(self.electric.T @ electric + self.potential.T @ potential + self.currents.T @ currents)


@dataclass(frozen=True, eq=False)
class OwnLoads:
    """Half of what losses of conductors gain, and forces, real parts, where they are felt.

    Attributes
    ----------
    losses : tuple of int
        The conductors.
    owner : (unknowns,) int
        Whose metal each is in, -1 in none: no two have any in common.
    lossy, stored : (unknowns,) complex
        What E and, with rough surfaces, A there are multiplied with.
    currents : (conductors, losses) complex
        The same of currents.
    forces : sequence of PeakForce
    """

    losses: tuple[int, ...]
    owner: IntArray
    lossy: ComplexArray
    stored: ComplexArray | None
    currents: ComplexArray
    forces: Sequence[PeakForce]

    @classmethod
    def of(
        cls, given: FlowFields, losses: Sequence[int], forces: Sequence[PeakForce] = (), number: int = 0
    ) -> OwnLoads:
        """In one of some fields of all currents."""
        d = given.flow.discretisation
        owner = np.full(d.elements.count, -1)
        owner[d.elements.dofs[d.elements.metal]] = d.mesh.part[d.elements.metal][:, None]
        edges = np.array([0.0 if medium is None else medium.edge for medium in d.strands])
        currents = np.diag(np.real(edges) * given.currents[:, number].conj())[:, list(losses)]
        return cls(tuple(losses), owner, *_of_losses(given, number), currents, forces)

    @cached_property
    def loads(self) -> Loads:
        """At all unknowns."""
        count = len(self.losses)
        found = np.zeros((2, len(self.owner), count + len(self.forces)), dtype=complex)
        electric, potential = found
        for k, conductor in enumerate(self.losses):
            own = np.flatnonzero(self.owner == conductor)
            electric[own, k] = self.lossy[own]
            if self.stored is not None:
                potential[own, k] = self.stored[own]
        for k, one in enumerate(self.forces):
            np.multiply(one.turn, one.load, out=potential[:, count + k])
        return Loads(electric, potential, np.pad(self.currents, ((0, 0), (0, len(self.forces)))))

    def on(self, electric: ComplexArray, potential: ComplexArray, currents: ComplexArray) -> ComplexArray:
        """Products with fields (unknowns, m) and currents (conductors, m), (losses + forces, m)."""
        lost = self.currents.T @ currents
        for k, conductor in enumerate(self.losses):
            own = np.flatnonzero(self.owner == conductor)
            lost[k] += self.lossy[own] @ electric[own]
            if self.stored is not None:
                lost[k] += self.stored[own] @ potential[own]
        pushed = [one.turn * times(one.load[None], potential) for one in self.forces]
        return np.concatenate((lost, *pushed))


@dataclass(frozen=True, eq=False)
class Responses:
    """Fields of loads.

    Attributes
    ----------
    electric, potential : (unknowns, k) complex
        E counts in the metal only.
    currents : (conductors, k) complex
    terminals : (circuits, k) complex
        Their voltages at the circuits.
    """

    electric: ComplexArray
    potential: ComplexArray
    currents: ComplexArray
    terminals: ComplexArray


@dataclass(frozen=True, eq=False)
class Answering:
    """What answers to loads: the equations of a flow.

    One read off a reduced model is solved for anew, since the model lacks these fields.
    """

    flow: SteadyFlow

    @cached_property
    def _joined(self) -> Connections:
        problem = self.flow.problem
        return Connections.of(problem.names, problem.circuits, problem.bundles)

    @cached_property
    def _solvable(self) -> tuple[SolvedFlow, CondensedSystem]:
        """The flow as one that was solved for, and its factors: kept, or made anew in the known order."""
        flow, d = self.flow, self.flow.discretisation
        if isinstance(flow, SolvedFlow):
            kept, order = flow.fields.system, flow.fields.elimination
            return flow, kept or d.system(2 * np.pi * flow.frequency, lifted=flow.lifted, order=order)
        system = d.system(2 * np.pi * flow.frequency, lifted=flow.lifted)
        return SolvedFlow.of(flow.problem, fields_of(d, flow.frequency, system, lifted=flow.lifted)), system

    def to(self, loads: Loads) -> Responses:
        """The fields of some loads, at a positive frequency."""
        (solved, system), flow, joined = self._solvable, self.flow, self._joined
        d, omega, stored = flow.discretisation, 2 * np.pi * flow.frequency, loads.potential
        bundled = bool(d.given.any())
        lossy = np.where(self._given[:, None], 0.0, loads.electric) if bundled else loads.electric
        right = stored * (MU0 / (1j * omega))
        right -= MU0 * lossy
        response, some = np.zeros_like(right), right.any(axis=0)  # a body on the axis is not pushed outward
        response[:, some] = system.solve(right[:, some], refined=False)
        if flow.lifted:
            lacking = times(d.lift.T, stored) / (1j * omega) - times(d.lift_load.T, response) / MU0
        else:
            lacking = times(d.lift.T, lossy) + 1j * omega * _times(d.lift_mass, response)
        beyond = loads.currents
        if bundled:
            driving = times(d.lift.T, loads.electric) + 1j * omega * _times(d.lift_mass, response)
            beyond = np.where(self._bundled, d.resting[:, None] * driving, 0.0) + beyond
            lacking = np.where(self._bundled, 0.0, lacking)
        edges = np.array([0.0 if medium is None else medium.edge for medium in d.strands])[:, None]
        voltages = np.asarray(beyond - edges * lacking + solved.impedance @ lacking, dtype=np.complex128)
        flowing = joined.induced_shorted(solved.impedance, voltages)
        voltages, currents = voltages + solved.impedance @ flowing, lacking + flowing
        electric, potential = solved.fields.electric @ currents, solved.fields.potential @ currents
        potential += response
        response *= -1j * omega
        electric += np.where(self._given[:, None], 0.0, response) if bundled else response
        return Responses(electric, potential, flowing, joined.at_terminals @ voltages)

    def at_rest(self, loads: Loads) -> Responses:
        """The same at 0 Hz, where E does not go with A: what a load changes with, A standing for j w A."""
        d, response = self.flow.discretisation, self._magnetic(loads.potential)
        flowing, along, voltages = self._even(d.lift.T @ loads.electric + d.lift_mass.T @ response, loads.currents)
        electric = d.lift @ along - np.where(self._given[:, None], 0.0, response)
        return Responses(electric, response, flowing, self._joined.at_terminals @ voltages)

    def moved(self, residuals: Loads, *, magnetic: bool) -> Responses:
        """At 0 Hz the fields that lack residuals; A only where it is asked for."""
        d = self.flow.discretisation
        flowing, along, voltages = self._even(d.lift.T @ residuals.electric, residuals.currents)
        potential = np.zeros_like(residuals.potential)
        if magnetic:
            lossy = np.where(self._given[:, None], 0.0, residuals.electric)
            potential = self._magnetic(residuals.potential - lossy + d.lift_mass @ along)
        return Responses(d.lift @ along, potential, flowing, self._joined.at_terminals @ voltages)

    @cached_property
    def _given(self) -> BoolArray:
        """The unknowns at which currents are given."""
        return given_unknowns(self.flow.discretisation)

    @property
    def _bundled(self) -> BoolArray:
        """The conductors that carry a given current, (conductors, 1)."""
        return self.flow.discretisation.given[:, None]

    def _even(self, currents: ComplexArray, volts: ComplexArray) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Currents, E along conductors and their voltages, which bring currents to nothing in every group.

        From currents and voltages (conductors, k) that are lacking. Where currents are given, E is that of what flows,
        without what is induced.
        """
        resting = self.flow.discretisation.resting[:, None]
        driven = resting * currents
        flowing = self._joined.induced(np.diag(resting[:, 0] + 0j), driven + volts)
        along = resting * flowing
        return flowing, np.asarray(along + np.where(self._bundled, 0.0, driven)), along + driven + volts

    def _magnetic(self, loads: ComplexArray) -> ComplexArray:
        """A of loads at 0 Hz, real and imaginary parts apart."""
        found, some = np.zeros_like(loads), loads.any(axis=0)
        if some.any():
            fields = self.flow.fields if isinstance(self.flow, SolvedFlow) else None
            order = None if fields is None else fields.elimination
            system = (fields and fields.system) or self.flow.discretisation.system(0.0, lifted=False, order=order)
            found[:, some] = MU0 * system.solve(loads.real[:, some], refined=False)
            if loads.imag.any():
                found[:, some] += 1j * MU0 * system.solve(loads.imag[:, some], refined=False)
        return found


def _times(sums: Numbers, fields: ComplexArray) -> ComplexArray:
    """Sums over unknowns (unknowns, conductors) of fields (unknowns, k), (conductors, k)."""
    return np.asarray(sums.T @ fields) if np.iscomplexobj(sums) else times(sums.T, fields)


def _of_losses(given: FlowFields, number: int) -> tuple[ComplexArray, ComplexArray | None]:
    """conj(H x) of losses by its parts from E and, with rough surfaces, from B, (unknowns,)."""
    flow, d, omega = given.flow, given.flow.discretisation, 2 * np.pi * given.flow.frequency
    rows = d.elements.metal
    weight = d.sigma * np.real([m.heating for m in d.metals])[d.mesh.region[rows]] * flow.active
    lossy = _at_unknowns(flow, weight[:, None] * given.driving[number].conj())
    if not np.iscomplexobj(d.stiff) or not omega:
        return lossy, None
    e, a = (by[d.elements.dofs[rows], number, None].conj() for by in (given.electric, given.potential))
    if flow.lifted:
        a = np.where(d.given[d.mesh.part[rows], None, None], a, e / (1j * omega))
    weight = omega / MU0 * d.stiff.imag * flow.active
    return lossy, _at_unknowns(flow, weight[:, None] * times(d.elements.stiffness_blocks[rows], a)[..., 0])


def _at_unknowns(flow: SteadyFlow, products: ComplexArray) -> ComplexArray:
    """What is gained at the unknowns of triangles of metal, (m, n), at all unknowns."""
    elements = flow.discretisation.elements
    return np.asarray(summed(elements.dofs[elements.metal], products[..., None], elements.count)[:, 0])
