"""One frequency: a wire against Bessel functions, what is refused, what is told on the way."""

import math
from functools import cache

import numpy as np
import pytest
from common import MU0, SIGMA, alone, bar, frequency_for, resistance, rod
from scipy.special import iv, ivp

from crosscurrent.solver.field.forecast import SolveError
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.solve import HEAVIEST, LEAST, solve

RADIUS = 0.005
FREQUENCY = frequency_for(RADIUS / 4)
WIRE = alone(rod("wire", 2 * RADIUS), 10.0)


@cache
def solved() -> DirectSolution:
    return solve(WIRE, FREQUENCY)


def test_a_wire_follows_bessel_within_its_bar() -> None:
    """Kelvin 1889: p I0(p) / (2 pi a^2 sigma I1(p))."""
    p = (1 + 1j) * 4
    exact = (p * iv(0, p) / ivp(0, p)).real / (2 * math.pi * RADIUS**2 * SIGMA)
    value, width = resistance(solved())
    assert abs(value - exact) <= width
    assert width <= 1e-3 * exact
    assert not solved().warnings


@pytest.mark.parametrize(("depths", "order"), [(0.5, 4), (4.0, 5)])
def test_even_currents_begin_no_higher_for_a_ten_thousandth(depths: float, order: int) -> None:
    """Kelvin 1889 as above; where the skin is thicker than the wire, the lower order bounds R and L."""
    solution = solve(WIRE, frequency_for(RADIUS / depths), accuracy=1e-4)
    p = (1 + 1j) * depths
    exact = (p * iv(0, p) / ivp(0, p)).real / (2 * math.pi * RADIUS**2 * SIGMA)
    value, width = resistance(solution)
    assert abs(value - exact) <= width <= 1e-4 * exact
    assert solution.circuit_errors(WIRE.circuits[0])[1] <= 1e-4
    assert solution.fine.discretisation.order == order


@pytest.mark.parametrize("depth", [2e-4, 5e-4])
def test_sharp_edges_are_fine_enough_from_the_start_for_a_ten_thousandth(depth: float) -> None:
    """Within its bar of a solve for a hundredth of that bound, on the first pair of orders."""
    problem, frequency = alone(bar("bar", 0.01, 0.004), 1.0), frequency_for(depth)
    solution = solve(problem, frequency, accuracy=1e-4)
    value, width = resistance(solution)
    known, least = resistance(solve(problem, frequency, accuracy=1e-6))
    assert solution.refinements == 0
    assert abs(value - known) <= width + least
    assert width <= 1e-4 * value


def test_at_rest_the_area_counts() -> None:
    value, _ = resistance(solve(WIRE, 0.0))
    assert value == pytest.approx(1 / (SIGMA * math.pi * RADIUS**2), rel=1e-9)


@pytest.mark.parametrize("frequency", [-1.0, math.nan, math.inf])
def test_a_frequency_that_is_none_is_refused(frequency: float) -> None:
    with pytest.raises(SolveError, match=f"expected 0 or a positive number of hertz, found {frequency}"):
        solve(WIRE, frequency)


def test_too_few_unknowns_are_refused_before_the_mesh() -> None:
    told: list[str] = []
    with pytest.raises(SolveError, match=f"needs {LEAST} unknowns or more"):
        solve(WIRE, 50.0, largest=LEAST - 1, progress=lambda what, done: told.append(what))
    assert not told
    assert HEAVIEST // LEAST > LEAST


def test_a_bound_out_of_reach_is_warned_of() -> None:
    limit = solved().fine.discretisation.elements.count + 1
    found = solve(WIRE, FREQUENCY, accuracy=1e-12, largest=limit, start=solved().fine.discretisation.mesh)
    (warning,) = found.warnings
    assert warning.kind == "accuracy"
    assert warning.text.startswith("the wanted bound of 1e-10 % was not reached")
    assert f"(limit {limit})" in warning.text
    assert found.bound > 1e-12


def test_progress_tells_every_solve_on_the_mesh_it_was_given() -> None:
    told: list[tuple[str, float]] = []
    mesh = solved().fine.discretisation.mesh
    again = solve(WIRE, FREQUENCY, start=mesh, progress=lambda what, done: told.append((what, done)))
    assert told[0] == ("mesh", 0.1)
    assert [what.split(",")[0] for what, _ in told[1:]] == ["solve"] * (again.refinements + 2)
    assert (np.diff([done for _, done in told]) >= 0).all()
    assert again.coarse.discretisation.mesh is mesh
    assert again.frequency == pytest.approx(1 / (math.pi * MU0 * SIGMA * (RADIUS / 4) ** 2))


def test_a_bound_just_missed_takes_one_more_order_on_the_same_mesh() -> None:
    strip = alone(bar("strip", 0.02, 0.004))
    first = solve(strip, 1e4, accuracy=1.0)
    found = solve(strip, 1e4, accuracy=first.bound / 2, start=first.fine.discretisation.mesh)
    assert found.bound <= first.bound / 2
    assert found.fine.discretisation.mesh is first.fine.discretisation.mesh
    assert found.fine.discretisation.order == first.fine.discretisation.order + 1
    assert resistance(found)[0] == pytest.approx(resistance(first)[0], rel=first.bound)
