"""Files that are no drawings, or broken ones, or traps: each gives one clear message, soon."""

from __future__ import annotations

import gzip
import io
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from crosscurrent.geometries.drawings import sketch
from crosscurrent.geometries.drawings.reading import read_drawing
from crosscurrent.geometries.errors import CrosscurrentError, DrawingError

MM = '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10 10">'


def sound_dxf() -> str:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 4
    doc.modelspace().add_lwpolyline([(0, 0), (4, 0), (4, 3)], close=True)
    doc.modelspace().add_line((0, 0), (4, 3))
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue()


def dxf(*tags: object) -> str:
    """A bare file of entities alone, with its unit in the header."""
    head = ["0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", "4", "0", "ENDSEC", "0", "SECTION", "2", "ENTITIES"]
    return "\n".join([*head, *map(str, tags), "0", "ENDSEC", "0", "EOF", ""])


def nested_blocks(depth: int, itself: bool) -> str:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 4
    for k in range(depth):
        block = doc.blocks.new(f"b{k}")
        block.add_blockref(f"b{k + 1}" if not itself else f"b{(k + 1) % depth}", (0, 0))
    doc.modelspace().add_blockref("b0", (0, 0))
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue()


def many_copies() -> str:
    """Eight blocks, each holding the next one forty times."""
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = 4
    for k in range(8):
        block = doc.blocks.new(f"b{k}")
        for _ in range(40):
            block.add_blockref(f"b{k + 1}", (0, 0)) if k < 7 else block.add_circle((0, 0), 1)
    doc.modelspace().add_blockref("b0", (0, 0))
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue()


def zipped(name: str, content: bytes) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
    return stream.getvalue()


LAUGHS = "".join(f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 10))
LINE = ("0", "LINE", "8", "0", "10", 0, "20", 0, "11")

FILES: dict[str, tuple[Callable[[], str | bytes], str]] = {
    "empty": (lambda: b"", "found an empty file"),
    "blank": (lambda: b" \n\n", "found an empty file"),
    "text": (lambda: "40 x 30 mm, two off", "expected a DXF or SVG file, found something else"),
    "random bytes": (lambda: np.random.default_rng(1).bytes(5000), "expected a DXF or SVG file, found something else"),
    "drawing of another program": (lambda: b"AC1032\0\0\0\0" + b"\7" * 500, "found a DWG file; save it as DXF"),
    "compressed page": (lambda: gzip.compress(MM.encode() + b" " * 10**6), "found a compressed file"),
    "archive": (lambda: zipped("p.svg", b"<svg/>" + b" " * 10**7), "found a compressed archive; unpack it"),
    "document": (lambda: b"%PDF-1.7\n", "found a PDF file"),
    "photograph": (lambda: b"\x89PNG\r\n\x1a\n", "found a picture of dots"),
    "cut in half": (lambda: sound_dxf()[:9000], "closed by EOF, found one that breaks off"),
    "cut at the end": (lambda: sound_dxf()[:-6], "closed by EOF, found one that breaks off"),
    "a line lost": (lambda: sound_dxf().replace("LWPOLYLINE\n", "", 1), "a sound DXF file, found a damaged one"),
    "letters for a number": (
        lambda: dxf(*LINE, "4x", "21", 3), "expected a sound DXF file, found a damaged one"
    ),
    "letters for a code": (lambda: dxf("zero", "LINE"), "expected a sound DXF file, found a damaged one"),
    "not a number": (
        lambda: dxf(*LINE, "nan", "21", 3), "left out were: 1 x curve with a coordinate that is not a number"
    ),
    "infinite": (lambda: dxf(*LINE, "1e999", "21", 3), "1 x curve with a coordinate that is not a number"),
    "no entities": (lambda: dxf(), "expected closed outlines in the drawing, found none"),
    "one open line": (lambda: dxf(*LINE, "4", "21", 3), "1 x open curve (the first from (0, 0) mm to (4, 3) mm"),
    "only text": (lambda: dxf("0", "TEXT", "8", "a", "10", 0, "20", 0, "40", 1, "1", "x"), "1 x TEXT"),
    "circle without radius": (
        lambda: dxf("0", "CIRCLE", "8", "a", "10", 0, "20", 0, "40", 0), "1 x CIRCLE without radius"
    ),
    "spline without knots": (
        lambda: dxf("0", "SPLINE", "100", "AcDbEntity", "8", "a", "100", "AcDbSpline", "70", 0, "71", 3, "72", 1, "73",
                    4, "74", 0, "40", 0.0, *[x for k in range(4) for x in ("10", k, "20", k * k, "30", 0)]),
        "1 x SPLINE that is damaged",
    ),
    "block inside itself": (lambda: nested_blocks(2, True), 'expected blocks that end, found the block "b0" inside'),
    "blocks too deep": (lambda: nested_blocks(40, False), "expected blocks that end, found more than 16 levels"),
    "a copy of a copy of a copy": (many_copies, "expected at most 10000 entities, found more"),
    "unclosed tag": (lambda: MM + "<g><rect width='3' height='2'/></svg>", "a sound SVG file, found a damaged one"),
    "cut page": (lambda: MM + "<rect width='3' hei", "expected a sound SVG file, found a damaged one"),
    "other XML": (lambda: "<html><svg/></html>", "expected an SVG file, found XML that begins with <html>"),
    "a thousand million words": (
        lambda: f'<!DOCTYPE svg [<!ENTITY a0 "ha">{LAUGHS}]>{MM}<text>&a9;</text></svg>',
        "expected an SVG without declared entities",
    ),
    "another file's content": (
        lambda: f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>{MM}<text>&x;</text></svg>',
        "expected an SVG without declared entities",
    ),
    "undeclared entity": (lambda: MM + "<text>&nbsp;</text></svg>", "expected a sound SVG file, found a damaged one"),
    "group inside itself": (
        lambda: MM + '<g id="a"><use href="#a"/></g></svg>', 'expected groups that end, found "#a" used inside itself'
    ),
    "groups too deep": (lambda: MM + "<g>" * 5000 + "</g>" * 5000 + "</svg>", "expected groups that end"),
    "a use of a use of a use": (
        lambda: MM + '<circle id="u0" r="1"/>'
        + "".join(f'<g id="u{k}">{f"""<use href="#u{k - 1}"/>""" * 30}</g>' for k in range(1, 6)) + "</svg>",
        "expected at most 10000 entities, found more",
    ),
    "path without numbers": (lambda: MM + '<path d="M L C"/></svg>', "found none"),
    "path of words": (lambda: MM + '<path d="here and there"/></svg>', "1 x path that is damaged (letters that are"),
    "path cut short": (lambda: MM + '<path d="M0 0 L 4 0 L 4"/></svg>', "found none"),
    "transform without sense": (
        lambda: MM + '<rect width="3" height="2" transform="enlarge(2)"/></svg>', "a transform that is not understood"
    ),
    "transform to nothing": (
        lambda: MM + '<rect width="3" height="2" transform="scale(0)"/></svg>', "a transform that leaves no area"
    ),
    "polygon with an odd number": (lambda: MM + '<polygon points="0 0 4 0 4"/></svg>', "5 numbers are no list"),
}  # fmt: skip


