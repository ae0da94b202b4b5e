"""Slopes against closed forms, laws that hold for every section, the force, and differences of tight solves."""

import os
import pickle
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from common import COPPER, MU0, SIGMA, TURN, bar, conductor, frequency_for, metal, pair, rod

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape
from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.beams import courses
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.slopes import Slope, slopes
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

HAIR = 1e-6
IRON, NICKEL, TIN = metal(5e6, 200.0), metal(14e6, 100.0), metal(8e6)
Maker = Callable[..., Problem]


def figures(solution: Solution) -> np.ndarray:
    """R and L of the first circuit, the whole loss, that of every conductor, and the peak force on each."""
    circuit, losses = solution.problem.circuits[0], solution.fine.powers.real
    resistance = (solution.fine.circuit(circuit) / circuit.current).real
    return np.array([resistance, solution.fine.inductance(circuit), losses.sum(), *losses, *largest(solution)])


def largest(solution: Solution) -> np.ndarray:
    """Of the force through a cycle, between the instants by a parabola."""
    rows = []
    for course in courses(solution.fine):
        square = (course**2).sum(axis=1)
        k = int(square[1:-1].argmax()) + 1 if len(square) > 1 else 0
        fall = 0.0 if len(square) == 1 else square[k - 1] - 2 * square[k] + square[k + 1]
        rows.append(np.sqrt(square[k] - ((square[k + 1] - square[k - 1]) ** 2 / (8 * fall) if fall else 0.0)))
    return np.array(rows)


def found(slope: Slope) -> tuple[np.ndarray, np.ndarray]:
    """Slopes of `figures` and their bars."""
    own = slope.own
    values = np.array([slope.resistance[0], slope.inductance[0], slope.loss, *own.losses, *own.forces])
    errors = [slope.resistance_error[0], slope.inductance_error[0], slope.loss_error, *own.losses_error]
    return values, np.array([*errors, *own.forces_error])


def facing(width=0.04, thickness=0.005, gap=0.003, aside=0.01, radius=0.0, of=COPPER, coats=(), sigma=1.0) -> Problem:
    shape, of = shapes.bar(width, thickness, radius), replace(of, conductivity=sigma * of.conductivity)
    down = thickness + gap + 2 * sum(t for _, t in coats)
    return pair(conductor("a", shape, (0, 0), of, coats), conductor("b", shape, (aside, -down), of, coats))


def plated(width=0.04, thickness=0.005, coat=2e-5, outer=5e-6) -> Problem:
    return facing(width, thickness, coats=((NICKEL, coat), (TIN, outer)))


def tubes(diameter=0.02, wall=0.0015, pitch=0.03, coat=3e-5, bore=2e-5) -> Problem:
    def one(name: str, x: float) -> Conductor:
        part = Part(name, shapes.tube(diameter, wall).placed((x, 0.0)), (coat,), (bore,))
        return Conductor(part, COPPER, coats=(TIN,), bore_coats=(NICKEL,))

    return pair(one("a", 0.0), one("b", pitch))


def clad(width=0.03, thickness=0.004, over=0.002) -> Problem:
    def one(name: str, y: float) -> Conductor:
        piece = shapes.bar(width, over).placed((0, y + 0.5 * (thickness + over)))
        return Conductor(Part(name, shapes.bar(width, thickness).placed((0, y)), pieces=(piece,)), COPPER,
                         pieces=(IRON,))  # fmt: skip

    return pair(one("a", 0.0), one("b", thickness + over + 0.005))


def askew(width=0.03, thickness=0.004, radius=5e-4, turn=0.3) -> Problem:
    other = Part("b", shapes.channel(width, 0.04, thickness, radius).placed((width + 0.013, 0.005), turn))
    one = Part("a", shapes.angle(width, 0.04, thickness, radius))
    return pair(Conductor(one, COPPER), Conductor(other, COPPER))


def boxes(width=0.03, thickness=0.02, wall=0.003, radius=0.002, inner=0.001) -> Problem:
    shape = shapes.box(width, thickness, wall, radius, inner)
    return pair(conductor("a", shape), conductor("b", shape, (width + 0.004, 0)))


