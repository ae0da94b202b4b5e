"""Maps of the current density and of its phase."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import ColorbarBase
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from ...geometries.outline import FloatArray
from ...geometries.shape_functions import quadrature
from ...solver.field import ComplexArray
from ...solver.flow import Flow
from ...solver.solve import Solution
from ..answers import Answers
from ..units import engineering
from .crowding import Spot, crowded_spot
from .frames import View, folded, group_windows
from .page import Page, lay_out
from .raster import Paint, painted, show
from .samples import Surface, conductivity, density, reference_phase, surfaces, visible_patches
from .scale import Scale, colour_bar, mappable
from .style import (
    DENSITY,
    DPI,
    INK,
    PHASE,
    QUIET,
    SMALL,
    length_text,
    own_style,
    plain,
    printable,
    scale_bar,
    shortened,
)

Colours = Callable[[ComplexArray], FloatArray]
BAND = 4  # pixels of the band that stands for a skin too thin to show
THIN = 3.0  # pixels per skin depth below which the band is drawn
FAINT = 0.06  # share of the scale below which a phase fades


@dataclass(frozen=True, eq=False)
class Scene:
    """What several pictures of one solution share."""

    solution: Solution
    answers: Answers
    title: str

    @property
    def flow(self) -> Flow:
        """The finest flow."""
        return self.solution.fine

    @cached_property
    def outlines(self) -> list[Surface]:
        """Surfaces of all conductors."""
        return surfaces(self.flow)

    @cached_property
    def spot(self) -> Spot:
        """Where it is most crowded."""
        return crowded_spot(self.flow, self.outlines)

    @cached_property
    def scale(self) -> Scale:
        """Of |J| [A/mm2]."""
        d = self.flow.discretisation
        metal = d.elements.metal
        places, weights = quadrature(2 * d.order)
        strength = np.abs(d.elements.value(self.flow.electric, metal, places)) * conductivity(self.flow, metal)[:, None]
        return Scale.of(1e-6 * strength.ravel(), (d.elements.maps(metal, places)[0] * weights).ravel())

    @cached_property
    def views(self) -> list[View]:
        """Windows of the conductors."""
        return [piece for v in group_windows(self.flow.problem.section.parts, 0.03) for piece in folded(v)]

    @property
    def at(self) -> str:
        """The frequency in words."""
        f = self.solution.frequency
        return f"{plain(f / 1e6, 6)} MHz" if f >= 1e6 else f"{plain(f / 1e3, 6)} kHz" if f >= 1e3 else (
            f"{plain(f, 6)} Hz" if f else "direct current"
        )

    @property
    def notes(self) -> list[str]:
        """One line for each conductor: current, angle, loss."""
        lines = []
        for name, c in list(self.answers.conductors.items())[:6]:
            angle = np.degrees(np.angle(c.current * np.exp(-1j * reference_phase(self.flow))))
            net = c.loss_ratio is not None
            current = f"{engineering(abs(c.current), 'A', 3)} at {angle + 0.0:.0f}°" if net else "no net current"
            lines.append(f"{shortened(name, 30)}: {current}, {engineering(c.loss, 'W/m', 3)}")
        more = len(self.answers.conductors) - len(lines)
        return [*lines, *([f"and {more} more"] if more else [])]


def density_map(scene: Scene) -> Figure:
    """|J| in every conductor, and a zoom of the most crowded spot."""
    spot = scene.spot
    top = f"largest |J|: {plain(spot.density * 1e-6)} A/mm² in {shortened(scene.flow.problem.conductors[spot.part].name, 30)}"
    page = _map(
        scene, "Current density |J|, rms",
        lambda j: np.asarray(mappable(scene.scale, DENSITY).to_rgba(1e-6 * np.abs(j))), [top],
    )  # fmt: skip
    with own_style():
        colour_bar(page.bar, scene.scale, DENSITY, "|J|, rms [A/mm²]")
    return page.figure


def phase_map(scene: Scene) -> Figure:
    """Phase of J against the first circuit's current, faded where there is next to no current."""
    turn = np.exp(-1j * reference_phase(scene.flow))

    def colours(j: ComplexArray) -> FloatArray:
        rgba = np.asarray(PHASE(np.angle(j * turn) / (2 * np.pi) + 0.5))
        solid = np.clip(1e-6 * np.abs(j) / (FAINT * scene.scale.high), 0, 1)[:, None]
        rgba[:, :3] = 1 - solid * (1 - rgba[:, :3])
        return rgba

    first = next((c.name for c in scene.flow.problem.circuits if c.current), None)
    against = f"against the current of {shortened(first, 30)}" if first else "against 0°"
    faint = f"white: |J| far below {plain(FAINT * scene.scale.high, 2)} A/mm²"
    page = _map(scene, f"Phase of the current density, {against}", colours, [faint])
    with own_style():
        bar = ColorbarBase(page.bar, cmap=PHASE, norm=Normalize(-180, 180), orientation="horizontal",
                           ticks=[-180, -90, 0, 90, 180])  # fmt: skip
        bar.outline.set_linewidth(0.5)
        page.bar.set_title("phase of J [°]: lags < 0 < leads", fontsize=SMALL + 0.5, loc="left", pad=3)
    return page.figure


