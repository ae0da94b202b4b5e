"""Air for names: only where they find none, and on the side where it helps."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.plane.axial import mirror_image
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, tube
from crosscurrent.postprocess.pictures.room_for_names import with_room
from crosscurrent.postprocess.pictures.views import View, whole_window

CASES = Path(__file__).parents[3] / "cases"


def strips(count: int) -> list[Part]:
    """100 x 1 mm, 2 mm from middle to middle, one above the other."""
    return [Part(f"strip.{k}", bar(0.1, 0.001).placed((0.0, 0.002 * k))) for k in range(count)]


def test_two_strips_get_air_above_and_under_them() -> None:
    view = whole_window(strips(2), 0.03)
    wide = with_room(view, strips(2))
    assert wide.extent[1] > 2 * view.extent[1]
    assert wide.extent[0] == view.extent[0]


def test_many_strips_get_air_at_their_ends_and_height_for_the_names() -> None:
    view = whole_window(strips(12), 0.03)
    wide = with_room(view, strips(12))
    assert wide.extent[0] > 1.2 * view.extent[0]
    assert wide.extent[1] / wide.extent[0] * 6.8 > 12 / 2 * 0.15


def test_turns_that_no_line_can_reach_add_no_height() -> None:
    """Pancakes of eight turns between ferrites and shields: three names a side can be led to, and have room."""
    parts = read_case(CASES / "pad-pancakes.toml").problem().section.parts
    view = whole_window([*parts, *map(mirror_image, parts)], 0.03)
    wide = with_room(view, parts)
    assert wide.extent[0] > 1.2 * view.extent[0]
    assert wide.extent[1] == view.extent[1]


def test_names_that_fit_need_no_air() -> None:
    block = [Part("block", bar(0.05, 0.03))]
    view = whole_window(block, 0.03)
    assert with_room(view, block) is view


def test_a_part_that_encloses_another_leaves_it_room() -> None:
    parts = [Part("shell", tube(0.1, 0.002)), Part("rod", bar(0.003, 0.003))]
    view = View(np.array([[-0.07, -0.07], [0.07, 0.07]]))
    assert with_room(view, parts) is view