def phases(width=0.04, gap=0.01, current=100.0, sigma=1.0) -> Problem:
    """L1 on two bars in parallel, L2 on one, L3 on two, and a plate that only heats; no two forces peak alike."""
    bars = [bar(n, width, 0.005, 0, -k * (0.005 + gap)) for k, n in enumerate(("A", "A2", "B", "C", "C2", "plate"))]
    bars[2] = replace(bars[2], material=metal(sigma * SIGMA))
    circuits = (("L1", current, ("A", "A2")), ("L2", 95 * TURN, ("B",)), ("L3", -100 - 95 * TURN, ("C", "C2")))
    return Problem(tuple(bars), tuple(Circuit(*row) for row in circuits))


def rough(width=0.04, height=3e-6, temperature=60.0) -> Problem:
    of = Material("rough", SIGMA, temperature_coefficient=0.004)
    one = bar("a", width, 0.005, material=of), bar("b", width, 0.005, y=-0.008, material=of)
    return pair(*(replace(c, roughness=height, temperature=temperature) for c in one))


def free(size=0.03, cut=0.01, hole=0.008, mu=50.0) -> Problem:
    """An outline of lines and arcs with a hole and magnetic plating, beside a bar."""
    outer = Outline.of([(0, 0), (size, 0), (size, 0.5 * size), (cut, 0.7 * size), (0, 0.7 * size)], [0, 0, -0.2, 0, 0])
    inner = shapes.round_bar(hole).placed((0.3 * size, 0.3 * size)).outer
    part = Part("a", Shape(outer, (inner,)), (1e-4,))
    return pair(Conductor(part, COPPER, coats=(metal(14e6, mu),)), bar("b", 0.03, 0.004, y=-0.006, x=0.01))


def thick(width=0.04, thickness=0.02, gap=0.005, radius=0.0) -> Problem:
    return facing(width, thickness, gap, 0.0, radius)


def iron(width=0.04, thickness=0.005, gap=0.003, sigma=1.0, mu=200.0) -> Problem:
    return facing(width, thickness, gap, of=metal(5e6, mu), sigma=sigma)


def rods_of_iron(diameter=0.02) -> Problem:
    return pair(rod("a", diameter, material=IRON), rod("b", diameter, 0.03, material=IRON))


THIN = frequency_for(0.02 / 1000)
FEW: list[tuple[Maker, float, dict[str, float]]] = [(tubes, 1e3, {"wall": 0.0015}), (phases, 0.0, {"sigma": 1.0}),
                                                        (phases, 50.0, {"gap": 0.01})]  # fmt: skip
MANY: list[tuple[Maker, float, dict[str, float]]] = [
    *((facing, f, {"width": 0.04, "thickness": 0.005, "gap": 0.003, "aside": 0.01, "sigma": 1.0})
      for f in (0.0, 50.0, 5e3, 85e3)),
    *((iron, f, {"width": 0.04, "thickness": 0.005, "gap": 0.003, "sigma": 1.0, "mu": 200.0}) for f in (50.0, 1e3)),
    *((plated, f, {"width": 0.04, "thickness": 0.005, "coat": 2e-5, "outer": 5e-6}) for f in (1e5, 1e6)),
    *((tubes, f, {"diameter": 0.02, "wall": 0.0015, "pitch": 0.03, "coat": 3e-5, "bore": 2e-5})
      for f in (0.0, 1e3, 2e4)),
    *((clad, f, {"width": 0.03, "thickness": 0.004, "over": 0.002}) for f in (0.0, 50.0, 5e3)),
    (askew, 2e3, {"width": 0.03, "thickness": 0.004, "radius": 5e-4, "turn": 0.3}),
    (boxes, 3e3, {"width": 0.03, "thickness": 0.02, "wall": 0.003, "radius": 0.002, "inner": 0.001}),
    *((phases, f, {"width": 0.04, "gap": 0.01, "current": 100.0, "sigma": 1.0}) for f in (0.0, 50.0, 2e3)),
    (free, 2e3, {"size": 0.03, "cut": 0.01, "hole": 0.008, "mu": 50.0}),
    (rough, 1e6, {"width": 0.04, "height": 3e-6, "temperature": 60.0}),
    (thick, THIN, {"width": 0.04, "thickness": 0.02, "gap": 0.005}),
    (lambda **k: thick(**{"radius": 0.002, **k}), THIN, {"width": 0.04, "radius": 0.002}),
]  # fmt: skip


