"""Forces on conductors that lie apart: line currents, images, and fields that cancel."""

from __future__ import annotations

import math

import common
import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, box, round_bar, tube
from crosscurrent.solver.field.beams import peak_errors, pushes
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS, Material

MM = 1e-3
COPPER = MATERIALS["copper"]
STEEL = Material("steel", 6e6, permeability=300.0)


def two(a: Shape, b: Shape, at: tuple[float, float], metal: Material = COPPER) -> Problem:
    conductors = Conductor(Part("a", a), COPPER), Conductor(Part("b", b.placed(at)), metal)
    return Problem(conductors, (Circuit("feed", 100.0, ("a",), ("b",)),))


def bars(solution: Solution) -> np.ndarray:
    return solution.fine.forces.errors(solution.coarse.forces)


@pytest.mark.parametrize("apart", [10, 100, 1000])
def test_thin_wires_attract_as_line_currents(apart: float) -> None:
    """mu0 I1 I2 / (2 pi d), wires of 1 mm radius at 50 Hz, where their currents are even to 2e-7."""
    distance = apart * MM
    solution = solve(two(round_bar(2 * MM), round_bar(2 * MM), (0.6 * distance, 0.8 * distance)), 50.0)
    exact = 2e-7 * 100.0**2 / distance
    way = np.array([0.6, 0.8])
    np.testing.assert_allclose(solution.fine.force, [-exact * way, exact * way], rtol=1e-6)
    assert bars(solution).max() < 1e-5 * exact
    assert pushes(solution.fine)[0].peak == pytest.approx(2 * exact, rel=1e-6)
    assert peak_errors(solution).max() < 1e-3 * exact


def test_a_tube_does_not_push_what_lies_within() -> None:
    """Current spread evenly around a tube has no field inside it, wherever the core lies."""
    solution = solve(two(round_bar(4 * MM), tube(30 * MM, 2 * MM), (3 * MM, 2 * MM)), 0.0)
    assert np.abs(solution.fine.force).max() < 1e-7 * 2e-7 * 100.0**2 / (14 * MM)


def test_a_bar_in_the_middle_of_a_box_is_not_pushed() -> None:
    """Metal on the middle of another conductor's circle is as near as can be; symmetry leaves no force."""
    box_round_bar = two(box(30 * MM, 20 * MM, 2 * MM), bar(6 * MM, 4 * MM), (0, 0))
    assert np.abs(solve(box_round_bar, 50.0).fine.force).max() < 1e-6 * 2e-7 * 100.0**2 / (15 * MM)


def test_a_steel_rod_attracts_as_its_images() -> None:
    """At rest, out and back far to the right: images k I at R^2 / D and -k I on the axis, k = (mu_r - 1)/(mu_r + 1)."""
    radius, distance = 5 * MM, 15 * MM
    wire = Conductor(Part("wire", round_bar(2 * MM).placed((distance, 0))), COPPER)
    rod = Conductor(Part("rod", round_bar(2 * radius)), STEEL)
    solution = solve(Problem((wire, rod), (Circuit("out", 100.0, ("wire",)),)), 0.0)
    image = distance - radius**2 / distance
    pull = -2e-7 * 100.0**2 * 299 / 301 * (1 / image - 1 / distance)
    np.testing.assert_allclose(solution.fine.force[:, 0], [pull, -pull], rtol=1e-6)
    assert bars(solution).max() < 1e-5 * abs(pull)


def test_bars_of_forces_cover_a_finer_solve() -> None:
    """A wire over a steel bar, corners and all: the force of the wire is known far better than its own field."""
    problem = two(round_bar(2 * MM), bar(40 * MM, 4 * MM), (3 * MM, -9 * MM), STEEL)
    found, finer = solve(problem, 50.0), solve(problem, 50.0, accuracy=1e-5)
    apart = np.hypot(*(found.fine.force - finer.fine.force).T)
    assert (apart <= bars(found) + bars(finer)).all()
    assert (bars(found) < 2e-2 * np.hypot(*finer.fine.force.T)).all()


def test_a_conductor_alone_pushes_nothing() -> None:
    alone = common.alone(common.bar("bar", 40 * MM, 4 * MM, material=COPPER), 100.0)
    assert np.abs(solve(alone, 5e3).fine.force).max() == 0.0


def test_far_bars_attract_as_multipoles() -> None:
    """Edge to edge at rest, current spread evenly: two line sources side by side, integrated in closed form."""
    width, distance = 40 * MM, 200 * MM
    solution = solve(two(bar(width, 0.04 * MM), bar(width, 0.04 * MM), (distance, 0.0)), 0.0)

    def once(x: float) -> float:
        return x * math.log(x) - x

    exact = once(distance + width) - 2 * once(distance) + once(distance - width)
    exact *= 2e-7 * 100.0**2 / width**2
    assert -solution.fine.force[0, 0] == pytest.approx(exact, rel=1e-6)
