"""Map of the loss density, with a lens on the bundle of strands that loses most."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundles import NAMED, BundleLosses
from crosscurrent.postprocess.answers.field_values import visible_patches
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.solution import Solution

from .labels import name_parts
from .page import lay_out
from .panels import caption, draw_outlines, inches_wide, scale_bar
from .raster import painted, show
from .scale import Scale, colour_bar
from .scene import Scene
from .style import DENSITY, DPI, own_style, shortened

SMALL_IN_MAP = 3  # times the lens that a map is across, from which the lens magnifies
AROUND = 1.15  # height of the lens over the bundle's diameter
LISTED = 4  # bundles named in the notes


def loss_map(solution: Solution, answers: Answers, title: str) -> Figure:
    """Loss density in every conductor, and the bundle of largest loss by itself.

    Parameters
    ----------
    solution : Solution
    answers : Answers
        Of the same solution, with a bundle.
    title : str
        Of the case.
    """
    scene = Scene(solution, answers, title)
    d = scene.flow.discretisation
    places, weights = quadrature(2 * d.order)
    metal = d.elements.metal
    volumes = (d.elements.measure(metal, places) * weights).ravel()
    scale = Scale.of(1e-6 * loss_density(scene.flow, metal, places).ravel(), volumes)
    colours = ScalarMappable(scale.norm, DENSITY)
    worst = max(answers.bundles.values(), key=lambda b: float(f"{b.loss:.3g}"))
    with own_style():
        page = lay_out(
            title, f"Loss density · {scene.at}", scene.views, lambda _: [*scene.notes, *_causes(answers)],
            zoomed=_is_small(scene, worst),
        )  # fmt: skip
        for panel, axes in page.panels:
            _fill(scene, axes, panel.view.window, panel.width, colours)
            scale_bar(axes)
            caption(axes, panel.view.caption)
            name_parts(scene.named, axes, None, scene.marks, axial=scene.axial)
            scene.dress(axes)
        if page.zoom is not None:
            box = page.zoom.get_window_extent()
            _fill(scene, page.zoom, _window(scene, worst, box.width / box.height), inches_wide(page.zoom), colours)
            scale_bar(page.zoom)
            name = shortened(worst.name, 24)
            caption(page.zoom, f"{name}, each strand solved for" if worst.is_resolved else f"{name}, as one medium")
        colour_bar(page.bar, scale, DENSITY, "loss density [W/cm³]")
    return page.figure


def _fill(scene: Scene, axes: Axes, window: FloatArray, inches: float, colours: ScalarMappable) -> None:
    pixel = float(window[1, 0] - window[0, 0]) / (inches * DPI)
    rows = np.arange(len(scene.flow.discretisation.mesh.triangles))
    paints = [
        (p.position, p.corners, np.asarray(colours.to_rgba(1e-6 * loss_density(scene.flow, p.rows, p.places).ravel())))
        for p in visible_patches(scene.flow, rows, window, pixel, metal=True)
    ]
    show(axes, painted(window, pixel, paints), window)
    draw_outlines(axes, scene.seen, scene.named, 0.6)


def _window(scene: Scene, bundle: BundleLosses, aspect: float) -> FloatArray:
    """Around a bundle, as wide as its height asks for (2, 2) [m]."""
    bounds = np.array([c.part.bounds for c in scene.conductors if c.name in bundle.members])
    low, high = bounds[:, 0].min(axis=0), bounds[:, 1].max(axis=0)
    half = 0.5 * AROUND * max(float(high[1] - low[1]), float(high[0] - low[0]) / aspect) * np.array([aspect, 1.0])
    return np.array([(low + high) / 2 - half, (low + high) / 2 + half])


def _is_small(scene: Scene, bundle: BundleLosses) -> bool:
    """Whether a lens shows more of a bundle than the map does."""
    lens = _window(scene, bundle, 1.0)
    middle = lens.mean(axis=0)
    shown = [v.window for v in scene.views if (v.window[0] < middle).all() and (middle < v.window[1]).all()]
    return all(np.ptp(window, axis=0).max() > SMALL_IN_MAP * np.ptp(lens, axis=0).max() for window in shown)


def _causes(answers: Answers) -> list[str]:
    """By what the bundles of largest loss lose it."""
    every = sorted(answers.bundles.values(), key=lambda b: -float(f"{b.loss:.3g}"))[:LISTED]
    said: dict[str, list[str]] = {}
    for b in every:
        added = [("within", b.inside_loss), ("of others", b.outside_loss), ("uneven shares", b.sharing_loss)]
        shares = [f"{100 * loss / b.loss:.1f} % {what}" for what, loss in added if loss and loss > NAMED * b.loss]
        if shares:
            said.setdefault(", ".join(shares), []).append(shortened(b.name, 24))
    return [f"{', '.join(names)}, by the field: {text}" for text, names in said.items()]
