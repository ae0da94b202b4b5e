"""Slopes of the half plane r, z: closed forms, outside values, the law of growth, and differences of tight solves."""

import csv
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from common import SIGMA, bar, conductor, metal, rod

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.slopes import Slope, slopes
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve

ROWS = Path(__file__).parents[2] / "references" / "axial_values.csv"
HAIR = 1e-6
HOT, IRON = metal(8e5), metal(8e5, 50.0)
Maker = Callable[..., Problem]


def exact(row: str) -> float:
    with ROWS.open() as lines:
        return next(float(r["value"]) for r in csv.DictReader(lines) if r["id"] == row)


def coil(billet=0.03, long=0.08, tube=0.012, wall=0.0015, radius=0.046, pitch=0.015, ring=0.036, along=0.01,
         sigma=1.0, mu=1.0, ball=False, thick=0.003) -> Problem:  # fmt: skip
    """Two turns of tube round a billet or a ball, a closed ring between."""
    body = shapes.round_bar(2 * billet) if ball else shapes.bar(2 * billet, long)
    piece = conductor("billet", body, (0, 0), metal(8e5 * sigma, mu))
    turns = tuple(
        conductor(f"turn {k}", shapes.tube(tube, wall), (radius, along + (k - 0.5) * pitch)) for k in range(2)
    )
    closed = replace(bar("ring", thick, 20 / 3 * thick, ring, 0.3 * along), closed=True)
    return Problem((piece, *turns, closed), (Circuit("coil", 100.0, ("turn 0", "turn 1"), (), "series"),), axial=True)


def figures(solution: Solution) -> np.ndarray:
    """R, L, the whole loss and that of every conductor."""
    circuit, losses = solution.problem.circuits[0], solution.fine.powers.real
    resistance = (solution.fine.circuit(circuit) / circuit.current).real
    return np.array([resistance, solution.fine.inductance(circuit), losses.sum(), *losses])


def found(slope: Slope) -> tuple[np.ndarray, np.ndarray]:
    own = slope.own
    assert own is not None
    values = np.array([slope.resistance[0], slope.inductance[0], slope.loss, *own.losses])
    return values, np.array([slope.resistance_error[0], slope.inductance_error[0], slope.loss_error, *own.losses_error])


def change(make: Maker, **of: float) -> Change:
    ((key, value),) = of.items()
    step = HAIR * value
    if key == "frequency":
        return Change(key, make(), step, step)
    return Change(key, make(**{key: value + step}), step)


def differences(make: Maker, frequency: float, key: str, value: float, step: float) -> np.ndarray:
    """Central, of two steps, so that the fourth power of the step is what is left."""
    def at(where: float) -> np.ndarray:
        if key == "frequency":
            return figures(solve(make(), where, accuracy=1e-7))
        return figures(solve(make(**{key: where}), frequency, accuracy=1e-7))

    wide, near = ((at(value + h) - at(value - h)) / (2 * h) for h in (step * value, 0.5 * step * value))
    return np.asarray((4 * near - wide) / 3)


@pytest.mark.parametrize("relative", [0.1, 0.5])
def test_a_ring_at_rest_changes_as_its_closed_form(relative: float) -> None:
    # conductance of a round ring per turn: sigma (a - sqrt(a^2 - rho^2)), the integral of 1 / (2 pi r) over a disc
    a = 0.05
    rho = relative * a

    def make(radius=a, wire=rho):
        return Problem((rod("turn", 2 * wire, radius),), (Circuit("c", 1.0, ("turn",)),), axial=True)

    root = math.sqrt(a**2 - rho**2)
    resistance = 1 / (SIGMA * (a - root))
    wanted = -(resistance**2) * SIGMA * np.array([1 - a / root, rho / root])
    rows = slopes(solve(make(), 0.0), [change(make, radius=a), change(make, wire=rho)])
    np.testing.assert_allclose([s.resistance[0] for s in rows], wanted, rtol=2e-4)
    for slope, value in zip(rows, wanted, strict=True):
        assert abs(slope.resistance[0] - value) <= slope.resistance_error[0]


