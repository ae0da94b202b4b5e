"""Conductors whose outlines come out of a file: a drawing, or a finished mesh."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.geometries.drawings.sketch import UNITS
from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.plane.shapes import Shape

if TYPE_CHECKING:
    from crosscurrent.geometries.drawings.meshes import FinishedMesh
    from crosscurrent.geometries.drawings.reading import Drawing

FARTHEST = 100.0  # from the origin [m], as for every coordinate of a case file
MOST_SIDES = 5000  # of one conductor's outlines
_FILE_SHAPES = ("drawing", "mesh", "bundle")


@dataclass(frozen=True, eq=False)
class Found:
    """What a file gave: shapes [m] in its own coordinates, and what is worth knowing about the reading."""

    shapes: tuple[Shape, ...]
    notes: tuple[str, ...]
    group: str  # the layer or region
    digest: str  # SHA-256 of the file


def beside(data: Mapping[str, object], folder: Path) -> Mapping[str, object]:
    """The tables of a case file with the files of its conductors and metals counted from the folder."""
    rows, metals = data.get("conductor"), data.get("material")

    def placed(row: object, key: str) -> object:
        return {**row, key: str(folder / row[key])} if isinstance(row, dict) and isinstance(row.get(key), str) else row

    found = dict(data)
    if isinstance(rows, (list, tuple)):
        from_file = [isinstance(row, dict) and row.get("shape") in _FILE_SHAPES for row in rows]
        found["conductor"] = [placed(row, "file") if own else row for row, own in zip(rows, from_file, strict=True)]
    if isinstance(metals, Mapping):
        found["material"] = {name: placed(metal, "magnetisation") for name, metal in metals.items()}
    return found


def from_drawing(file: str, layer: str | None, unit: str | None, scale: float, gap: float | None) -> Found:
    """The closed outlines of one layer.

    Raises
    ------
    DrawingError
        The file, the layer or the unit is at fault.
    """
    drawing = _drawing(file, _stamp(file), unit, scale, gap)
    chosen = drawing.layer(layer)
    where = f"{drawing.file}, layer {chosen.name}"
    notes = [f"{drawing.file}: {note}" for note in drawing.notes]
    if unit and drawing.unit and not np.isclose(drawing.unit, UNITS[unit], rtol=1e-9):
        notes.append(f"{drawing.file}: its own unit is {drawing.unit * 1e3:.6g} mm; the case takes {unit} instead")
    if chosen.left_out:
        notes.append(f"{where}: left out were {', '.join(chosen.left_out)}")
    if chosen.joined.widest > 1e-3 * chosen.gap:
        notes.append(f"{where}: gaps of up to {chosen.joined.widest * 1e3:.3g} mm between ends were closed")
    return _checked(chosen.shapes, tuple(notes), chosen.name, Path(file))


def from_mesh(file: str, region: str | None, unit: str | None, scale: float) -> Found:
    """The outlines of one region of a finished mesh.

    Raises
    ------
    DrawingError
        The file, the region or the unit is at fault.
    """
    mesh = _mesh(file, _stamp(file), unit, scale)
    chosen = mesh.region(region)
    return _checked(chosen.shapes, tuple(f"{mesh.file}: {note}" for note in mesh.notes), chosen.name, Path(file))


def _checked(shapes: tuple[Shape, ...], notes: tuple[str, ...], group: str, file: Path) -> Found:
    far = max(float(np.abs(shape.outer.bounds).max()) for shape in shapes)
    if far > FARTHEST:
        hint = "move the section to the origin of the drawing, or check unit and scale"
        raise DrawingError("outlines within 100 m of the origin", f"one {far:.4g} m away", hint, file.name)
    sides = sum(len(o.points) for shape in shapes for o in (shape.outer, *shape.holes))
    if sides > MOST_SIDES:
        hint = "draw arcs as arcs, or put fewer parts into the layer"
        raise DrawingError(f"outlines of at most {MOST_SIDES} lines and arcs", f"{sides}", hint, file.name)
    return Found(shapes, notes, group, _digest(str(file), _stamp(str(file))))


def _stamp(file: str) -> tuple[int, int]:
    """Tells a changed file from the one that was read."""
    try:
        status = Path(file).stat()
    except (OSError, ValueError):
        return (0, 0)
    return (status.st_mtime_ns, status.st_size)


@lru_cache(maxsize=4)
def _drawing(file: str, stamp: tuple[int, int], unit: str | None, scale: float, gap: float | None) -> Drawing:
    from crosscurrent.geometries.drawings.reading import read_drawing

    return read_drawing(file, unit=UNITS[unit] if unit else None, scale=scale, gap=gap)


@lru_cache(maxsize=4)
def _mesh(file: str, stamp: tuple[int, int], unit: str | None, scale: float) -> FinishedMesh:
    from crosscurrent.geometries.drawings.meshes import read_mesh

    return read_mesh(file, unit=UNITS[unit] if unit else None, scale=scale)


@lru_cache(maxsize=16)
def _digest(file: str, stamp: tuple[int, int]) -> str:
    return hashlib.sha256(Path(file).read_bytes()).hexdigest()