@pytest.mark.parametrize("row", MANY if os.environ.get("CROSSCURRENT_EXAMPLES") else FEW)
def test_slopes_are_the_differences_of_tight_solves(row):
    make, frequency, keys = row
    solution = solve(make(**keys), frequency, accuracy=1e-5)
    changes = [Change(k, make(**{**keys, k: v * (1 + HAIR)}), HAIR * v) for k, v in keys.items()]
    tight = 1e-7 if make is clad else 1e-6  # the stress beside corners of iron settles late
    for slope, (key, value) in zip(slopes(solution, changes, each=True), keys.items(), strict=True):
        near = [figures(solve(make(**{**keys, key: value * (1 + 0.01 * n)}), frequency, accuracy=tight))
                for n in (-2, -1, 1, 2)]  # fmt: skip
        wanted = (8 * (near[2] - near[1]) - (near[3] - near[0])) / (0.12 * value)
        got, bar = found(slope)
        unseen = 5e-6 * np.abs(figures(solution)) / value  # what solves to 1e-6 can tell
        told = np.isfinite(got)  # no force that does not stand out from its bar
        assert told[: -len(solution.problem.conductors)].all()
        assert told.sum() > 3 + len(solution.problem.conductors), "no force at all"
        assert (np.abs(got - wanted) <= bar + unseen)[told].all(), key
        assert (np.abs(got - wanted) <= 1e-3 * np.abs(wanted) + unseen)[told].all(), key


def scaled(problem: Problem, factor: float) -> Problem:
    """All lengths times a factor."""

    def outline(o):
        return replace(o, points=factor * o.points)

    def shape(s):
        return replace(s, outer=outline(s.outer), holes=tuple(map(outline, s.holes)))

    def part(p):
        coats, bore_coats = (tuple(factor * t for t in layers) for layers in (p.coats, p.bore_coats))
        return replace(p, shape=shape(p.shape), coats=coats, bore_coats=bore_coats, pieces=tuple(map(shape, p.pieces)))

    return replace(problem, conductors=tuple(replace(c, part=part(c.part)) for c in problem.conductors))


def poorer(problem: Problem, factor: float) -> Problem:
    """All conductivities times a factor."""

    def of(metals):
        return tuple(replace(m, conductivity=factor * m.conductivity) for m in metals)

    return replace(problem, conductors=tuple(
        replace(c, material=of([c.material])[0], coats=of(c.coats), bore_coats=of(c.bore_coats), pieces=of(c.pieces))
        for c in problem.conductors
    ))  # fmt: skip


@pytest.mark.parametrize(("make", "frequency"), [(facing, 0.0), (tubes, 1e3), (rods_of_iron, 50.0), (boxes, 3e3)])
def test_similarity_of_scale_conductivity_and_frequency(make, frequency):
    """Z depends on scale, conductivity and frequency through w mu sigma size^2 alone, apart from 1 / (sigma size^2)."""
    problem, step = make(), HAIR
    solution = solve(problem, frequency, accuracy=3e-6)
    resistance, inductance = figures(solution)[:2]
    size, sigma, faster = slopes(solution, [
        Change("scale", scaled(problem, 1 + step), step), Change("sigma", poorer(problem, 1 + step), step),
        Change("frequency", problem, step, step * frequency),
    ])  # fmt: skip
    assert abs(size.resistance[0] - 2 * sigma.resistance[0]) < 1e-7 * resistance
    assert abs(size.inductance[0] - 2 * sigma.inductance[0]) < 1e-7 * inductance
    assert abs(faster.resistance[0] - sigma.resistance[0] - resistance) < 1e-8 * resistance
    assert abs(faster.inductance[0] - sigma.inductance[0]) < 1e-8 * inductance


