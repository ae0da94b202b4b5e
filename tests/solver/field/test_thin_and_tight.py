"""Foils, tight gaps, very thin skins, sharp corners: sections that are thousands of times longer than thin."""

import math
import os

import numpy as np
import pytest
from common import COPPER, MU0, SIGMA, alone, conductor, frequency_for, metal, pair, resistance, rod
from invariants import check_power_and_impedance

from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve

MM = 1e-3
SILVER = metal(62.9e6)


def facing(width: float, thickness: float, gap: float) -> Problem:
    """Two sharp bars face to face, go and return."""
    middle = 0.5 * (gap + thickness)
    shape = shapes.bar(width, thickness)
    return pair(conductor("go", shape, (0, middle)), conductor("back", shape, (0, -middle)))


def one_dimension(thickness: float, gap: float, frequency: float) -> tuple[float, float]:
    """Loop resistance [ohm] and inductance [H] times the width, of wide facing plates.

    (1 / sigma t) x coth x with x = (1 + j) t / delta for each (Rayleigh 1886), and the flux in the gap.
    """
    x = (1 + 1j) * thickness * math.sqrt(math.pi * frequency * MU0 * SIGMA)
    metal_only = 2 / (SIGMA * thickness) * x / np.tanh(x)
    return metal_only.real, MU0 * gap + metal_only.imag / (2 * math.pi * frequency)


def per_width(widths, thickness, gap, frequency):
    """Resistance and inductance times width far from the edges, and the widest solve.

    1/Z = width / z + edges + (what the outer faces carry) ln width: three widths leave z alone.
    """
    solutions = [solve(facing(width, thickness, gap), frequency, accuracy=1e-5) for width in widths]
    admittances = [1 / s.fine.circuit(s.problem.circuits[0]) for s in solutions]
    terms = np.array([[w, 1.0, math.log(w)] for w in widths])
    z = 1 / np.linalg.solve(terms, np.array(admittances))[0]
    return z.real, z.imag / (2 * math.pi * frequency), solutions[-1]


@pytest.mark.parametrize("frequency", [1e3, 1e6, 1e8])
def test_foil_pair_is_one_dimensional(frequency):
    """0.1 mm x 200 mm at 0.05 mm."""
    thickness, gap = 0.1 * MM, 0.05 * MM
    r, inductance, widest = per_width((50 * MM, 100 * MM, 200 * MM), thickness, gap, frequency)
    wanted_r, wanted_l = one_dimension(thickness, gap, frequency)
    assert math.isclose(r, wanted_r, rel_tol=2e-4)
    assert math.isclose(inductance, wanted_l, rel_tol=2e-4)
    default = solve(facing(200 * MM, thickness, gap), frequency)
    assert default.fine.discretisation.elements.count <= 20_000
    assert default.bound <= 1e-3
    check_power_and_impedance(widest.fine)


@pytest.mark.parametrize("gap", [0.02 * MM, 0.5 * MM])
@pytest.mark.parametrize("frequency", [50.0, 100e3])
def test_aligned_bars_at_a_tight_gap(gap, frequency):
    """100 x 6 mm bars: each edge adds about what two gaps of width would."""
    problem = facing(100 * MM, 6 * MM, gap)
    solution = solve(problem, frequency)
    check_power_and_impedance(solution.fine)
    assert solution.fine.discretisation.elements.count <= 40_000
    wanted_r, wanted_l = one_dimension(6 * MM, gap, frequency)
    z = solution.fine.circuit(problem.circuits[0])
    fringe = (gap + 6 * MM) / (100 * MM)  # how far the edges can reach
    assert wanted_r * (1 - fringe) < z.real * 100 * MM < wanted_r * (1 + fringe)
    assert wanted_l * (1 - 2 * fringe) < solution.fine.inductance(problem.circuits[0]) * 100 * MM < wanted_l * 1.01


@pytest.mark.parametrize("frequency", [50.0, 20e3, 1e6])
@pytest.mark.parametrize(
    ("shift", "turn"), [(0.0, 0.0), (13.7 * MM, 0.0), (0.0, math.radians(1))], ids=["aligned", "shifted", "tilted"]
)
def test_bars_20_um_apart(shift, turn, frequency):
    gap = 20e-6
    lowest = 3 * MM * math.cos(turn) + 50 * MM * math.sin(turn)  # of the upper bar under its centre
    shape = shapes.bar(100 * MM, 6 * MM)
    upper = Conductor(Part("go", shape.placed((shift, gap + lowest), turn)), COPPER)
    lower = conductor("back", shape, (0, -3 * MM))
    problem = pair(upper, lower)
    solution = solve(problem, frequency)
    check_power_and_impedance(solution.fine)
    assert solution.bound <= 1e-3
    assert solution.fine.discretisation.elements.count <= 60_000
    finer = solve(problem, frequency, accuracy=max(0.1 * solution.bound, 2e-6), largest=120_000)
    assert covered(solution, finer)


def covered(solution, finer) -> bool:
    """Whether the bars of a solve reach the losses, R and L of a finer one."""
    circuit = solution.problem.circuits[0]
    ours, theirs = solution.circuit_errors(circuit), finer.circuit_errors(circuit)
    losses = np.abs((solution.fine.powers - finer.fine.powers).real) <= solution.power_errors + finer.power_errors
    r, r2 = (s.fine.circuit(circuit).real for s in (solution, finer))
    x, x2 = (s.fine.inductance(circuit) for s in (solution, finer))
    return bool(losses.all() and abs(r / r2 - 1) <= ours[0] + theirs[0] and abs(x / x2 - 1) <= ours[1] + theirs[1])


