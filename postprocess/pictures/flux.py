"""Flux lines over the magnitude of the flux density, in metal and air alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation

from ...geometries.mesh import lattice
from ...geometries.outline import FloatArray
from ...geometries.sides import IntArray
from ...solver.field import ComplexArray
from ...solver.operators import Elements
from ..samples import flux_density, patch_of, reference_phase, small_triangles, visible_patches
from .frames import View, group_windows, whole_window
from .outside import outer_field
from .page import lay_out
from .panels import caption, draw_outlines, inches_wide, name_parts, scale_bar
from .raster import painted, show
from .scale import Scale, colour_bar
from .scene import Scene
from .style import DPI, FIELD, INK, amount, own_style, round_below

LINES = 26  # flux lines across a panel, about
CLOSE = 2.5  # pixels between lines below which none are drawn
MANY = 1000  # elements above which they are fine enough for lines
AIR = 0.22  # margin of air around the conductors, in shares of their size


def flux_map(scene: Scene) -> Figure:
    """Lines of Re A, when the first circuit's current is at its crest, over |B| rms."""
    views = _views(scene)
    field = _Field(scene, views)
    steps = [field.step(v.window) for v in views]
    said = [] if len(views) > 1 else [f"flux between neighbouring lines: {amount(steps[0], 'Wb/m', 1)}, rms"]
    said.append("lines left out where they would run together")
    if scene.solution.frequency:
        said.append("lines at the crest of the first circuit's current")
    with own_style():
        page = lay_out(
            scene.title, f"Flux lines and flux density |B|, rms · {scene.at}", views,
            lambda panels: [*scene.notes, *said], zoomed=False,
        )  # fmt: skip
        for (panel, axes), step in zip(page.panels, steps, strict=True):
            field.paint(axes, panel.view.window, panel.width)
            field.lines(axes, panel.view.window, step)
            draw_outlines(axes, scene.outlines, scene.parts, 0.7)
            name_parts(scene.parts, axes)
            scale_bar(axes)
            between = f", lines {amount(step, 'Wb/m', 1)} apart" if len(views) > 1 else ""
            caption(axes, panel.view.caption.rsplit(" at ")[0] + between)
        colour_bar(page.bar, field.scale, FIELD, "|B|, rms [mT]")
    return page.figure


def _views(scene: Scene) -> list[View]:
    """The whole section in its air, and each group of far apart parts again."""
    single = group_windows(scene.parts, AIR)
    whole = whole_window(scene.parts, AIR)
    return [whole] if len(single) == 1 else [View(whole.window, "all"), *single]


