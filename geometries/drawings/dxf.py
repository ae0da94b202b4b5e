"""A DXF file -> strokes: its model space with all blocks placed, seen from above."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from crosscurrent.geometries.errors import DrawingError

from .curves import IDENTITY, Affine
from .dxf_curves import CLOSED_OR_LOOSE, draw_entity, flat_place
from .sketch import DEEPEST, MOST_ENTITIES, Sketch

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert

# metres in one drawing unit by the code $INSUNITS (Autodesk DXF reference, section HEADER)
INSUNITS = {
    1: 25.4e-3, 2: 0.3048, 3: 1609.344, 4: 1e-3, 5: 1e-2, 6: 1.0, 7: 1e3, 8: 25.4e-9, 9: 25.4e-6, 10: 0.9144,
    11: 1e-10, 12: 1e-9, 13: 1e-6, 14: 0.1, 15: 10.0, 16: 100.0, 17: 1e9, 18: 149_597_870_700.0,
    21: 1200 / 3937, 22: 100 / 3937, 23: 3600 / 3937, 24: 1609.344 * 1200 / 3937 / 0.3048,
}  # fmt: skip
_SENTINEL = b"AutoCAD Binary DXF\r\n\x1a\x00"
MOST_TAGS = 1_000_000  # pairs of a code and a value
SMALLEST = 8  # bytes of a tag in a binary file, on average at least
MEND = "open it in the program that drew it and save it as DXF again"


def is_dxf(data: bytes) -> bool:
    """Whether a file's content is a DXF, as text or binary."""
    head = data[:4000].lstrip(b"\xef\xbb\xbf \t\r\n").split()
    return data.startswith(_SENTINEL) or (len(head) > 1 and head[0] in (b"0", b"999"))


def read_dxf(data: bytes) -> Sketch:
    """All curves of the model space.

    Parameters
    ----------
    data : bytes
        The file's content.

    Raises
    ------
    DrawingError
        The file is damaged or past the limits.
    """
    try:
        document = _document(data)
        sketch = Sketch(unit=INSUNITS.get(int(document.header.get("$INSUNITS", 0) or 0)))
        with np.errstate(all="ignore"):  # what is not finite is left out by the sketch
            _walk(document, document.modelspace(), IDENTITY, None, (), sketch)
        papers = sum(len(layout) for layout in document.layouts if not layout.is_modelspace)
    except (DrawingError, MemoryError):
        raise
    except Exception as error:  # the library meets damage with errors of every kind
        reason = " ".join(str(error).split())[:100]
        raise DrawingError("a sound DXF file", f"a damaged one ({reason or type(error).__name__})", MEND) from None
    if papers > 1:  # a viewport is always there
        sketch.notes.append(f"{papers} entities of the sheets (paper space) were left out")
    return sketch


def _document(data: bytes) -> Document:
    from ezdxf.document import Drawing as Document

    binary = data.startswith(_SENTINEL)
    tags = len(data) // SMALLEST if binary else max(data.count(b"\n"), data.count(b"\r")) // 2
    if tags > MOST_TAGS:
        hint = "save only the layers of the section in a file of their own"
        raise DrawingError(f"a DXF file of at most {MOST_TAGS} tags", f"one of {tags}", hint)
    if binary:
        from ezdxf.lldxf.tagger import binary_tags_loader

        return Document.load(binary_tags_loader(data))
    codes = data.replace(b"\r\n", b"\n").rstrip().split(b"\n")
    if sum(code.strip() == b"0" for code in codes[::2]) > 2 * MOST_ENTITIES:
        hint = "save only the layers of the section in a file of their own"
        raise DrawingError(f"at most {MOST_ENTITIES} entities", "more", hint)
    if codes[-1].strip() != b"EOF":
        raise DrawingError("a whole DXF file, closed by EOF", "one that breaks off before its end", MEND)
    return Document.read(io.StringIO(_text(data), newline=None))


def _text(data: bytes) -> str:
    """Text of a DXF: UTF-8 since 2007, else the code page the file names."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        from ezdxf.tools.codepage import toencoding

        words = data[:200_000].split()
        at = words.index(b"$DWGCODEPAGE") + 2 if b"$DWGCODEPAGE" in words else 0
        return data.decode(toencoding(words[at].decode("ascii", "replace")) if at else "cp1252", "replace")


def _walk(
    document: Document,
    entities: Iterable[DXFEntity],
    place: Affine,
    outer_layer: str | None,
    blocks: tuple[str, ...],
    sketch: Sketch,
) -> None:
    """Entities of the model space or of a block; those on layer 0 of a block take the layer of its reference."""
    for entity in entities:
        sketch.count()
        kind = entity.dxftype()
        own = str(entity.dxf.get("layer", "0"))
        layer = outer_layer if own == "0" and outer_layer is not None else own
        if entity.dxf.get("invisible", 0):
            sketch.skip(layer, f"{kind} that is invisible")
        elif kind == "INSERT":
            _insert(document, entity, place, layer, blocks, sketch)  # type: ignore[arg-type]
        elif kind in CLOSED_OR_LOOSE:
            _draw(entity, layer, place, sketch)
        else:
            sketch.skip(layer, kind)


def _draw(entity: DXFEntity, layer: str, place: Affine, sketch: Sketch) -> None:
    try:
        draw_entity(entity, layer, place, sketch)
    except DrawingError:
        raise
    except (ArithmeticError, ValueError, TypeError, KeyError, IndexError, AttributeError) as error:
        reason = " ".join(str(error).split())[:60]
        sketch.skip(layer, f"{entity.dxftype()} that is damaged ({reason or type(error).__name__})")


def _insert(
    document: Document, insert: Insert, place: Affine, layer: str, blocks: tuple[str, ...], sketch: Sketch
) -> None:
    name = str(insert.dxf.get("name", ""))
    block: Any = document.blocks.get(name)
    if block is None:
        sketch.skip(layer, f'INSERT of the block "{name}", which is not in the file')
        return
    if block.block.is_xref or block.block.is_xref_overlay:
        sketch.skip(layer, f'external reference "{name}": bind it to the drawing to have it read')
        return
    if name.lower() in blocks or len(blocks) >= DEEPEST:
        found = f'the block "{name}" inside itself' if name.lower() in blocks else f"more than {DEEPEST} levels"
        raise DrawingError("blocks that end", found, MEND)
    own = flat_place(insert.matrix44())
    if own is None:
        sketch.skip(layer, f'INSERT of "{name}" that is tilted out of the plane')
        return
    turn = math.radians(insert.dxf.get("rotation", 0.0))
    mirrored = -1.0 if insert.dxf.extrusion.z < 0 else 1.0
    along = np.array([mirrored * math.cos(turn), math.sin(turn)]) * insert.dxf.get("column_spacing", 0.0)
    up = np.array([-mirrored * math.sin(turn), math.cos(turn)]) * insert.dxf.get("row_spacing", 0.0)
    for row in range(max(1, int(insert.dxf.get("row_count", 1)))):
        for column in range(max(1, int(insert.dxf.get("column_count", 1)))):
            sketch.count()
            spot = Affine(own.linear, own.shift + row * up + column * along)
            _walk(document, block, place @ spot, layer, (*blocks, name.lower()), sketch)
