"""Random sections: whole meshes, power balance, symmetry, passivity, bars that cover the difference to a finer solve.

CROSSCURRENT_EXAMPLES=3000 tries as many sections as that, and new ones each time, instead of the 40 of the suite.
"""

import math
import os
from collections.abc import Callable

import numpy as np
import pytest
from common import metal
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from invariants import check_power_and_impedance

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve

MM = 1e-3
USUAL = 40
EXAMPLES = int(os.environ.get("CROSSCURRENT_EXAMPLES", USUAL))
SMALL = 12_500  # unknowns up to which a finer solve is affordable in a test


def sizes(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False).map(lambda v: round(v, 3) * MM)


def decades(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers between two powers of ten, evenly in their logarithm."""
    return st.floats(low, high).map(lambda v: float(f"{10**v:.3g}"))


SHAPES = st.one_of(
    st.builds(shapes.round_bar, sizes(0.5, 9.5)),
    st.builds(shapes.tube, sizes(4, 9.5), sizes(0.1, 1.9)),
    st.builds(shapes.bar, sizes(1, 20), sizes(0.1, 6), st.sampled_from([0.0, 0.05 * MM])),
    st.builds(shapes.box, sizes(4, 6.5), sizes(4, 6.5), sizes(0.3, 1.5), st.sampled_from([0.0, 0.2 * MM])),
    st.builds(shapes.angle, sizes(4, 6.5), sizes(4, 6.5), sizes(0.5, 2)),
    st.builds(shapes.channel, sizes(5, 6.5), sizes(4, 6.5), sizes(0.5, 1.8)),
)
METALS = st.sampled_from([metal(58e6), metal(15.9e6), metal(1.45e6, 1.02), metal(7e6, 200.0)])
COATS = st.sampled_from([(), (), ((metal(63e6), 10e-6),), ((metal(14.3e6, 100.0), 3e-6), (metal(41e6), 1e-6))])
TURNS = st.one_of(st.sampled_from([0.0, math.pi / 2]), st.floats(0, 3.1))


@st.composite
def conductors(draw: st.DrawFn, count: int) -> tuple[Conductor, ...]:
    """Parts in a row, 20 um to 10 mm between the boxes around them."""
    found: list[Conductor] = []
    edge = 0.0
    for k in range(count):
        coats = draw(COATS)
        shape = draw(SHAPES).placed((0.0, draw(st.floats(-3, 3)) * MM), draw(TURNS))
        over = sum(t for _, t in coats)
        low = shape.outer.bounds[0, 0]
        placed = shape.placed((edge + draw(decades(-4.7, -2)) + over - low, 0.0))
        edge = placed.outer.bounds[1, 0] + over
        part = Part(f"c{k}", placed, tuple(t for _, t in coats))
        found.append(Conductor(part, draw(METALS), coats=tuple(m for m, _ in coats)))
    return tuple(found)


@st.composite
def loops(draw: st.DrawFn) -> Problem:
    """One part out and one back."""
    return Problem(draw(conductors(2)), (Circuit("feed", 1.0, ("c0",), ("c1",)),))


@st.composite
def groups(draw: st.DrawFn) -> Problem:
    """One part by itself, or three of which the last is idle or shares the way back."""
    if draw(st.booleans()):
        return Problem(draw(conductors(1)), (Circuit("feed", 1.0, ("c0",)),))
    back = draw(st.sampled_from([("c1",), ("c1", "c2")]))
    return Problem(draw(conductors(3)), (Circuit("feed", 1.0, ("c0",), back),))


def check_mesh(solution: Solution) -> None:
    """No triangle folds; base metals and the whole disc have their exact areas."""
    mesh = solution.fine.discretisation.mesh
    assert mesh.smallest_jacobians().min() > 0
    area = mesh.areas()
    assert math.isclose(area.sum(), math.pi * mesh.radius**2, rel_tol=1e-10)
    for region, (part, layer) in enumerate(mesh.regions):
        if layer == 0:
            wanted = solution.problem.conductors[part].part.area
            assert math.isclose(area[mesh.region == region].sum(), wanted, rel_tol=1e-10)


def finer_solve(solution: Solution) -> Solution:
    """On a mesh made with every length a step shorter, to a tenth of the bar if it is a wide one."""
    problem, frequency = solution.problem, solution.frequency
    skins = [[m.skin_depth(frequency, c.temperature) for m in c.metals] for c in problem.conductors]
    mesh = mesh_section(problem.section, skins, MeshOptions().finer(1))
    return solve(problem, frequency, accuracy=max(0.1 * solution.bound, 1e-3), start=mesh)


def covered(solution: Solution, finer: Solution) -> bool:
    """Whether the bars on every loss, R and L reach the finer solve's values."""
    width = solution.power_errors + finer.power_errors
    losses = np.abs(solution.fine.powers.real - finer.fine.powers.real) <= width
    circuit = solution.problem.circuits[0]
    bars = np.add(solution.circuit_errors(circuit), finer.circuit_errors(circuit))
    one, two = solution.fine.circuit(circuit), finer.fine.circuit(circuit)
    first, second = solution.fine.inductance(circuit), finer.fine.inductance(circuit)
    return bool(
        losses.all() and abs(one.real - two.real) <= bars[0] * one.real and abs(first - second) <= bars[1] * abs(first)
    )


@pytest.mark.parametrize("problems", [loops, groups])
def test_random_sections(problems: Callable[[], st.SearchStrategy[Problem]]) -> None:
    verdicts = []

    @settings(
        max_examples=EXAMPLES // 2, deadline=None, derandomize=EXAMPLES == USUAL, database=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(problems(), decades(1, 7))
    def examine(problem: Problem, frequency: float) -> None:
        solution = solve(problem, frequency, accuracy=1e-2)
        check_mesh(solution)
        check_power_and_impedance(solution.fine)
        if solution.fine.discretisation.elements.count <= SMALL:
            verdicts.append(covered(solution, finer_solve(solution)))

    examine()
    assert len(verdicts) >= 0.25 * EXAMPLES  # at least half of those examined are small enough to be solved finer
    # at least 99 in 100
    assert verdicts.count(False) <= len(verdicts) // 100
