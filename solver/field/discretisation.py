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

from ..geometries.mesh import AIR, Mesh
from ..geometries.outline import FloatArray
from ..geometries.sides import IntArray
from .exterior import exterior
from .factor import factorised
from .materials import MU0
from .operators import Elements

ComplexArray = npt.NDArray[np.complex128]
Sparse = sparse.csc_array[Any]
LIFTED = 3.0  # radius over skin depth above which the lifted form is used


@dataclass(frozen=True, eq=False)
class Metal:
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
    metals: tuple[Metal, ...]
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
        parts = np.array([part for part, _ in self.mesh.regions])
        chi = np.zeros((self.elements.count, int(parts.max()) + 1))
        for part in range(chi.shape[1]):
            inside = np.isin(self.mesh.region, np.flatnonzero(parts == part)) & (self.mesh.region != AIR)
            chi[self.elements.dofs[inside], part] = 1.0
        return chi

    @cached_property
    def lit(self) -> IntArray:
        """Unknowns that are not wholly inside dark metal."""
        used = np.zeros(self.elements.count, bool)
        used[self.elements.dofs[~self.mesh.dark]] = True
        return np.flatnonzero(used)

    def lit_system(self, omega: float) -> Sparse:
        """K + j w mu0 M on the lit unknowns, without the dark core: strips end free, so no current leaks inwards."""
        e = self.elements
        on = ~self.mesh.dark[e.metal]
        rows, smoothing = e.metal[on], self.smoothing[on]
        stiffness = e.stiffness_blocks[rows] * (self.reluctivity[rows] * smoothing)[:, None, None]
        mass = e.mass_blocks[on] * (self.sigma[on] * smoothing)[:, None, None]
        system = e.assemble(stiffness + 1j * omega * MU0 * mass, rows) + self._air
        return sparse.csc_array(system[self.lit][:, self.lit])

    @cached_property
    def lift_load(self) -> FloatArray:
        """Stiffness times chi, (unknowns, conductors): chi has no slope in the metal, so only the air counts."""
        return np.asarray(self._air @ self.lift)

    @cached_property
    def conductance(self) -> FloatArray:
        """Direct-current conductance of every conductor, (conductors,) [S m]."""
        part = np.array([p for p, _ in self.mesh.regions])[self.mesh.region[self.elements.metal]]
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
    """

    discretisation: Discretisation
    frequency: float
    impedance: ComplexArray
    potential: ComplexArray
    electric: ComplexArray
    lifted: bool = False


def solve_fields(discretisation: Discretisation, frequency: float, *, lifted: bool) -> Fields:
    """Solve for a unit current in each conductor in turn.

    Parameters
    ----------
    discretisation : Discretisation
    frequency : float
        [Hz]; 0 is direct current.
    lifted : bool
        Use the lifted form, for skins thinner than about a third of the conductors.
    """
    d, omega = discretisation, 2 * np.pi * frequency
    if frequency == 0:
        return _direct_current(d)
    if lifted:
        load = d.lift_load
        # the core that no field reaches is left out: the strips alone carry it
        response = np.zeros(load.shape, dtype=complex)
        response[d.lit] = factorised(d.lit_system(omega))(-load[d.lit])
        through = d.lift.T @ load + load.T @ response
        drive = MU0 * np.linalg.inv(0.5 * (through + through.T))  # u per unit current
        electric = _complex(-1j * omega * (response @ drive))
        potential = _complex(response @ drive + d.lift @ drive)
        return Fields(d, frequency, _complex(1j * omega * drive), potential, electric, lifted=True)
    load = d.mass @ d.lift
    response = factorised(d.stiffness + 1j * omega * MU0 * d.mass)(load)
    admittance = load.T @ d.lift - 1j * omega * MU0 * (load.T @ response)
    impedance = _complex(np.linalg.inv(0.5 * (admittance + admittance.T)))
    potential = _complex(MU0 * response @ impedance)
    return Fields(d, frequency, impedance, potential, _complex(d.lift @ impedance - 1j * omega * potential))


def _direct_current(d: Discretisation) -> Fields:
    """Uniform densities; the field they make gives the inductance, kept as the derivative of Z by j w."""
    resistance = np.diag(1 / d.conductance)
    potential = MU0 * factorised(d.stiffness)(d.mass @ d.lift @ resistance)
    return Fields(d, 0.0, _complex(resistance), _complex(potential), _complex(d.lift @ resistance))


def _complex(values: npt.NDArray[Any]) -> ComplexArray:
    return np.asarray(values, dtype=np.complex128)


def inductance_at_rest(fields: Fields) -> FloatArray:
    """Direct-current inductance matrix against the common return, (c, c) [H/m]."""
    d = fields.discretisation
    weight = d.mass @ d.lift / d.conductance
    return np.asarray((weight.T @ fields.potential).real)


def is_lifted(skins: Sequence[float], radii: Sequence[float]) -> bool:
    """Whether some conductor is thick enough against its skin depth for the lifted form."""
    return max(r / s for r, s in zip(radii, skins, strict=True)) > LIFTED
