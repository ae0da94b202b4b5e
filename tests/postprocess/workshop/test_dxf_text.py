"""The file read back by a general library for drawings, whose audit says what a program would have to mend."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest
from ezdxf.document import Drawing

from crosscurrent.postprocess.workshop.dxf_text import DxfText


@pytest.fixture(scope="module")
def read() -> Drawing:
    drawing = DxfText({"METAL größe": 30, "NOTES": 7, "Notes": 7})
    drawing.polyline("METAL größe", [(0.0, 0.0, 0.0), (2.0, 0.0, 1.0), (2.0, 2.0, 0.0)], closed=True)
    drawing.polyline("NOTES", [(0.0, -1.0, 0.0), (1e-7, 1e6, 0.0)])
    drawing.solid("NOTES", [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    drawing.solid("NOTES", [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)])
    drawing.text("NOTES", (3.0, 4.0), "100 %%c ^J µ", 2.5, align=2, turn=90.0)
    drawing.text("NOTES", (5.0, 6.0), "left", 2.5, align=0, turn=0.0)
    return ezdxf.read(io.StringIO(str(drawing)))  # type: ignore[attr-defined, no-any-return]


def test_there_is_nothing_to_mend(read: Drawing) -> None:
    audit = read.audit()
    assert not audit.errors
    assert not audit.fixes
    assert read.dxfversion == "AC1024"


def test_lines_arcs_and_areas_are_where_they_were_drawn(read: Drawing) -> None:
    outline, line, square, triangle, *_ = read.modelspace()
    assert [tuple(p) for p in outline.get_points("xyb")] == [(0.0, 0.0, 0.0), (2.0, 0.0, 1.0), (2.0, 2.0, 0.0)]
    assert outline.closed
    assert outline.dxf.layer == "METAL größe"
    assert [tuple(p) for p in line.get_points("xy")] == [(0.0, -1.0), (1e-7, 1e6)]
    assert not line.closed
    assert [tuple(v)[:2] for v in square.vertices()] == [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    assert [tuple(v)[:2] for v in triangle.vertices()] == [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)]


def test_text_stands_where_it_is_aligned_and_means_what_it_says(read: Drawing) -> None:
    *_, right, left = read.modelspace()
    assert right.get_placement()[0].name == "RIGHT"
    assert math.isclose(right.dxf.rotation, 90.0)
    assert tuple(right.get_placement()[1])[:2] == (3.0, 4.0)
    assert right.plain_text() == "100 % %c ^J µ"
    assert left.get_placement()[0].name == "LEFT"
    assert tuple(left.get_placement()[1])[:2] == (5.0, 6.0)


def test_colours_belong_to_layers_and_units_are_millimetres(read: Drawing) -> None:
    assert read.layers.get("METAL größe").color == 30
    assert read.header["$INSUNITS"] == 4
