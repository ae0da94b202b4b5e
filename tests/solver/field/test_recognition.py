"""Which sections closed forms know."""

import math

import numpy as np
import pytest
from common import TURN, metal, pair, rod
from common import bar as placed

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, round_bar, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.recognition import (
    aligned,
    alike,
    base_layer,
    bore_radius,
    box_around,
    conductance_at_rest,
    is_round,
    phases,
    plain_loop,
    rounding,
)
from crosscurrent.solver.metals.materials import MATERIALS

COPPER, SILVER = MATERIALS["copper"], MATERIALS["silver"]


def conductor(shape, coats=()):
    return Conductor(Part("it", shape, coats), COPPER, coats=(SILVER,) * len(coats))


def test_round_is_rod_and_tube():
    shapes = (round_bar(0.01), tube(0.01, 0.001), bar(0.01, 0.01))
    assert [is_round(conductor(shape)) for shape in shapes] == [True, True, False]
    assert base_layer(conductor(tube(0.01, 0.001))).thickness == pytest.approx(0.001)
    assert base_layer(conductor(round_bar(0.01))).thickness == pytest.approx(0.005)


def test_a_bar_fills_its_box():
    np.testing.assert_allclose(box_around(conductor(bar(0.02, 0.004))), [[-0.01, -0.002], [0.01, 0.002]])
    assert box_around(conductor(angle(0.06, 0.04, 0.005))) is None
    assert box_around(conductor(tube(0.01, 0.001))) is None


def test_conductance_of_a_plated_rod():
    """Area times conductivity of base and ring, each its own."""
    found = conductance_at_rest(conductor(round_bar(0.02), (1e-4,)))
    copper, silver = (m.conductivity_at(20.0) for m in (COPPER, SILVER))
    assert found == pytest.approx(math.pi * (copper * 0.01**2 + silver * (0.0101**2 - 0.01**2)), rel=1e-9)


def test_a_bore_and_rounded_edges():
    assert bore_radius(conductor(tube(0.01, 0.001))) == pytest.approx(0.004)
    assert bore_radius(conductor(round_bar(0.01))) == 0
    assert rounding(conductor(bar(0.02, 0.004, 0.0015))) == pytest.approx(0.0015 / 0.02, rel=1e-9)
    assert rounding(conductor(bar(0.02, 0.004))) == 0


def test_alike_are_conductors_of_one_section_coat_and_metal():
    one, other = rod("a", 0.01), rod("b", 0.01, 0.02)
    assert alike((one, other))
    assert not alike((one, rod("b", 0.011, 0.02)))
    assert not alike((one, rod("b", 0.01, 0.02, material=metal(35e6))))
    assert not alike((conductor(round_bar(0.01)), conductor(round_bar(0.01), (1e-5,))))


def test_bars_lie_on_one_another_upright_or_flat():
    flat = aligned([placed("a", 0.02, 0.004), placed("b", 0.02, 0.001, 0.0, 0.01)])
    upright = aligned([placed("a", 0.004, 0.02), placed("b", 0.001, 0.02, 0.01, 0.0)])
    np.testing.assert_allclose(flat, upright)
    assert aligned([placed("a", 0.02, 0.004), placed("b", 0.02, 0.004, 0.03, 0.01)]) is None
    assert aligned([placed("a", 0.02, 0.004), rod("b", 0.02, 0.0, 0.02)]) is None


def test_a_plain_loop_is_one_out_and_one_back_and_no_more():
    loop = pair(rod("a", 0.01), rod("b", 0.01, 0.02))
    assert [c.name for c in plain_loop(loop)] == ["a", "b"]
    assert plain_loop(Problem((*loop.conductors, rod("c", 0.01, 0.05)), loop.circuits)) is None
    assert plain_loop(Problem(loop.conductors, (Circuit("feed", 1.0, ("a", "b")),))) is None
    assert plain_loop(pair(rod("a", 0.01), rod("b", 0.01, 0.02, material=metal(6e6, 100.0)))) is None


def test_three_phases_are_balanced():
    rods = tuple(rod(name, 0.01, 0.02 * k) for k, name in enumerate("abc"))
    turning, still = (tuple(Circuit(c.name, t**k, (c.name,)) for k, c in enumerate(rods)) for t in (TURN, 1.0))
    assert [c.name for c in phases(Problem(rods, turning))] == ["a", "b", "c"]
    assert phases(Problem(rods, still)) is None
    assert phases(Problem(rods, turning[:2])) is None
    returned = (*turning[:2], Circuit("c", TURN**2, ("c",), ("a",)))
    assert phases(Problem(rods, returned)) is None
