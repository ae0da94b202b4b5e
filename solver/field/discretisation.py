"""What does not depend on frequency of a section: the matrices on one mesh at one order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.elements.condensed import CondensedSystem, ElementMatrices
from crosscurrent.solver.elements.exterior import exterior, outer_block
from crosscurrent.solver.elements.factor import Numbers
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.metals.band_lag import BandLag
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.strands import Medium

from .effective import Effective

Sparse = sparse.csc_array[Any]
RESISTIVE = 1e-2  # reactance over resistance below which the lifted form loses digits
LIFTED = 3.0  # radius over skin depth above which the lifted form is used


@dataclass(frozen=True, eq=False)
class RegionMetal:
    """What fills a region: conductivity [S/m], relative permeability [-], what its surface does, and its strands.

    A rough surface multiplies the surface impedance by a complex factor: conductivity and reluctivity are divided by
    it, which leaves the skin depth as it is. Strands in place of solid metal make a medium of complex reluctivity that
    carries a given current evenly; its conductivity is that for direct current. Over a band they are at rest, with what
    they do at each frequency beside. A metal with a magnetisation curve has its initial permeability where nobody says
    how strong the field is (`Discretisation.effective`). Closed on itself round the axis, it has no terminals: its
    current is what the field drives. Strands round the axis have the impedance of a whole turn, of the mean length [m].
    A permeability that lags behind the field multiplies the real one by a complex factor.
    """

    conductivity: float
    permeability: float = 1.0
    surface: complex = 1.0
    strands: Medium | None = None
    band: BandMedium | BandLag | None = None
    magnetisation: Magnetisation | None = None
    closed: bool = False
    length: float = 1.0
    lag: complex = 1.0

    def at(self, frequency: FloatArray, number: int) -> RegionMetal:
        """As it is at one of some frequencies (m,) [Hz], if it was known over a band."""
        if self.band is None:
            return self
        if isinstance(self.band, BandMedium):
            return replace(self, strands=self.band.each(frequency)[number])
        lag = self.band.lag if frequency[number] else 1.0
        return replace(self, conductivity=self.conductivity * self.band.conducts, lag=lag)

    @property
    def softness(self) -> complex:
        """What the reluctivity is divided by beside the permeability."""
        return self.surface * self.lag if self.strands is None else self.strands.permeability

    @property
    def conducting(self) -> complex:
        """J over E, over the conductivity."""
        return 1 / self.surface if self.strands is None else self.strands.conducting

    @property
    def heating(self) -> complex:
        """Complex power of the current over sigma |E|^2."""
        return complex(self.conducting).conjugate() if self.strands is None else self.strands.heating

    @property
    def edge(self) -> complex:
        """What the places of its strands add in a row with what its field makes [ohm/m]."""
        return 0.0 if self.strands is None else self.strands.edge

    @property
    def given(self) -> bool:
        """Whether it carries a given current evenly, whatever field there is."""
        return self.strands is not None and self.strands.given


@dataclass(frozen=True, eq=False)
class Discretisation:
    """Everything on a mesh at one order that does not depend on frequency.

    Attributes
    ----------
    mesh : Mesh
    metals : one for every region of the mesh
    order : int
    effective : Effective, optional
        Reluctivity of steel at its field strength, in place of the initial one.
    """

    mesh: Mesh
    metals: tuple[RegionMetal, ...]
    order: int
    effective: Effective | None = None

    def at(self, effective: Effective) -> Discretisation:
        """The same with another reluctivity of the steel; what elements hold is kept."""
        other = replace(self, effective=effective)
        vars(other)["elements"] = self.elements
        return other

    @cached_property
    def elements(self) -> Elements:
        """The elements of this order."""
        return Elements(self.mesh, self.order, Weight.FLUX if self.mesh.axial else Weight.PLANE)

    @cached_property
    def sigma(self) -> FloatArray:
        """Conductivity of the triangles of metal, (m,) [S/m]: J over E."""
        return np.array([m.conductivity for m in self.metals])[self.mesh.region[self.elements.metal]]

    @cached_property
    def reluctivity(self) -> FloatArray:
        """Relative reluctivity of all triangles, (t,) [-]; of steel at its field strength the mean in each."""
        nu = np.asarray(np.array([*(1 / m.permeability for m in self.metals), 1.0])[self.mesh.region])
        if self.effective is not None:
            nu[self.effective.rows] = self.effective.means(self.elements)
        return nu

    @cached_property
    def smoothing(self) -> Numbers:
        """J over E over the conductivity, (m,), of the triangles of metal; real where all surfaces are smooth."""
        return self._in_metal([m.conducting for m in self.metals])

    @cached_property
    def eddying(self) -> Numbers:
        """Conductivity that changing fields meet in the triangles of metal, (m,) [S/m]; none where J is given."""
        return np.asarray(self.sigma * self._in_metal([0.0 if m.given else m.conducting for m in self.metals]))

    @cached_property
    def stiff(self) -> Numbers:
        """Relative reluctivity of the triangles of metal with what surfaces and strands make of it, (m,) [-]."""
        return np.asarray(self.reluctivity[self.elements.metal] * self._in_metal([1 / m.softness for m in self.metals]))

    def _in_metal(self, by_region: Sequence[complex]) -> Numbers:
        values = np.array(by_region)
        values = values if np.iscomplexobj(values) and values.imag.any() else values.real
        return np.asarray(values[self.mesh.region[self.elements.metal]])

    @cached_property
    def strands(self) -> tuple[Medium | None, ...]:
        """What every conductor is in place of solid metal, (conductors,)."""
        first = np.unique(self.mesh.part_of_region, return_index=True)[1]
        return tuple(self.metals[region].strands for region in first)

    @cached_property
    def given(self) -> BoolArray:
        """Whether every conductor carries a given current whatever field there is, (conductors,)."""
        return np.array([medium is not None and medium.given for medium in self.strands])

    @cached_property
    def closed(self) -> BoolArray:
        """Whether every conductor is closed on itself, without terminals, (conductors,)."""
        first = np.unique(self.mesh.part_of_region, return_index=True)[1]
        return np.array([self.metals[region].closed for region in first])

    def resistive(self, omega: float) -> BoolArray:
        """Whether the skin of every conductor is far thicker than its metal at omega [rad/s], (conductors,).

        2 mu A / d^2 of its area, chords for arcs, and depth d: about what its reactance is to its resistance.
        """
        rows, part = self.elements.metal, self.mesh.part[self.elements.metal]
        permeability = np.array([m.permeability for m in self.metals])[self.mesh.region[rows]]
        corner = self.mesh.points[self.mesh.triangles[rows]]
        (ax, ay), (bx, by) = (corner[:, 1:] - corner[:, :1]).transpose(1, 2, 0)
        area = 0.5 * (ax * by - ay * bx)
        found = np.bincount(part, omega * MU0 * permeability * self.sigma * area)
        return np.asarray(found < RESISTIVE)

    @cached_property
    def stiffness(self) -> Sparse:
        """integral (1 / mu_r) grad u . grad v, outer space included, sparse."""
        return sparse.csc_array(self.inner_stiffness + self._air)

    @cached_property
    def inner_stiffness(self) -> Sparse:
        """The part of the stiffness in the metal."""
        e = self.elements
        return e.assemble(self._stiff_blocks(np.ones(len(e.metal), dtype=bool)), e.metal)

    def _stiff_blocks(self, on: BoolArray) -> Numbers:
        """Stiffness of some triangles of metal (m,), as a mask."""
        e = self.elements
        rows = e.metal[on]
        blocks: Numbers = e.stiffness_blocks[rows] * self.stiff[on][:, None, None]
        if self.effective is not None:
            blocks[np.isin(rows, self.effective.rows)] = self.effective.blocks(e)[np.isin(self.effective.rows, rows)]
        return blocks

    @cached_property
    def _air(self) -> Sparse:
        """The part of the stiffness outside the metal."""
        e = self.elements
        rows = np.flatnonzero(self.mesh.region == AIR)
        return sparse.csc_array(e.assemble(e.stiffness_blocks[rows], rows) + exterior(e))

    @cached_property
    def mass(self) -> Sparse:
        """integral sigma u v over the metal where fields make currents, sparse."""
        e = self.elements
        return e.assemble(e.mass_blocks * self.eddying[:, None, None], e.metal)

    @cached_property
    def lift(self) -> FloatArray:
        """chi: 1 on all unknowns of a conductor with terminals, 0 on those of one without, (unknowns, conductors).

        Round the axis E of an even current in strands rises with the distance: there chi is that over its mean.
        """
        chi, e = np.zeros((self.elements.count, len(self.closed))), self.elements
        for part in np.flatnonzero(~self.closed):
            rows = np.flatnonzero(self.mesh.part == part)
            length = self.metals[self.mesh.region[rows[0]]].length
            even = self.mesh.axial and self.given[part]
            chi[e.dofs[rows], part] = 2 * np.pi * e.radii(rows) / length if even else 1.0
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
        rows = e.metal[on]
        blocks = self._stiff_blocks(on)
        if omega:
            blocks = blocks.astype(complex)
            blocks += e.mass_blocks[on] * (1j * omega * MU0 * self.eddying[on])[:, None, None]
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
        """Mass times chi, (unknowns, conductors): integral J for 1 V/m along each."""
        e = self.elements
        blocks = e.mass_blocks * (self.sigma * self.smoothing)[:, None, None]
        return ElementMatrices.of(e, e.metal, blocks).applied(self.lift)

    @cached_property
    def even_load(self) -> FloatArray:
        """integral J of 1 A, spread evenly, times test functions, for every bundle of given current (unknowns, k)."""
        return np.asarray(np.real(self.lift_mass[:, self.given]) / self.conductance[self.given])

    @cached_property
    def conductance(self) -> FloatArray:
        """Direct-current conductance of every conductor, (conductors,) [S m]; round the axis per turn [S]."""
        e, part = self.elements, self.mesh.part[self.elements.metal]
        found = np.asarray(np.bincount(part, self.sigma * e.mass_blocks.sum(axis=(1, 2))), dtype=float)
        if self.mesh.axial and self.given.any():
            length = np.array([m.length for m in self.metals])[self.mesh.region[e.metal]]
            even = np.bincount(part, self.sigma * self.mesh.areas()[e.metal] / length)
            found[self.given] = even[self.given]
        return found

    @property
    def resting(self) -> FloatArray:
        """Direct-current resistance (conductors,) [ohm/m], round the axis per turn [ohm]; 0 without terminals."""
        conductance = self.conductance
        fed = ~self.closed & (conductance > 0)
        return np.divide(1.0, conductance, out=np.zeros_like(conductance), where=fed)


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
