"""SVG files written here as text with known areas."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.geometries.drawings.reading import read_drawing
from crosscurrent.geometries.errors import DrawingError

PI = math.pi
INKSCAPE = 'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
HEAD = f'<svg xmlns="http://www.w3.org/2000/svg" {INKSCAPE} xmlns:xlink="http://www.w3.org/1999/xlink" '
MM = 'width="100mm" height="80mm" viewBox="0 0 100 80"'
EXACT, FITTED = 1e-9, 1e-4

# name: (size of the page, content, areas [mm2] from left to right, tolerance)
FILES: dict[str, tuple[str, str, list[float], float]] = {
    "rect": (MM, '<rect x="10" y="5" width="30" height="20"/>', [600], EXACT),
    "rounded rect": (MM, '<rect x="10" y="5" width="30" height="20" rx="4"/>', [600 - 16 * (4 - PI)], EXACT),
    "rect rounded to a slot": (MM, '<rect width="30" height="20" ry="10"/>', [200 + 100 * PI], EXACT),
    "rect rounded to an ellipse": (MM, '<rect width="30" height="20" ry="40"/>', [150 * PI], FITTED),
    "rect with two radii": (MM, '<rect width="30" height="20" rx="8" ry="3"/>', [600 - 24 * (4 - PI)], FITTED),
    "circle": (MM, '<circle cx="20" cy="30" r="7"/>', [49 * PI], EXACT),
    "ellipse": (MM, '<ellipse cx="20" cy="30" rx="9" ry="4"/>', [36 * PI], FITTED),
    "circle stretched": (MM, '<g transform="scale(3 1)"><circle cx="9" cy="30" r="5"/></g>', [75 * PI], FITTED),
    "ellipse pressed round": (
        MM, '<ellipse transform="scale(0.5 1)" cx="40" cy="30" rx="10" ry="5"/>', [25 * PI], EXACT
    ),
    "polygon": (MM, '<polygon points="0,0 40,0 40,30"/>', [600], EXACT),
    "path absolute": (MM, '<path d="M10 10 H50 V40 H10 Z M20,20 h10 v10 h-10 z"/>', [1100], EXACT),
    "path relative": (MM, '<path d="m10 10 40 0 0 30 -40 0z"/>', [1200], EXACT),
    "path with arcs": (
        MM, '<path d="M20 10 A10 10 0 0 1 20 30 L10 30 a10 10 0 0 1 0 -20 z"/>', [200 + 100 * PI], EXACT
    ),
    "large arc": (MM, '<path d="M30 20 A10 10 0 1 0 20 30 L 20 20 Z"/>', [75 * PI], EXACT),
    "elliptic arc": (MM, '<path d="M10 40 A20 10 0 0 1 50 40 Z"/>', [100 * PI], FITTED),
    "turned elliptic arc": (
        MM, '<path d="M30 20 A20 10 90 0 1 30 60 A20 10 90 0 1 30 20"/>', [200 * PI], FITTED
    ),
    # area between a parabola and its chord: two thirds of base times height (Archimedes)
    "quadratic": (MM, '<path d="M10 40 Q30 0 50 40 Z"/>', [2 / 3 * 40 * 20], FITTED),
    "smooth quadratic": (MM, '<path d="M10 40 Q20 20 30 40 T50 40"/><path d="M10 40 H 50"/>', [], FITTED),
    # y of the cubic is 3 t (1 - t) h over an even x: the integral is h / 2 of the width
    "cubic": (MM, '<path d="M10 40 C 20 10, 30 10, 40 40 z"/>', [30 * 15], FITTED),
    "smooth cubic": (MM, '<path d="M10 40 C20 10 30 10 40 40 V60 H10 Z"/>', [30 * 15 + 600], FITTED),
    "transforms": (
        MM, '<g transform="translate(50,20) rotate(30)"><g transform="scale(2)"><rect width="5" height="4"/></g></g>',
        [80], EXACT,
    ),
    "skewed": (MM, '<rect transform="skewX(20) matrix(1 0 0 -1 0 50)" width="10" height="6"/>', [60], EXACT),
    "inches": ('width="4in" height="2in" viewBox="0 0 8 4"', '<rect width="2" height="1"/>', [25.4**2 / 2], EXACT),
    "centimetres, points": (
        'width="10cm" height="226.77165354330708pt" viewBox="0 0 1000 800"',
        '<rect width="100" height="100"/>', [100], EXACT,
    ),
    "no view box": ('width="100mm" height="80mm"', '<rect width="96" height="96"/>', [25.4**2], EXACT),
    "lengths with units": (MM, '<rect width="96" height="1in"/>', [96 * 96], EXACT),
    "used twice": (
        MM, '<defs><g id="bar"><rect width="9" height="2"/></g></defs><use href="#bar" x="3"/>'
        '<use xlink:href="#bar" transform="translate(20 0)"/>', [18, 18], EXACT,
    ),
    "symbol": (
        MM, '<symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5"/></symbol>'
        '<use href="#s" width="20" height="40"/>', [100 * PI], EXACT,
    ),
    "segments": (
        MM, '<line x1="0" y1="0" x2="9" y2="0"/><polyline points="9 0 9 4 0 4"/><path d="M0 4 L0 0"/>', [36], EXACT
    ),
    "stretched page": (
        'width="100mm" height="80mm" viewBox="0 0 100 40" preserveAspectRatio="none"',
        '<rect width="10" height="10"/>', [200], EXACT,
    ),
}  # fmt: skip


def write(folder: Path, size: str, content: str) -> Path:
    (folder / "page.svg").write_text(f"<?xml version='1.0'?>\n{HEAD}{size}>\n{content}\n</svg>", encoding="utf-8")
    return folder / "page.svg"


def areas(path: Path, **options: Any) -> list[float]:
    shapes = read_drawing(path, **options).layer(None).shapes
    return [1e6 * (s.outer.area - sum(h.area for h in s.holes)) for s in shapes]


def test_there_are_enough() -> None:
    assert len(FILES) >= 10


@pytest.mark.parametrize("name", FILES)
def test_area_is_as_written(name: str, tmp_path: Path) -> None:
    size, content, expected, tolerance = FILES[name]
    path = write(tmp_path, size, content)
    if expected:
        assert areas(path) == pytest.approx(expected, rel=tolerance)


def test_a_wave_and_its_chord_cross(tmp_path: Path) -> None:
    """Two lobes of one smooth curve, closed by a line: the loop is whole and its signed area nil."""
    size, content, _, _ = FILES["smooth quadratic"]
    with pytest.raises(DrawingError, match="1 x loop without area"):
        read_drawing(write(tmp_path, size, content)).layer(None)


def test_place_on_the_page_is_from_its_lower_left_corner(tmp_path: Path) -> None:
    path = write(
        tmp_path, MM, '<circle cx="20" cy="30" r="7"/><g id="x" transform="rotate(90)"><rect width="4" height="2"/></g>'
    )
    drawing = read_drawing(path)
    assert drawing.layer("page").shapes[0].outer.centroid * 1e3 == pytest.approx([20, 50], rel=1e-12)
    # turned clockwise on the page: (2, 1) goes to (-1, 2) downward, 78 up
    assert drawing.layer("x").shapes[0].outer.centroid * 1e3 == pytest.approx([-1, 78], rel=1e-12)


def test_page_of_another_shape_keeps_its_drawing_in_the_middle(tmp_path: Path) -> None:
    size = 'width="100mm" height="80mm" viewBox="0 0 10 4"'
    outer = read_drawing(write(tmp_path, size, '<circle cx="5" cy="1" r="1"/>')).layer(None).shapes[0].outer
    assert outer.area * 1e6 == pytest.approx(100 * PI, rel=1e-12)
    assert outer.centroid * 1e3 == pytest.approx([50, 50], rel=1e-12)


@pytest.mark.parametrize("size", ['width="100" height="80"', 'width="100px" height="80px"', 'viewBox="0 0 100 80"',
                                  'width="100%" height="80%" viewBox="0 0 100 80"', ""])  # fmt: skip
def test_pixels_have_no_size_it_asks(size: str, tmp_path: Path) -> None:
    path = write(tmp_path, size, '<rect x="1" width="10" height="8"/>')
    with pytest.raises(DrawingError, match=r'expected a drawing that says its unit, found SVG .* unit = "mm"'):
        read_drawing(path)
    assert areas(path, unit=1e-3) == pytest.approx([80], rel=1e-12)


def test_layers_and_what_is_left_out(tmp_path: Path) -> None:
    content = """
      <g inkscape:groupmode="layer" inkscape:label="Copper bars" id="layer1"><g id="inner">
        <rect width="4" height="3"/><rect x="20" width="4" height="3" style="display: none"/></g></g>
      <g id="notes"><text x="3" y="3">40 mm</text><image href="file:///etc/passwd" width="3" height="3"/>
        <path d="M0 0 L 5 x"/><rect width="5" height="0"/><circle r="5%"/><use href="#nothing"/></g>"""
    drawing = read_drawing(write(tmp_path, MM, content))
    assert list(drawing.layers) == ["Copper bars", "notes"]
    assert drawing.layers["Copper bars"].left_out == ("1 x rect that is hidden",)
    left_out = " | ".join(drawing.layers["notes"].left_out)
    for words in ("1 x text", "1 x image", "1 x path that is damaged", "1 x rect that is damaged (without width",
                  "1 x circle that is damaged (r is '5%')", '1 x use of "#nothing", which is not in'):  # fmt: skip
        assert words in left_out


def test_island_in_a_hole_is_a_part_of_its_own(tmp_path: Path) -> None:
    rings = "".join(f'<circle cx="50" cy="40" r="{r}"/>' for r in (3, 9, 6, 12))
    assert areas(write(tmp_path, MM, rings)) == pytest.approx([63 * PI, 27 * PI], rel=1e-12)
