"""The field around conductors against filaments and exact solutions."""

from __future__ import annotations

import math

import common
import numpy as np
import pytest
from common import rod
from scipy.special import ellipe, ellipk, jve

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.pictures.outer_field import outer_field
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.survey import Reading, Survey
from crosscurrent.solver.metals.materials import MATERIALS, Material

COPPER = MATERIALS["copper"]


def pair(distance: float, diameter: float, frequency: float) -> Solution:
    made = (rod(n, diameter, x, material=COPPER) for n, x in (("a", -distance / 2), ("b", distance / 2)))
    return solve(common.pair(*made, 1000.0, "feed"), frequency)


@pytest.fixture(scope="module")
def far_pair() -> Solution:
    return pair(0.2, 0.01, 1.0)


def readings(solution: Solution, points: np.ndarray) -> tuple[Reading, ...]:
    return Survey(solution).readings(points)


def reach(solution: Solution, level: float) -> float:
    return Survey(solution).reach(level).distance


def filaments(points: np.ndarray, distance: float, current: float) -> np.ndarray:
    """Biot and Savart: two opposite line currents."""
    total = np.zeros((len(points), 2))
    for x, i in ((-distance / 2, current), (distance / 2, -current)):
        d = points - [x, 0.0]
        total += 2e-7 * i * np.column_stack((-d[:, 1], d[:, 0])) / (d**2).sum(axis=1)[:, None]
    return np.hypot(*total.T)


def test_go_and_return_wires_against_line_currents(far_pair: Solution) -> None:
    """At 1 Hz the wires are evenly filled, and a round wire's field outside is that of a line current."""
    points = np.array([[0.0, 0.02], [0.0, 0.5], [0.13, 0.01], [0.6, -0.3], [5.0, 5.0], [-0.1, 0.04]])
    found = readings(far_pair, points)
    exact = filaments(points, 0.2, 1000.0)
    np.testing.assert_allclose([r.strength for r in found], exact, rtol=2e-3)
    assert all(abs(r.strength - b) <= r.error + 1e-6 * b for r, b in zip(found, exact, strict=True))


def test_far_away_it_falls_with_the_square(far_pair: Solution) -> None:
    """mu0 I D / (2 pi r^2): 4 uT for 1000 A, 20 mm apart, at 1 m; here 200 mm, so ten times that at a long distance."""
    near, far = (r.strength for r in readings(far_pair, np.array([[0.0, 10.0], [0.0, 20.0]])))
    assert near == pytest.approx(2e-7 * 1000 * 0.2 / 100, rel=1e-3)
    assert near / far == pytest.approx(4, rel=1e-3)


def test_outside_a_coaxial_line_there_is_none() -> None:
    parts = (Part("core", round_bar(0.01)), Part("sheath", tube(0.03, 0.002)))
    line = Problem(tuple(Conductor(p, COPPER) for p in parts), (Circuit("line", 100.0, ("core",), ("sheath",)),))
    solution = solve(line, 50.0)
    places = np.array([[0.0, 0.009], [0.016, 0.0], [0.5, 0.0]])
    found = readings(solution, places)
    inside, outside, beyond = (r.strength for r in found)
    assert abs(inside - 2e-7 * 100 / 0.009) <= found[0].error < 1.2e-2 * inside
    assert outside < 1e-5 * inside
    assert beyond < 1e-7 * inside


def test_inside_a_curved_element_too() -> None:
    """Close to the surface of a wire, mu0 I / (2 pi r) outside and mu0 I r / (2 pi a^2) inside at direct current."""
    probe = Probe(solve(common.alone(rod("rod", 0.02, material=COPPER), 100.0), 0.0).fine)
    angle = np.linspace(0, 2 * np.pi, 37)[:-1]
    for radius, exact in ((0.0101, 2e-7 * 100 / 0.0101), (0.0099, 2e-7 * 100 * 0.0099 / 0.01**2), (0.02, 1e-3)):
        ring = radius * np.column_stack((np.cos(angle), np.sin(angle)))
        np.testing.assert_allclose(probe.strength(ring), exact, rtol=2e-4)


