"""Rods, bars, pairs and what is read off their solutions: for tests of every room."""

import cmath
import math
from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.elements.exterior import RETURN
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.metals.materials import Material

MU0 = 4e-7 * math.pi
SIGMA = 58e6
COPPER = Material("copper", SIGMA)
TURN = cmath.exp(-2j * math.pi / 3)  # one phase of three


def metal(conductivity: float, permeability: float = 1.0) -> Material:
    """A metal of the reference rows."""
    return Material(f"{conductivity:g}", conductivity, permeability=permeability)


def frequency_for(depth: float, conductivity: float = SIGMA, permeability: float = 1.0) -> float:
    """Frequency at which the skin depth is `depth`."""
    return 1 / (math.pi * MU0 * permeability * conductivity * depth**2)


def conductor(
    name: str,
    shape: Shape,
    centre: Sequence[float] = (0.0, 0.0),
    material: Material = COPPER,
    coats: Sequence[tuple[Material, float]] = (),
) -> Conductor:
    """A conductor at a place, with coats (metal, thickness), inside first."""
    part = Part(name, shape.placed(centre), tuple(t for _, t in coats))
    return Conductor(part, material, coats=tuple(m for m, _ in coats))


def rod(name: str, diameter: float, x: float = 0.0, y: float = 0.0, material: Material = COPPER) -> Conductor:
    """A round conductor."""
    return conductor(name, shapes.round_bar(diameter), (x, y), material)


def bar(
    name: str, width: float, thickness: float, x: float = 0.0, y: float = 0.0, material: Material = COPPER
) -> Conductor:
    """A bar with sharp edges."""
    return conductor(name, shapes.bar(width, thickness), (x, y), material)


def pair(one: Conductor, other: Conductor, current: complex = 1.0, circuit: str = "loop") -> Problem:
    """Go and return."""
    return Problem((one, other), (Circuit(circuit, current, (one.name,), (other.name,)),))


def alone(one: Conductor, current: complex = 1.0, circuit: str = "out") -> Problem:
    """A conductor by itself, the return far outside."""
    return Problem((one,), (Circuit(circuit, current, (one.name,)),))


def driven(solution: Solution, *circuits: Circuit) -> Solution:
    """The same fields with other currents."""
    problem = Problem(solution.problem.conductors, circuits)
    fine, coarse = (SolvedFlow.of(problem, flow.fields) for flow in (solution.fine, solution.coarse))
    return Solution(problem, solution.frequency, fine, coarse, solution.refinements, solution.wanted)


def resistance(solution: Solution) -> tuple[float, float]:
    """Resistance of the first circuit and its bar [ohm/m]."""
    circuit = solution.problem.circuits[0]
    value = (solution.fine.circuit(circuit) / circuit.current).real
    return value, value * solution.circuit_errors(circuit)[0]


def inductance(solution: Solution) -> tuple[float, float]:
    """Inductance of the first circuit and its bar [H/m]."""
    circuit = solution.problem.circuits[0]
    value = solution.fine.inductance(circuit)
    return value, abs(value) * solution.circuit_errors(circuit)[1]


def loss(solution: Solution, *numbers: int) -> tuple[float, float]:
    """Loss of some conductors, or of all, and its bar [W/m]."""
    which = list(numbers) or slice(None)
    return float(solution.fine.powers.real[which].sum()), float(solution.power_errors[which].sum())


def return_radius(solution: Solution) -> float:
    """Radius at which the net current returns [m]."""
    return RETURN * solution.fine.discretisation.mesh.radius


def scaled(value_and_bar: tuple[float, float], factor: float, shift: float = 0.0) -> tuple[float, float]:
    """factor * (value - shift) with its bar."""
    value, width = value_and_bar
    return factor * (value - shift), abs(factor) * width


def first_harmonic(flow: SolvedFlow, radius: float) -> complex:
    """Amplitude of cos(angle) in the potential on a circle of the mesh about the origin.

    The circle has to be a surface of metal; the edges on it are integrated with the elements' own values.
    """
    d = flow.discretisation
    mesh, elements = d.mesh, d.elements
    edges = mesh.faces[:, :2]
    on = np.abs(np.hypot(*mesh.points[edges[:, 0]].T) / radius - 1) < 1e-6
    t, w = np.polynomial.legendre.leggauss(elements.order + 6)
    t = 0.5 * (1 + t)
    nodes = np.arange(elements.order + 1) / elements.order
    lagrange = np.polynomial.legendre.legvander(2 * t - 1, elements.order) @ np.linalg.inv(
        np.polynomial.legendre.legvander(2 * nodes - 1, elements.order)
    )
    number = mesh.edge_numbers(edges[on])
    inner = len(mesh.points) + number[:, None] * (elements.order - 1) + np.arange(elements.order - 1)
    backward = edges[on, 0] > edges[on, 1]
    inner[backward] = inner[backward][:, ::-1]
    dofs = np.column_stack((edges[on, 0], inner, edges[on, 1]))
    place = mesh.along_edge(edges[on], t)
    begin, end = mesh.points[edges[on, 0]], mesh.points[edges[on, 1]]
    span = np.abs(np.arctan2(begin[:, 0] * end[:, 1] - begin[:, 1] * end[:, 0], (begin * end).sum(axis=1)))
    assert math.isclose(span.sum(), 2 * math.pi, rel_tol=1e-9)
    cosine = place[..., 0] / radius
    value = flow.potential[dofs] @ lagrange.T
    return complex((value * cosine * 0.5 * w * span[:, None]).sum() / math.pi)
