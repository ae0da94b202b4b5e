"""Where power arises in a piece that a coil heats, against the round bar in a field along it."""

from __future__ import annotations

import numpy as np
import pytest
from axial_scenes import axial_scene, coil_round_a_billet, turns
from scipy.special import jv

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.answers.pieces import piece_profile, pieces
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS


def test_all_power_is_found_along_and_below() -> None:
    scene = coil_round_a_billet()
    assert pieces(scene.flow.problem) == [0]
    found = piece_profile(scene.flow, 0)
    assert found.power == pytest.approx(scene.answers.conductors["billet"].loss, rel=1e-6)
    step = found.place[1] - found.place[0]
    assert found.per_length.sum() * step == pytest.approx(found.power, rel=1e-12)
    assert found.along == "z"
    assert found.place[[0, -1]].tolist() == pytest.approx([-0.025 + step / 2, 0.025 - step / 2])
    np.testing.assert_allclose(found.per_length, found.per_length[::-1], rtol=0.02)
    assert np.diff(found.share).min() >= 0
    assert found.share[-1] == 1
    assert found.mean < found.largest


def test_depths_in_a_long_billet_are_those_of_its_bessel_function() -> None:
    """|J| in a round bar in a field along it goes as |J1(k r)|, k^2 = -j w mu sigma (Simpson, Induction heating)."""
    radius, frequency = 0.01, 2e3
    coil = turns(24, 0.02, 0.01, bar(0.004, 0.008))
    billet = Conductor(Part("billet", bar(2 * radius, 0.16)), MATERIALS["copper"])
    circuit = Circuit("coil", 100.0, tuple(c.name for c in coil), (), "series")
    scene = axial_scene(Problem((billet, *coil), (circuit,), axial=True), frequency)
    found = piece_profile(scene.flow, 0)
    r = np.linspace(0, radius, 4001)
    density = np.abs(jv(1, np.sqrt(-2j * np.pi * frequency * MU0 * 58e6) * r)) ** 2 * r
    above = np.cumsum(density[::-1]) / density.sum()
    for share in (0.632, 0.865):
        exact = radius - r[::-1][np.searchsorted(above, share)]
        assert found.depth_of(share) == pytest.approx(exact, rel=0.02)  # its ends are in it


def test_a_plate_is_told_along_its_radius() -> None:
    plate = Conductor(Part("plate", bar(0.08, 0.004).placed((0.0, -0.008))), MATERIALS["copper"])
    turn = turns(1, 0.02, 0.0, bar(0.004, 0.004))
    problem = Problem((plate, *turn), (Circuit("coil", 10.0, ("turn.1",)),), axial=True)
    found = piece_profile(axial_scene(problem, 5e3).flow, 0)
    assert found.along == "r"
    assert found.place[int(found.per_length.argmax())] == pytest.approx(0.02, abs=0.003)  # under the turn


def test_no_conductor_of_a_straight_run_is_a_piece() -> None:
    shapes = {name: bar(0.01, 0.01).placed((x, 0.0)) for name, x in (("a", 0.0), ("b", 1.0))}
    rods = tuple(Conductor(Part(name, shape), MATERIALS["copper"]) for name, shape in shapes.items())
    assert pieces(Problem(rods, (Circuit("feed", 1.0, ("a",)),))) == []
