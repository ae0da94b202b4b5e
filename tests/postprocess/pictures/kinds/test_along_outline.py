"""Densities along the outlines of two rods at direct current: level, over the perimeter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from drawn_scenes import conductor, scene_of, two_rods

from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.pictures.kinds.along_outline import (
    KIND,
    _densest,
    _has_notches,
    _in_order,
    outline_strips,
)
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Strands


@pytest.fixture(scope="module")
def figure():
    return outline_strips(two_rods())


def test_curves_are_level_and_as_long_as_the_perimeter(figure) -> None:
    curves = [a for a in figure.axes if a.get_ylabel() == "|J| [A/mm²]"]
    assert len(curves) == 2
    for axes, size in zip(curves, (10.0, 20.0), strict=True):
        length, strength = axes.lines[0].get_data()
        assert (length[0], length[-1]) == pytest.approx((0.0, np.pi * size))
        np.testing.assert_allclose(strength, 100 / (np.pi * size**2 / 4), rtol=1e-3)


def test_strips_say_their_depth(figure) -> None:
    """Half a thickness, 2 area / perimeter: a quarter of a diameter for a rod without a skin."""
    strips = [a for a in figure.axes if a.get_ylabel() == "depth\n[mm]"]
    assert [a.get_ylim()[0] for a in strips] == pytest.approx([2.5, 5.0])
    assert strips[-1].get_xlabel() == "length along the outline [mm]"
    words = [t.get_text() for t in figure.texts]
    assert words[:2] == ["Rods", "Current density |J| along the outline, rms · direct current"]


def test_what_carries_nothing_is_no_row_but_is_told() -> None:
    """A bolt in the bore of a thick tube: no field is left there, far more than ten skin depths below the face."""
    rods = (
        conductor("tube", tube(0.04, 0.012)), conductor("return", round_bar(0.02), (0.05, 0.0)),
        conductor("bolt", round_bar(0.012)),
    )  # fmt: skip
    scene = scene_of(rods, 85e3)
    words = [t.get_text() for t in outline_strips(scene).texts]
    assert "bolt" not in words
    assert {"tube", "return", "not drawn, next to no current: 1 more"} <= set(words)
    found = _densest(replace(scene.answers, conductors=_crowded(scene)))
    assert found == "up to 1112 A/mm2 rms (1572 at its crest) in bolt"


def test_ferrite_has_no_row_and_is_told_nowhere() -> None:
    ferrite = Material("ferrite", 0.0, permeability=2200.0)
    plate = replace(conductor("plate", bar(0.06, 0.005), (0.0, -0.02)), material=ferrite)
    rods = conductor("out", round_bar(0.01), (-0.01, 0.0)), conductor("back", round_bar(0.01), (0.01, 0.0))
    words = [t.get_text() for t in outline_strips(scene_of((*rods, plate), 85e3)).texts]
    assert {"out", "back"} <= set(words)
    assert "plate" not in words
    assert not any("not drawn" in text for text in words)


def test_bundles_beside_ferrite_have_no_such_picture() -> None:
    """It was an empty frame: of the ferrite, without current; what is between strands has no skin."""
    plate = replace(conductor("plate", bar(0.03, 0.005), (0.0, -0.02)), material=Material("ferrite", 0.0))
    leads = tuple(
        replace(conductor(name, round_bar(3e-3), (x, 0.0)), strands=Strands(420, 1e-4))
        for name, x in (("go", -0.004), ("come", 0.004))
    )
    feed = Circuit("feed", 10.0, ("go",), ("come",))
    assert not KIND.suits(solve(Problem((*leads, plate), (feed,)), 85e3, accuracy=0.01))
    bare = replace(leads[1], strands=None)
    assert KIND.suits(solve(Problem((leads[0], bare, plate), (feed,)), 85e3, accuracy=0.01))


def _crowded(scene):
    bolt = scene.answers.conductors["bolt"]
    return {"bolt": replace(bolt, peak_current_density=1111.6e6, crest_current_density=1572.0e6)}


def test_the_chain_closes_with_the_nearer_end() -> None:
    along, strength = _in_order(np.array([3.0, 1.0]), np.array([30.0, 10.0]), 0.5, 4.0)
    np.testing.assert_array_equal(along, [0.5, 1.0, 3.0, 4.0])
    np.testing.assert_array_equal(strength, [10.0, 10.0, 30.0, 10.0])


def test_notches_are_sharp_corners_and_narrow_arcs() -> None:
    assert _has_notches(bar(0.02, 0.01).outer, 1e-3)
    rounded = bar(0.02, 0.01, 0.002).outer
    assert not _has_notches(rounded, 1e-3)
    assert _has_notches(rounded, 3e-3)
