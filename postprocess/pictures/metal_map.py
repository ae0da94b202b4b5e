"""A map of the metal, coloured by the current density in it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.postprocess.answers.field_values import (
    OutlineSurface,
    density,
    resolved,
    visible_patches,
)

from .kept import Cut
from .label_grid import RING
from .labels import name_parts
from .page import Page, lay_out
from .panel_layout import Panel
from .panels import caption, draw_outlines, inches_wide, scale_bar, skin_bar
from .raster import Raster, Shape, show
from .scene import MetalScene, Scene
from .style import DPI, INK, own_style, plain, shortened

Colours = Callable[[ComplexArray], FloatArray]
BAND = 4  # pixels of the band that stands for a skin or a coat too thin to show
TOLD = 0.01  # of a zoom's width: as finely its place is told
THIN = 1.5  # pixels of skin or coat below which the band is drawn


def metal_map(scene: Scene, subject: str, colours: Colours, notes: list[str]) -> Page:
    """Every conductor painted by its current density, and a zoom of the largest loss.

    Parameters
    ----------
    scene : Scene
    subject : str
        What is shown.
    colours : callable
        J (n,) [A/m2] -> colours (n, 4).
    notes : list of str
        Lines beside the maps, after those of the conductors.

    Returns
    -------
    Page
        Its colour bar is still empty.
    """
    spot = scene.spot
    with own_style():
        closest = [v for v in scene.views if v.apart] or scene.views
        zoomed = bool(scene.zoom) or spot.is_worth_a_zoom(closest)
        page = lay_out(
            scene.title, f"{subject} · {scene.at}", scene.views,
            lambda panels: [*scene.notes, *notes, *_remarks(scene, panels)], zoomed=zoomed,
        )  # fmt: skip
        for panel, axes in page.panels:
            view = panel.view
            fill(scene, axes, view.window, panel.width, colours)
            scale_bar(axes)
            caption(axes, view.caption)
            ringed = zoomed and view in closest and view.shows(spot.place)
            name_parts(scene.named, axes, spot.place if ringed else None, scene.marks, axial=scene.axial)
            scene.dress(axes)
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
    x, y = place_words(spot.place, spot.width)
    name = shortened(scene.conductors[spot.part].name, 24)
    place = f"r = {x}, z = {y} mm" if scene.axial else f"x = {x}, y = {y} mm"
    caption(axes, f"zoom at the ring, {name}: {place}", f"zoom: {place}")


def place_words(place: FloatArray, width: float) -> tuple[str, str]:
    """Coordinates (2,) [m] in mm, as finely as a window of a width [m] tells them apart.

    Examples
    --------
    >>> place_words(np.array([0.03, 7.55e-7]), 2e-3), place_words(np.array([-5.00123e-3, 0.4925e-3]), 0.2e-3)
    (('30', '0'), ('\u22125.001', '0.492'))
    """
    decimals = math.ceil(-math.log10(TOLD * 1e3 * width))
    x, y = (plain(round(1e3 * float(v), decimals), 9) for v in place)
    return x, y


def _remarks(scene: Scene, panels: list[Panel]) -> list[str]:
    said = []
    if any(_finest(scene) < THIN * _pixel(p) for p in panels):
        said.append("skin or plating too thin for the map: a band along the outline has the colour of the surface")
    if any(v.apart for v in scene.views):
        said.append("parts far apart have panels of their own, the air between them is left out")
    return said


def _pixel(panel: Panel) -> float:
    return float(panel.view.extent[0]) / (panel.width * DPI)


def _finest(scene: MetalScene) -> float:
    """Thinnest skin or coat [m]."""
    coats = [t for part in scene.parts for t in part.layers]
    skins = [m.skin_depth(scene.solution.frequency, c.temperature) for c in scene.conductors for m in c.metals]
    return min([*skins, *coats])


def fill(scene: MetalScene, axes: Axes, window: FloatArray, inches: float, colours: Colours) -> None:
    """Paint the metal of a window and draw its outlines."""
    flow = scene.flow
    pixel = float(window[1, 0] - window[0, 0]) / (inches * DPI)
    thin = _finest(scene) < THIN * pixel
    bands = scene.seen if thin else []

    def cut() -> Cut:
        patches = visible_patches(flow, _thick_enough(scene, THIN * pixel), window, pixel)
        shapes = [(p.position, p.corners) for p in patches] + [band(outline, BAND * pixel) for outline in bands]
        return patches, Raster.of(window, pixel, shapes, finer=2 if thin else 1)

    patches, raster = scene.kept.of(flow.discretisation.elements, ("metal", window.tobytes(), pixel, thin), cut)
    shades = []
    for patch in patches:
        j = density(flow, patch)
        j *= resolved(flow, patch, np.abs(j), scene.peaks)
        shades.append(colours(j))
    shades += [np.tile(colours(outline.density), (2, 1)) for outline in bands]
    show(axes, raster.image(shades), window)
    draw_outlines(axes, scene.seen, scene.named, 0.3 if thin else 0.6)


def _thick_enough(scene: MetalScene, least: float) -> IntArray:
    """Elements of metal, without those of coats that a band stands for."""
    mesh = scene.flow.discretisation.mesh
    thick = [
        not layer or (*scene.parts[part].layers, *(np.inf for _ in scene.parts[part].pieces))[layer - 1] >= least
        for part, layer in mesh.regions
    ]
    return np.flatnonzero(np.isin(mesh.region, np.flatnonzero(thick)))


def band(outline: OutlineSurface, depth: float) -> Shape:
    """A strip along a surface: its points, then those below them."""
    count = len(outline.position)
    k = np.arange(count if outline.closed else count - 1)
    after = (k + 1) % count
    points = np.concatenate((outline.position, outline.position + depth * outline.inward))
    triangles = np.concatenate(
        (np.stack((k, after, k + count), axis=1), np.stack((after, after + count, k + count), axis=1))
    )
    return points, triangles
