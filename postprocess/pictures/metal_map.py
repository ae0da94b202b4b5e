"""Maps of the current density and of its phase."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.colors import Normalize
from matplotlib.figure import Figure

from ...geometries.outline import FloatArray
from ...geometries.sides import IntArray
from ...solver.field import ComplexArray
from ..samples import Surface, density, reference_phase, resolved, visible_patches
from .arrange import Panel
from .labels import RING, name_parts
from .page import Page, lay_out
from .panels import caption, draw_outlines, inches_wide, scale_bar, skin_bar
from .raster import Paint, painted, show
from .scale import colour_bar
from .scene import Scene
from .style import DENSITY, DPI, INK, PHASE, SMALL, length_text, own_style, plain, shortened

Colours = Callable[[ComplexArray], FloatArray]
BAND = 4  # pixels of the band that stands for a skin or a coat too thin to show
THIN = 1.5  # pixels of skin or coat below which the band is drawn
FAINT = 0.06  # share of the scale below which a phase fades


def density_map(scene: Scene) -> Figure:
    """|J| in every conductor, and a zoom of the most crowded spot."""
    colours = ScalarMappable(scene.scale.norm, DENSITY)
    spot = scene.spot
    notes = [f"largest |J|: {plain(spot.density * 1e-6)} A/mm² in {shortened(scene.conductors[spot.part].name, 30)}"]
    if np.isfinite(spot.skin):
        notes.append(f"skin depth in {spot.metal}: {length_text(spot.skin)}")
    page = _map(scene, "Current density |J|, rms", lambda j: np.asarray(colours.to_rgba(1e-6 * np.abs(j))), notes)
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
    against = f'the current of "{shortened(first, 30)}"' if first else "0°"
    faint = f"fades to white below |J| = {plain(FAINT * scene.scale.high, 2)} A/mm²"
    page = _map(scene, f"Phase of the current density against {against}", colours, [faint])
    with own_style():
        bar = Colorbar(page.bar, ScalarMappable(Normalize(-180, 180), PHASE), orientation="horizontal",
                       ticks=[-180, -90, 0, 90, 180])  # fmt: skip
        bar.outline.set_linewidth(0.5)
        page.bar.set_title("phase of J [°]: lags < 0 < leads", fontsize=SMALL + 0.5, loc="left", pad=3)
    return page.figure


def _map(scene: Scene, subject: str, colours: Colours, notes: list[str]) -> Page:
    spot = scene.spot
    with own_style():
        zoomed = spot.is_worth_a_zoom(scene.views)
        page = lay_out(
            scene.title, f"{subject} · {scene.at}", scene.views,
            lambda panels: [*scene.notes, *notes, *_remarks(scene, panels)], zoomed=zoomed,
        )  # fmt: skip
        for panel, axes in page.panels:
            view = panel.view
            fill(scene, axes, view.window, panel.width, colours)
            scale_bar(axes)
            caption(axes, view.caption)
            ringed = zoomed and view.shows(spot.place)
            name_parts(scene.parts, axes, spot.place if ringed else None)
            if ringed:
                axes.plot(*spot.place, marker="o", markersize=RING, markerfacecolor="none", markeredgecolor=INK,
                          markeredgewidth=0.9, clip_on=False)  # fmt: skip
        if page.zoom is not None:
            _fill_zoom(scene, page.zoom, colours)
    return page


def _fill_zoom(scene: Scene, axes: Axes, colours: Colours) -> None:
    spot = scene.spot
    box = axes.get_window_extent()
    fill(scene, axes, spot.window(box.width / box.height), inches_wide(axes), colours)
    skin_bar(axes, spot.skin, spot.metal)
    scale_bar(axes)
    x, y = (plain(round(float(v) * 1e3, 6), 4) for v in spot.place)
    caption(axes, f"zoom at the ring: x = {x}, y = {y} mm")


def _remarks(scene: Scene, panels: list[Panel]) -> list[str]:
    said = []
    if any(_finest(scene) < THIN * _pixel(p) for p in panels):
        said.append("skin or plating too thin for the map: a band along the outline has the colour of the surface")
    if any(v.apart for v in scene.views):
        said.append("parts far apart have panels of their own, the air between them is left out")
    return said


def _pixel(panel: Panel) -> float:
    return float(panel.view.extent[0]) / (panel.width * DPI)


def _finest(scene: Scene) -> float:
    """Thinnest skin or coat [m]."""
    coats = [t for part in scene.parts for t in part.layers]
    skins = [m.skin_depth(scene.solution.frequency, c.temperature) for c in scene.conductors for m in c.metals]
    return min([*skins, *coats])


def fill(scene: Scene, axes: Axes, window: FloatArray, inches: float, colours: Colours) -> None:
    """Paint the metal of a window and draw its outlines."""
    flow = scene.flow
    pixel = float(window[1, 0] - window[0, 0]) / (inches * DPI)
    patches = visible_patches(flow, _thick_enough(scene, THIN * pixel), window, pixel)
    paints: list[Paint] = []
    for patch in patches:
        j = density(flow, patch)
        j *= resolved(flow, patch, np.abs(j), scene.peaks)
        paints.append((patch.position, patch.corners, colours(j)))
    thin = _finest(scene) < THIN * pixel
    if thin:
        paints += [_band(outline, BAND * pixel, colours) for outline in scene.outlines]
    show(axes, painted(window, pixel, paints, finer=2 if thin else 1), window)
    draw_outlines(axes, scene.outlines, scene.parts, 0.3 if thin else 0.6)


def _thick_enough(scene: Scene, least: float) -> IntArray:
    """Elements of metal, without those of coats that a band stands for."""
    mesh = scene.flow.discretisation.mesh
    thick = [
        not layer or (*scene.parts[part].layers, *(np.inf for _ in scene.parts[part].pieces))[layer - 1] >= least
        for part, layer in mesh.regions
    ]
    return np.flatnonzero(np.isin(mesh.region, np.flatnonzero(thick)))


def _band(outline: Surface, depth: float, colours: Colours) -> Paint:
    """A strip along a surface, all its depth in the surface's colour."""
    count = len(outline.position)
    k = np.arange(count)
    after = (k + 1) % count
    points = np.concatenate((outline.position, outline.position + depth * outline.inward))
    triangles = np.concatenate(
        (np.stack((k, after, k + count), axis=1), np.stack((after, after + count, k + count), axis=1))
    )
    return points, triangles, np.tile(colours(outline.density), (2, 1))