@dataclass(frozen=True, eq=False)
class _Field:
    """A and B, ready to be drawn."""

    scene: Scene
    views: list[View]

    @cached_property
    def _inside(self) -> tuple[FloatArray, IntArray, ComplexArray]:
        """Points of all elements, finer than their nodes and joined, with A."""
        flow = self.scene.flow
        mesh, elements = flow.discretisation.mesh, flow.discretisation.elements
        fine = Elements(mesh, (2 if len(mesh.triangles) > MANY else 4) * elements.order)
        rows = np.arange(len(mesh.triangles))
        places = lattice(fine.order)[:, 1:] / fine.order
        position, potential = np.empty((fine.count, 2)), np.empty(fine.count, dtype=complex)
        position[fine.dofs] = elements.positions(rows, places)
        potential[fine.dofs] = elements.value(flow.potential, rows, places)
        return position, fine.dofs[:, small_triangles(fine.order)].reshape(-1, 3), potential

    @cached_property
    def _outside(self) -> tuple[FloatArray, IntArray, ComplexArray, FloatArray]:
        mesh = self.scene.flow.discretisation.mesh
        corners = np.concatenate([v.window for v in self.views])
        reach = float(np.abs(corners - mesh.centre).max()) * 1.5
        return outer_field(self.scene.flow, reach)

    @cached_property
    def scale(self) -> Scale:
        """Of |B| [mT], in the first window."""
        flow = self.scene.flow
        rows = np.arange(len(flow.discretisation.mesh.triangles))
        patch = patch_of(flow, rows, 1)
        middle = patch.position.reshape(len(rows), -1, 2).mean(axis=1)
        window = self.views[0].window
        seen = ((middle > window[0]) & (middle < window[1])).all(axis=1)
        areas = flow.discretisation.mesh.areas()[seen]
        places = np.array([[1 / 3, 1 / 3], [0.1, 0.1], [0.8, 0.1], [0.1, 0.8]])
        gradient = flow.discretisation.elements.gradient(flow.potential, rows[seen], places)
        strength = 1e3 * np.sqrt((np.abs(gradient) ** 2).sum(axis=-1))
        return Scale.of(strength.ravel(), np.repeat(areas / len(places), len(places)))

    def paint(self, axes: Axes, window: FloatArray, inches: float) -> None:
        """|B| as colours."""
        flow = self.scene.flow
        colours = ScalarMappable(self.scale.norm, FIELD)
        pixel = float(window[1, 0] - window[0, 0]) / (inches * DPI)
        place, triangles, _, magnitude = self._outside
        paints = [(place, triangles, np.asarray(colours.to_rgba(1e3 * magnitude)))]
        rows = np.arange(len(flow.discretisation.mesh.triangles))
        for patch in visible_patches(flow, rows, window, pixel):
            strength = 1e3 * np.sqrt((np.abs(flux_density(flow, patch)) ** 2).sum(axis=1))
            paints.append((patch.position, patch.corners, np.asarray(colours.to_rgba(strength))))
        show(axes, painted(window, pixel, paints), window)

    def _real(self, potential: ComplexArray) -> FloatArray:
        return np.asarray((potential * np.exp(-1j * reference_phase(self.scene.flow))).real)

    def step(self, window: FloatArray) -> float:
        """Round step of A between lines [Wb/m]."""
        position, _, potential = self._inside
        seen = ((position > window[0]) & (position < window[1])).all(axis=1)
        span = float(np.ptp(self._real(potential)[seen])) if seen.any() else 0.0
        return round_below(1.3 * span / LINES) if span else 1.0

    def lines(self, axes: Axes, window: FloatArray, step: float) -> None:
        """Contours of Re A at multiples of the step, where there is room between them."""
        pixel = float(window[1, 0] - window[0, 0]) / (inches_wide(axes) * DPI)
        for position, triangles, potential in (self._inside, self._outside[:3]):
            value = self._real(potential)
            corner = position[triangles]
            seen = ((corner.max(axis=1) >= window[0]) & (corner.min(axis=1) <= window[1])).all(axis=1)
            seen &= np.floor(value[triangles].max(axis=1) / step) > np.floor(value[triangles].min(axis=1) / step)
            seen &= _steepness(corner, value[triangles]) * CLOSE * pixel < step
            if not seen.any():
                continue
            used, renumbered = np.unique(triangles[seen], return_inverse=True)
            grid = Triangulation(position[used, 0], position[used, 1], renumbered.reshape(-1, 3))
            low, high = value[used].min(), value[used].max()
            levels = step * np.arange(np.floor(low / step), np.ceil(high / step) + 1)
            axes.tricontour(grid, value[used], levels=levels, colors=INK, linewidths=0.45, linestyles="solid")
        axes.set_xlim(*map(float, window[:, 0]))
        axes.set_ylim(*map(float, window[:, 1]))



def _steepness(corner: FloatArray, value: FloatArray) -> FloatArray:
    """Slope of a linear function on triangles (k, 3, 2) from its corner values (k, 3), (k,)."""
    u, v = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    du, dv = value[:, 1] - value[:, 0], value[:, 2] - value[:, 0]
    twice = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    rise = du[:, None] * v - dv[:, None] * u
    return np.asarray(np.hypot(*rise.T) / np.maximum(twice, 1e-300))
