"""A section as a small SVG drawing: true arcs, names, a scale bar; nothing but text is needed to make it."""

from __future__ import annotations

import math
from html import escape

import numpy as np

from crosscurrent.geometries.plane.axial import mirror_image
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.postprocess.answers.units import THOU

WIDTH, TALLEST = 480.0, 360.0  # of the drawing [px]
MARGIN, FOOT = 12.0, 26.0
LETTER = 6.2  # mean width of a letter of a name [px]
METAL, COAT, INK = "#e6d3b8", "#9d8f9f", "#1d1d22"


def section_svg(section: Section) -> str:
    """The drawing of a section.

    Parameters
    ----------
    section : Section

    Returns
    -------
    str
        A whole SVG document; names are escaped.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> drawing = section_svg(Section((Part("rod", round_bar(0.01)),)))
    >>> drawing.count("A"), "2 mm" in drawing
    (4, True)
    """
    coats = max(sum(p.coats) for p in section.parts)
    shown = _shown(section)
    boxes = np.array([part.bounds for part in shown])
    low, high = boxes[:, 0].min(axis=0) - coats, boxes[:, 1].max(axis=0) + coats
    extent = high - low
    scale = float(min((WIDTH - 2 * MARGIN) / extent[0], (TALLEST - 2 * MARGIN - FOOT) / extent[1]))
    height = 2 * MARGIN + FOOT + scale * float(extent[1])
    sheet = _Pixels(scale, MARGIN - scale * float(low[0]), MARGIN + scale * float(high[1]))
    body = [line for part in shown for line in _part(part, sheet)]
    body += _axis(sheet, height) if section.axial else []
    body += [line for part in section.parts for line in _name(part, sheet)]
    body += _scale_bar(scale, height)
    names = ", ".join(p.name for p in section.parts)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {height:.5g}" width="{WIDTH:g}" '
        f'height="{height:.5g}" font-family="sans-serif" font-size="11">'
    )
    title = f"<title>{_text(f'cross-section: {names}')}</title>"
    return "\n".join([head, title, *body, "</svg>\n"])


def _shown(section: Section) -> tuple[Part, ...]:
    """Its parts, those round an axis on both sides of it."""
    if not section.axial:
        return section.parts
    return (*section.parts, *(mirror_image(p) for p, on in zip(section.parts, section.crosses, strict=True) if not on))


def _axis(sheet: _Pixels, height: float) -> list[str]:
    """A chain line through all of the drawing."""
    x = sheet.place(np.zeros(2)).split()[0]
    line = f'<path d="M{x} 2V{height - FOOT:.5g}" stroke="{INK}" stroke-width="0.8" stroke-dasharray="14 3 2 3"/>'
    return [line, f'<text x="{float(x) + 4:.6g}" y="10" font-size="9" fill="{INK}">axis</text>']


class _Pixels:
    """From metres, y up, to pixels, y down."""

    def __init__(self, scale: float, x: float, y: float) -> None:
        self.scale, self._x, self._y = scale, x, y

    def place(self, point: np.ndarray[tuple[int], np.dtype[np.float64]]) -> str:
        return f"{self._x + self.scale * point[0]:.7g} {self._y - self.scale * point[1]:.7g}"

    def path(self, outline: Outline) -> str:
        """An outline as path data; every arc stays an arc."""
        steps = [f"M{self.place(outline.points[0])}"]
        for end, radius, sweep, curved in zip(outline.ends, outline.radii, outline.sweeps, outline.curved, strict=True):
            if curved:
                r = f"{self.scale * radius:.7g}"
                steps.append(f"A{r} {r} 0 {int(abs(sweep) > math.pi)} {int(sweep < 0)} {self.place(end)}")
            else:
                steps.append(f"L{self.place(end)}")
        return "".join([*steps, "Z"])


def _part(part: Part, sheet: _Pixels) -> list[str]:
    """The metal with its holes left open; coats as a wide line under it."""
    lines = []
    metal = "".join(sheet.path(outline) for outline in part.all_outlines)
    if part.coats:
        wide = 2 * sheet.scale * sum(part.coats)
        lines.append(
            f'<path d="{sheet.path(part.shape.outer)}" fill="none" stroke="{COAT}" stroke-width="{max(wide, 2.5):.5g}" '
            'stroke-linejoin="round"/>'
        )
    lines.append(
        f'<path d="{metal}" fill="{METAL}" fill-rule="evenodd" stroke="{INK}" stroke-width="0.8"/>'
    )
    return lines


def _name(part: Part, sheet: _Pixels) -> list[str]:
    low, high = part.shape.outer.bounds
    if len(part.name) * LETTER > sheet.scale * (high[0] - low[0]) or sheet.scale * (high[1] - low[1]) < 13:
        return []
    x, y = sheet.place((low + high) / 2).split()
    middle = 'text-anchor="middle" dominant-baseline="central"'
    return [f'<text x="{x}" y="{y}" {middle} fill="{INK}">{_text(part.name)}</text>']


def _scale_bar(scale: float, height: float) -> list[str]:
    """A bar of 1, 2 or 5 times a power of ten millimetres, about a quarter of the drawing long."""
    wanted = 0.25e3 * WIDTH / scale
    power = 10.0 ** math.floor(math.log10(wanted))
    length = max(k for k in (1, 2, 5) if k * power <= wanted) * power
    y = height - MARGIN
    end = MARGIN + 1e-3 * length * scale
    label = f"{length:.10g} mm ({float(f'{1e-3 * length / THOU:.3g}'):.10g} thou)"
    return [
        f'<path d="M{MARGIN:g} {y:.5g}H{end:.6g}" stroke="{INK}" stroke-width="3"/>',
        f'<text x="{end + 6:.6g}" y="{y:.5g}" dominant-baseline="central" fill="{INK}">{label}</text>',
    ]


def _text(text: str) -> str:
    return escape("".join(c for c in text if c.isprintable()))
