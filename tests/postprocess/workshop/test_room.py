"""The grid over a drawing: whose metal a cell is, where a text fits, what a line crosses."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, tube
from crosscurrent.postprocess.workshop.room import CELL, Room
from crosscurrent.postprocess.workshop.sheet import NOTES, Hatch, Sheet

SQUARE = Part("square", bar(0.04, 0.04))
FOIL = Part("foil", bar(0.04, 0.0001).placed((0.0, 0.03)))


@pytest.fixture
def room() -> Room:
    sheet = Sheet("", 2.0)
    for part in (SQUARE, FOIL):
        sheet.hatches.append(Hatch("", tuple(type(o)(o.points * 1e3, o.bulges) for o in part.all_outlines)))
    return Room.of(sheet, [SQUARE, FOIL], (5.0, 5.0))


def test_metal_takes_its_area_of_the_cells(room: Room) -> None:
    assert (room.owner == 0).sum() * room.cell**2 == pytest.approx(1600, rel=0.06)  # mm2
    assert room.cell == 2.0 * CELL


def test_metal_thinner_than_a_cell_bars_the_way_of_a_text(room: Room) -> None:
    middles = room.middles(*room.centres(room.owner < 0, "name"))
    assert len(middles)
    assert not ((np.abs(middles[:, 1] - 30) < 1) & (np.abs(middles[:, 0]) < 20)).any()


def test_what_is_written_is_not_written_over(room: Room) -> None:
    before = len(room.centres(room.owner == 0, "name")[0])
    sheet = Sheet("", 2.0)
    sheet.text(NOTES, (0.0, 0.0), "name", "middle")
    room.add_label(sheet.labels[0])
    assert 0 < len(room.centres(room.owner == 0, "name")[0]) < before


def test_a_line_counts_what_it_crosses(room: Room) -> None:
    line = np.array([[[0.0, 45.0], [0.0, 19.0]]])  # through the foil into the square
    metal, texts, drawn = room.crossings(line, 0)
    assert (metal[0], texts[0], drawn[0]) == (2, 0, 0)  # both faces of the foil
    assert room.crossings(line, 1)[0][0] == 1  # the upper face of the square
    room.add_line(np.array([[[-5.0, 40.0], [5.0, 40.0]]]))
    assert room.crossings(line, 0)[2][0] == 1


def test_arcs_are_followed() -> None:
    pipe = Part("pipe", tube(0.04, 0.002))
    sheet = Sheet("", 2.0)
    sheet.hatches.append(Hatch("", tuple(type(o)(o.points * 1e3, o.bulges) for o in pipe.all_outlines)))
    radius = np.hypot(*Room.of(sheet, [pipe], (2.0, 2.0)).chords[:, 0].T)
    assert sorted(set(np.round(radius, 6))) == [18.0, 20.0]
