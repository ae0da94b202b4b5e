"""Work pieces on their own meshes, for tests of heat in time round an axis."""

import numpy as np

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, round_bar
from crosscurrent.postprocess.topics.heating import HeatingAnswer
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.heat.heated_in_coil import HeatedInCoil, heated_in_coil
from crosscurrent.solver.heat.heating import Source
from crosscurrent.solver.heat.open_surface import OpenSurface, Surroundings
from crosscurrent.solver.heat.work_piece import WorkPiece
from crosscurrent.solver.metals.materials import MATERIALS, Material

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


def heated_ball(*, film: float | None = 20.0, emissivity: float = 0.0) -> HeatedInCoil:
    """A ball of a metal without temperature coefficient, held at 200 W for a minute in one turn."""
    metal = Material("own", 10e6, density=7800.0, heat_capacity=500.0, thermal_conductivity=CONDUCTION)
    turn = Conductor(Part("turn", round_bar(0.004).placed((0.03, 0.0))), MATERIALS["copper"])
    ball = Conductor(Part("ball", round_bar(0.03)), metal)
    problem = Problem((turn, ball), (Circuit("coil", 1.0, ("turn",)),), axial=True)
    found = solve(problem, 10e3, accuracy=1e-2)
    around = Surroundings(AMBIENT, emissivity, film)
    return heated_in_coil(((20.0, found),), 1, around, start=AMBIENT, duration=60.0, power=200.0)


def ball_answer(until: float | None = 60.0) -> HeatingAnswer:
    """What is said of it."""
    found = heated_ball()
    radius = np.linspace(0.0, 0.015, 5)
    profile = np.full(5, float(found.fine.mean(np.array([60.0]))[0]))
    return HeatingAnswer("ball", 10e3, until, True, found, radius, profile)
