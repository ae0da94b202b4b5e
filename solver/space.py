"""A space of fields that a band needs, with everything that is asked of it as small quadratic forms.

The forms belong to the mesh, one for each region of metal, so that they hold for other conductivities as well: a model
at other temperatures costs small matrices only.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..geometries.mesh import AIR, lattice
from ..geometries.outline import FloatArray
from ..geometries.shape_functions import gradients, quadrature, values
from ..geometries.sides import IntArray
from .chain import Chain, split
from .field import Discretisation, Metal
from .materials import MU0
from .ports import Ports

BLOCK = 128  # elements whose fields are held at once


@dataclass(frozen=True, eq=False)
class Region:
    """One metal of one conductor, as forms of 1 and the basis.

    Attributes
    ----------
    group : int
        The group of conductors it belongs to.
    mass : (1 + r, 1 + r) float
        integral sigma u v.
    energy : (r, r) float
        integral (1 / mu) grad u . grad v.
    """

    group: int
    mass: FloatArray
    energy: FloatArray


@dataclass(frozen=True, eq=False)
class Space:
    """Lifts and a basis, harmonic in the air, with the stiffness projected on them.

    Attributes
    ----------
    discretisation : Discretisation
    ports : Ports
    chi : (unknowns, groups) float
        1 on a group, 0 on the others.
    basis : (unknowns, r) float
    reach, flux, stiffness : float
        chi' K chi (groups, groups), chi' K x (groups, r), x' K x (r, r).
    """

    discretisation: Discretisation
    ports: Ports
    chi: FloatArray
    basis: FloatArray
    reach: FloatArray
    flux: FloatArray
    stiffness: FloatArray

    @classmethod
    def spanned(cls, discretisation: Discretisation, ports: Ports, chi: FloatArray, basis: FloatArray) -> Space:
        """With the stiffness projected here."""
        onto = discretisation.stiffness @ chi
        reach, stiffness = chi.T @ onto, basis.T @ (discretisation.stiffness @ basis)
        return cls(discretisation, ports, chi, basis, _even(reach), onto.T @ basis, _even(stiffness))

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """The forms of every region of metal."""
        d = self.discretisation
        e, label = d.elements, d.mesh.region[d.elements.metal]
        found = []
        for number, (part, _) in enumerate(d.mesh.regions):
            rows = np.flatnonzero(label == number)
            inside = np.unique(e.dofs[e.metal[rows]])
            field = np.column_stack((np.ones(len(inside)), self.basis[inside]))
            mass = e.assemble(e.mass_blocks[rows] * d.sigma[rows, None, None], e.metal[rows])[inside][:, inside]
            nu = d.reluctivity[e.metal[rows], None, None] / MU0
            energy = e.assemble(e.stiffness_blocks[e.metal[rows]] * nu, e.metal[rows])[inside][:, inside]
            group = int(self.ports.member[part].argmax())
            found.append(Region(group, field.T @ (mass @ field), field[:, 1:].T @ (energy @ field[:, 1:])))
        return tuple(found)

    @cached_property
    def pressures(self) -> tuple[tuple[FloatArray, FloatArray], ...]:
        """Maxwell's stress around every conductor, x and y, as forms of chi and the basis [N/m per (Vs/m)^2]."""
        mesh, elements = self.discretisation.mesh, self.discretisation.elements
        owner = np.full(len(mesh.points), -1)
        part = np.array([p for p, _ in mesh.regions])
        owner[mesh.triangles[elements.metal]] = part[mesh.region[elements.metal]][:, None]
        air, fields = np.flatnonzero(mesh.region == AIR), np.column_stack((self.chi, self.basis))
        found = []
        for k in range(len(self.ports.member)):
            near = air[(owner[mesh.triangles[air]] == k).any(axis=1)]
            found.append(self._stress(fields, near, (owner == k).astype(float)))
        return tuple(found)

    def _stress(self, fields: FloatArray, near: IntArray, ours: FloatArray) -> tuple[FloatArray, FloatArray]:
        elements = self.discretisation.elements
        places, weights = quadrature(2 * elements.order + 2)
        reference = gradients(elements.order, places)
        corner_gradient = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])
        total = np.zeros((2, fields.shape[1], fields.shape[1]))
        for first in range(0, len(near), BLOCK):
            rows = near[first : first + BLOCK]
            determinant, inverse = elements.maps(rows, places)
            by_reference = np.einsum("tnb,pnr->tprb", fields[elements.dofs[rows]], reference, optimize=True)
            slope = inverse @ by_reference
            b = np.stack((slope[:, :, 1], -slope[:, :, 0]), axis=2)
            weight = ours[elements.mesh.triangles[rows]] @ corner_gradient
            fall = np.einsum("tpdr,tr->tpd", inverse, weight) * (determinant * weights)[..., None]
            along = np.einsum("tpdb,tpd->tpb", b, fall, optimize=True).reshape(-1, fields.shape[1])
            for k in range(2):
                flat = b[:, :, k].reshape(-1, fields.shape[1])
                pressure = sum(
                    (b[:, :, c] * fall[:, :, k, None]).reshape(flat.shape).T @ b[:, :, c].reshape(flat.shape)
                    for c in range(2)
                )
                total[k] += flat.T @ along - 0.5 * pressure
        x, y = (-(t + t.T) / (2 * MU0) for t in total)
        return x, y

    def galerkin(self, factors: FloatArray) -> tuple[Chain, FloatArray, FloatArray]:
        """The chain of this space with the conductivity of every region multiplied.

        Parameters
        ----------
        factors : (regions,) float

        Returns
        -------
        chain : Chain
        turn : (r, r) float
        slip : (groups, r) float
            The modes are (basis - chi slip) turn.
        """
        groups, count = self.flux.shape
        conductance, load, mass = np.zeros(groups), np.zeros((groups, count)), np.zeros((count, count))
        for region, factor in zip(self.regions, factors, strict=True):
            conductance[region.group] += factor * region.mass[0, 0]
            load[region.group] += factor * region.mass[0, 1:]
            mass += factor * region.mass[1:, 1:]
        slip = load / conductance[:, None]
        flux = self.flux - self.reach @ slip
        across = slip.T @ self.flux
        stiffness = self.stiffness - across - across.T + slip.T @ self.reach @ slip
        surface, rates, coupling, turn = split(self.reach, flux, stiffness, mass - load.T @ slip)
        return Chain(self.ports.pattern, conductance, surface, rates, coupling), turn, slip

    def lowered(self) -> Space:
        """The same fields read at the nodes of the next lower order, on the same mesh.

        The solution in there misses at least what the best one of that order misses: a comparison with it errs on the
        safe side, and costs no factors.
        """
        d = self.discretisation
        below, high = Discretisation(d.mesh, d.metals, d.order - 1), d.elements
        reading = values(high.order, lattice(below.order)[:, 1:] / below.order)
        fields = []
        for field in (self.chi, self.basis):
            low = np.empty((below.elements.count, field.shape[1]))
            low[below.elements.dofs] = np.einsum("ij,tjk->tik", reading, field[high.dofs], optimize=True)
            fields.append(low)
        return Space.spanned(below, self.ports, *fields)


def scaled(discretisation: Discretisation, factors: FloatArray) -> Discretisation:
    """The same mesh with the conductivity of every region multiplied."""
    metals = tuple(
        Metal(m.conductivity * float(f), m.permeability, m.surface)
        for m, f in zip(discretisation.metals, factors, strict=True)
    )
    return replace(discretisation, metals=metals)


def _even(matrix: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (matrix + matrix.T))
