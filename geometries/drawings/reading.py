"""A drawing on disk -> its layers, each with the shapes that its closed outlines make, in metres."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.ordinary_file import FileFault, ordinary_bytes
from crosscurrent.geometries.plane.shapes import Shape

from .curves import Run
from .dxf import is_dxf, read_dxf
from .joining import Joined, join
from .nesting import nest
from .sketch import MOST_BYTES, UNITS, Sketch, Stroke
from .svg import is_svg, read_svg

GAP = 10e-6  # ends nearer than this are joined [m] ...
GAP_OF_SIZE = 1e-4  # ... or than this fraction of the layer's size, if that is less
_BEGINNINGS = {
    b"AC10": ("a DWG file", "save it as DXF"),
    b"\x1f\x8b": ("a compressed file", "save it as plain SVG or DXF"),
    b"PK": ("a compressed archive", "unpack it"),
    b"%PDF": ("a PDF file", "save the drawing as DXF or SVG"),
    b"%!PS": ("a PostScript file", "save the drawing as DXF or SVG"),
    b"\x89PNG": ("a picture of dots", "save the drawing as DXF or SVG"),
    b"\xff\xd8": ("a picture of dots", "save the drawing as DXF or SVG"),
}


@dataclass(frozen=True, eq=False)
class DrawingLayer:
    """One layer: what was found in it and what was left out.

    Attributes
    ----------
    name : str
    strokes : tuple of Stroke
        Its curves [m].
    gap : float
        Ends nearer than this are joined [m].
    skipped : mapping of str to int
        What was left out, and how often.
    """

    name: str
    strokes: tuple[Stroke, ...]
    gap: float
    skipped: Mapping[str, int]

    @cached_property
    def joined(self) -> Joined:
        """Its loops and what would not close."""
        return join(self.strokes, self.gap)

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """Its outlines with their holes, from left to right, then from the bottom up."""
        return nest(self.joined.loops)

    @cached_property
    def left_out(self) -> tuple[str, ...]:
        """What of this layer is not in its shapes, in words."""
        found = [f"{count} x {kind}" for kind, count in sorted(self.skipped.items())]
        j = self.joined
        if j.open_ends:
            ends = j.open_ends[0]
            widest = float(np.hypot(*(ends[1] - ends[0])))
            found.append(
                f"{len(j.open_ends)} x open curve (the first from {_place(ends[0])} to {_place(ends[1])}, "
                f"{_mm(widest)} apart; ends up to {_mm(self.gap)} apart are joined)"
            )
        if j.branches:
            found.append(f"{len(j.branches)} x branch (more than two curves meet, first at {_place(j.branches[0])})")
        if j.doubles:
            found.append(f"{j.doubles} x curve drawn a second time")
        if j.flat:
            found.append(f"{j.flat} x loop without area")
        return tuple(found)


@dataclass(frozen=True, eq=False)
class Drawing:
    """A drawing, read whole.

    Attributes
    ----------
    file : str
        Name of the file.
    kind : "DXF" or "SVG"
    unit : float or None
        Metres in one unit of the file, as the file says; None if it does not.
    layers : mapping of str to DrawingLayer
        In the order of their names.
    notes : tuple of str
    """

    file: str
    kind: str
    unit: float | None
    layers: Mapping[str, DrawingLayer]
    notes: tuple[str, ...]

    def layer(self, name: str | None) -> DrawingLayer:
        """A layer by name; without a name the only one that holds closed outlines.

        Raises
        ------
        DrawingError
            No such layer, none with outlines, or several to choose from.
        """
        full = [key for key, layer in self.layers.items() if layer.strokes and layer.joined.loops]
        known = ", ".join(f'"{key}"' for key in full[:12]) or "none"
        if name is None:
            if len(full) == 1:
                return self.layers[full[0]]
            if full:
                hint = f"write layer = {known.split(', ')[0]} or another one of {known}"
                raise DrawingError("one layer with closed outlines, or a choice", f"{len(full)}", hint, self.file)
            return self._usable(max(self.layers.values(), key=lambda k: len(k.strokes), default=None))
        same = [key for key in self.layers if key == name] or [k for k in self.layers if k.lower() == name.lower()]
        if not same:
            hint = f"its layers with closed outlines are {known}"
            raise DrawingError("a layer of the drawing", f'"{name}"', hint, self.file)
        return self._usable(self.layers[same[0]])

    def _usable(self, layer: DrawingLayer | None) -> DrawingLayer:
        if layer is not None and layer.joined.loops:
            return layer
        found = "; ".join(layer.left_out) if layer is not None and layer.left_out else "nothing that was drawn"
        where = f'layer "{layer.name}"' if layer is not None and layer.name else "the drawing"
        hint = f"left out were: {found}" if layer is not None else "draw the section as closed lines and arcs"
        raise DrawingError(f"closed outlines in {where}", "none", hint, self.file)


def read_drawing(
    path: str | Path, *, unit: float | None = None, scale: float = 1.0, gap: float | None = None
) -> Drawing:
    """Read a DXF or SVG file.

    Parameters
    ----------
    path : str or Path
    unit : float, optional
        Metres in one unit of the drawing; what the file says if left out.
    scale : float
        Factor on all lengths.
    gap : float, optional
        Ends of curves nearer than this are joined [m]; 10 um or 1/10000 of the layer's size if left out, whichever is
        less.

    Returns
    -------
    Drawing

    Raises
    ------
    DrawingError
        The file cannot be read, is damaged or too large, or does not tell its unit.

    Notes
    -----
    Lines, arcs and circles stay exact. Ellipses and splines become arcs that keep within 1e-5 of each curve's size;
    their area is right to about 1e-5.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> page = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">{}</svg>'
    >>> with TemporaryDirectory() as folder:
    ...     file = Path(folder) / "bar.svg"
    ...     _ = file.write_text(page.format('<rect width="6" height="2"/>'))
    ...     (bar,) = read_drawing(file).layer(None).shapes
    >>> round(bar.outer.area * 1e6, 9)
    12.0
    """
    path = Path(path)
    kind, sketch = _sketch(path)
    metres = sketch.unit if unit is None else unit
    if metres is None:
        hint = f'state it: unit = "mm" (or {", ".join(list(UNITS)[1:])})'
        raise DrawingError("a drawing that says its unit", f"{kind} without a unit of length", hint, path.name)
    size = metres * scale
    by_layer: dict[str, list[Stroke]] = {}
    for stroke in sketch.strokes:
        by_layer.setdefault(stroke.layer, []).append(
            replace(stroke, run=Run(stroke.run.points * size, stroke.run.bulges))
        )
    layers = {}
    for name in sorted({*by_layer, *(layer for layer, _ in sketch.skipped)}):
        strokes = tuple(by_layer.get(name, ()))
        skipped = Counter({what: n for (layer, what), n in sketch.skipped.items() if layer == name})
        layers[name] = DrawingLayer(name, strokes, gap or _usual_gap(strokes), skipped)
    return Drawing(path.name, kind, sketch.unit, layers, tuple(sketch.notes))


def _usual_gap(strokes: tuple[Stroke, ...]) -> float:
    if not strokes:
        return GAP
    low = np.min([s.run.points.min(axis=0) for s in strokes], axis=0)
    high = np.max([s.run.points.max(axis=0) for s in strokes], axis=0)
    return min(GAP, GAP_OF_SIZE * float(np.hypot(*(high - low)))) or GAP


def read_bytes(path: Path) -> bytes:
    """A file's content, if it is one and small enough.

    Raises
    ------
    DrawingError
        No such file, no ordinary one, no permission, empty or too large.
    """
    try:
        data = ordinary_bytes(path, MOST_BYTES, "save only the layers of the section in a file of their own")
    except FileFault as fault:
        raise DrawingError(fault.expected, fault.found, fault.hint, path.name) from None
    except FileNotFoundError:
        hint = "check its name; it counts from the folder of the case file"
        raise DrawingError("a file", "no such file", hint, path.name) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise DrawingError("a file", f"one that cannot be read ({reason})", "check it", path.name) from None
    if not data.strip():
        raise DrawingError("a file with something in it", "an empty file", "save it again", path.name)
    return data


def _sketch(path: Path) -> tuple[str, Sketch]:
    data = read_bytes(path)
    for beginning, (found, hint) in _BEGINNINGS.items():
        if data.startswith(beginning):
            raise DrawingError("a DXF or SVG file", found, hint, path.name)
    try:
        if is_dxf(data):
            return "DXF", read_dxf(data)
        if is_svg(data):
            return "SVG", read_svg(data)
    except DrawingError as error:
        raise DrawingError(error.expected, error.found, error.hint, path.name) from None
    raise DrawingError("a DXF or SVG file", "something else", "save the drawing as DXF or SVG", path.name)


def _place(point: np.ndarray[tuple[int], np.dtype[np.float64]]) -> str:
    return f"({point[0] * 1e3:.6g}, {point[1] * 1e3:.6g}) mm"


def _mm(length: float) -> str:
    return f"{length * 1e3:.4g} mm"
