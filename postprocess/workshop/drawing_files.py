"""A workshop drawing as DXF and as SVG, both at 1:1 in millimetres; the same drawing gives the same bytes."""

from __future__ import annotations

import math
from collections.abc import Callable
from html import escape

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline

from .dxf_text import DxfText
from .sheet import DIMENSIONS, EDGE, NOTES, WARNINGS, Label, Sheet

_COLOURS = {DIMENSIONS: (5, "#2f5d8a"), NOTES: (7, "#1d1d22"), WARNINGS: (1, "#a32020")}  # in DXF, in SVG
WIDEST = 2.5  # arc that is written in one piece [rad]
Place = Callable[[FloatArray | tuple[float, float]], str]
_METAL = (30, "#e6d3b8")


def as_dxf(sheet: Sheet) -> str:
    """The drawing as a DXF (R2010, millimetres); each conductor on a layer of its own, arcs as bulges."""
    layers = {metal.layer: _METAL for metal in sheet.hatches} | _COLOURS
    drawing = DxfText({name: colour for name, (colour, _) in layers.items()})
    for metal in sheet.hatches:
        for outline in metal.outlines:
            corners = [(x, y, bulge) for x, y, bulge in np.column_stack((outline.points, outline.bulges)).tolist()]
            drawing.polyline(metal.layer, corners, closed=True)
    for line in sheet.lines:
        points = [(float(x), float(y)) for x, y in line.points]
        if line.filled:
            drawing.solid(line.layer, points)
        else:
            drawing.polyline(line.layer, [(x, y, 0.0) for x, y in points])
    for label in sheet.labels:
        at, turn = (float(label.at[0]), float(label.at[1])), 90.0 if label.upright else 0.0
        align = ("start", "middle", "end").index(label.anchor)
        drawing.text(label.layer, at, _printable(label.text), float(label.height), align=align, turn=turn)
    return str(drawing)


def as_svg(sheet: Sheet) -> str:
    """The drawing as an SVG whose page is its size in millimetres.

    Examples
    --------
    >>> from crosscurrent.postprocess.workshop.sheet import Hatch
    >>> square = Hatch("METAL rail", (Outline.of([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0)]),))
    >>> as_svg(Sheet("Rail", 1.0, [square])).count('width="12mm" height="7mm"')
    1
    """
    (left, _), (_, top) = sheet.bounds
    edge = EDGE * sheet.height
    width, tall = sheet.size

    def place(point: FloatArray | tuple[float, float]) -> str:
        return f"{float(point[0]) - left + edge:.12g} {top + edge - float(point[1]):.12g}"

    thin = f"{sheet.height / 14:.4g}"
    body = [f"<title>{_text(sheet.title)}</title>"]
    for metal in sheet.hatches:
        data = "".join(_path(outline, place) for outline in metal.outlines)
        body.append(
            f'<g id="{_text(metal.layer)}"><path d="{data}" fill="{_METAL[1]}" fill-rule="evenodd" stroke="#1d1d22" '
            f'stroke-width="{thin}"/></g>'
        )
    for layer, (_, colour) in _COLOURS.items():
        body.append(f'<g id="{layer}" fill="none" stroke="{colour}" stroke-width="{thin}">')
        for line in sheet.lines:
            if line.layer == layer:
                look = f' fill="{colour}" stroke="none"' if line.filled else ""
                tag = "polygon" if line.filled else "polyline"
                points = " ".join(place(p).replace(" ", ",") for p in line.points)
                body.append(f'<{tag} points="{points}"{look}/>')
        body += [_label(label, place, colour) for label in sheet.labels if label.layer == layer]
        body.append("</g>")
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.8g}mm" height="{tall:.8g}mm" '
        f'viewBox="0 0 {width:.8g} {tall:.8g}" font-family="DejaVu Sans, Arial, sans-serif">'
    )
    return "\n".join([head, *body, "</svg>\n"])


def _path(outline: Outline, place: Place) -> str:
    """Path data; an arc near a half circle goes in two, since a chord near the diameter leaves its centre unsure."""
    steps = [f"M{place(outline.points[0])}"]
    for k, (end, radius, sweep) in enumerate(zip(outline.ends, outline.radii, outline.sweeps, strict=True)):
        if not outline.curved[k]:
            steps.append(f"L{place(end)}")
            continue
        wide = abs(sweep) > WIDEST
        stops = [outline.at(k, 0.5)[0], end] if wide else [end]
        large = int(abs(sweep) / len(stops) > math.pi)
        for stop in stops:
            steps.append(f"A{radius:.13g} {radius:.13g} 0 {large} {int(sweep < 0)} {place(stop)}")
    return "".join([*steps, "Z"])


def _label(label: Label, place: Place, colour: str) -> str:
    x, y = place(label.at).split()
    turn = f' transform="rotate(-90 {x} {y})"' if label.upright else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{label.height * 1.25:.5g}" text-anchor="{label.anchor}" fill="{colour}" '
        f'stroke="none"{turn}>{_text(label.text)}</text>'
    )


def _printable(text: str) -> str:
    return "".join(c for c in text if c.isprintable())


def _text(text: str) -> str:
    return escape(_printable(text))