@pytest.mark.parametrize(("make", "frequency"), [(facing, 0.0), (facing, 1e3), (clad, 50.0)])
def test_force_is_half_the_slope_of_inductance_over_a_shift(make, frequency):
    """F = I^2 d(L + R / (j w)) / 2 is the swing at twice the frequency; at rest the mean as well."""
    problem, step = make(), np.array([0.0, 1e-9])
    a, b = problem.conductors
    part = replace(b.part, shape=b.part.shape.placed(step), pieces=tuple(p.placed(step) for p in b.part.pieces))
    solution = solve(problem, frequency, accuracy=1e-5)
    (slope,) = slopes(solution, [Change("y", replace(problem, conductors=(a, replace(b, part=part))), 1e-9)])
    omega = 2 * np.pi * frequency
    half = 0.5 * (slope.inductance[0] + (slope.resistance[0] / (1j * omega) if frequency else 0.0))
    assert abs(solution.fine.forces.swing[1, 1] - half) < 1e-5 * abs(half)
    if not frequency:
        assert solution.fine.force[1, 1] == pytest.approx(half, rel=1e-5)


def test_round_pair_far_apart_at_rest():
    """L = mu0 / pi (ln(pitch / radius) + 1/4), R = 2 / (sigma pi radius^2)."""
    radius, pitch = 0.005, 0.06

    def make(r: float, d: float) -> Problem:
        return pair(rod("a", 2 * r), rod("b", 2 * r, d))

    solution = solve(make(radius, pitch), 0.0)
    thicker, wider = slopes(solution, [
        Change("radius", make(radius + 1e-9, pitch), 1e-9), Change("pitch", make(radius, pitch + 1e-9), 1e-9),
    ])  # fmt: skip
    assert thicker.resistance[0] == pytest.approx(-4 / (SIGMA * np.pi * radius**3), rel=1e-6)
    assert thicker.inductance[0] == pytest.approx(-MU0 / np.pi / radius, rel=1e-6)
    assert wider.inductance[0] == pytest.approx(MU0 / np.pi / pitch, rel=1e-6)
    assert abs(wider.resistance[0]) <= wider.resistance_error[0]


def test_slopes_in_a_sweep_are_those_of_single_solves():
    keys = {"width": 0.04, "gap": 0.003, "sigma": 1.0}
    changes = [Change(k, facing(**{**keys, k: v * (1 + HAIR)}), HAIR * v) for k, v in keys.items()]
    frequencies = [0.0, 50.0, 2e3]
    band = sweep(facing(**keys), frequencies)
    for f in frequencies:
        swept, single = (slopes(s, changes, each=True) for s in (band.solution_at(f), solve(facing(**keys), f)))
        for one, other in zip(swept, single, strict=True):
            (values, bars), (expected, others) = found(one), found(other)
            assert (np.abs(values - expected) <= bars + others + 1e-15).all(), (f, one.key)


def test_circuits_without_current_have_no_slope():
    problem = pair(bar("a", 0.02, 0.005), bar("b", 0.02, 0.005, y=-0.01), 0.0)
    (slope,) = slopes(solve(problem, 50.0), [Change("nothing", problem, 1.0)])
    assert np.isnan(slope.resistance[0])
    assert np.isnan(slope.inductance[0])
    assert slope.loss == 0


def test_kept_factors_give_the_same_and_can_be_let_go():
    changes = [Change("width", facing(width=0.04 + 4e-8), 4e-8)]
    kept, plain = (solve(facing(), 50.0, keep=which) for which in (True, False))
    assert (kept.keeps, plain.keeps) == (True, False)
    (one,), (other,) = (slopes(s, changes, each=True) for s in (kept, plain))
    np.testing.assert_allclose(one.own.losses, other.own.losses, rtol=1e-9)
    np.testing.assert_allclose(one.own.forces, other.own.forces, rtol=1e-9)
    assert not pickle.loads(pickle.dumps(kept)).keeps
    kept.forget()
    assert not kept.keeps
