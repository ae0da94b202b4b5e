"""The whole drawing of a section: metal, names, dimensions, notes, warning labels."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.few_names import few
from crosscurrent.postprocess.answers.units import significant
from crosscurrent.solver.field.problem import Conductor

from .dimensions import diameter
from .drawing import drawing, extent
from .sheet import LETTER, NOTES, WARNINGS, Polyline, Sheet, both

TEXT = 1 / 40  # height of the text as a fraction of the section's longer side
# what stands on the label, by words of the caution it comes from
_SIGNS = (
    ("get hot", "HOT SURFACE: burns; check the temperature before touching"),
    ("licensed people", "LIVE PARTS: switch off, lock and discharge before work"),
    ("burns deeply", "HIGH FREQUENCY: burns deeply without a shock; keep people away"),
    ("implants", "STRONG FIELD: no implants, rings or loose metal near it"),
    ("resonance voltage", "HIGH VOLTAGE at resonance"),
    ("fault current", "MAGNETIC FORCE: supports must stand the fault current"),
    ("water", "WATER ON LIVE PARTS: interlock flow and temperature"),
)


def section_sheet(
    conductors: Sequence[Conductor], title: str, cautions: Sequence[str], served: Sequence[Part] = (),
    *, axial: bool = False,
) -> Sheet:  # fmt: skip
    """Lay out the drawing.

    Parameters
    ----------
    conductors : sequence of Conductor
    title : str
    cautions : sequence of str
        Those of the answers; each kind of danger gets one warning label.
    served : sequence of Part
        Bundles with a serving, as a coat.
    axial : bool
        Whether the section goes round an axis: then the axis is drawn, and turns right of it only.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> from crosscurrent.solver.metals.materials import material
    >>> rail = Conductor(Part("rail", bar(0.1, 0.006)), material("copper"))
    >>> [label.text for label in section_sheet([rail], "Feed", []).labels[:3]]
    ['100 (3.937 in)', '6 (236.2)', 'rail']
    """
    parts = [c.part for c in conductors]
    sheet = drawing(parts, title, extent(parts).max() * TEXT, "right half" if axial else "plane")
    (left, bottom), (right, _) = sheet.bounds
    letters = max(46, int((right - left) / (LETTER * sheet.height)))
    made = [f"{names}: {how}" for names, how in parts_list(conductors, axial=axial)]
    bare = "plating and serving" if served else "plating"
    lines = [title, f"Scale 1:1. Dimensions in mm (thou, or in where it says so), without {bare}.", *made]
    lines += [f"{names}: {how}" for names, how in _servings(served)]
    if axial:
        lines.insert(2, "Round the axis: turns are drawn right of it only, what lies on it whole.")
    y = float(bottom) - 3 * sheet.height
    for line in lines:
        for k, piece in enumerate(textwrap.wrap(" ".join(line.split()), letters) or [""]):
            sheet.text(NOTES, (float(left) + (2 * sheet.height if k else 0.0), y), piece)
            y -= 1.7 * sheet.height
    signs = _signs(cautions)
    for words in signs:
        y -= 3.3 * sheet.height
        _sign(sheet, float(left), y, words, max(map(len, signs)))
    return sheet


def parts_list(conductors: Sequence[Conductor], *, axial: bool = False) -> list[tuple[str, str]]:
    """Names of conductors that are made alike, and what they are made of; of turns round an axis also how wide."""
    alike: dict[str, list[Conductor]] = {}
    for c in conductors:
        alike.setdefault(_made(c, axial=axial), []).append(c)
    return [
        (few([c.name for c in group]), made + (_mean_diameters(group) if axial else ""))
        for made, group in alike.items()
    ]


def _servings(served: Sequence[Part]) -> list[tuple[str, str]]:
    """Names of bundles that are served alike, how thick and how large they are over it."""
    alike: dict[str, list[str]] = {}
    for part in served:
        thick = sum(part.coats)
        wide, tall = (both(float(size)) for size in 1e3 * (np.ptp(part.bounds, axis=0) + 2 * thick))
        over = f"dia {wide}" if diameter(part.shape.outer) else f"{wide} x {tall}"
        alike.setdefault(f"served, {both(1e3 * thick)} thick; {over} over all", []).append(part.name)
    return [(few(names), how) for how, names in alike.items()]


def _on_axis(c: Conductor) -> bool:
    return bool(c.part.bounds[0, 0] < 0)


def _mean_diameters(alike: Sequence[Conductor]) -> str:
    """Of the turns among conductors that are made alike."""
    found = sorted(2e3 * float(c.part.shape.outer.centroid[0]) for c in alike if not _on_axis(c))
    if not found:
        return ""
    low, high = (both(float(f"{end:.6g}")) for end in (found[0], found[-1]))
    return f"; mean diameter {low}" if low == high else f"; mean diameters {low} to {high}"


def _made(c: Conductor, *, axial: bool) -> str:
    outer = c.part.shape.outer
    round_size = diameter(outer)
    wide, tall = np.ptp(outer.bounds, axis=0) * 1e3
    on_axis = axial and _on_axis(c)
    size = f"{'dia ' if on_axis else ''}{both(wide)} x {both(tall)}{' along the axis' if on_axis else ''}"
    size = f"{'ball, ' if on_axis else ''}dia {both(round_size * 1e3)}" if round_size else size
    words = [f"{c.material.name}, {size}", *([] if on_axis else [f"{significant(c.part.area * 1e6, 4)} mm2"])]
    if c.strands:
        groups = " x ".join(map(str, c.strands.levels or (c.strands.count,)))
        metal = f"{c.strands.copper * 1e6:.4g} mm2 of metal"
        words[-1] = f"over {groups} strands of {both(c.strands.diameter * 1e3)}, {metal}"
    for hole in c.part.shape.holes:
        bore = diameter(hole)
        across = np.ptp(hole.bounds, axis=0) * 1e3
        words.append(f"bore dia {both(bore * 1e3)}" if bore else f"bore {both(across[0])} x {both(across[1])}")
        if bore and round_size and np.hypot(*(hole.centroid - outer.centroid)) < 1e-9:
            words.append(f"wall {both((round_size - bore) * 500)}")
    words += _radii(outer) if not round_size else []
    for what, coats, metals in (
        ("plated", c.part.coats, c.coats),
        ("bore plated", c.part.bore_coats, c.bore_coats),
    ):
        if coats:
            layers = [f"{m.name} {t * 1e6:.4g} um ({t / 25.4e-6:.3g})" for t, m in zip(coats, metals, strict=True)]
            words.append(f"{what}, inside first: {', then '.join(layers)}")
    if c.pieces:
        words.append(f"pressed against it: {', '.join(m.name for m in c.pieces)}")
    if c.roughness:
        words.append(f"surface Rq {c.roughness * 1e6:.3g} um or finer")
    return "; ".join(dict.fromkeys(words))


def _radii(outline: Outline) -> list[str]:
    """Radii of edges and hollows, and whether corners are sharp."""
    arcs = np.flatnonzero(outline.curved)
    count = Counter((float(f"{outline.radii[k] * 1e3:.5g}"), bool(outline.bulges[k] > 0)) for k in arcs)
    words = [
        f"{'edge' if convex else 'hollow'} radius {both(radius)}, {number}x"
        for (radius, convex), number in list(count.items())[:5]
    ]
    if len(count) > 5:
        words.append(f"and {len(count) - 5} other radii")
    here = np.arange(len(outline.points))
    leaving, arriving = outline.at(here, 0.0)[1], np.roll(outline.at(here, 1.0)[1], 1, axis=0)
    turn = np.arctan2(arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0], (arriving * leaving).sum(axis=1))
    sharp = int((turn > 0.1).sum())
    return [*words, f"{sharp} sharp edges: break them"] if sharp else words


def _signs(cautions: Sequence[str]) -> list[str]:
    every = " ".join(cautions)
    return [sign for words, sign in _SIGNS if words in every]


def _sign(sheet: Sheet, x: float, y: float, words: str, longest: int) -> None:
    """A triangle with an exclamation mark, and what it warns of, in a frame."""
    h = sheet.height
    corners = ((x + 0.4 * h, y - 0.5 * h), (x + 2.8 * h, y - 0.5 * h), (x + 1.6 * h, y + 1.5 * h))
    sheet.line(WARNINGS, *corners, corners[0])
    mark = ((x + 1.45 * h, y + 0.8 * h), (x + 1.75 * h, y + 0.8 * h), (x + 1.6 * h, y + 0.05 * h))
    low, high = y - 0.3 * h, y - 0.08 * h
    dot = ((x + 1.47 * h, low), (x + 1.73 * h, low), (x + 1.73 * h, high), (x + 1.47 * h, high))
    sheet.lines += [Polyline(WARNINGS, mark, filled=True), Polyline(WARNINGS, dot, filled=True)]
    sheet.text(WARNINGS, (x + 3.4 * h, y), words)
    end = x + 4.5 * h + 1.15 * LETTER * h * longest
    low, high = y - 0.9 * h, y + 1.8 * h
    sheet.line(WARNINGS, (x, low), (end, low), (end, high), (x, high), (x, low))