def test_there_are_enough() -> None:
    assert len(FILES) >= 20


@pytest.mark.parametrize("name", FILES)
def test_one_clear_message_soon(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sketch, "MOST_ENTITIES", 10_000)  # a tenth of what is allowed
    make, words = FILES[name]
    content = make()
    path = tmp_path / "plan.dxf"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    began = time.process_time()
    with pytest.raises(DrawingError) as caught:
        read_drawing(path).layer(None)
    assert time.process_time() - began < 10
    message = str(caught.value)
    assert message.startswith("plan.dxf: expected ")
    assert words in message
    assert "; " in message
    assert len(message) < 500
    assert isinstance(caught.value, (CrosscurrentError, ValueError))


def test_missing_folder_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(DrawingError, match=r"^plan.dxf: expected a file, found no such file; check its name"):
        read_drawing(tmp_path / "plan.dxf")
    with pytest.raises(DrawingError, match=r"expected a file, found a folder; name the file inside it"):
        read_drawing(tmp_path)
    monkeypatch.setattr("crosscurrent.geometries.drawings.reading.MOST_BYTES", 1000)
    (tmp_path / "plan.dxf").write_text(sound_dxf())
    with pytest.raises(DrawingError, match=r"expected a file of at most 0.001 MB, found [0-9.]+ MB; save only"):
        read_drawing(tmp_path / "plan.dxf")


def test_twenty_thousand_entities_take_seconds(tmp_path: Path) -> None:
    rng = np.random.default_rng(2)
    tags: list[object] = []
    for a, b, c, d in rng.uniform(0, 1000, (20_000, 4)):
        tags += ["0", "LINE", "8", "site", "10", a, "20", b, "11", c, "21", d]
    tags += ["0", "CIRCLE", "8", "rod", "10", 5, "20", 5, "40", 2]
    (tmp_path / "site.dxf").write_text(dxf(*tags))
    began = time.perf_counter()
    drawing = read_drawing(tmp_path / "site.dxf")
    assert len(drawing.layer(None).shapes) == 1
    assert "20000 x open curve" in drawing.layers["site"].left_out[0]
    assert time.perf_counter() - began < 20


def test_many_circles_on_one_another(tmp_path: Path) -> None:
    (tmp_path / "page.svg").write_text(MM + '<circle r="2"/>' * 2000 + "</svg>")
    layer = read_drawing(tmp_path / "page.svg").layer(None)
    assert len(layer.shapes) == 1
    assert layer.left_out == ("1999 x curve drawn a second time",)
    almost = "".join(f'<circle r="{2 + 1e-8 * k}"/>' for k in range(2500))
    (tmp_path / "page.svg").write_text(f"{MM}{almost}</svg>")
    with pytest.raises(DrawingError, match="very many within the gap of one another"):
        read_drawing(tmp_path / "page.svg").layer(None)


def test_more_outlines_than_a_section_holds(tmp_path: Path) -> None:
    page = MM + "".join(f'<rect x="{k}" width="0.5" height="0.5"/>' for k in range(2001)) + "</svg>"
    (tmp_path / "page.svg").write_text(page)
    layer = read_drawing(tmp_path / "page.svg").layer(None)
    with pytest.raises(DrawingError, match="at most 2000 closed outlines in a layer, found 2001"):
        assert layer.shapes


def test_patience_ends(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sketch, "PATIENCE", -1.0)
    (tmp_path / "page.svg").write_text(MM + '<circle r="2"/></svg>')
    with pytest.raises(DrawingError, match="one that takes longer"):
        read_drawing(tmp_path / "page.svg")
