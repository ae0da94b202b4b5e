"""Gaps and faces against what the drawing says."""

import math

import pytest

from crosscurrent.geometries.plane.neighbours import finished_gap, neighbouring_parts
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, box, round_bar, tube


def pairs(*parts):
    return {(f.one, f.other): f for f in neighbouring_parts(parts)}


def test_a_stack_faces_its_neighbours_only():
    foils = [Part(f"foil.{k}", bar(0.04, 1e-4).placed((0.0, 3e-4 * k))) for k in range(20)]
    found = pairs(*foils)
    assert sorted(found) == sorted((f"foil.{k}", f"foil.{k + 1}") for k in range(19))
    assert all(f.gap == pytest.approx(2e-4) and f.face == pytest.approx(0.04) for f in found.values())


def test_shifted_bars_face_over_what_they_share():
    one, other = Part("a", bar(0.1, 0.006)), Part("b", bar(0.1, 0.006).placed((0.03, 0.009)))
    assert pairs(one, other)["a", "b"].face == pytest.approx(0.07)


def test_turned_together_they_still_face():
    low = Part("a", bar(0.1, 0.006).placed((0.0, 0.0), math.radians(30)))
    high = Part("b", bar(0.1, 0.006).placed((-0.0045, 0.009 * math.cos(math.radians(30))), math.radians(30)))
    found = pairs(low, high)["a", "b"]
    assert found.gap == pytest.approx(0.003)
    assert found.face == pytest.approx(0.1)


def test_bars_edge_to_edge_and_at_an_angle_meet_at_their_corners():
    one, other = Part("a", bar(0.1, 0.006)), Part("b", bar(0.1, 0.006).placed((0.12, 0.03), math.radians(40)))
    assert pairs(one, other)["a", "b"].face == 0


def test_coats_narrow_the_gap():
    one = Part("a", bar(0.1, 0.006), (2e-6, 1e-5))
    other = Part("b", bar(0.1, 0.006).placed((0.0, 0.009)), (1e-5,))
    assert pairs(one, other)["a", "b"].gap == pytest.approx(0.003 - 22e-6)


def test_a_coaxial_line_is_measured_to_the_bore():
    core, screen = Part("core", round_bar(0.01), (1e-5,)), Part("screen", tube(0.03, 0.002), bore_coats=(1e-5,))
    found = pairs(core, screen)["core", "screen"]
    assert found.around
    assert found.gap == pytest.approx(finished_gap(core, screen)) == pytest.approx(0.008 - 2e-5)


def test_in_a_trunking_every_bar_faces_the_wall_but_not_through_its_neighbour():
    bars = [Part(f"L.{k}", bar(0.01, 0.06).placed((0.03 * (k - 2), 0.0))) for k in (1, 2, 3)]
    found = pairs(*bars, Part("trunking", box(0.12, 0.1, 0.002)))
    assert ("L.1", "L.3") not in found
    assert ("L.2", "trunking") in found
    # the outer bars' flat faces stand 60 - 2 - 35 mm before the side walls, their edges 48 - 30 mm below the top
    assert found["L.1", "trunking"].gap == pytest.approx(0.018)
    assert found["L.1", "trunking"].face == pytest.approx(2 * 0.01)


def test_three_wires_in_trefoil_make_three_pairs():
    high = 0.02 * math.sqrt(3) / 2
    wires = [Part(n, round_bar(0.012).placed(at)) for n, at in (("a", (0, 0)), ("b", (0.02, 0)), ("c", (0.01, high)))]
    found = neighbouring_parts(wires)
    assert len(found) == 3
    assert all(f.gap == pytest.approx(0.008) and f.face == 0 and not f.around for f in found)


def test_an_angle_beside_an_angle():
    left = Part("left", angle(0.04, 0.04, 0.005))
    right = Part("right", angle(0.04, 0.04, 0.005).placed((0.043, 0.0)))
    assert pairs(left, right)["left", "right"].gap == pytest.approx(0.003)
    assert pairs(left, right)["left", "right"].face == pytest.approx(0.005)