def test_stack_of_twelve():
    """Interleaved go and return at 0.1 mm: power balance, mirror symmetry, one-dimensional bounds inside."""
    gap, thickness, width, frequency = 0.1 * MM, 3 * MM, 100 * MM, 20e3
    shape = shapes.bar(width, thickness)
    pitch = gap + thickness
    bars = tuple(conductor(f"b{k}", shape, (0, (k - 5.5) * pitch)) for k in range(12))
    names = [b.name for b in bars]
    circuits = (Circuit("feed", 1.0, tuple(names[::2]), tuple(names[1::2]), "equal"),)
    solution = solve(Problem(bars, circuits), frequency)
    check_power_and_impedance(solution.fine)
    assert solution.fine.discretisation.elements.count <= 60_000
    loss, bars_on_loss = solution.fine.powers.real, solution.power_errors
    assert (np.abs(loss - loss[::-1]) <= bars_on_loss + bars_on_loss[::-1]).all()
    # 1/6 A in each bar: with half of its field on each face it would lose the least, with all on one face the most
    x = (1 + 1j) * thickness * math.sqrt(math.pi * frequency * MU0 * SIGMA)
    even, uneven = (((y / np.tanh(y)).real) / (SIGMA * thickness * width) / 36 for y in (x / 2, x))
    assert even < loss[4:8].min()
    assert loss[4:8].max() < uneven


@pytest.mark.parametrize("ratio", [1e2, 1e3, 1e4, 1e5])
def test_rod_with_a_very_thin_skin(ratio):
    """25 mm rod, depth to 1e-5 of the part: the asymptotic series of I0 / I1.

    I0(z) / I1(z) = 1 + 1/(2 z) + 3/(8 z^2) + 3/(8 z^3) + ... (McMahon's series; Abramowitz and Stegun 9.7.1).
    """
    diameter = 25 * MM
    radius, depth = diameter / 2, diameter / ratio
    z = (1 + 1j) * radius / depth
    quotient = 1 + 1 / (2 * z) + 3 / (8 * z**2) + 3 / (8 * z**3)
    exact = z / 2 * quotient / (SIGMA * math.pi * radius**2)
    found = solve(alone(rod("rod", diameter)), frequency_for(depth))
    value, bar = resistance(found)
    assert math.isclose(value, exact.real, rel_tol=2e-7)
    assert abs(value - exact.real) <= bar
    assert found.fine.discretisation.elements.count <= 6000


@pytest.mark.parametrize(
    ("degrees", "frequency"), [(90, 1e3), (30, 1e3), (10, 1e3), (60, 1e6), (15, 1e6), (10, 1e6)]
)
def test_acute_corners(degrees, frequency):
    """A wedge: the bars cover the difference to a finer solve, down to 10 degrees."""
    half = math.radians(degrees / 2)
    length = 20 * MM
    tip = shapes.outline([(0, 0), (length, -length * math.tan(half)), (length, length * math.tan(half))])
    problem = pair(conductor("wedge", tip), rod("wire", 3 * MM, -4 * MM, 1 * MM))
    solution = solve(problem, frequency)
    check_power_and_impedance(solution.fine)
    finer = solve(problem, frequency, accuracy=max(0.05 * solution.bound, 2e-6), largest=60_000)
    assert covered(solution, finer)


def clamp():
    """An outline with arcs, a concave slot and a hole."""
    points = [(-10, -6), (10, -6), (10, 6), (3, 6), (3, 2), (-3, 2), (-3, 6), (-10, 6)]
    bulges = [0.0, 0.4, 0.0, 0.0, -0.3, 0.0, 0.0, 0.4]
    hole = shapes.circle(4 * MM).moved((0, -2.5 * MM))
    return shapes.outline([(x * MM, y * MM) for x, y in points], bulges, [hole])


PLATED = {
    "angle": shapes.angle(20 * MM, 20 * MM, 3 * MM),
    "channel": shapes.channel(20 * MM, 15 * MM, 2 * MM, 0.3 * MM),
    "box": shapes.box(20 * MM, 12 * MM, 2 * MM, 1 * MM),
    "clamp": clamp(),
}


COATED = [("angle", 0.05e-6), ("channel", 10e-6), ("box", 0.2 * MM)]
MORE_COATED = [*COATED, ("clamp", 0.2 * MM), ("box", 0.05e-6)]


@pytest.mark.parametrize(("name", "thickness"), MORE_COATED if os.environ.get("CROSSCURRENT_EXAMPLES") else COATED)
def test_plated_outlines(name, thickness):
    coats = [(metal(14.3e6, 100.0), 2e-6), (SILVER, thickness)]
    part = conductor(name, PLATED[name], material=metal(15.9e6), coats=coats)
    problem = pair(part, rod("wire", 3 * MM, 22 * MM, 1 * MM))
    solution = solve(problem, 1e6)
    check_power_and_impedance(solution.fine)
    shares = solution.fine.region_currents[:3] / solution.fine.currents[0]
    assert abs(shares.sum() - 1) < 1e-8
    finer = solve(problem, 1e6, accuracy=max(0.1 * solution.bound, 2e-6), largest=100_000)
    assert covered(solution, finer)