def _map(scene: Scene, subject: str, colours: Colours, notes: list[str]) -> Page:
    views, spot = scene.views, scene.spot
    zoomed = spot.is_worth_a_zoom(views)
    notes = [*scene.notes, *notes]
    if np.isfinite(spot.skin):
        notes.append(f"skin depth there: {length_text(spot.skin)}")
    with own_style():
        smallest = min(v.extent[0] for v in views)
        if zoomed and spot.skin * DPI * 6 / smallest < THIN:
            notes.append("skin too thin for the map: a band along the outline has the colour of the surface")
        page = lay_out(scene.title, f"{subject} · {scene.at}", views, notes, zoomed=zoomed)
        for panel, axes in page.panels:
            _fill(scene, axes, panel.view.window, panel.width, colours)
            if panel.view.last:
                scale_bar(axes, panel.width)
            caption(axes, panel.view.caption)
            name_parts(scene, axes, panel.view, panel.width)
            if zoomed:
                _mark(axes, spot, panel.view)
        if page.zoom is not None:
            inches = page.zoom.get_position().width * page.figure.get_size_inches()
            aspect = page.zoom.get_position().width * page.figure.get_size_inches()[0] / (
                page.zoom.get_position().height * page.figure.get_size_inches()[1]
            )
            _fill(scene, page.zoom, spot.window(aspect), float(inches[0]), colours)
            scale_bar(page.zoom, float(inches[0]))
            caption(page.zoom, f"zoom at x = {plain(spot.place[0] * 1e3, 4)}, y = {plain(spot.place[1] * 1e3, 4)} mm")
    return page


def _fill(scene: Scene, axes: Axes, window: FloatArray, inches: float, colours: Colours) -> None:
    """Paint the metal of a window and draw its outlines."""
    flow = scene.flow
    pixel = float(window[1, 0] - window[0, 0]) / (inches * DPI)
    patches = visible_patches(flow, flow.discretisation.elements.metal, window, pixel)
    paints: list[Paint] = [(p.position, p.corners, colours(density(flow, p))) for p in patches]
    thin = scene.spot.skin < THIN * pixel
    if thin:
        paints += [_band(o, BAND * pixel, colours) for o in scene.outlines]
    show(axes, painted(window, pixel, paints), window)
    draw_outlines(scene, axes, pixel, 0.3 if thin else 0.6)


def _band(outline: Surface, depth: float, colours: Colours) -> Paint:
    """A strip along a surface, all its depth in the surface's colour."""
    count = len(outline.position)
    k = np.arange(count)
    after = (k + 1) % count
    points = np.concatenate((outline.position, outline.position + depth * outline.inward))
    triangles = np.concatenate((np.column_stack((k, after, k + count)), np.column_stack((after, after + count, k + count))))
    return points, triangles, np.tile(colours(outline.density), (2, 1))


def draw_outlines(scene: Scene, axes: Axes, pixel: float, line: float) -> None:
    """Surfaces of the conductors, and the boundaries of coats that can be seen."""
    for outline in scene.outlines:
        closed = Path(np.concatenate((outline.position, outline.position[:1])))
        axes.add_patch(PathPatch(closed, fill=False, edgecolor=INK, linewidth=line))
    for conductor in scene.flow.problem.conductors:
        under = 0.0
        for coat in conductor.part.coats:
            if coat > 5 * pixel:
                inner = conductor.part.shape.outer if not under else None
                if inner is not None:
                    u = np.linspace(0, 1, 33)[:-1]
                    place = inner.at(np.arange(len(inner.points))[:, None], u)[0].reshape(-1, 2)
                    axes.add_patch(
                        PathPatch(Path(np.concatenate((place, place[:1]))), fill=False, edgecolor=INK, linewidth=0.35)
                    )
            under += coat


def caption(axes: Axes, text: str) -> None:
    """A line above a panel."""
    if text:
        axes.set_title(shortened(printable(text), 90), fontsize=SMALL, loc="left", pad=3, color=QUIET, parse_math=False)


def name_parts(scene: Scene, axes: Axes, view: View, inches: float) -> None:
    """Names of the conductors where there is room inside them."""
    per_metre = inches / float(view.extent[0])
    for part in scene.flow.problem.section.parts:
        box = part.shape.outer.bounds
        if not ((box[0] < view.window[1]) & (box[1] > view.window[0])).all():
            continue
        middle = (np.maximum(box[0], view.window[0]) + np.minimum(box[1], view.window[1])) / 2
        bores = [h.bounds for h in part.shape.holes] or [box]
        room = min(float(box[1, 0] - box[0, 0]), float(view.extent[0])) * per_metre
        height = float(bores[0][1, 1] - bores[0][0, 1]) * per_metre
        if room > 0.075 * len(part.name) + 0.1 and height > 0.16 and len(part.name) < 30:
            axes.text(
                *middle, printable(part.name), ha="center", va="center", fontsize=SMALL, parse_math=False,
                bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "none", "alpha": 0.75},
            )  # fmt: skip


def _mark(axes: Axes, spot: Spot, view: View) -> None:
    """A ring where the zoom lies."""
    if not ((view.window[0] <= spot.place) & (spot.place <= view.window[1])).all():
        return
    axes.plot(*spot.place, marker="o", markersize=9, markerfacecolor="none", markeredgecolor=INK, markeredgewidth=0.9,
              clip_on=False)  # fmt: skip
    right = spot.place[0] > view.window.mean(axis=0)[0]
    axes.annotate(
        "zoom", spot.place, xytext=(-7 if right else 7, 0), textcoords="offset points", fontsize=SMALL,
        ha="right" if right else "left", va="center", annotation_clip=False,
        bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.75},
    )  # fmt: skip


__all__ = ["ScalarMappable", "Scene", "caption", "density_map", "draw_outlines", "name_parts", "phase_map"]
