"""The fields that say what the loss of one conductor alone changes with.

With Q x = b for what is solved for, x = (A, voltages), and P = x* H x the loss of one conductor,

    dP = 2 Re l'(db - dQ x) + x* dH x,    Q l = conj(H x),

since Q is symmetric: l are the fields of a current -sigma conj(E) impressed in that conductor, while no group of
conductors carries any net current. They cost one more right-hand side for each conductor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.elements.condensed import summed
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.metals.depth import MU0

from .circuits import Connections
from .flow import SteadyFlow
from .solved_flow import SolvedFlow
from .unit_fields import fields_of


@dataclass(frozen=True, eq=False)
class Adjoint:
    """One field for the loss of every conductor.

    Attributes
    ----------
    flow : SteadyFlow
        Whose losses they are.
    potential, electric : (unknowns, conductors) complex
        E counts in the metal only, A at positive frequencies only.
    terminals : (circuits, conductors) complex
        Their voltages at the circuits.
    """

    flow: SteadyFlow
    potential: ComplexArray
    electric: ComplexArray
    terminals: ComplexArray

    @classmethod
    def of(cls, flow: SteadyFlow) -> Adjoint:
        """Of a flow; one read off a reduced model is solved for anew, since the model lacks these fields."""
        if not flow.frequency:
            return _at_rest(flow)
        d, omega = flow.discretisation, 2 * np.pi * flow.frequency
        known = flow.fields if isinstance(flow, SolvedFlow) else None
        system = d.system(omega, lifted=flow.lifted, order=None if known is None else known.elimination)
        fields = known or fields_of(d, flow.frequency, system, lifted=flow.lifted)
        solved = flow if isinstance(flow, SolvedFlow) else SolvedFlow.of(flow.problem, fields)
        lossy, stored = _loads(solved)
        response = system.solve(MU0 * (stored / (1j * omega) - lossy))
        if flow.lifted:
            lacking = np.asarray(-(d.lift_load.T @ response) / MU0, dtype=complex)
        else:
            lacking = d.lift.T @ lossy + 1j * omega * (d.lift_mass.T @ response)
        joined = Connections.of(flow.problem.names, flow.problem.circuits, flow.problem.bundles)
        currents = joined.spread(fields.impedance[None], joined.member.T @ lacking)[0]
        electric = -1j * omega * response + fields.electric @ currents
        voltages = joined.at_terminals @ (fields.impedance @ currents)
        return cls(solved, response + fields.potential @ currents, electric, voltages)


def _at_rest(flow: SteadyFlow) -> Adjoint:
    """What a conductor loses comes back as one voltage along its group."""
    d, joined = flow.discretisation, Connections.of(flow.problem.names, flow.problem.circuits, flow.problem.bundles)
    voltages = joined.member / (joined.member.T @ d.conductance) @ joined.member.T * flow.currents.conj()
    electric = np.asarray(d.lift @ voltages)
    return Adjoint(flow, np.zeros_like(electric), electric, joined.at_terminals @ voltages)


def _loads(flow: SolvedFlow) -> tuple[ComplexArray, ComplexArray]:
    """conj(H x) by its parts from E and, with rough surfaces, from B, both (unknowns, conductors)."""
    d, omega = flow.discretisation, 2 * np.pi * flow.frequency
    rows, e, smoothing = d.elements.metal, flow.electric[d.elements.dofs[d.elements.metal]].conj(), d.smoothing
    lossy = _by_conductor(flow, d.elements.mass_blocks * (d.sigma * smoothing.real)[:, None, None], e)
    if not np.iscomplexobj(smoothing):
        return lossy, np.zeros_like(lossy)
    a = e / (1j * omega) if flow.lifted else flow.potential[d.elements.dofs[rows]].conj()
    weight = omega / MU0 * d.reluctivity[rows] * smoothing.imag
    return lossy, _by_conductor(flow, d.elements.stiffness_blocks[rows] * weight[:, None, None], a)


def _by_conductor(flow: SolvedFlow, blocks: Numbers, field: ComplexArray) -> ComplexArray:
    """Products of the matrices of triangles of metal with a field of theirs, (unknowns, conductors)."""
    d = flow.discretisation
    part, products = d.mesh.part[d.elements.metal], (blocks @ field[..., None]) * flow.active[:, None, None]
    found = np.zeros((d.elements.count, len(flow.problem.conductors)), dtype=complex)
    for k in range(found.shape[1]):
        on = part == k
        found[:, k] = summed(d.elements.dofs[d.elements.metal[on]], products[on], len(found))[:, 0]
    return found