def test_two_circles_apart_change_as_maxwell_says() -> None:
    # `axial_values.csv`, axial-004: dM / dz of circles of 50 and 30 mm, 10 mm apart; wires of 0.4 mm stand for them
    def make(apart=0.01):
        wires = rod("one", 4e-4, 0.05), rod("two", 4e-4, 0.03, apart)
        return Problem(wires, (Circuit("c", 1.0, ("one", "two"), (), "series"),), axial=True)

    (slope,) = slopes(solve(make(), 0.0, accuracy=1e-5), [change(make, apart=0.01)])
    assert slope.inductance[0] == pytest.approx(2 * exact("axial-004"), rel=1e-4)


def test_twice_the_force_on_a_turn_is_how_l_changes_along_the_axis() -> None:
    # axial-046: copper ball 25 mm in a turn of 35 mm, 10 mm off its middle, 1 kHz; the current is given: F = L' / 2
    def make(along=0.01):
        ball, turn = rod("ball", 0.05), rod("turn", 4e-4, 0.035, along, metal(1e6))
        return Problem((ball, turn), (Circuit("c", 1.0, ("turn",)),), axial=True)

    (slope,) = slopes(solve(make(), 1e3, accuracy=1e-5), [change(make, along=0.01)])
    assert slope.inductance[0] == pytest.approx(2 * exact("axial-046"), rel=1e-4)


@pytest.mark.parametrize("frequency", [0.0, 1e3])
def test_a_section_twice_as_large_is_as_one_of_four_times_the_frequency(frequency: float) -> None:
    """Per turn R goes with 1 / size and L with the size, at a frequency that goes with 1 / size^2."""
    sizes = {"billet": 0.03, "long": 0.08, "tube": 0.012, "wall": 0.0015, "radius": 0.046, "pitch": 0.015,
             "ring": 0.036, "along": 0.01, "thick": 0.003}  # fmt: skip
    solution = solve(coil(), frequency, accuracy=1e-5)
    changes = [change(coil, **{key: value}) for key, value in sizes.items()]
    rows = slopes(solution, changes)
    resistance = sum(v * s.resistance[0] for v, s in zip(sizes.values(), rows, strict=True))
    inductance = sum(v * s.inductance[0] for v, s in zip(sizes.values(), rows, strict=True))
    if frequency:
        (faster,) = slopes(solution, [Change("frequency", coil(), 1.0, 1.0)])
        resistance -= 2 * frequency * faster.resistance[0]
        inductance -= 2 * frequency * faster.inductance[0]
    now = figures(solution)
    assert resistance == pytest.approx(-now[0], rel=1e-4)
    assert inductance == pytest.approx(now[1], rel=1e-4)


SINGLE = [("billet", 0.03), ("radius", 0.046), ("ring", 0.036), ("along", 0.01), ("wall", 0.0015), ("sigma", 1.0)]


@pytest.mark.parametrize(("frequency", "ball", "mu", "keys"), [
    (1e3, False, 1.0, [*SINGLE, ("long", 0.08), ("frequency", 1e3)]),
    (5e4, False, 1.0, [("billet", 0.03), ("radius", 0.046), ("pitch", 0.015)]),
    (1e3, True, 50.0, [("billet", 0.03), ("mu", 50.0), ("along", 0.01)]),
])  # fmt: skip
def test_differences_of_tight_solves_lie_within_the_bars(frequency, ball, mu, keys) -> None:  # type: ignore[no-untyped-def]
    def make(**given):
        return coil(**{"ball": ball, "mu": mu, **given})

    solution = solve(make(), frequency, accuracy=1e-4)
    rows = slopes(solution, [change(make, **{key: value}) for key, value in keys], each=True)
    for slope, (key, value) in zip(rows, keys, strict=True):
        wanted = differences(make, frequency, key, value, 4e-3)
        own, bars = found(slope)
        size = np.abs(figures(solution)) / value
        np.testing.assert_allclose(own, wanted, rtol=1e-3, atol=float(1e-9 * size.max()), err_msg=key)
        assert (np.abs(own - wanted) <= bars + 1e-6 * size).all(), key
        assert np.isnan(slope.own.forces).all()
