"""Work pieces on their own meshes, for tests of heat in time round an axis."""

import numpy as np

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.heat.heating import Source
from crosscurrent.solver.heat.open_surface import OpenSurface, Surroundings
from crosscurrent.solver.heat.work_piece import WorkPiece

AMBIENT = 20.0
CONDUCTION, CAPACITY = 40.0, 7800.0 * 500.0  # about those of steel [W/(m K)], [J/(m3 K)]


def piece(
    shape: Shape,
    order: int = 5,
    *,
    conduction: float = CONDUCTION,
    emissivity: float = 0.0,
    film: float | None = 0.0,
    upright: bool = True,
    skin: float = 5e-3,
) -> OpenSurface:
    """A part alone round the axis; by default it gives nothing away."""
    section = Section((Part("piece", shape),), axial=True)
    mesh = mesh_section(section, [[skin]])
    found = WorkPiece.of(mesh, order, 0, np.array([conduction]), np.array([CAPACITY]))
    return OpenSurface(found, section.parts[0], 0, Surroundings(AMBIENT, emissivity, film, upright))


def flux(surface: OpenSurface, density: float, which: np.ndarray | None = None) -> Source:
    """Heat that enters evenly through the surface, or some places of it [W/m2]."""
    s = surface.piece.surface
    return constant(s.values.T @ (density * s.area * (1.0 if which is None else which)))


def even(surface: OpenSurface, density: float) -> Source:
    """Heat that arises evenly in the volume [W/m3]."""
    return constant(density * surface.piece.volume)


def constant(load: np.ndarray) -> Source:
    """The same at all temperatures."""
    return Source(np.array([AMBIENT]), load[None])
