"""Drawings and meshes that would take without end: refused soon, with the bound and what to do."""

from __future__ import annotations

import base64
import multiprocessing
import struct
import time
import zlib
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.geometries.drawings import curves, dxf, meshes, sketch
from crosscurrent.geometries.drawings.reading import read_drawing
from crosscurrent.geometries.errors import DrawingError

PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}</svg>'
SIDES = "expected at most 2000 lines and arcs, found more; save only"
LATE = r"expected a drawing that is read in 0\.3 s, found one that takes longer; save only"
MANY = 100_000  # of what the limits of this test allow some thousands


def path(commands: str) -> Callable[[], str]:
    return lambda: PAGE.format(f'<path d="M0,0 {commands}"/>')


def bomb(inside: str) -> str:
    groups = [f'<g id="u0">{inside}</g>'] + [
        f'<g id="u{k}">' + f'<use href="#u{k - 1}"/>' * 10 + "</g>" for k in range(1, 15)
    ]
    return PAGE.format(f"<defs>{''.join(groups)}</defs><use href='#u14'/>")


def entities(*rows: object) -> str:
    return "\n".join(map(str, [0, "SECTION", 2, "ENTITIES", *rows, 0, "ENDSEC", 0, "EOF"]))


def spline(count: int, degree: int = 3) -> str:
    knots = [0] * degree + [*range(count - degree + 1)] + [count - degree] * degree
    places = np.random.default_rng(1).uniform(0, 100, (count, 2)).round(3)
    rows = [0, "SPLINE", 100, "AcDbEntity", 8, 0, 100, "AcDbSpline", 70, 8, 71, degree]
    rows += [72, len(knots), 73, count, 74, 0]
    rows += [word for knot in knots for word in (40, knot)]
    return entities(*rows, *[word for x, y in places for word in (10, x, 20, y, 30, 0)])


FILES = {
    "lines.svg": (path("l1,1" * MANY), SIDES),
    "steps.svg": (path("h1v1" * MANY), SIDES),
    "numbers.svg": (path("L" + "1,2 " * MANY), SIDES),
    "cubics.svg": (path("c1,0 0,1 1,1" * MANY), SIDES),
    "cusps.svg": (path("c9,9 -9,9 1,0 " * 1900), LATE),
    "polygon.svg": (lambda: PAGE.format(f'<polygon points="{"1,2 " * MANY}"/>'), SIDES),
    "uses.svg": (lambda: bomb('<rect width="1" height="1"/>'), SIDES),
    "empty.svg": (lambda: bomb(""), "expected at most 2000 entities, found more"),
    "transform.svg": (
        lambda: PAGE.format(f'<rect width="1" height="1" transform="{"scale(1) " * MANY}"/>'),
        "a transform that is not understood",
    ),
    "length.svg": (lambda: PAGE.format(f'<rect width="1{" " * MANY}!" height="1"/>'), "rect that is damaged"),
    "polyline.dxf": (
        lambda: entities(0, "LWPOLYLINE", 8, 0, 90, MANY, 70, 1, *[10, 1, 20, 2] * MANY),
        "expected a DXF file of at most 20000 tags, found one of 200",
    ),
    "spline.dxf": (lambda: spline(600), "expected curves that 2000 pairs of arcs can follow, found a longer one"),
    "pieces.dxf": (lambda: spline(3000), "expected curves of at most 2000 pieces, found one of"),
    "degree.dxf": (lambda: spline(300, 26), "SPLINE that is damaged"),
}


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sketch, "MOST_SIDES", 2000)
    monkeypatch.setattr(sketch, "MOST_ENTITIES", 2000)
    monkeypatch.setattr(sketch, "PATIENCE", 0.3)
    monkeypatch.setattr(dxf, "MOST_TAGS", 20_000)
    monkeypatch.setattr(curves, "MOST_PIECES", 2000)


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize("name", FILES)
def test_refused_soon_with_the_bound(name: str, tmp_path: Path) -> None:
    make, words = FILES[name]
    (tmp_path / name).write_text(make())
    began = time.process_time()
    with pytest.raises(DrawingError, match=words) as caught:
        read_drawing(tmp_path / name, unit=1e-3).layer(None)
    assert time.process_time() - began < 5
    assert caught.value.hint


def swollen(path: Path) -> str:
    """What is said of a mesh file when 60 MB may be taken to read it."""
    meshes.MOST_MEMORY = 60_000_000
    with pytest.raises(DrawingError) as caught:
        meshes.read_mesh(path, unit=1e-3)
    return str(caught.value)


def test_a_mesh_that_swells(tmp_path: Path) -> None:
    """A hundred megabytes of zeros in a file of a hundred kilobytes, in a fresh process: its heap has no such hole."""
    size = 100_000_000
    packed = zlib.compress(bytes(size))
    data = base64.b64encode(struct.pack("<IIII", 1, size, 0, len(packed))) + base64.b64encode(packed)
    (tmp_path / "zeros.vtu").write_text(
        '<VTKFile type="UnstructuredGrid" version="0.1" byte_order="LittleEndian" header_type="UInt32" '
        'compressor="vtkZLibDataCompressor"><UnstructuredGrid><Piece NumberOfPoints="4166666" NumberOfCells="0">'
        '<Points><DataArray type="Float64" NumberOfComponents="3" format="binary">'
        f"{data.decode()}</DataArray></Points><Cells></Cells></Piece></UnstructuredGrid></VTKFile>"
    )
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as fresh:
        said = fresh.submit(swollen, tmp_path / "zeros.vtu").result()
    assert "expected a mesh file that is read in 0.06 GB of memory, found one that" in said


def test_entities_declared_late_or_in_another_encoding(tmp_path: Path) -> None:
    late = f"<?xml version='1.0'?><!--{'x' * 200_000}--><!DOCTYPE x [<!ENTITY a 'b'>]><VTKFile/>"
    for data in (late.encode(), late.replace("<?xml version='1.0'?>", "").encode("utf-16")):
        (tmp_path / "it.vtu").write_bytes(data)
        with pytest.raises(DrawingError, match="a mesh file without declared entities, found <!ENTITY"):
            meshes.read_mesh(tmp_path / "it.vtu", unit=1e-3)
