"""The drawing as files: 1:1 in millimetres, arcs as arcs, read back by a library that did not write the figures."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, tube
from crosscurrent.postprocess.workshop.drawing_files import as_dxf, as_svg
from crosscurrent.postprocess.workshop.layout import section_sheet
from crosscurrent.postprocess.workshop.sheet import Sheet
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    parts = (Part("rail <1>", bar(0.1, 0.006, 0.001)), Part("pipe", tube(0.02, 0.002).placed((0.0, 0.02))))
    return section_sheet([Conductor(p, MATERIALS["copper"]) for p in parts], 'A & "B"\x07', ["get hot"])


def test_dxf_has_the_metal_to_scale_on_layers_of_its_own(sheet: Sheet) -> None:
    document = ezdxf.read(io.StringIO(as_dxf(sheet)))  # type: ignore[attr-defined]
    assert document.header["$INSUNITS"] == 4  # millimetres
    lines = [e for e in document.modelspace() if e.dxftype() == "LWPOLYLINE" and e.dxf.layer.startswith("METAL")]
    assert sorted(e.dxf.layer for e in lines) == ["METAL pipe", "METAL pipe", "METAL rail -1-"]
    areas = []
    for line in lines:
        points = np.array(line.get_points("xyb"))
        x, y, bulge = points.T
        chord = np.hypot(np.roll(x, -1) - x, np.roll(y, -1) - y)
        angle = 4 * np.arctan(bulge)
        radius = np.divide(chord, 2 * np.sin(angle / 2), out=np.zeros_like(chord), where=bulge != 0)
        segments = 0.5 * radius**2 * (angle - np.sin(angle))
        areas.append(abs(0.5 * (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() + segments.sum()))
    assert sorted(areas) == pytest.approx(sorted([600 - (4 - np.pi), np.pi * 100, np.pi * 64]), rel=1e-9)


def test_svg_is_as_large_as_the_drawing_and_escapes_names(sheet: Sheet) -> None:
    root = ET.fromstring(as_svg(sheet))
    low, high = sheet.bounds
    width = high[0] - low[0] + 2 * sheet.height
    assert float(root.get("width", "").removesuffix("mm")) == pytest.approx(width, rel=1e-6)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == 'A & "B"'
    assert "METAL pipe" in [g.get("id") for g in root.iter(f"{SVG}g")]


def test_the_same_drawing_gives_the_same_files(sheet: Sheet) -> None:
    assert as_svg(sheet) == as_svg(sheet)
    assert as_dxf(sheet) == as_dxf(sheet)
