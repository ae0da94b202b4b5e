"""The fields that say what the loss of one conductor alone, and the force on it, change with.

With Q x = b for what is solved for, x = (A, voltages), and P = x* H x the loss of one conductor,

    dP = 2 Re l'(db - dQ x) + x* dH x,    Q l = conj(H x),

since Q is symmetric: l are the fields of a current -sigma conj(E) impressed in that conductor, while no group of
conductors carries any net current. The same holds for a force, a form of A in the air. They cost one more right-hand
side each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.elements.condensed import CondensedSystem, summed
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0

from .circuits import Connections
from .flow import SteadyFlow
from .peak_force import PeakForce
from .solved_flow import SolvedFlow
from .unit_fields import fields_of


@dataclass(frozen=True, eq=False)
class Adjoint:
    """One field for the loss of each of some conductors, and one for each of some forces.

    Attributes
    ----------
    flow : SteadyFlow
        Whose losses and forces they are.
    losses : tuple of int
        The conductors.
    potential, electric : (unknowns, losses + forces) complex
        E counts in the metal only. At 0 Hz, A is what j w A comes to, and counts for forces only.
    terminals : (circuits, losses + forces) complex
        Their voltages at the circuits.
    """

    flow: SteadyFlow
    losses: tuple[int, ...]
    potential: ComplexArray
    electric: ComplexArray
    terminals: ComplexArray

    @classmethod
    def of(cls, flow: SteadyFlow, losses: Sequence[int], forces: Sequence[PeakForce] = ()) -> Adjoint:
        """Of a flow; one read off a reduced model is solved for anew, since the model lacks these fields."""
        pushed = np.zeros((flow.discretisation.elements.count, len(forces)), dtype=complex)
        for k, one in enumerate(forces):
            pushed[:, k] = one.load
        if not flow.frequency:
            return _at_rest(flow, tuple(losses), pushed)
        solved, system = _solvable(flow)
        d, omega = solved.discretisation, 2 * np.pi * flow.frequency
        lossy, stored = _loads(solved, losses)
        lossy, stored = np.column_stack((lossy, 0 * pushed)), np.column_stack((stored, pushed))
        response = system.solve(MU0 * (stored / (1j * omega) - lossy), refined=False)
        if flow.lifted:
            lacking = d.lift.T @ stored / (1j * omega) - d.lift_load.T @ response / MU0
        else:
            lacking = d.lift.T @ lossy + 1j * omega * (d.lift_mass.T @ response)
        joined = Connections.of(flow.problem.names, flow.problem.circuits, flow.problem.bundles)
        currents = joined.spread(solved.impedance[None], joined.member.T @ lacking)[0]
        electric = -1j * omega * response + solved.fields.electric @ currents
        voltages = joined.at_terminals @ (solved.impedance @ currents)
        return cls(solved, tuple(losses), response + solved.fields.potential @ currents, electric, voltages)


def _solvable(flow: SteadyFlow) -> tuple[SolvedFlow, CondensedSystem]:
    """The flow as one that was solved for, and its factors: those that were kept, or made anew in the known order."""
    d, omega = flow.discretisation, 2 * np.pi * flow.frequency
    if isinstance(flow, SolvedFlow):
        kept = flow.fields.system
        return flow, kept or d.system(omega, lifted=flow.lifted, order=flow.fields.elimination)
    system = d.system(omega, lifted=flow.lifted)
    return SolvedFlow.of(flow.problem, fields_of(d, flow.frequency, system, lifted=flow.lifted)), system


def _at_rest(flow: SteadyFlow, losses: tuple[int, ...], pushed: ComplexArray) -> Adjoint:
    """What a conductor loses comes back as one voltage along its group; a force by the field of its load alone."""
    d, joined = flow.discretisation, Connections.of(flow.problem.names, flow.problem.circuits, flow.problem.bundles)
    over = joined.member / (joined.member.T @ d.conductance) @ joined.member.T
    voltages = (over * flow.currents.conj())[:, list(losses)]
    potential = np.zeros((d.elements.count, len(losses)), dtype=complex)
    if pushed.shape[1]:
        fields = flow.fields if isinstance(flow, SolvedFlow) else None
        order = None if fields is None else fields.elimination
        system = (fields and fields.system) or d.system(0.0, lifted=False, order=order)
        real, imaginary = (MU0 * system.solve(part, refined=False) for part in (pushed.real, pushed.imag))
        response = real + 1j * imaginary
        voltages = np.column_stack((voltages, over @ (d.lift_mass.T @ response)))
        potential = np.column_stack((potential, response))
    return Adjoint(flow, losses, potential, d.lift @ voltages - potential, joined.at_terminals @ voltages)


def _loads(flow: SolvedFlow, losses: Sequence[int]) -> tuple[ComplexArray, ComplexArray]:
    """conj(H x) of losses by its parts from E and, with rough surfaces, from B, both (unknowns, losses)."""
    d, omega = flow.discretisation, 2 * np.pi * flow.frequency
    rows, e, smoothing = d.elements.metal, flow.electric[d.elements.dofs[d.elements.metal]].conj(), d.smoothing
    lossy = _by_conductor(flow, losses, d.elements.mass_blocks * (d.sigma * smoothing.real)[:, None, None], e)
    if not np.iscomplexobj(smoothing):
        return lossy, np.zeros_like(lossy)
    a = e / (1j * omega) if flow.lifted else flow.potential[d.elements.dofs[rows]].conj()
    weight = omega / MU0 * d.reluctivity[rows] * smoothing.imag
    return lossy, _by_conductor(flow, losses, d.elements.stiffness_blocks[rows] * weight[:, None, None], a)


def _by_conductor(flow: SolvedFlow, losses: Sequence[int], blocks: Numbers, field: ComplexArray) -> ComplexArray:
    """Products of the matrices of triangles of metal with a field of theirs, (unknowns, losses)."""
    d = flow.discretisation
    part, products = d.mesh.part[d.elements.metal], (blocks @ field[..., None]) * flow.active[:, None, None]
    found = np.zeros((d.elements.count, len(losses)), dtype=complex)
    for k, conductor in enumerate(losses):
        on = part == conductor
        found[:, k] = summed(d.elements.dofs[d.elements.metal[on]], products[on], len(found))[:, 0]
    return found
