"""A workshop drawing as DXF and as SVG, both at 1:1 in millimetres; the same drawing gives the same bytes."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable
from html import escape

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline

from .sheet import DIMENSIONS, EDGE, NOTES, WARNINGS, Label, Sheet

_COLOURS = {DIMENSIONS: (5, "#2f5d8a"), NOTES: (7, "#1d1d22"), WARNINGS: (1, "#a32020")}  # in DXF, in SVG
WIDEST = 2.5  # arc that is written in one piece [rad]
Place = Callable[[FloatArray | tuple[float, float]], str]
_METAL = (30, "#e6d3b8")


def as_dxf(sheet: Sheet) -> str:
    """The drawing as a DXF (R2010, millimetres); each conductor on a layer of its own, arcs as bulges."""
    from ezdxf._options import options
    from ezdxf.document import Drawing
    from ezdxf.enums import TextEntityAlignment

    document = Drawing.new("R2010")
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    layers = {**{metal.layer: _METAL for metal in sheet.hatches}, **_COLOURS}
    for name, (colour, _) in layers.items():
        if name not in document.layers:
            document.layers.add(name, color=colour)
    for metal in sheet.hatches:
        for outline in metal.outlines:
            corners = np.column_stack((outline.points, outline.bulges)).tolist()
            space.add_lwpolyline(corners, format="xyb", close=True, dxfattribs={"layer": metal.layer})
    for line in sheet.lines:
        if line.filled:  # third and fourth corner stand crosswise in the file
            order = line.points if len(line.points) == 3 else [line.points[k] for k in (0, 1, 3, 2)]
            space.add_solid(order, dxfattribs={"layer": line.layer})
        else:
            space.add_lwpolyline(line.points, dxfattribs={"layer": line.layer})
    align = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    for label in sheet.labels:
        attributes = {"layer": label.layer, "rotation": 90 if label.upright else 0}
        text = space.add_text(_printable(label.text).replace("%%", "% %"), height=label.height, dxfattribs=attributes)
        text.set_placement(label.at, align=align[label.anchor])
    stream = io.StringIO()
    stamped = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True  # no date, no number of its own
    try:
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = stamped
    return _in_order(re.sub(r"(?m)^[0-9.]+ @ [0-9-]{10}T\S+$", "-", stream.getvalue()))


def _in_order(dxf: str) -> str:
    """With its classes, which the library writes in another order in every process, by name."""
    before, mark, rest = dxf.partition("  2\nCLASSES\n")
    classes, end, after = rest.partition("  0\nENDSEC\n")
    _, *each = classes.split("  0\nCLASS\n")
    return "".join([before, mark, *(f"  0\nCLASS\n{one}" for one in sorted(each)), end, after])


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
