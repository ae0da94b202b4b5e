"""The picture of the power in what a coil heats."""

from __future__ import annotations

import numpy as np
import pytest
from axial_scenes import coil_round_a_billet, rings_at_rest
from drawn_scenes import two_rods
from matplotlib.patches import StepPatch

from crosscurrent.postprocess.pictures.draw import picture_kinds
from crosscurrent.postprocess.pictures.kinds.power_in_pieces import KIND, piece_maps
from crosscurrent.postprocess.pictures.style import as_png
from crosscurrent.solver.field.pieces import piece_power


def test_it_is_drawn_only_where_a_coil_heats_something() -> None:
    assert KIND.key in picture_kinds(coil_round_a_billet().solution)
    assert KIND.key not in picture_kinds(rings_at_rest().solution)
    assert KIND.key not in picture_kinds(two_rods().solution)


def test_the_curve_along_the_piece_holds_its_power() -> None:
    scene = coil_round_a_billet()
    axes = next(a for a in piece_maps(scene).axes if a.get_xlabel().startswith("power along z"))
    (stairs,) = (patch for patch in axes.patches if isinstance(patch, StepPatch))
    power, edges, _ = stairs.get_data()
    assert np.sum(power * np.diff(edges)) == pytest.approx(scene.answers.conductors["billet"].loss, rel=1e-5)


def test_half_a_skin_depth_and_a_whole_one_are_marked() -> None:
    scene = coil_round_a_billet()
    axes = next(a for a in piece_maps(scene).axes if a.get_xlabel() == "depth [mm]")
    marked = [float(line.get_xdata()[1]) for line in axes.lines[1:]]
    assert marked == pytest.approx([1e3 * depth for depth in piece_power(scene.flow, 0).depths])
    assert len([t for t in axes.texts if t.get_text().endswith(" mm")]) == 2
    assert [label.get_text() for label in axes.get_yticklabels()] == ["0", "25", "50", "63", "86", "100"]


def test_it_says_what_the_piece_takes() -> None:
    assert KIND.message(coil_round_a_billet().answers).startswith("billet takes ")


def test_the_same_scene_gives_the_same_bytes() -> None:
    assert as_png(piece_maps(coil_round_a_billet())) == as_png(piece_maps(coil_round_a_billet()))