def test_reach_of_a_single_wire() -> None:
    """mu0 I / (2 pi r) = 200 uT at r = 1 m for 1000 A; measured from the surface of a 20 mm wire."""
    alone = solve(common.alone(rod("rod", 0.02, material=COPPER), 1000.0), 50.0)
    assert reach(alone, 200e-6) == pytest.approx(0.99, rel=1e-6)
    assert reach(alone, 1.0) == 0.0


def test_reach_of_a_pair(far_pair: Solution) -> None:
    """Where the two line currents give 100 uT on the line through both wires: x = sqrt(d^2/4 + 2e-7 I d / B)."""
    x = math.sqrt(0.1**2 + 2e-7 * 1000 * 0.2 / 100e-6)
    distance = reach(far_pair, 100e-6)
    # on the axis across, 2e-7 I d / (y^2 + d^2/4) reaches further from the nearest wire
    y = math.sqrt(2e-7 * 1000 * 0.2 / 100e-6 - 0.1**2)
    assert distance == pytest.approx(max(x - 0.1, math.hypot(y, 0.1)) - 0.005, rel=2e-3)


def test_reach_between_wires_counts() -> None:
    """Two wires 2 m apart and an idle one that shifts the middle: the level's furthest place lies between the wires."""
    parts = [Part(n, round_bar(0.01).placed((x, 0))) for n, x in (("a", -1.0), ("idle", -0.5), ("b", 1.0))]
    problem = Problem(tuple(Conductor(p, COPPER) for p in parts), (Circuit("feed", 500.0, ("a",), ("b",)),))
    x, y = np.meshgrid(np.linspace(-3, 3, 600), np.linspace(-3, 3, 601))
    grid = np.column_stack((x.ravel(), y.ravel()))
    distance = np.min([np.hypot(grid[:, 0] - at, grid[:, 1]) for at in (-1, 1)], axis=0) - 0.005
    expected = distance[filaments(grid, 2.0, 500.0) >= 220e-6].max()
    assert reach(solve(problem, 1.0), 220e-6) == pytest.approx(expected, rel=0.02)


def test_a_level_met_only_in_a_narrow_gap_is_found() -> None:
    """0.1 mm between plates: mu0 I / w is there, half a gap from either, and no more than that anywhere else."""
    places = (("a", (0.0, 0.0)), ("b", (0.0, 0.0051)), ("idle", (0.0, 0.03)))
    plates = tuple(Conductor(Part(n, bar(0.06, 0.005).placed(at)), COPPER) for n, at in places)
    solution = solve(Problem(plates, (Circuit("feed", 100.0, ("a",), ("b",)),)), 50.0)
    assert 4e-5 < reach(solution, 0.85 * 4e-7 * math.pi * 100 / 0.06) < 4e-4
    assert reach(solution, 1.0) == 0.0


def coax(*circuits: Circuit) -> Solution:
    parts = (Part("core", round_bar(0.01)), Part("sheath", tube(0.1, 0.003)))
    return solve(Problem(tuple(Conductor(p, COPPER) for p in parts), circuits), 5e3, accuracy=1e-5)


def test_what_a_coaxial_pair_has_inside_does_not_count() -> None:
    """By Ampere's law there is 2e-7 I / r between core and sheath and nothing outside."""
    level = 2e-7 * 100 / 0.04
    line = coax(Circuit("line", 100.0, ("core",), ("sheath",)))
    assert readings(line, np.array([[0.03, 0.0]]))[0].strength > level
    assert reach(line, level) == 0.0


