"""DXF files made here with known areas: lines and arcs to 1e-9, ellipses and splines to 1e-4."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing as Document

from crosscurrent.geometries.drawings.reading import read_drawing
from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.plane.shapes import Shape

PI = math.pi
SQUARE = [(0, 0), (40, 0), (40, 30), (0, 30)]
Made = tuple[list[float], float]  # areas of the shapes [mm2] from left to right, relative tolerance

EXACT, FITTED = 1e-9, 1e-4


def lines(m: Any, corners: list[tuple[float, float]], **more: Any) -> None:
    for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
        m.add_line(a, b, **more)


def only_lines(doc: Document, m: Any) -> Made:
    lines(m, SQUARE)
    return [1200], EXACT


def shuffled_lines(doc: Document, m: Any) -> Made:
    corners = [(20 * math.cos(0.1 * k * PI), 15 * math.sin(0.1 * k * PI)) for k in range(20)]
    sides = [(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    rng = random.Random(3)
    rng.shuffle(sides)
    for a, b in sides:
        m.add_line(*((a, b) if rng.random() < 0.5 else (b, a)))
    return [0.5 * 20 * 20 * 15 * math.sin(0.1 * PI)], EXACT


def gaps_within(doc: Document, m: Any) -> Made:
    for a, b in zip(SQUARE, SQUARE[1:] + SQUARE[:1], strict=True):
        m.add_line((a[0] + 2e-7, a[1] - 3e-7), b)
    return [1200], 1e-7


def arcs_and_lines(doc: Document, m: Any) -> Made:
    """A slot: two lines and two half circles, one of them across 0 degrees."""
    m.add_line((0, -5), (30, -5))
    m.add_line((30, 5), (0, 5))
    m.add_arc((30, 0), 5, 270, 90)
    m.add_arc((0, 0), 5, 90, 270)
    return [300 + 25 * PI], EXACT


def circle(doc: Document, m: Any) -> Made:
    m.add_circle((10, 20), 6)
    return [36 * PI], EXACT


def circle_clockwise(doc: Document, m: Any) -> Made:
    """Seen from below: the circle runs clockwise and its x is mirrored."""
    m.add_circle((10, 20), 6, dxfattribs={"extrusion": (0, 0, -1)})
    return [36 * PI], EXACT


def polyline_bulges(doc: Document, m: Any) -> Made:
    """A bulge to the outside and one to the inside."""
    m.add_lwpolyline([(0, 0, 0), (20, 0, 1), (20, 10, 0), (0, 10, -1)], format="xyb", close=True)
    return [200 + 12.5 * PI - 12.5 * PI], EXACT


def polyline_clockwise(doc: Document, m: Any) -> Made:
    m.add_lwpolyline([(0, 0, 0), (0, 10, -1), (20, 10, 0), (20, 0, 0)], format="xyb", close=True)
    return [200 + 50 * PI], EXACT


def old_polyline(doc: Document, m: Any) -> Made:
    m.add_polyline2d([(0, 0, 0.5), (10, 0, 0), (10, 10, 0), (0, 10, 0)], format="xyb", close=True)
    angle = 4 * math.atan(0.5)
    radius = 10 * (1 + 0.25) / (4 * 0.5)
    return [100 + radius**2 / 2 * (angle - math.sin(angle))], EXACT


def polyline_open_but_returning(doc: Document, m: Any) -> Made:
    m.add_lwpolyline([*SQUARE, SQUARE[0]])
    return [1200], EXACT


def polyline_and_line(doc: Document, m: Any) -> Made:
    m.add_lwpolyline([(0, 0), (40, 0), (40, 30)])
    m.add_line((0, 0), (40, 30))
    return [600], EXACT


def polyline_3d(doc: Document, m: Any) -> Made:
    m.add_polyline3d([(0, 0, 0), (8, 0, 0), (8, 6, 0)], close=True)
    return [24], EXACT


def ellipse(doc: Document, m: Any) -> Made:
    m.add_ellipse((5, 5), (20, 10), 0.4)
    return [PI * 500 * 0.4], FITTED


def half_ellipse(doc: Document, m: Any) -> Made:
    m.add_ellipse((0, 0), (20, 0), 0.5, 0, PI)
    m.add_line((-20, 0), (20, 0))
    return [PI * 20 * 10 / 2], FITTED


def round_ellipse(doc: Document, m: Any) -> Made:
    """Equal axes: a circle, exact."""
    m.add_ellipse((5, 5), (3, 4), 1.0)
    return [25 * PI], EXACT


def spline_area(points: list[tuple[float, float]]) -> float:
    """Area under a cubic Bezier curve closed by its chord: 3/20 and 3/10 of cross products (integrated by hand)."""

    def cross(i: int, j: int) -> float:
        (a, b), (c, d) = points[i], points[j]
        return a * d - b * c

    return (6 * cross(0, 1) + 3 * cross(0, 2) + cross(0, 3) + 3 * cross(1, 2) + 3 * cross(1, 3) + 6 * cross(2, 3)) / 20


def spline_bezier(doc: Document, m: Any) -> Made:
    points = [(0.0, 0.0), (10.0, -15.0), (30.0, -5.0), (40.0, 0.0)]
    m.add_open_spline([(*p, 0) for p in points], degree=3)
    m.add_line((40, 0), (0, 0))
    return [abs(spline_area(points))], FITTED


def spline_rational(doc: Document, m: Any) -> Made:
    """A full circle as a rational quadratic spline of nine points (Piegl and Tiller, The NURBS Book, example 7.2)."""
    corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    h = math.sqrt(0.5)
    m.add_rational_spline(
        [(10 * x, 10 * y, 0) for x, y in corners],
        weights=[1, h, 1, h, 1, h, 1, h, 1],
        degree=2,
        knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4],
    )
    return [100 * PI], FITTED


def hatch_polyline(doc: Document, m: Any) -> Made:
    hatch = m.add_hatch()
    hatch.paths.add_polyline_path([(0, 0, 1), (20, 0, 0), (20, 10, 0), (0, 10, 0)], is_closed=True)
    hatch.paths.add_polyline_path([(5, 4), (15, 4), (15, 6), (5, 6)], is_closed=True)
    return [200 + 50 * PI - 20], EXACT


def hatch_edges(doc: Document, m: Any) -> Made:
    """Line and arc edges, one arc against the clock and one with it; an elliptic hole."""
    path = m.add_hatch().paths.add_edge_path()
    path.add_line((0, 0), (20, 0))
    path.add_arc((20, 5), 5, 270, 90, ccw=True)
    path.add_line((20, 10), (0, 10))
    path.add_arc((0, 5), 5, 270, 90, ccw=False)
    hole = doc.modelspace().query("HATCH")[0].paths.add_edge_path()
    hole.add_ellipse((11, 5), (3, 0), 0.5, 0, 360)
    return [200 - PI * 4.5], FITTED


def hatch_over_its_boundary(doc: Document, m: Any) -> Made:
    m.add_lwpolyline(SQUARE, close=True)
    m.add_hatch().paths.add_polyline_path(SQUARE, is_closed=True)
    return [1200], EXACT


def doubled_lines(doc: Document, m: Any) -> Made:
    lines(m, SQUARE)
    lines(m, SQUARE[::-1])
    return [1200], EXACT


def solid(doc: Document, m: Any) -> Made:
    m.add_solid([(0, 0), (10, 0), (0, 5), (10, 5)])
    return [50], EXACT


def block_turned_and_scaled(doc: Document, m: Any) -> Made:
    block = doc.blocks.new("profile", base_point=(5, 5))
    block.add_lwpolyline([(0, 0, 0), (20, 0, 1), (20, 10, 0), (0, 10, 0)], format="xyb", close=True)
    block.add_circle((10, 5), 2)
    m.add_blockref("profile", (100, 50), dxfattribs={"rotation": 37, "xscale": 2, "yscale": 2, "zscale": 2})
    return [4 * (200 + 12.5 * PI - 4 * PI)], EXACT


def block_mirrored(doc: Document, m: Any) -> Made:
    block = doc.blocks.new("profile")
    block.add_line((0, 0), (10, 0))
    block.add_arc((5, 0), 5, 0, 180)
    m.add_blockref("profile", (0, 0), dxfattribs={"xscale": -3, "yscale": 3, "rotation": 10})
    return [9 * 12.5 * PI], EXACT


def block_stretched(doc: Document, m: Any) -> Made:
    block = doc.blocks.new("profile")
    block.add_circle((0, 0), 10)
    block.add_lwpolyline([(-2, -2, 0), (2, -2, 1), (2, 2, 0), (-2, 2, 1)], format="xyb", close=True)
    m.add_blockref("profile", (3, 4), dxfattribs={"xscale": 2, "yscale": 0.5, "rotation": 20})
    return [100 * PI - (16 + 4 * PI)], FITTED


def blocks_nested(doc: Document, m: Any) -> Made:
    inner = doc.blocks.new("inner")
    inner.add_circle((0, 0), 1)
    middle = doc.blocks.new("middle")
    middle.add_blockref("inner", (5, 0), dxfattribs={"xscale": 2, "yscale": 2})
    outer = doc.blocks.new("outer")
    outer.add_blockref("middle", (0, 10), dxfattribs={"rotation": 90})
    m.add_blockref("outer", (0, 0), dxfattribs={"xscale": 1.5, "yscale": 1.5})
    return [9 * PI], EXACT


def block_row(doc: Document, m: Any) -> Made:
    doc.blocks.new("strand").add_circle((0, 0), 1)
    m.add_blockref(
        "strand", (0, 0), dxfattribs={"column_count": 3, "row_count": 2, "column_spacing": 5, "row_spacing": 4}
    )
    return [PI] * 6, EXACT


def island(doc: Document, m: Any) -> Made:
    for radius in (10, 8, 4, 3):
        m.add_circle((0, 0), radius)
    m.add_circle((30, 0), 2)
    return [36 * PI, 7 * PI, 4 * PI], EXACT


def loop_with_a_tail(doc: Document, m: Any) -> Made:
    lines(m, SQUARE)
    m.add_line((40, 30), (55, 30))
    return [1200], EXACT


MAKERS: list[Callable[[Document, Any], Made]] = [
    only_lines, shuffled_lines, gaps_within, arcs_and_lines, circle, circle_clockwise, polyline_bulges,
    polyline_clockwise, old_polyline, polyline_open_but_returning, polyline_and_line, polyline_3d, ellipse,
    half_ellipse, round_ellipse, spline_bezier, spline_rational, hatch_polyline, hatch_edges, hatch_over_its_boundary,
    doubled_lines, solid, block_turned_and_scaled, block_mirrored, block_stretched, blocks_nested, block_row, island,
    loop_with_a_tail,
]  # fmt: skip


def new(units: int = 4, version: str = "R2010") -> Document:
    doc = ezdxf.new(version)
    doc.header["$INSUNITS"] = units
    return doc


def area(shape: Shape) -> float:
    return shape.outer.area - sum(hole.area for hole in shape.holes)


def areas(path: Path, **options: Any) -> list[float]:
    return [area(shape) * 1e6 for shape in read_drawing(path, **options).layer(None).shapes]


def test_there_are_enough() -> None:
    assert len(MAKERS) >= 20


@pytest.mark.parametrize("make", MAKERS, ids=lambda make: make.__name__)
def test_area_is_as_drawn(make: Callable[[Document, Any], Made], tmp_path: Path) -> None:
    doc = new()
    expected, tolerance = make(doc, doc.modelspace())
    doc.saveas(tmp_path / "profile.dxf")
    assert areas(tmp_path / "profile.dxf") == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize(
    ("code", "metres"), [(1, 0.0254), (2, 0.3048), (4, 1e-3), (5, 1e-2), (6, 1.0), (9, 25.4e-6), (13, 1e-6), (14, 0.1)]
)
def test_unit_codes(code: int, metres: float, tmp_path: Path) -> None:  # Autodesk DXF reference, $INSUNITS
    doc = new(code)
    doc.modelspace().add_circle((0, 0), 2)
    doc.saveas(tmp_path / "c.dxf")
    assert areas(tmp_path / "c.dxf") == pytest.approx([4e6 * PI * metres**2], rel=1e-12)


def test_binary_and_old_files_are_read(tmp_path: Path) -> None:
    for version, form in (("R2000", "asc"), ("R2010", "bin"), ("R2018", "asc")):
        doc = new(4, version)
        doc.modelspace().add_circle((0, 0), 2)
        doc.saveas(tmp_path / "c.dxf", fmt=form)
        assert areas(tmp_path / "c.dxf") == pytest.approx([4 * PI], rel=1e-12)


def test_without_a_unit_it_asks_and_takes_the_answer(tmp_path: Path) -> None:
    doc = new(0)
    doc.modelspace().add_circle((0, 0), 2)
    doc.saveas(tmp_path / "c.dxf")
    with pytest.raises(DrawingError, match=r'expected a drawing that says its unit, .* state it: unit = "mm"'):
        read_drawing(tmp_path / "c.dxf")
    assert areas(tmp_path / "c.dxf", unit=25.4e-3, scale=0.5) == pytest.approx([PI * 25.4**2], rel=1e-12)


def test_mirrored_circle_stands_where_it_is_seen(tmp_path: Path) -> None:
    doc = new()
    circle_clockwise(doc, doc.modelspace())
    doc.saveas(tmp_path / "c.dxf")
    outer = read_drawing(tmp_path / "c.dxf").layer(None).shapes[0].outer
    assert outer.area > 0
    assert outer.centroid * 1e3 == pytest.approx([-10, 20], rel=1e-12)


def test_block_lands_where_it_is_put(tmp_path: Path) -> None:
    doc = new()
    blocks_nested(doc, doc.modelspace())
    doc.saveas(tmp_path / "c.dxf")
    # (5, 0) turned by 90 degrees, moved up by 10, times 1.5
    centre = read_drawing(tmp_path / "c.dxf").layer(None).shapes[0].outer.centroid
    assert centre * 1e3 == pytest.approx([0, 22.5], abs=1e-12)


def test_rows_of_a_mirrored_and_turned_block(tmp_path: Path) -> None:
    """Against the placing that ezdxf itself does."""
    doc = new()
    doc.blocks.new("strand").add_circle((1, 2), 1)
    where = {
        "column_count": 3, "row_count": 2, "column_spacing": 9, "row_spacing": 7, "rotation": 25, "xscale": -1.0,
        "extrusion": (0, 0, -1),
    }  # fmt: skip
    reference = doc.modelspace().add_blockref("strand", (4, 5), dxfattribs=where)
    doc.saveas(tmp_path / "c.dxf")
    wanted = []
    for single in reference.multi_insert():
        for copy in single.virtual_entities():
            wanted.append(tuple(copy.ocs().to_wcs(copy.dxf.center))[:2])  # type: ignore[attr-defined]
    found = [shape.outer.centroid * 1e3 for shape in read_drawing(tmp_path / "c.dxf").layer(None).shapes]
    assert np.array(sorted(map(tuple, found))) == pytest.approx(np.array(sorted(wanted)), abs=1e-9)


def test_gap_is_joined_only_within_what_is_stated(tmp_path: Path) -> None:
    doc = new()
    m = doc.modelspace()
    for a, b in zip(SQUARE, SQUARE[1:] + SQUARE[:1], strict=True):
        m.add_line((a[0] + 0.03, a[1]), b)
    doc.saveas(tmp_path / "c.dxf")
    with pytest.raises(DrawingError, match=r"4 x open curve .* 0.03 mm apart|left out were: 4 x open curve"):
        read_drawing(tmp_path / "c.dxf").layer(None)
    layer = read_drawing(tmp_path / "c.dxf", gap=0.05e-3).layer(None)
    assert layer.joined.widest == pytest.approx(0.03e-3, rel=1e-9)
    assert area(layer.shapes[0]) * 1e6 == pytest.approx(1200, rel=2e-3)


def test_layers_blocks_and_what_is_left_out(tmp_path: Path) -> None:
    doc = new()
    m = doc.modelspace()
    block = doc.blocks.new("profile")
    block.add_circle((0, 0), 1)  # layer 0: takes the layer of the reference
    block.add_circle((0, 0), 3, dxfattribs={"layer": "Tube"})
    m.add_blockref("profile", (0, 0), dxfattribs={"layer": "rod"})
    m.add_text("NOT METAL", dxfattribs={"layer": "notes"})
    m.add_line((0, 0), (9, 9), dxfattribs={"layer": "rod"})
    m.add_circle((0, 0), 50, dxfattribs={"layer": "rod", "invisible": 1})
    m.add_blockref("missing", (0, 0), dxfattribs={"layer": "notes"})
    doc.saveas(tmp_path / "c.dxf")
    drawing = read_drawing(tmp_path / "c.dxf")
    assert list(drawing.layers) == ["Tube", "notes", "rod"]
    assert area(drawing.layer("rod").shapes[0]) * 1e6 == pytest.approx(PI, rel=1e-12)
    assert area(drawing.layer("tube").shapes[0]) * 1e6 == pytest.approx(9 * PI, rel=1e-12)
    assert drawing.layers["notes"].left_out == (
        '1 x INSERT of the block "missing", which is not in the file',
        "1 x TEXT",
    )
    assert drawing.layers["rod"].left_out[0] == "1 x CIRCLE that is invisible"
    assert drawing.layers["rod"].left_out[1].startswith("1 x open curve (the first from (0, 0) mm to (9, 9) mm")
    with pytest.raises(DrawingError, match=r'expected one layer with closed outlines, or a choice, found 2; .*"rod"'):
        drawing.layer(None)
    with pytest.raises(DrawingError, match=r'expected a layer of the drawing, found "rob"; .*"Tube", "rod"'):
        drawing.layer("rob")
    with pytest.raises(DrawingError, match='closed outlines in layer "notes", found none'):
        drawing.layer("notes")


def test_external_reference_is_named_and_not_followed(tmp_path: Path) -> None:
    doc = new()
    m = doc.modelspace()
    doc.add_xref_def(str(tmp_path / "secret.dxf"), "site")
    m.add_blockref("site", (0, 0))
    m.add_circle((0, 0), 1)
    doc.saveas(tmp_path / "c.dxf")
    layer = read_drawing(tmp_path / "c.dxf").layer(None)
    assert layer.left_out == ('1 x external reference "site": bind it to the drawing to have it read',)


def test_branches_are_named(tmp_path: Path) -> None:
    doc = new()
    m = doc.modelspace()
    lines(m, SQUARE)
    m.add_line(SQUARE[0], SQUARE[2])
    m.add_circle((100, 0), 1)
    doc.saveas(tmp_path / "c.dxf")
    layer = read_drawing(tmp_path / "c.dxf").layer(None)
    assert [area(s) * 1e6 for s in layer.shapes] == pytest.approx([PI])
    assert any("2 x branch (more than two curves meet, first at (0, 0) mm)" in text for text in layer.left_out)
