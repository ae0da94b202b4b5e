"""A copper and an aluminium rod on one coarse mesh: for tests of a band's matrices, basis, model and bound."""

import numpy as np

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.band.krylov import RationalKrylov
from crosscurrent.solver.band.passes import first_shift, first_shift_basis
from crosscurrent.solver.band.pencil import Pencil
from crosscurrent.solver.band.ports import Ports
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal

LOW, HIGH = 50.0, 1e4
EACH = Ports(np.eye(2), np.eye(2), matrix=True)


def two_rods(surface: complex = 1.0) -> Discretisation:
    """4 mm thick, 10 mm apart, order 2; the first one's surface smooth or with a factor."""
    parts = tuple(Part(n, round_bar(0.004).placed((x, 0))) for n, x in (("a", 0.0), ("b", 0.01)))
    metals = RegionMetal(58e6, 1.0, surface), RegionMetal(35e6)
    return Discretisation(mesh_section(Section(parts), [[1e-3], [1e-3]]), metals, 2)


def two_rods_pencil() -> Pencil:
    """Every rod a port of its own."""
    return Pencil(two_rods(), EACH, first_shift(HIGH))


def two_rods_krylov() -> RationalKrylov:
    """The basis of the first shift."""
    return first_shift_basis(two_rods_pencil())