def test_around_a_coaxial_pair_distances_count_from_the_sheath() -> None:
    """40 of 100 A do not return: 2e-7 * 40 / r outside, so the level at r = 55 mm is met 5 mm from the sheath."""
    line = coax(Circuit("core", 100.0, ("core",)), Circuit("sheath", -60.0, ("sheath",)))
    assert reach(line, 2e-7 * 40 / 0.055) == pytest.approx(0.005, rel=1e-4)


def test_a_level_that_is_not_reached_around_outlines_of_unlike_numbers_of_points() -> None:
    """A round one of 2 points, a rounded bar of 8; 1 A at 1 mm would be 0.2 mT."""
    parts = (Part("wire", round_bar(0.01)), Part("bar", bar(0.02, 0.01, 0.002).placed((0.05, 0.0))))
    problem = Problem(tuple(Conductor(p, COPPER) for p in parts), (Circuit("feed", 1.0, ("wire",), ("bar",)),))
    assert reach(solve(problem, 50.0), 1e-2) == 0.0


def test_what_a_return_in_one_conductor_would_change() -> None:
    """Two line currents: 100 A on the axis and its return twice as far from the place, in the worst direction."""
    found = Survey(solve(common.alone(rod("rod", 0.01, material=COPPER), 100.0), 50.0))
    assert found.missing_current == pytest.approx(100.0)
    place = np.array([0.0, 1.5])
    own = 2e-7 * 100 / 1.5 * np.array([-1.0, 0.0])
    changes = []
    for angle in np.linspace(0, 2 * np.pi, 721):
        arm = 3.0 * np.array([np.cos(angle), np.sin(angle)])  # from the return to the place
        other = -2e-7 * 100 / 9.0 * np.array([-arm[1], arm[0]])
        changes.append(abs(np.hypot(*(own + other)) - np.hypot(*own)))
    assert found.return_effects(place[None])[0] == pytest.approx(max(changes), rel=1e-3)
    assert Survey(pair(0.05, 0.01, 50.0)).missing_current == 0.0


