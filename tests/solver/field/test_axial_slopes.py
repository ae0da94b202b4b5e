"""Slopes of the half plane r, z: closed forms, outside values, the law of growth, and differences of tight solves.

CROSSCURRENT_EXAMPLES=200 takes all changes of those differences, from tighter solves, in place of four.
"""

import csv
import math
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from common import MU0, SIGMA, bar, conductor, metal, rod

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.ring_forces import largest
from crosscurrent.solver.field.slopes import Slope, slopes
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve

ROWS = Path(__file__).parents[2] / "references" / "axial_values.csv"
HAIR = 1e-6
MANY = os.environ.get("CROSSCURRENT_EXAMPLES")
TIGHT = 1e-7 if MANY else 1e-6
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
    """R, L, the whole loss, that of every conductor, and the largest forces on each along the axis and outward."""
    circuit, losses = solution.problem.circuits[0], solution.fine.powers.real
    resistance = (solution.fine.circuit(circuit) / circuit.current).real
    mean, swing = solution.fine.forces.mean, solution.fine.forces.swing * (solution.frequency > 0)
    pushed = [abs(largest(float(mean[k, way]), complex(swing[k, way]))) for way in (1, 0) for k in range(len(mean))]
    return np.array([resistance, solution.fine.inductance(circuit), losses.sum(), *losses, *pushed])


def felt(solution: Solution) -> np.ndarray:
    """Which of them have one slope: the force furthest from zero may turn over where the mean is small."""
    count, forces = len(solution.problem.conductors), solution.fine.forces
    turned = np.abs(forces.mean) < 0.1 * np.abs(forces.swing) if solution.frequency else 0 * forces.mean > 0
    return np.array([True] * (3 + count) + [not turned[k, way] for way in (1, 0) for k in range(count)])


def found(slope: Slope) -> tuple[np.ndarray, np.ndarray]:
    own = slope.own
    assert own is not None
    out = own.outward
    assert out is not None
    values = np.array([slope.resistance[0], slope.inductance[0], slope.loss, *own.losses, *own.forces, *out.forces])
    errors = [slope.resistance_error[0], slope.inductance_error[0], slope.loss_error, *own.losses_error]
    return values, np.array([*errors, *own.forces_error, *out.forces_error])


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
            return figures(solve(make(), where, accuracy=TIGHT))
        return figures(solve(make(**{key: where}), frequency, accuracy=TIGHT))

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


USUAL = [("ring", 0.036), ("frequency", 1e3)]
OTHERS = [("wall", 0.0015), ("along", 0.01), ("billet", 0.03), ("radius", 0.046), ("sigma", 1.0), ("long", 0.08)]
FURTHER = OTHERS if MANY else []


@pytest.mark.parametrize(("frequency", "ball", "mu", "keys"), [
    (1e3, False, 1.0, USUAL + FURTHER),
    (5e4, False, 1.0, [("radius", 0.046), *([("billet", 0.03), ("pitch", 0.015)] if MANY else [])]),
    (1e3, True, 50.0, [("mu", 50.0), *([("billet", 0.03), ("along", 0.01)] if MANY else [])]),
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
        told = np.isfinite(own) & felt(solution)
        assert told.sum() > len(own) - 5  # the billet has no outward force
        unseen = np.where(np.arange(len(own)) < 7, 1e-9 * size[:7].max(), 1e-6 * size)
        assert (np.abs(own - wanted) <= 1e-3 * np.abs(wanted) + unseen)[told].all(), key
        assert (np.abs(own - wanted) <= bars + 1e-6 * size)[told].all(), key


def test_forces_at_rest_are_slopes_of_the_energy() -> None:
    """F = I^2 / 2 dL / dz of a turn that shifts along the axis, and each force gains by the other's shift alike."""
    def make(low: float = 0.0, high: float = 0.015, out: float = 0.05) -> Problem:
        turns = rod("low", 0.008, out, low), rod("high", 0.008, 0.04, high), rod("top", 0.006, 0.045, 0.04)
        return Problem(turns, (Circuit("coil", 100.0, ("low", "high", "top"), (), "series"),), axial=True)

    solution = solve(make(), 0.0, accuracy=1e-5)
    changes = [Change(key, make(**{key: value + 1e-9}), 1e-9) for key, value in (("low", 0.0), ("high", 0.015))]
    lower, higher = slopes(solution, changes, each=True)
    force = solution.fine.force[:, 1]
    for slope, k in ((lower, 0), (higher, 1)):
        assert 0.5 * 100.0**2 * slope.inductance[0] == pytest.approx(force[k], rel=1e-5)
    assert lower.own is not None
    assert higher.own is not None
    crossed = [np.sign(force[k]) * slope.own.forces[k] for slope, k in ((lower, 1), (higher, 0))]  # type: ignore[union-attr]
    assert crossed[0] == pytest.approx(crossed[1], rel=1e-5)


def test_turns_together_are_pushed_as_the_piece_pushes_them() -> None:
    """The slope of their peak force is that of the piece's, at every instant its opposite: action and reaction."""
    def make(along: float = 0.012) -> Problem:
        turns, piece = (rod("low", 0.006, 0.05), rod("high", 0.006, 0.045, 0.01)), rod("ball", 0.05, 0.0, along)
        return Problem((*turns, piece), (Circuit("coil", 100.0, ("low", "high"), (), "series"),), axial=True)

    solution = solve(make(), 2e3, accuracy=1e-4)
    (slope,) = slopes(solution, [Change("along", make(0.012 + 1e-9), 1e-9)], each=True, together=(0, 1))
    assert slope.own is not None
    both, bar = slope.own.forces, slope.own.forces_error
    assert both[:2].sum() == pytest.approx(both[2], rel=2e-4)
    assert abs(both[:2].sum() - both[2]) <= bar.sum()


def test_the_outward_force_of_a_ring_at_rest_is_the_slope_of_the_energy() -> None:
    """F_r = I^2 / 2 dL / da of one that widens with its section kept, and so its own slope is that of this slope."""
    # L = mu0 a (ln(8 a / rho) - 2 + Y): even density over a thin wire, Y = 1/4 (Maxwell; E. B. Rosa and F. W. Grover,
    # Bull. Bur. Stand. 8, 1912); corrections go with (rho / a)^2, here 1e-4
    a, rho = 0.05, 5e-4

    def make(radius: float = a) -> Problem:
        return Problem((rod("turn", 2 * rho, radius),), (Circuit("c", 100.0, ("turn",)),), axial=True)

    (slope,) = slopes(solve(make(), 0.0, accuracy=1e-5), [change(make, radius=a)], each=True)
    assert slope.own is not None
    assert slope.own.outward is not None
    half = 0.5 * 100.0**2 * MU0
    assert slope.own.outward.peaks[0] == pytest.approx(half * (math.log(8 * a / rho) - 0.75), rel=1e-3)
    assert slope.own.outward.forces[0] == pytest.approx(half / a, rel=1e-2)
