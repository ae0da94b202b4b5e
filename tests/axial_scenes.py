"""Sections round an axis for the tests of pictures and of what is read of fields."""

from __future__ import annotations

from functools import cache

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, tube
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

TITLE = "Coil on the pier"


def ring(name: str, shape: Shape, radius: float, height: float = 0.0, *, closed: bool = False) -> Conductor:
    """Of copper, its section placed at a radius and a height [m]."""
    return Conductor(Part(name, shape.placed((radius, height))), MATERIALS["copper"], closed=closed)


def turns(count: int, radius: float, pitch: float, shape: Shape) -> tuple[Conductor, ...]:
    """One above the other."""
    return tuple(ring(f"turn.{k + 1}", shape, radius, (k - 0.5 * (count - 1)) * pitch) for k in range(count))


def axial_scene(problem: Problem, frequency: float) -> Scene:
    solution = solve(problem, frequency)
    return Scene(solution, answers(solution), TITLE)


@cache
def coil_round_a_billet() -> Scene:
    """Three turns of tube round a billet of 30 x 50 mm, 2 kHz, 500 A."""
    coil = turns(3, 0.024, 0.012, tube(0.01, 0.0015))
    billet = Conductor(Part("billet", bar(0.03, 0.05)), MATERIALS["copper"])
    circuit = Circuit("coil", 500.0, tuple(c.name for c in coil), (), "series")
    return axial_scene(Problem((billet, *coil), (circuit,), axial=True), 2e3)


@cache
def rings_at_rest() -> Scene:
    """A ring of a bar 8 mm high from r = 20 to 40 mm, and 1 m off it its return; direct current of 100 A."""
    rings = ring("go", bar(0.02, 0.008), 0.03), ring("come", bar(0.02, 0.008), 0.03, 1.0)
    return axial_scene(Problem(rings, (Circuit("feed", 100.0, ("go",), ("come",)),), axial=True), 0.0)
