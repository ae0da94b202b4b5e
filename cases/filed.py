"""What the conductors of a case took from files, with each file's own hash beside that of the case."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ..postprocess.chapter import Chapter
from ..postprocess.tables import TextTable
from .model import FromFile

if TYPE_CHECKING:
    from .run import Result

_COLUMNS = ("conductor", "file", "layer or region", "outlines", "holes", "area", "SHA-256 of the file begins")


def chapter(result: Result) -> Chapter | None:
    """One line for every conductor that comes from a file; None where none does."""
    rows = [row for row in result.case.data.conductor if isinstance(row, FromFile)]
    if not rows:
        return None
    record, cells = {}, []
    for row in rows:
        found, file = row.found(), Path(row.file).name
        holes = sum(len(shape.holes) for shape in found.shapes)
        area = sum(s.outer.area - sum(hole.area for hole in s.holes) for s in found.shapes)
        record[row.name] = {
            "file": file,
            "sha256": found.digest,
            "group": found.group,
            "outlines": len(found.shapes),
            "holes": holes,
            "area_m2": area,
        }
        both = f"{area * 1e6:.6g} mm2 ({area / 25.4e-3**2:.4g} in2)"
        counts = (f"{len(found.shapes)}", f"{holes}", both, found.digest[:12])
        cells.append((row.name, file, found.group, *counts))
    return Chapter("files", "Outlines from files", record, (TextTable("Outlines from files", _COLUMNS, tuple(cells)),))
