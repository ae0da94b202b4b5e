"""Density along the outlines: each conductor unrolled, |J| at its surface above a strip of its skin."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.field_values import density, patch_of
from crosscurrent.postprocess.answers.units import significant
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.field.solution import Solution

from ..contours import STRAIGHT, without_straight
from ..kind import PictureKind
from ..page import HEAD, LETTER, LINE, BlankPage, wrapped
from ..panel_layout import EDGE, WIDTH
from ..raster import Paint, painted
from ..scale import colour_bar
from ..scene import Scene
from ..style import DENSITY, DPI, INK, QUIET, SMALL, own_style, round_below, shortened, write
from ..unrolling import Unrolled

MOST = 6  # conductors in one picture
HIGHEST = 1.6  # of the axis, in ends of the colour scale: a sharp corner may reach past it
UNSEEN = 1e-4  # of the end of the colour scale: a conductor whose density stays below it would be a blank row
DEPTHS = 6.0  # depth of the strip in skin depths
LEFT, CURVE, STRIP, ROW = 0.75, 0.8, 0.36, 2.0  # [in]
SIX = lattice(2)[:, 1:] / 2  # places of an element by which it is counted to a side as a whole, or not
SMALL_TRIANGLES = 30_000  # of a strip, about


def outline_strips(scene: Scene) -> Figure:
    """|J| at the surface against the length along the outline, over depth against the same length."""
    loss = [scene.answers.conductors[c.name].loss for c in scene.conductors]
    solid = _solid(scene, loss)
    shown = _with_current(scene, solid)
    chosen = sorted(sorted(shown, key=lambda k: -loss[k])[:MOST])
    width = WIDTH - LEFT - EDGE
    left_out, idle = len(shown) - len(chosen), len(solid) - len(shown)
    bundles = bool(scene.flow.problem.bundles) or any(c.strands is not None for c in scene.conductors)
    said = ["strip: the metal below the surface, its depth not to the scale of its length"]
    if any(_has_notches(scene.parts[k].shape.outer, _depth(scene, k)) for k in chosen):
        said.append("white at a corner: the metal there is nearer to the next face and drawn with it")
    said += [f"not drawn, of smaller loss: {left_out} more"] if left_out else []
    said += [f"not drawn, next to no current: {idle} more"] if idle else []
    said += ["not drawn: the strands of bundles"] if bundles else []
    said += ["of the turns of a coil the one of largest loss"] if scene.coils else []
    lines = wrapped(said, width - 3.65)
    foot = max(0.95, 0.42 + LINE * len(lines))
    with own_style():
        sheet = BlankPage.of(
            scene.title, f"Current density |J| along the outline, rms · {scene.at}", WIDTH,
            HEAD + ROW * len(chosen) + foot,
        )  # fmt: skip
        for k, number in enumerate(chosen):
            top = sheet.height - HEAD - ROW * k
            write(sheet.figure, LEFT, top - 0.3, shortened(scene.conductors[number].name, 60), fontsize=SMALL + 0.5,
                  fontweight="bold")  # fmt: skip
            unrolled = _unrolled(scene, number)
            upper = sheet.axes(LEFT, top - 0.55 - CURVE, width, CURVE)
            lower = sheet.axes(LEFT, top - 0.61 - CURVE - STRIP, width, STRIP)
            _curve(scene, number, unrolled, upper)
            _strip(scene, number, unrolled, lower, width)
            _name_faces(unrolled, upper, lower, width)
        colour_bar(sheet.axes(LEFT, foot - 0.57, 3.3, 0.13), scene.scale, DENSITY, "|J| in the strip, rms [A/mm²]")
        lower.set_xlabel("length along the outline [mm]", fontsize=SMALL, labelpad=2)
        sheet.lines(lines, LEFT + 3.65, foot - 0.33)
    return sheet.figure


def _unrolled(scene: Scene, number: int) -> Unrolled:
    """The same at every frequency of a mesh."""

    def make() -> Unrolled:
        return Unrolled(scene.parts[number], axial=scene.axial)

    return scene.kept.of(scene.flow.discretisation.elements, ("unrolled", number), make)


def _solid(scene: Scene, loss: list[float]) -> list[int]:
    """Conductors of solid metal; of the strands of a bundle, and of the turns of a coil, the one of largest loss."""
    number = {c.name: k for k, c in enumerate(scene.conductors) if _is_solid_metal(c)}
    for bundle in scene.flow.problem.bundles:
        kept = max(bundle.members, key=lambda name: loss[number[name]])
        number = {name: k for name, k in number.items() if name == kept or name not in bundle.members}
    for circuit in scene.coils:
        kept = max(circuit.members, key=lambda name: loss[number[name]] if name in number else -1.0)
        number = {name: k for name, k in number.items() if name == kept or name not in circuit.members}
    return list(number.values())


def _is_solid_metal(conductor: Conductor) -> bool:
    """Whether it has a skin: neither a bundle as one medium nor ferrite."""
    return conductor.strands is None and any(metal.conductivity > 0 for metal in conductor.metals)


def _has_solid_metal(solution: Solution) -> bool:
    return any(map(_is_solid_metal, solution.problem.conductors))


def _with_current(scene: Scene, numbers: Sequence[int]) -> list[int]:
    """Those of some conductors in which a current can be seen; all where there is none."""
    peaks = [1e-6 * scene.answers.conductors[scene.conductors[k].name].peak_current_density for k in numbers]
    seen = [k for k, peak in zip(numbers, peaks, strict=True) if peak > UNSEEN * scene.scale.high]
    return seen or list(numbers)


def _has_notches(outline: Outline, depth: float) -> bool:
    """Whether an outline turns outward at once, or along an arc narrower than a depth [m]."""
    number = np.arange(len(outline.points))
    (_, ahead), (_, before) = outline.at(number, 0.0), outline.at(np.roll(number, 1), 1.0)
    sharp = before[:, 0] * ahead[:, 1] - before[:, 1] * ahead[:, 0] > 0.1
    narrow = outline.curved & (outline.sweeps > 0) & (outline.radii < depth)
    return bool(sharp.any() or narrow.any())


def _curve(scene: Scene, number: int, unrolled: Unrolled, axes: Axes) -> None:
    """|J| at the surface; all conductors to one scale."""
    own = [o for o in scene.outlines if o.part == number]
    across = 1e3 * unrolled.length
    up = 1.08 * min(1e-6 * scene.densest.peak_current_density, HIGHEST * scene.scale.high)
    box = axes.get_window_extent()
    pixels = np.array([box.width / across, box.height / up])
    for k, outline in enumerate(own):
        along = unrolled.along(k, outline.position)
        along, strength = _in_order(along, 1e-6 * np.abs(outline.density), *unrolled.span(k), closed=outline.closed)
        along, strength = (without_straight(np.column_stack((1e3 * along, strength)) * pixels, STRAIGHT) / pixels).T
        axes.plot(along, strength, color=INK, linewidth=0.9)
        axes.fill_between(along, strength, color=DENSITY(0.4), alpha=0.35, linewidth=0)
    axes.set_xlim(0, across)
    axes.set_ylim(0, up)
    axes.tick_params(axis="x", labelbottom=False)
    axes.set_ylabel("|J| [A/mm²]", fontsize=SMALL)
    axes.locator_params(axis="y", nbins=4)
    axes.spines[["top", "right"]].set_visible(False)


def _in_order(
    along: FloatArray, strength: FloatArray, start: float, end: float, *, closed: bool = True
) -> tuple[FloatArray, FloatArray]:
    """The chain of an outline from its start to its end, both included."""
    order = np.argsort(along, kind="stable")
    along, strength = along[order], strength[order]
    seam = strength[0] if along[0] - start < end - along[-1] else strength[-1]
    first, last = (seam, seam) if closed else (strength[0], strength[-1])
    return np.concatenate(([start], along, [end])), np.concatenate(([first], strength, [last]))


def _strip(scene: Scene, number: int, unrolled: Unrolled, axes: Axes, inches: float) -> None:
    """|J| by length along the outline and depth below it."""
    depth = _depth(scene, number)
    window = np.array([[0.0, -depth], [unrolled.length, 0.0]])
    # the strip is stretched: its pixels are made square in a plane as wide as the page and as high as the strip
    stretch = np.array([inches / unrolled.length, STRIP / depth])
    paint = _unrolled_metal(scene, number, unrolled, depth)
    points, triangles, colours = paint
    image = painted(window * stretch, 1 / DPI, [(points * stretch, triangles, colours)], finer=2)
    axes.imshow(image, extent=(0, 1e3 * unrolled.length, 1e3 * depth, 0), aspect="auto", interpolation="nearest")
    axes.set_xlim(0, 1e3 * unrolled.length)
    axes.set_ylim(1e3 * depth, 0)
    axes.set_ylabel("depth\n[mm]", fontsize=SMALL)
    axes.set_yticks([round_below(0.9e3 * depth)])


def _depth(scene: Scene, number: int) -> float:
    """Of the strip: what the skin asks for and the metal has [m]."""
    c = scene.conductors[number]
    skin = c.material.skin_depth(scene.solution.frequency, c.temperature)
    thickness = 2 * c.part.area / sum(o.perimeter for o in c.part.all_outlines)
    return min(DEPTHS * skin, 0.5 * thickness) + math.fsum(c.part.coats)


def _unrolled_metal(scene: Scene, number: int, unrolled: Unrolled, depth: float) -> Paint:
    """Small triangles of a conductor, each counted to the side its middle is nearest to."""
    flow = scene.flow
    d = flow.discretisation
    rows = np.flatnonzero(d.mesh.part == number)

    def sides() -> tuple[IntArray, FloatArray]:
        return unrolled.side_of(d.elements.positions(rows, SIX).reshape(-1, 2))

    side, reach = (k.reshape(len(rows), -1) for k in scene.kept.of(d.elements, ("sides of six", number), sides))
    near = reach.min(axis=1) < 1.3 * depth
    rows, side = rows[near], side[near]
    fineness = int(np.clip(np.sqrt(SMALL_TRIANGLES / len(rows)), 2 * d.order, 8 * d.order))
    patch = patch_of(flow, rows, fineness)
    corners = patch.corners
    every = np.repeat(side[:, 0], fineness**2)
    mixed = np.flatnonzero(np.repeat((side != side[:, :1]).any(axis=1), fineness**2))
    every[mixed] = unrolled.side_of(patch.position[corners[mixed]].mean(axis=1))[0]
    points: FloatArray = unrolled.unrolled(np.repeat(every, 3), patch.position[corners].reshape(-1, 2))
    points[:, 1] *= -1
    colours = ScalarMappable(scene.scale.norm, DENSITY).to_rgba(1e-6 * np.abs(density(flow, patch)))
    return points, np.arange(len(points)).reshape(-1, 3), np.asarray(colours)[corners].reshape(-1, 4)


def _name_faces(unrolled: Unrolled, upper: Axes, lower: Axes, inches: float) -> None:
    """Boundaries between faces, and the names that have room."""
    ends = 1e3 * np.unique([x for face in unrolled.faces for x in (face.start, face.end)])
    for axes in (upper, lower):
        axes.vlines(ends, 0, 1, transform=axes.get_xaxis_transform(), colors=QUIET, linewidths=0.4)
    for face in unrolled.faces:
        room = (face.end - face.start) / unrolled.length * inches
        name = face.name if LETTER * len(face.name) < room else face.name.split(" at ")[0]
        if LETTER * len(name) < room:
            middle = 1e3 * (face.start + face.end) / 2
            upper.text(middle, 1.05, name, transform=upper.get_xaxis_transform(), ha="center", fontsize=SMALL,
                       color=QUIET)  # fmt: skip


def _densest(point: Answers) -> str:
    solid = [c for c in point.conductors.values() if c.name not in point.bundles]
    worst = max(solid or point.conductors.values(), key=lambda c: (c.peak_current_density, c.loss))
    largest, crest = (x / 1e6 for x in (worst.peak_current_density, worst.crest_current_density))
    return f"up to {significant(largest, 3)} A/mm2 rms ({significant(crest, 3)} at its crest) in {worst.name}"


KIND = PictureKind(
    "along-outline", 4, "Current density along each outline, unrolled", outline_strips, _densest, _has_solid_metal
)
