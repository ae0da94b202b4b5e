"""Flux lines over the magnitude of the flux density, in metal and air alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from ...geometries.mesh import lattice
from ...geometries.outline import FloatArray
from ...geometries.sides import IntArray
from ...solver.field import ComplexArray
from ...solver.operators import Elements
from ..samples import flux_density, is_solved, peaks, reference_phase, resolved, small_triangles, visible_patches
from .contours import Levels
from .frames import View, group_windows, whole_window
from .labels import name_parts
from .outside import outer_field
from .page import lay_out
from .panels import caption, draw_outlines, inches_wide, scale_bar
from .raster import painted, show
from .scale import Scale, colour_bar
from .scene import Scene
from .style import DPI, FIELD, INK, amount, own_style, round_below

LINES = 24  # flux lines across a panel, about
WEAKEST = 1e-4  # of the end of the scale: a weaker field is noise, and no line is drawn there
PLACES = np.array([[1 / 3, 1 / 3], [0.1, 0.1], [0.8, 0.1], [0.1, 0.8]])  # of an element, at which |B| is taken
AIR = 0.22  # margin of air around the conductors, in shares of their size
FINENESS = 250_000  # small triangles for lines, about


def flux_map(scene: Scene) -> Figure:
    """Lines of Re A, when the first circuit's current is at its crest, over |B| rms."""
    views = _views(scene)
    field = _Field(scene, views)
    steps = [field.step(v.window) for v in views]
    said = [f"{amount(steps[0], 'Wb/m', 1)} (rms) between lines"] if len(views) == 1 else []
    said.append("where they are dense, every 2nd, 4th ... goes on")
    when = " at the crest of the first current" if scene.solution.frequency else ""
    with own_style():
        page = lay_out(
            scene.title, f"Flux lines{when} and flux density |B|, rms · {scene.at}", views,
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
        """Points of all elements, finer than their nodes and joined, with A; without a dark core left out."""
        flow = self.scene.flow
        mesh, elements = flow.discretisation.mesh, flow.discretisation.elements
        times = int(np.clip(np.sqrt(FINENESS / len(mesh.triangles)) / elements.order, 1, 4))
        fine = Elements(mesh, times * elements.order)
        rows = np.flatnonzero(is_solved(flow, np.arange(len(mesh.triangles))))
        places = lattice(fine.order)[:, 1:] / fine.order
        position, potential = np.empty((fine.count, 2)), np.empty(fine.count, dtype=complex)
        dofs = fine.dofs[rows]
        position[dofs] = elements.positions(rows, places)
        potential[dofs] = elements.value(flow.potential, rows, places)
        used, triangles = np.unique(dofs[:, small_triangles(fine.order)], return_inverse=True)
        return position[used], triangles.reshape(-1, 3), potential[used]

    @cached_property
    def _outside(self) -> tuple[FloatArray, IntArray, ComplexArray, FloatArray]:
        mesh = self.scene.flow.discretisation.mesh
        corners = np.concatenate([v.window for v in self.views])
        reach = float(np.abs(corners - mesh.centre).max()) * 1.5
        return outer_field(self.scene.flow, reach)

    @property
    def scale(self) -> Scale:
        """Of |B| [mT], in the first window."""
        return self._strongest[0]

    @cached_property
    def _strongest(self) -> tuple[Scale, FloatArray]:
        """The scale, and the largest |B| of every region [mT]."""
        flow = self.scene.flow
        mesh = flow.discretisation.mesh
        middle = mesh.points[mesh.triangles].mean(axis=1)
        window = self.views[0].window
        rows = np.flatnonzero(((middle > window[0]) & (middle < window[1])).all(axis=1))
        rows = rows[is_solved(flow, rows)]
        gradient = flow.discretisation.elements.gradient(flow.potential, rows, PLACES)
        strength = 1e3 * np.sqrt((np.abs(gradient) ** 2).sum(axis=-1))
        # weighed by |H|^2, so that the large |B| of a magnetic coat or wall does not set the end
        share = mesh.areas()[rows] * flow.discretisation.reluctivity[rows] ** 2 / len(PLACES)
        return Scale.of(strength.ravel(), np.repeat(share, len(PLACES))), peaks(flow, rows, strength)

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
            strength *= resolved(flow, patch, strength, self._strongest[1])
            paints.append((patch.position, patch.corners, np.asarray(colours.to_rgba(strength))))
        show(axes, painted(window, pixel, paints), window)

    def _real(self, potential: ComplexArray) -> FloatArray:
        return np.asarray((potential * np.exp(-1j * reference_phase(self.scene.flow))).real)

    def step(self, window: FloatArray) -> float:
        """Round step of A between lines [Wb/m]."""
        found = [np.zeros(0)]
        for position, _, potential in (self._inside, self._outside[:3]):
            found.append(self._real(potential)[((position > window[0]) & (position < window[1])).all(axis=1)])
        span = float(np.ptp(np.concatenate(found)))
        return round_below(1.5 * span / LINES) if span else 1.0

    def lines(self, axes: Axes, window: FloatArray, step: float) -> None:
        """Lines of Re A at odd multiples of half the step: where there is no field, A = 0 and none is drawn."""
        pixel = float(window[1, 0] - window[0, 0]) / (inches_wide(axes) * DPI)
        pieces: list[FloatArray] = []
        weakest = WEAKEST * 1e-3 * self.scale.high / step
        for position, triangles, potential in (self._inside, self._outside[:3]):
            corner = position[triangles]
            seen = ((corner.max(axis=1) >= window[0]) & (corner.min(axis=1) <= window[1])).all(axis=1)
            levels = Levels(position, triangles[seen], self._real(potential) / step - 0.5, weakest)
            pieces += levels.lines(pixel)
        axes.add_collection(LineCollection(pieces, colors=INK, linewidths=0.45), autolim=False)
        axes.set_xlim(*map(float, window[:, 0]))
        axes.set_ylim(*map(float, window[:, 1]))
