"""What is the same at every frequency of one mesh: areas of the conductors, and which metal counts to which face."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.circuits import circuit_voltage, currents_and_voltages
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.flow import SteadyFlow
from crosscurrent.solver.field.problem import Circuit

from .bisectors import Split, split_by_face
from .face_names import face_names


@dataclass(frozen=True, eq=False)
class ConductorParts:
    """One conductor on a mesh.

    Attributes
    ----------
    regions : tuple of int
        Its regions of the mesh, base metal first.
    area : float
        [m2]
    faces : tuple of str
        Names of the faces of its outline.
    lengths : (faces,) float
        Of the faces along the outline [m].
    split : Split
        Its metal, each bit counted to a face.
    """

    regions: tuple[int, ...]
    area: float
    faces: tuple[str, ...]
    lengths: FloatArray
    split: Split


@dataclass(frozen=True, eq=False)
class MeshParts:
    """Made once for a mesh and handed on from frequency to frequency.

    Attributes
    ----------
    discretisation : Discretisation
    lifted : bool
        Whether the field-free core is left out of the fields, and so of the splits.
    conductors : tuple of ConductorParts
        In the order of the problem's.
    resting : tuple of float
        Direct-current resistance of every circuit alone, shared by the conductors' own [ohm/m].
    """

    discretisation: Discretisation
    lifted: bool
    conductors: tuple[ConductorParts, ...]
    resting: tuple[float, ...]

    @classmethod
    def of(cls, flow: SteadyFlow, known: MeshParts | None = None) -> MeshParts:
        """The parts of a flow's mesh; those known already if they are of this mesh.

        Parameters
        ----------
        flow : SteadyFlow
        known : MeshParts, optional
            Of the frequency before, such as one of the same sweep.
        """
        if known is not None and known.fits(flow):
            return known
        areas = flow.discretisation.mesh.areas()
        parts = flow.problem.section.parts
        found = tuple(_conductor(flow, number, part, areas) for number, part in enumerate(parts))
        return cls(flow.discretisation, flow.lifted, found, tuple(_resting(flow, c) for c in flow.problem.circuits))

    def fits(self, flow: SteadyFlow) -> bool:
        """Whether a flow is one on this mesh."""
        same = flow.discretisation is self.discretisation and flow.lifted == self.lifted
        return same and len(flow.problem.circuits) == len(self.resting)


def _resting(flow: SteadyFlow, circuit: Circuit) -> float:
    unit, names = replace(circuit, current=1.0, shorted=False), list(flow.problem.names)
    own = np.diag(flow.discretisation.resting).astype(complex)
    _, voltages = currents_and_voltages(own, names, [unit], flow.problem.bundles)
    return float(circuit_voltage(unit, names, voltages).real)


def _conductor(flow: SteadyFlow, number: int, part: Part, areas: FloatArray) -> ConductorParts:
    mesh = flow.discretisation.mesh
    regions = tuple(mesh.regions_of(number).tolist())
    area = float(areas[np.isin(mesh.region, regions)].sum())
    names, label, lengths = face_names(part, axial=mesh.axial)
    split = split_by_face(flow.discretisation, number, part, label, flow.active > 0)
    return ConductorParts(regions, area, tuple(names), lengths, split)
