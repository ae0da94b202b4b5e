"""The drawing in a place on paper: it fits, and its text has the size asked for where there is room."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, tube
from crosscurrent.postprocess.workshop.drawing import COARSEST, drawing, extent, fitted_drawing
from crosscurrent.postprocess.workshop.sheet import Sheet

PAIR = [Part(name, bar(0.1, 0.006).placed((0.0, y))) for name, y in (("outgoing", 0.0), ("return", 0.007))]
PIPES = [Part(f"tube.{k}", tube(0.016, 0.0015).placed((0.024 * k, 0.0))) for k in (0, 1)]


def printed(sheet: Sheet, room: tuple[float, float]) -> float:
    return float(sheet.height * (np.array(room) / sheet.size).min())


@pytest.mark.parametrize("parts", [PAIR, PIPES])
@pytest.mark.parametrize("text", [1.6, 2.5])
def test_the_text_has_the_height_asked_for(parts: list[Part], text: float) -> None:
    room = (108.0, 50.0)
    assert printed(fitted_drawing(parts, "", room, text), room) == pytest.approx(text, rel=0.12)


def test_where_there_is_no_room_the_metal_stays_larger_than_its_text() -> None:
    sheet = fitted_drawing(PAIR, "", (30.0, 10.0), 3.0)
    assert sheet.height == pytest.approx(COARSEST * 100)


def test_it_has_sizes_gaps_and_names() -> None:
    texts = [label.text for label in drawing(PAIR, "", 2.5).labels]
    assert texts == ["100 (3.937 in)  2x", "6 (236.2)  2x", "gap 1 (39.37)", "outgoing", "return"]
    np.testing.assert_allclose(extent(PAIR), (100, 13))


def test_layers_hold_no_sign_that_a_drawing_program_forbids() -> None:
    sheet = drawing([Part('a/b:"c"', bar(0.1, 0.006))], "", 2.5)
    assert [hatch.layer for hatch in sheet.hatches] == ["METAL a-b--c-"]
    assert sheet.hatches[0].outlines[0].area == pytest.approx(600.0)  # mm2
