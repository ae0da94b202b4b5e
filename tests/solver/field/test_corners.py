"""Sharp corners: bars that hold where permeability jumps, layers where the estimate asks for them and nowhere else.

What is compared with is solved on another mesh, its corners halved over and over, at order 6, which is a hundred times
nearer than what is tested. The slow gain from order to order is that of I. Babuska and M. Suri, SIAM
Review 36, 578-632, 1994.
"""

import math

import numpy as np
import pytest
from common import COPPER, alone, bar, conductor, metal, pair

from crosscurrent.geometries.meshing.bisect import bisect
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal, is_lifted
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.field.unit_fields import solve_fields

MM = 1e-3
STEEL = metal(7e6, 200.0)
SHARP = pair(bar("go", 20 * MM, 3 * MM, 0, 2 * MM), bar("back", 20 * MM, 3 * MM, 0, -2 * MM))
STEEL_BESIDE = Problem(
    (*SHARP.conductors, conductor("steel", shapes.bar(30 * MM, 4 * MM), (0, 9 * MM), STEEL)), SHARP.circuits
)
WIDE = pair(bar("go", 100 * MM, 6 * MM, 0, 3.5 * MM), bar("back", 100 * MM, 6 * MM, 0, -3.5 * MM))


def skins(problem, frequency):
    return [[m.skin_depth(frequency) if frequency else math.inf for m in c.metals] for c in problem.conductors]


def flow(problem, frequency, mesh, order):
    metals = tuple(RegionMetal(m.conductivity, m.permeability) for c in problem.conductors for m in c.metals)
    lifted = is_lifted([min(s) for s in skins(problem, frequency)], [c.part for c in problem.conductors])
    return SolvedFlow.of(problem, solve_fields(Discretisation(mesh, metals, order), frequency, lifted=lifted))


def two_orders(problem, frequency, order):
    """Orders below and at `order` on the mesher's own mesh, its corners not refined."""
    mesh = mesh_section(problem.section, skins(problem, frequency))
    coarse, fine = (flow(problem, frequency, mesh, p) for p in (order - 1, order))
    return Solution(problem, frequency, fine, coarse, 0, 1e-6)


def settled(problem, frequency):
    """The flow on a mesh with 2^-8 of its size at every corner of an outline."""
    mesh = mesh_section(problem.section, skins(problem, frequency))
    corners = np.concatenate([c.part.shape.outer.points for c in problem.conductors])
    at = np.array([np.hypot(*(mesh.points - corner).T).argmin() for corner in corners])
    for _ in range(16):
        mesh = bisect(mesh, np.isin(mesh.triangles, at).any(axis=1))
    return flow(problem, frequency, mesh, 6)


@pytest.mark.parametrize(
    ("problem", "frequency", "order"),
    [(STEEL_BESIDE, 0.0, 7), (STEEL_BESIDE, 1e3, 6), (WIDE, 5e6, 4)],
    ids=["steel at rest", "steel", "force of wide bars"],
)
def test_bars_hold_at_corners_that_gain_little_from_order(problem, frequency, order):
    found, exact = two_orders(problem, frequency, order), settled(problem, frequency)
    circuit = problem.circuits[0]
    ours, theirs = found.fine.circuit(circuit).real, exact.circuit(circuit).real
    inductance, true = found.fine.inductance(circuit), exact.inductance(circuit)
    bars = found.circuit_errors(circuit)
    assert abs(ours - theirs) <= bars[0] * ours
    assert abs(inductance - true) <= bars[1] * inductance
    assert (np.abs(found.fine.powers.real - exact.powers.real) <= found.power_errors + 1e-12 * ours).all()
    assert (np.hypot(*(found.fine.force - exact.force).T) <= found.force_errors).all()
    # and say something
    assert bars[0] < 1e-3
    assert bars[1] < 1e-3


def finest_at(mesh, corner):
    """Shortest edge at a corner [m]."""
    edges = mesh.edges[(np.hypot(*(mesh.points[mesh.edges] - corner).transpose(2, 0, 1)) < 1e-9).any(axis=1)]
    return float(np.hypot(*(mesh.points[edges[:, 0]] - mesh.points[edges[:, 1]]).T).min())


def test_layers_go_to_the_corners_that_the_current_crowds_to():
    facing, behind = np.array([10 * MM, 0.5 * MM]), np.array([10 * MM, 3.5 * MM])
    rough, fine = (solve(SHARP, 300e3, accuracy=a).fine.discretisation.mesh for a in (1e-2, 1e-6))
    assert finest_at(rough, facing) == pytest.approx(finest_at(rough, behind))
    assert finest_at(fine, facing) < 0.3 * finest_at(rough, facing)
    assert finest_at(fine, facing) < 0.7 * finest_at(fine, behind)


def test_corners_of_steel_are_graded_in_few_solves():
    found = solve(STEEL_BESIDE, 1e3, accuracy=1e-5)
    assert found.bound <= 1e-5
    assert found.refinements <= 6
    assert found.fine.discretisation.elements.count <= 40_000


def test_a_dark_corner_gets_no_layers():
    """In a box whose skin is a hundredth of its wall no current flows along the bore."""
    box = alone(conductor("box", shapes.box(20 * MM, 20 * MM, 3 * MM)))
    mesh = solve(box, 5e6).fine.discretisation.mesh
    skin = COPPER.skin_depth(5e6)
    assert finest_at(mesh, np.array([10 * MM, 10 * MM])) < 1.7 * skin
    assert finest_at(mesh, np.array([7 * MM, 7 * MM])) > 0.9 * skin


def test_thin_cores_between_deep_strips_are_meshed():
    """Sixty bars whose skin is half their thickness: the layers of their ends reach past those of their faces."""
    bars = [bar(f"b{k}", 60 * MM, 6 * MM, 70 * MM * (k % 6), 9 * MM * (k // 6)) for k in range(60)]
    section = Problem(tuple(bars), ()).section
    mesh = mesh_section(section, [[2.97 * MM]] * 60)
    assert mesh.areas()[mesh.region >= 0].sum() == pytest.approx(60 * 360e-6, rel=1e-10)


@pytest.mark.parametrize("turn", [0.393, 0.414])
def test_no_flat_triangle_where_strips_meet_on_a_mitre(turn):
    """A thin bar 20 um beside a square one whose half is two skins: their layer edges ran along one line."""
    thin = shapes.bar(2.5 * MM, 0.1 * MM).placed((0, 2 * MM), turn)
    apart = 6.8 * MM - thin.outer.bounds[0, 0]
    square = conductor("square", shapes.bar(2.5 * MM, 2.5 * MM), (5.53 * MM, 0))
    section = pair(square, conductor("thin", thin, (apart, 0.0))).section
    mesh = mesh_section(section, [[1.1756 * MM], [2.245 * MM]])
    corner = mesh.points[mesh.triangles]
    edge = np.roll(corner, -1, axis=1) - corner
    height = 2 * mesh.areas() / (edge**2).sum(axis=2).max(axis=1)
    assert height.min() > 1e-4
