"""Facts of the trade (common practice, no source), by the tool's own numbers."""

import math

import numpy as np
from common import SIGMA, TURN, alone, bar, pair, resistance, rod

from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import skin_depth

THOU = 25.4e-6


def within(flow, radius, depth):
    """Shares of the integral of |J| and of the loss that lie within a depth of a rod's surface."""
    d = flow.discretisation
    places, weights = quadrature(12)
    total, shallow = np.zeros(2), np.zeros(2)
    # triangles are not cut at the depth but divided, so that the cut costs less than 3e-3
    for corner in subdivided(3):
        inside = corner[0] + places @ (corner[1:] - corner[0])
        share = abs(np.linalg.det(corner[1:] - corner[0]))
        determinant, _ = d.elements.maps(d.elements.metal, inside)
        density = np.abs(d.elements.value(flow.electric, d.elements.metal, inside))
        below = radius - np.hypot(*np.moveaxis(d.elements.positions(d.elements.metal, inside), -1, 0))
        area = determinant * weights * share
        for k, amount in enumerate((density, density**2)):
            total[k] += (area * amount).sum()
            shallow[k] += (area * amount)[below < depth].sum()
    return shallow / total


def subdivided(level):
    """The reference triangle cut into 4**level equal ones, each (3, 2)."""
    triangles = [np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])]
    for _ in range(level):
        halves = []
        for a, b, c in triangles:
            ab, bc, ca = (a + b) / 2, (b + c) / 2, (c + a) / 2
            halves += [np.array(t) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
        triangles = halves
    return triangles


def test_copper_at_100_khz_uses_about_eight_thou():
    assert abs(skin_depth(100e3, SIGMA) / THOU - 8) < 0.5


def test_rod_of_25_mm_at_100_khz():
    depth = skin_depth(100e3, SIGMA)
    flow = solve(alone(rod("rod", 25e-3)), 100e3).fine
    current, loss = within(flow, 12.5e-3, depth)
    assert abs(current - 0.63) < 0.01
    assert abs(loss - 0.86) < 0.01
    assert within(flow, 12.5e-3, 4 * depth)[0] > 0.98


def test_wide_plates_put_their_current_on_the_facing_faces():
    plates = pair(bar("upper", 0.1, 6e-3, 0.0, 3.5e-3), bar("lower", 0.1, 6e-3, 0.0, -3.5e-3))
    found = answers(solve(plates, 100e3))
    for name, facing in (("upper", "lower face"), ("lower", "upper face")):
        share = {face.name: face.current_share for face in found.conductors[name].faces}
        assert share[facing] > 0.85
        assert facing in found.conductors[name].sentence


def test_rod_of_10_mm_at_50_hz_is_evenly_filled():
    ratio = resistance(solve(alone(rod("rod", 10e-3)), 50.0))[0] * SIGMA * math.pi * 25e-6
    assert 1 < ratio < 1.01


def test_interleaving_loses_well_under_half():
    bars = tuple(bar(f"b{k}", 60e-3, 6e-3, 0.0, 9e-3 * k) for k in range(4))

    def lost(out, back):
        return solve(Problem(bars, (Circuit("feed", 1.0, out, back),)), 5e3).fine.powers.real.sum()

    assert lost(("b0", "b2"), ("b1", "b3")) < 0.45 * lost(("b0", "b1"), ("b2", "b3"))


def test_outer_phases_of_three_carry_unequal_loss():
    bars = tuple(bar(n, 60e-3, 10e-3, 0.0, 40e-3 * k) for k, n in enumerate("ABC"))
    three = Problem(bars, tuple(Circuit(n, TURN**k, (n,)) for k, n in enumerate("ABC")))
    losses = solve(three, 1e3).fine.powers.real
    assert losses.argmax() == 1
