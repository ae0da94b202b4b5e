"""The field solve: fields per conductor and the impedance matrix at one frequency, on one mesh, at one order.

With A the potential and E = v_k - j w A in conductor k, Ampere's law reads

    integral nu grad A . grad w  +  j w integral sigma A w  =  v_k integral_k sigma w.

Where the skin is thin, v_k and j w A nearly cancel. The lifted form writes A = a + sum u_k chi_k with
v_k = j w u_k and chi_k = 1 on conductor k, so that E = -j w a has no cancellation left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import sparse

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.elements.condensed import CondensedSystem, ElementMatrices
from crosscurrent.solver.elements.exterior import exterior, outer_block
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.metals.depth import MU0

Sparse = sparse.csc_array[Any]
LIFTED = 3.0  # radius over skin depth above which the lifted form is used


@dataclass(frozen=True, eq=False)
class RegionMetal:
    """What fills a region: conductivity [S/m], relative permeability [-], and what its surface does.

    A rough surface multiplies the surface impedance by a complex factor: conductivity and reluctivity are divided by
    it, which leaves the skin depth as it is.
    """

    conductivity: float
    permeability: float = 1.0
    surface: complex = 1.0


@dataclass(frozen=True, eq=False)
class Discretisation:
    """Everything on a mesh at one order that does not depend on frequency.

    Attributes
    ----------
    mesh : Mesh
    metals : one for every region of the mesh
    order : int
    """

    mesh: Mesh
    metals: tuple[RegionMetal, ...]
    order: int

    @cached_property
    def elements(self) -> Elements:
        """The elements of this order."""
        return Elements(self.mesh, self.order)

    @cached_property
    def sigma(self) -> FloatArray:
        """Conductivity of the triangles of metal, (m,) [S/m]."""
        return np.array([m.conductivity for m in self.metals])[self.mesh.region[self.elements.metal]]

    @cached_property
    def reluctivity(self) -> FloatArray:
        """Relative reluctivity of all triangles, (t,) [-]."""
        nu = np.array([*(1 / m.permeability for m in self.metals), 1.0])
        return np.asarray(nu[self.mesh.region])

    @cached_property
    def smoothing(self) -> npt.NDArray[Any]:
        """One over the surface factor of the triangles of metal, (m,); real where all surfaces are smooth."""
        factor = np.array([1 / m.surface for m in self.metals])
        factor = factor if np.iscomplexobj(factor) and factor.imag.any() else factor.real
        return np.asarray(factor[self.mesh.region[self.elements.metal]])

    @cached_property
    def stiffness(self) -> Sparse:
        """integral (1 / mu_r) grad u . grad v, outer space included, sparse."""
        return sparse.csc_array(self.inner_stiffness + self._air)

    @cached_property
    def inner_stiffness(self) -> Sparse:
        """The part of the stiffness in the metal."""
        e = self.elements
        weight = self.reluctivity[e.metal] * self.smoothing
        return e.assemble(e.stiffness_blocks[e.metal] * weight[:, None, None], e.metal)

    @cached_property
    def _air(self) -> Sparse:
        """The part of the stiffness outside the metal."""
        e = self.elements
        rows = np.flatnonzero(self.mesh.region == AIR)
        return sparse.csc_array(e.assemble(e.stiffness_blocks[rows], rows) + exterior(e))

    @cached_property
    def mass(self) -> Sparse:
        """integral sigma u v over the metal, sparse."""
        e = self.elements
        return e.assemble(e.mass_blocks * (self.sigma * self.smoothing)[:, None, None], e.metal)

    @cached_property
    def lift(self) -> FloatArray:
        """chi: 1 on all unknowns of a conductor, (unknowns, conductors)."""
        chi = np.zeros((self.elements.count, int(self.mesh.part_of_region.max()) + 1))
        for part in range(chi.shape[1]):
            chi[self.elements.dofs[self.mesh.part == part], part] = 1.0
        return chi

    def by_conductor(self, per_region: FloatArray) -> FloatArray:
        """Sums over the regions (regions,) of every conductor, (conductors,)."""
        part = self.mesh.part_of_region
        count = int(part.max()) + 1
        return np.asarray(np.bincount(part, per_region, minlength=count), dtype=float)

    def active_metal(self, *, lifted: bool) -> FloatArray:
        """1 for the triangles of metal that hold a field, 0 for those of a field-free core left out, (m,)."""
        return np.where(self.mesh.field_free[self.elements.metal] & lifted, 0.0, 1.0)

    def system(self, omega: float, *, lifted: bool, order: IntArray | None = None) -> CondensedSystem:
        """K + j w mu0 M; lifted without the field-free cores: layers end free, no current leaks in."""
        e = self.elements
        on = ~(self.mesh.field_free[e.metal] & lifted)
        rows, smoothing = e.metal[on], self.smoothing[on]
        blocks = e.stiffness_blocks[rows] * (self.reluctivity[rows] * smoothing)[:, None, None]
        if omega:
            blocks = blocks.astype(complex)
            blocks += e.mass_blocks[on] * (1j * omega * MU0 * self.sigma[on] * smoothing)[:, None, None]
        air = np.flatnonzero(self.mesh.region == AIR)
        parts = (ElementMatrices.of(e, air, e.stiffness_blocks[air]), ElementMatrices.of(e, rows, blocks))
        return CondensedSystem(e, parts, outer_block(e), order)

    @cached_property
    def lift_load(self) -> FloatArray:
        """Stiffness times chi, (unknowns, conductors): chi has no slope in the metal, so only the air counts."""
        e = self.elements
        on = np.asarray(self.lift.any(axis=1))
        near = np.flatnonzero(on[e.dofs].any(axis=1) & (self.mesh.region == AIR))
        return ElementMatrices.of(e, near, e.stiffness_blocks[near]).applied(self.lift)

    @cached_property
    def lift_mass(self) -> FloatArray:
        """Mass times chi, (unknowns, conductors)."""
        e = self.elements
        blocks = e.mass_blocks * (self.sigma * self.smoothing)[:, None, None]
        return ElementMatrices.of(e, e.metal, blocks).applied(self.lift)

    @cached_property
    def conductance(self) -> FloatArray:
        """Direct-current conductance of every conductor, (conductors,) [S m]."""
        part = self.mesh.part[self.elements.metal]
        return np.asarray(np.bincount(part, self.sigma * self.elements.mass_blocks.sum(axis=(1, 2))), dtype=float)


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
    """

    discretisation: Discretisation
    frequency: float
    impedance: ComplexArray
    potential: ComplexArray
    electric: ComplexArray
    lifted: bool = False
    elimination: IntArray | None = None


