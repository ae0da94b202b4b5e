"""The field solve: fields per conductor and the impedance matrix at one frequency, on one mesh, at one order.

With A the potential and E = v_k - j w A in conductor k, Ampere's law reads

    integral nu grad A . grad w  +  j w integral sigma A w  =  v_k integral_k sigma w.

Where the skin is thin, v_k and j w A nearly cancel. The lifted form writes A = a + sum u_k chi_k with
v_k = j w u_k and chi_k = 1 on conductor k, so that E = -j w a has no cancellation left. Where the skin is far thicker
than the metal it is A that would cancel: round an axis such turns keep to the plain form beside lifted ones.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray
from crosscurrent.solver.elements.condensed import CondensedSystem
from crosscurrent.solver.metals.depth import MU0

from .discretisation import Discretisation


@dataclass(frozen=True, eq=False)
class Fields:
    """Fields of unit drives and the impedance matrix.

    Attributes
    ----------
    discretisation : Discretisation
    frequency : float [Hz]
    impedance : (c, c) complex
        Voltage along conductor i per current in conductor j, against the common return [ohm/m].
    potential, electric : (unknowns, c) complex
        A [Vs/m] and E [V/m] for a current of 1 A in conductor j; E counts in the metal only.
    lifted : bool
        Which form was solved: E has all its digits in the lifted one, A in the plain one.
    elimination : (k,) int, optional
        Order of elimination, which serves other orders of the elements on the same mesh.
    system : CondensedSystem, optional
        The factors, where they are kept: far larger than all else here.
    plain : (c,) bool, optional
        Which conductors kept to the plain form beside lifted ones: there A has all its digits too.
    """

    discretisation: Discretisation
    frequency: float
    impedance: ComplexArray
    potential: ComplexArray
    electric: ComplexArray
    lifted: bool = False
    elimination: IntArray | None = None
    system: CondensedSystem | None = None
    plain: BoolArray | None = None

    @cached_property
    def inductance_at_rest(self) -> FloatArray:
        """Direct-current inductance matrix against the common return, (c, c) [H/m], of fields at 0 Hz."""
        d = self.discretisation
        weight = np.divide(d.lift_mass, d.conductance, out=np.zeros_like(d.lift), where=d.resting > 0)
        within = [0.0 if strands is None else strands.inductance for strands in d.strands]
        return np.asarray((weight.T @ self.potential).real + np.diag(within))

    def __getstate__(self) -> dict[str, Any]:
        return {**vars(self), "system": None}  # factors do not travel

    def forget(self) -> None:
        """Let go of the factors."""
        vars(self)["system"] = None


def solve_fields(
    discretisation: Discretisation, frequency: float, *, lifted: bool, like: Fields | None = None, keep: bool = False
) -> Fields:
    """Solve for a unit current in each conductor in turn.

    Parameters
    ----------
    discretisation : Discretisation
    frequency : float
        [Hz]; 0 is direct current.
    lifted : bool
        Use the lifted form, for skins thinner than about a third of the conductors.
    like : Fields, optional
        Solved for on the same mesh in the same form at another order.
    keep : bool
        Keep the factors.
    """
    d, order = discretisation, None if like is None else like.elimination
    system = d.system(2 * np.pi * frequency, lifted=lifted and frequency > 0, order=order)
    found = fields_of(d, frequency, system, lifted=lifted) if frequency else _direct_current(d, system)
    return replace(found, system=system) if keep else found


def fields_of(d: Discretisation, frequency: float, system: CondensedSystem, *, lifted: bool) -> Fields:
    """Fields of unit currents at a positive frequency [Hz] from the system of that frequency and form."""
    found = _of_the_field(d, frequency, system, lifted=lifted)
    edges = np.diag([0.0 if medium is None else medium.edge for medium in d.strands])
    return replace(found, impedance=found.impedance + edges) if edges.any() else found


def _of_the_field(d: Discretisation, frequency: float, system: CondensedSystem, *, lifted: bool) -> Fields:
    """The same without what the places of strands add in a row."""
    if d.given.any():
        return _with_given(d, frequency, system, lifted=lifted)
    omega, ends = 2 * np.pi * frequency, np.flatnonzero(~d.closed)
    if lifted and d.mesh.axial and (plain := d.resistive(omega) & ~d.closed).any():
        found = _in_both_forms(d, frequency, system, plain)
        return _beside_closed(found) if d.closed.any() else found
    if lifted:
        load = d.lift_load[:, ends]
        # the core that no field reaches is left out: the boundary layers alone carry it
        response = system.solve(-load)
        through = d.lift[:, ends].T @ load + load.T @ response
        drive = MU0 * np.linalg.inv(0.5 * (through + through.T))  # u per unit current
        electric = _complex(-1j * omega * (response @ drive))
        potential = _complex(response @ drive + d.lift[:, ends] @ drive)
        impedance = _complex(1j * omega * drive)
    else:
        load = d.lift_mass[:, ends]
        response = system.solve(load)
        admittance = load.T @ d.lift[:, ends] - 1j * omega * MU0 * (load.T @ response)
        impedance = _complex(np.linalg.inv(0.5 * (admittance + admittance.T)))
        potential = _complex(MU0 * response @ impedance)
        electric = _complex(d.lift[:, ends] @ impedance - 1j * omega * potential)
    found = Fields(d, frequency, impedance, potential, electric, lifted, system.elimination)
    return _beside_closed(found) if d.closed.any() else found


def _in_both_forms(d: Discretisation, frequency: float, system: CondensedSystem, plain: BoolArray) -> Fields:
    """Fields of unit currents where some conductors (c,) keep to the plain form, of those with ends.

    With X = -S^-1 K chi of the lifted and Y = mu0 S^-1 M chi of the others, a = X u + Y v, and the currents are those
    of both forms with what each induces in the other.
    """
    omega, ends = 2 * np.pi * frequency, ~d.closed
    high, low = np.flatnonzero(ends & ~plain), np.flatnonzero(plain)
    lift, drive, chi = d.lift_load[:, high], d.lift_mass[:, low], d.lift
    both = system.solve(np.column_stack((-lift, MU0 * drive)))
    response, beside = both[:, : len(high)], both[:, len(high) :]
    admittance = np.zeros((len(plain), len(plain)), dtype=complex)
    through = chi[:, high].T @ lift + lift.T @ response
    admittance[np.ix_(high, high)] = through / (1j * omega * MU0)
    admittance[np.ix_(high, low)] = lift.T @ beside / MU0
    admittance[np.ix_(low, high)] = admittance[np.ix_(high, low)].T
    admittance[np.ix_(low, low)] = drive.T @ chi[:, low] - 1j * omega * (drive.T @ beside)
    inner = admittance[np.ix_(ends, ends)]
    impedance = np.linalg.inv(0.5 * (inner + inner.T))
    voltage = np.zeros((len(plain), len(impedance)), dtype=complex)
    voltage[ends] = impedance
    raised = voltage[high] / (1j * omega)
    part = response @ raised + beside @ voltage[low]
    electric = _complex(chi[:, low] @ voltage[low] - 1j * omega * part)
    potential = _complex(part + chi[:, high] @ raised)
    return Fields(d, frequency, _complex(impedance), potential, electric, True, system.elimination, plain=plain)


def _beside_closed(fields: Fields) -> Fields:
    """The same for all conductors: nothing drives those that are closed."""
    wide = np.eye(len(fields.discretisation.closed))[~fields.discretisation.closed]
    found = (wide.T @ fields.impedance @ wide, fields.potential @ wide, fields.electric @ wide)
    return replace(fields, impedance=found[0], potential=found[1], electric=found[2])


def _with_given(d: Discretisation, frequency: float, system: CondensedSystem, *, lifted: bool) -> Fields:
    """The same where strands carry given currents: an even density in place of what a voltage drives.

    In the solids I = Y v - C I_s, along strands v_s = z I_s + j w f' A with the load f of 1 A; both matrices of C are
    one.
    """
    omega, solid, even = 2 * np.pi * frequency, np.flatnonzero(~d.given & ~d.closed), d.even_load
    load = (d.lift_load if lifted else d.lift_mass)[:, solid]
    found = system.solve(np.column_stack((-load if lifted else load, MU0 * even)))
    response, beside = found[:, : load.shape[1]], found[:, load.shape[1] :]
    if lifted:
        through = _complex(d.lift[:, solid].T @ load + load.T @ response) / (1j * omega * MU0)
        induced = _complex(-load.T @ beside) / MU0
    else:
        through = _complex(load.T @ d.lift[:, solid]) - 1j * omega * MU0 * (load.T @ response)
        induced = 1j * omega * _complex(load.T @ beside)
    of_solids = np.linalg.inv(0.5 * (through + through.T))
    across = of_solids @ induced
    strands = [medium.impedance for medium in d.strands if medium is not None and medium.given]
    within = np.diag(strands) + 1j * omega * (even.T @ beside) + induced.T @ across
    own, current = np.eye(len(d.given))[solid], np.eye(len(d.given))[d.given]
    voltage = of_solids @ own + across @ current
    impedance = own.T @ voltage + current.T @ (across.T @ own + within @ current)
    chi = d.lift[:, solid]
    if lifted:
        part = _complex(response @ (voltage / (1j * omega)) + beside @ current)
        potential, electric = part + _complex(chi @ (voltage / (1j * omega))), -1j * omega * part
    else:
        potential = _complex(MU0 * response @ voltage + beside @ current)
        electric = _complex(chi @ voltage) - 1j * omega * potential
    stranded = d.lift[:, d.given]
    electric = np.where((stranded.sum(axis=1) > 0)[:, None], stranded / d.conductance[d.given] @ current, electric)
    impedance = 0.5 * (impedance + impedance.T)
    return Fields(d, frequency, _complex(impedance), potential, _complex(electric), lifted, system.elimination)


def _direct_current(d: Discretisation, system: CondensedSystem) -> Fields:
    """Uniform densities; the field they make gives the inductance, kept as the derivative of Z by j w."""
    resistance = np.diag(d.resting)
    potential, electric = MU0 * system.solve(d.lift_mass @ resistance), d.lift @ resistance
    elimination = system.elimination
    return Fields(d, 0.0, _complex(resistance), _complex(potential), _complex(electric), False, elimination)


def _complex(values: npt.NDArray[Any]) -> ComplexArray:
    return np.asarray(values, dtype=np.complex128)
