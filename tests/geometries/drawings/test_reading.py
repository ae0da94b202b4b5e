"""A drawing read whole: its layers, units, and what is said where none can be chosen."""

import math

import pytest

from crosscurrent.geometries.drawings.reading import read_bytes, read_drawing
from crosscurrent.geometries.errors import DrawingError

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">'
    '<g id="bars"><rect x="10" y="10" width="20" height="5"/></g><g id="rods"><circle cx="60" cy="20" r="4"/></g></svg>'
)


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "two.svg"
    path.write_text(SVG, encoding="utf-8")
    return path


def test_layers_hold_their_shapes_in_metres(file):
    drawing = read_drawing(file)
    assert (drawing.kind, sorted(drawing.layers)) == ("SVG", ["bars", "rods"])
    assert drawing.layer("bars").shapes[0].outer.area == pytest.approx(100e-6)
    assert drawing.layer("RODS").shapes[0].outer.area == pytest.approx(16e-6 * math.pi)
    assert drawing.layer("bars").left_out == ()


def test_scale_is_a_factor_on_lengths(file):
    assert read_drawing(file, scale=2.0).layer("bars").shapes[0].outer.area == pytest.approx(400e-6)


@pytest.mark.parametrize(("name", "words"), [(None, "one layer"), ("tubes", "a layer of the drawing")])
def test_a_layer_must_be_there_and_chosen(file, name, words):
    with pytest.raises(DrawingError, match=words):
        read_drawing(file).layer(name)


@pytest.mark.parametrize(
    ("content", "found"),
    [(b"", "an empty file"), (b"%PDF-1.4", "a PDF file"), (b"AC1027", "a DWG file"), (b"hello", "something else")],
)
def test_what_is_no_drawing_is_named(tmp_path, content, found):
    (tmp_path / "file.dxf").write_bytes(content)
    with pytest.raises(DrawingError) as caught:
        read_drawing(tmp_path / "file.dxf")
    assert caught.value.found == found
    assert caught.value.file == "file.dxf"


def test_no_file_and_a_folder(tmp_path):
    for path, found in ((tmp_path / "none.svg", "no such file"), (tmp_path, "a folder")):
        with pytest.raises(DrawingError) as caught:
            read_bytes(path)
        assert caught.value.found == found