def around(solution: Solution, count: int) -> np.ndarray:
    """Places in elements of all kinds, and far beyond the outer circle."""
    mesh, rng = solution.fine.discretisation.mesh, np.random.default_rng(6)
    k = rng.integers(0, len(mesh.triangles), count)
    within = np.einsum("nk,nkd->nd", rng.dirichlet((1, 1, 1), count), mesh.points[mesh.triangles[k]])
    angle, radius = 2 * np.pi * rng.random(count // 4), mesh.radius * np.exp(2 * rng.random(count // 4))
    return np.concatenate((within, mesh.centre + np.column_stack((radius * np.cos(angle), radius * np.sin(angle)))))


def test_bars_hold_everywhere_around_a_pair(far_pair: Solution) -> None:
    """Evenly filled wires: line currents outside, the field of a disc within, mu0 I r / (2 pi a^2)."""
    points = around(far_pair, 4000)
    exact = np.zeros_like(points)
    for x, i in ((-0.1, 1000.0), (0.1, -1000.0)):
        d = points - [x, 0.0]
        square = np.maximum((d**2).sum(axis=1), 0.005**2)[:, None]
        exact += 2e-7 * i * np.column_stack((-d[:, 1], d[:, 0])) / square
    found = readings(far_pair, points)
    error = np.array([r.error for r in found])
    off = np.abs([r.strength for r in found] - np.hypot(*exact.T))
    assert (off > error).mean() < 1e-3
    inside = np.hypot(*points.T) < far_pair.fine.discretisation.mesh.radius
    assert np.median((error / np.maximum(off, 1e-12))[inside]) < 60


def test_thin_curved_layers_and_the_dark_core() -> None:
    """A wire 76 skins thick: mu0 I / (2 pi a) |J1(k r) / J1(k a)| within, 0 to all digits in the middle."""
    radius, frequency = 0.005, 1e6
    rod = Conductor(Part("rod", round_bar(2 * radius)), COPPER)
    solution = solve(Problem((rod,), (Circuit("feed", 100.0, ("rod",)),)), frequency)
    skin = COPPER.skin_depth(frequency, rod.temperature)
    depth = skin * np.array([-2.0, -0.1, 1e-4, 0.02, 0.3, 1.0, 3.0, 6.0, 9.0, 10.0, 20.0, 75.0])
    r = np.repeat(radius - depth, 60)
    angle = np.tile(np.linspace(0.0, 2 * np.pi, 61)[1:] + 0.01, len(depth))
    k = (1 - 1j) / skin
    fall = np.abs(jve(1, k * r) / jve(1, k * radius)) * np.exp((r - radius) / skin)
    exact = np.where(r > radius, 2e-7 * 100 / r, 2e-7 * 100 / radius * fall)
    found = readings(solution, np.column_stack((r * np.cos(angle), r * np.sin(angle))))
    strength, error = np.array([r.strength for r in found]), np.array([r.error for r in found])
    assert (np.abs(strength - exact) <= error).all()
    shallow, deep = np.repeat(depth < 2 * skin, 60), np.repeat(depth > 9.6 * skin, 60)
    assert (error < 0.1 * exact)[shallow].all()
    assert (error > 0).all()
    assert (strength + error < 1e-3 * exact.max())[deep].all()
    assert (strength + error)[-60:].max() < 1e-20


def test_on_magnetic_metal_it_is_the_air_that_is_read() -> None:
    """A tube around a wire at rest: mu0 I / (2 pi r) in the air, mu_r times as much in the metal."""
    steel = Material("steel", 6e6, permeability=500.0)
    parts = Conductor(Part("core", round_bar(0.01)), COPPER), Conductor(Part("tube", tube(0.03, 0.002)), steel)
    probe = Probe(solve(Problem(parts, (Circuit("feed", 100.0, ("core",)),)), 0.0).fine)
    angle = np.linspace(0.0, 6.0, 50)
    ring = np.column_stack((np.cos(angle), np.sin(angle)))
    np.testing.assert_allclose(probe.strength(0.015 * ring), 2e-5 / 0.015, rtol=1e-4)
    np.testing.assert_allclose(probe.strength(0.0149 * ring), 500 * 2e-5 / 0.0149, rtol=1e-4)


@pytest.mark.parametrize("level", [300e-6, 5e-3])
def test_distances_of_levels_carry_bars(far_pair: Solution, level: float) -> None:
    """B = mu0 I d / (2 pi r1 r2) around two line currents d apart: the largest r1 <= r2 with a given product."""
    near = np.linspace(1e-4, 2, 400001)
    far = 2e-7 * 1000 * 0.2 / level / near
    real = (near <= far) & (far - near <= 0.2) & (near + far >= 0.2)
    found = Survey(far_pair).reach(level)
    assert abs(found.distance - (near[real].max() - 0.005)) <= found.error + 1e-5
    assert found.error < 0.06 * found.distance


def test_a_level_met_at_a_wall_is_said_to_be_so() -> None:
    """Far from all live metal the field is still high where flux is led into a wall of steel."""
    steel = Material("steel", 6e6, permeability=200.0)
    wall = Conductor(Part("wall", bar(0.1, 0.003).placed((0.0, -0.0305))), steel)
    live = Conductor(Part("live", round_bar(0.01)), COPPER)
    found = Survey(solve(Problem((live, wall), (Circuit("feed", 100.0, ("live",)),)), 50.0))
    assert found.reach(3.5e-3).beside is None  # mu0 I / (2 pi r) at 5.7 mm from the middle
    assert found.reach(1.0e-3).beside == "wall"  # without the wall at 20 mm


def test_far_field_on_a_refined_mesh() -> None:
    """Direct current spread evenly over bars, integrated over each; refinement divides the outer circle unevenly."""
    width, height, places = 0.01, 0.08, (-0.035, 0.035)
    bars = tuple(Conductor(Part(f"bar{k}", bar(width, height).placed((x, 0))), COPPER) for k, x in enumerate(places))
    amperes = (1000.0, -1000.0)
    feeds = tuple(Circuit(f"feed{k}", i, (f"bar{k}",)) for k, i in enumerate(amperes))
    solution = solve(Problem(bars, feeds), 0.0, accuracy=3e-8)
    mesh = solution.fine.discretisation.mesh
    angles = np.sort(np.arctan2(*(mesh.points[mesh.truncation_edges[:, 0]] - mesh.centre).T[::-1]))
    assert np.ptp(np.diff(angles)) > 0.01  # else this tests nothing
    points = np.array([[0.2, 0.1], [0.0, 0.1], [0.008, 0.1], [0.0, 0.2], [-0.1, 0.2], [3.0, -2.0]])
    outside = Probe(solution.fine).outside
    shown, _, _, drawn = outer_field(mesh, outside, 0.3, np.linspace(0, 6, 90))  # what the picture of the flux draws
    points = np.concatenate((points, shown[::499]))
    node, weight = np.polynomial.legendre.leggauss(40)
    exact = np.zeros_like(points)
    for x, i in zip(places, amperes, strict=True):
        dx, dy = points[:, 0] - x - width / 2 * node[:, None, None], points[:, 1] - height / 2 * node[:, None]
        share = 2e-7 * i * weight[:, None, None] / 2 * weight[:, None] / 2 / (dx**2 + dy**2)
        exact += np.column_stack(((-share * dy).sum(axis=(0, 1)), (share * dx).sum(axis=(0, 1))))
    found = np.hypot(*exact.T)
    np.testing.assert_allclose([r.strength for r in readings(solution, points)], found, rtol=1e-5)
    np.testing.assert_allclose(drawn[::499], found[len(points) - len(drawn[::499]) :], rtol=1e-5)


def test_a_ring_against_elliptic_integrals() -> None:
    """W. R. Smythe, Static and Dynamic Electricity, 7.10 (from memory); on the axis mu0 I a^2 / (2 (a^2 + z^2)^1.5)."""
    a, height, current = 0.05, 0.01, 100.0
    turn = Conductor(Part("turn", round_bar(2e-4).placed((a, height))), MATERIALS["copper"])
    problem = Problem((turn,), (Circuit("coil", current, ("turn",)),), axial=True)
    survey = Survey(solve(problem, 50.0))
    places = [(0.0, 0.01), (0.0, 0.05), (0.0, 0.2), (0.0, -0.5), (0.02, 0.03), (-0.02, 0.03), (0.1, 0.01), (1.0, 1.0)]
    for (r, z), found in zip(places, survey.readings(np.array(places)), strict=True):
        expected = _ring(a, abs(r), z - height, current)
        wire = 4e-6 * expected  # of a wire that is not thin: (radius / a)^2, as 1 / r over it
        assert abs(found.strength - expected) < found.error + wire
        assert found.error < 0.01 * expected
        assert found.place == (r, z)
    assert survey.missing_current == 0.0
    # the level is met furthest from the wire on the axis
    level = 27e-6
    away = math.sqrt((4e-7 * math.pi * current * a**2 / (2 * level)) ** (2 / 3))
    found = survey.reach(level)
    assert abs(found.distance - (away - 1e-4)) < found.error + 1e-6


def _ring(a: float, r: float, z: float, current: float) -> float:
    scale, near = 4e-7 * math.pi * current / (2 * math.pi), (a - r) ** 2 + z**2
    far = (a + r) ** 2 + z**2
    k, e = (f(4 * a * r / far) for f in (ellipk, ellipe))
    along = scale / math.sqrt(far) * (k + (a**2 - r**2 - z**2) / near * e)
    out = scale * z / (r * math.sqrt(far)) * (-k + (a**2 + r**2 + z**2) / near * e) if r else 0.0
    return math.hypot(along, out)
