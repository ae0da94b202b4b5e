"""Pieces of surface of parts, for what they see and exchange."""

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.heat.view_factors import panels_of

COARSE = 0.02


def panels(*parts, skin=COARSE):
    section = Section(tuple(parts))
    return panels_of(mesh_section(section, [[skin]] * len(parts)), section.parts)
