"""Which holes carry water, how wide they are, and what wets."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.arrays import same
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, box, round_bar, tube
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.water.bores import bores, passages_of, wet_metals

COPPER, SILVER, STEEL = (MATERIALS[name] for name in ("copper", "silver", "stainless-304"))


def plate(*diameters: float) -> Shape:
    holes = tuple(round_bar(d).placed((0.02 * k, 0.0)).outer for k, d in enumerate(diameters))
    return Shape(bar(0.10, 0.02).outer, holes)


def test_heat_is_shared_by_perimeter_to_begin_with() -> None:
    wide, narrow = passages_of(
        Conductor(Part("plate", plate(0.010, 0.005)), COPPER), 900.0, 2.0, bends=3, roughness=1e-5
    )
    assert (wide.bore, narrow.bore, wide.bends, wide.length) == (1, 2, 3, 2.0)
    assert (wide.loss, narrow.loss) == pytest.approx((600.0, 300.0))
    assert wide.area == pytest.approx(math.pi * 0.005**2)
    assert wide.label == "plate, bore 1"


def test_a_plated_bore_is_narrower_and_wets_its_plating() -> None:
    plated = Conductor(Part("tube", tube(0.012, 0.001), bore_coats=(5e-5,)), COPPER, bore_coats=(SILVER,))
    (one,) = passages_of(plated, 100.0, 1.0, bends=0, roughness=0.0)
    assert one.diameter == pytest.approx(0.0099)
    assert one.area == pytest.approx(math.pi * 0.00495**2)
    assert one.bore == 0
    assert wet_metals(plated) == ("silver",)


def test_a_hole_with_a_core_in_it_carries_no_water() -> None:
    core = round_bar(0.010)
    assert same(bores(Part("filled", plate(0.010, 0.005), pieces=(core,))), plate(0.010, 0.005).holes[1:])


def test_a_pipe_soldered_on_brings_its_own_bore() -> None:
    pipe = box(0.010, 0.010, 0.001).placed((0.0, 0.0080), 0.0)
    part = Part("bar", bar(0.100, 0.006), pieces=(pipe,))
    assert bores(part) == pipe.holes
    assert wet_metals(Conductor(part, STEEL, pieces=(COPPER,))) == ("copper",)