def solve_fields(
    discretisation: Discretisation, frequency: float, *, lifted: bool, like: Fields | None = None
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
    """
    d, order = discretisation, None if like is None else like.elimination
    if frequency == 0:
        return _direct_current(d, order)
    return fields_of(d, frequency, d.system(2 * np.pi * frequency, lifted=lifted, order=order), lifted=lifted)


def fields_of(d: Discretisation, frequency: float, system: CondensedSystem, *, lifted: bool) -> Fields:
    """Fields of unit currents at a positive frequency [Hz] from the system of that frequency and form."""
    omega = 2 * np.pi * frequency
    if lifted:
        load = d.lift_load
        # the core that no field reaches is left out: the boundary layers alone carry it
        response = system.solve(-load)
        through = d.lift.T @ load + load.T @ response
        drive = MU0 * np.linalg.inv(0.5 * (through + through.T))  # u per unit current
        electric = _complex(-1j * omega * (response @ drive))
        potential = _complex(response @ drive + d.lift @ drive)
        return Fields(d, frequency, _complex(1j * omega * drive), potential, electric, True, system.elimination)
    load = d.lift_mass
    response = system.solve(load)
    admittance = load.T @ d.lift - 1j * omega * MU0 * (load.T @ response)
    impedance = _complex(np.linalg.inv(0.5 * (admittance + admittance.T)))
    potential = _complex(MU0 * response @ impedance)
    electric = _complex(d.lift @ impedance - 1j * omega * potential)
    return Fields(d, frequency, impedance, potential, electric, False, system.elimination)


def _direct_current(d: Discretisation, order: IntArray | None) -> Fields:
    """Uniform densities; the field they make gives the inductance, kept as the derivative of Z by j w."""
    resistance = np.diag(1 / d.conductance)
    system = d.system(0.0, lifted=False, order=order)
    potential, electric = MU0 * system.solve(d.lift_mass @ resistance), d.lift @ resistance
    elimination = system.elimination
    return Fields(d, 0.0, _complex(resistance), _complex(potential), _complex(electric), False, elimination)


def _complex(values: npt.NDArray[Any]) -> ComplexArray:
    return np.asarray(values, dtype=np.complex128)


def inductance_at_rest(fields: Fields) -> FloatArray:
    """Direct-current inductance matrix against the common return, (c, c) [H/m]."""
    d = fields.discretisation
    weight = d.lift_mass / d.conductance
    return np.asarray((weight.T @ fields.potential).real)


def is_lifted(skins: Sequence[float], parts: Sequence[Part]) -> bool:
    """Whether the base metal of some part is thick enough against its skin depth [m] for the lifted form.

    Circles in it are searched for only where the bounds on them do not tell, thickest first.
    """
    limits = [(LIFTED * skin, part) for skin, part in zip(skins, parts, strict=True)]
    unsure = sorted(
        ((radius, part) for radius, part in limits if radius < part.inscribed_at_most),
        key=lambda row: row[0] / row[1].inscribed_at_most,
    )
    sure = any(radius < part.inscribed_at_least for radius, part in unsure)
    return sure or any(part.fits(radius) for radius, part in unsure)
