"""The drawing itself: metal, dimensions, gaps and names, with text of a size."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.axial import mirror_image
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part

from .axis import Kind, add_axis, is_on_axis, mirrored_gap
from .dimensions import add_gaps, add_sizes
from .gaps import Gap, joining_gaps
from .names import add_names
from .sheet import Hatch, Sheet

COARSEST = 0.125  # height of the text on a small drawing, as a fraction of the section's longer side


def extent(parts: Sequence[Part]) -> FloatArray:
    """Width and height of a section, (2,) [mm]."""
    boxes = np.array([part.bounds for part in parts]) * 1e3
    return np.asarray(boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0))


def drawing(parts: Sequence[Part], title: str, height: float, kind: Kind = "plane") -> Sheet:
    """Metal, dimensions, gaps and names, with text of a height [mm]; of a section round an axis both halves or one.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> [label.text for label in drawing([Part("rail", bar(0.1, 0.006))], "Feed", 2.5).labels]
    ['100 (3.937 in)', '6 (236.2)', 'rail']
    """
    sheet = _measured(parts, joining_gaps(parts), title, height, kind)
    add_names(sheet, _shown(parts, kind))
    return sheet


def fitted_drawing(
    parts: Sequence[Part], title: str, room: tuple[float, float], text: float, kind: Kind = "plane"
) -> Sheet:
    """The drawing for a place on paper: its text has about a height [mm] once it is scaled into a room [mm].

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> sheet = fitted_drawing([Part("rail", bar(0.1, 0.006))], "Feed", (150.0, 60.0), 2.0)
    >>> bool(abs(sheet.height * min((150, 60) / sheet.size) - 2.0) < 0.1)
    True
    """
    gaps, size, places = joining_gaps(parts), extent(_shown(parts, kind)), np.array(room)
    largest = COARSEST * float(size.max())
    height = largest / 3
    for _ in range(2):  # what stands around the metal grows with the text, almost in proportion
        around = (_measured(parts, gaps, title, height, kind).size - size) / height
        left = places - text * around
        height = float(np.max(text * size / left)) if (left > 0).all() else largest
        height = min(height, largest)
    sheet = _measured(parts, gaps, title, height, kind)
    add_names(sheet, _shown(parts, kind))
    return sheet


def extent_of(parts: Sequence[Part], kind: Kind) -> FloatArray:
    """Width and height of what is drawn, (2,) [mm]."""
    return extent(_shown(parts, kind))


def _measured(parts: Sequence[Part], gaps: Sequence[Gap], title: str, height: float, kind: Kind) -> Sheet:
    """Metal, dimensions and gaps; round an axis the axis, and diameters."""
    sheet = Sheet(title, height)
    shown = _shown(parts, kind)
    for part, own in zip(shown, (*parts, *(p for p in parts if not is_on_axis(p))), strict=False):
        scaled = tuple(Outline(o.points * 1e3, o.bulges) for o in part.all_outlines)
        sheet.hatches.append(Hatch(_layer(own.name), scaled))
    if kind != "plane":
        add_axis(sheet, shown)
        gaps = [mirrored_gap(gap) for gap in gaps] if kind == "both halves" else gaps
    add_sizes(sheet, parts, around=shown, axial=kind != "plane")
    add_gaps(sheet, shown, gaps)
    return sheet


def _shown(parts: Sequence[Part], kind: Kind) -> Sequence[Part]:
    """Parts, and left of an axis their mirror images without names where both halves are drawn."""
    if kind != "both halves":
        return parts
    return (*parts, *(mirror_image(p) for p in parts if not is_on_axis(p)))


def _layer(name: str) -> str:
    """A layer of its own for every conductor; drawing programs forbid some signs."""
    return "METAL " + "".join("-" if c in '<>/\\":;?*|=,`' or not c.isprintable() else c for c in name)
