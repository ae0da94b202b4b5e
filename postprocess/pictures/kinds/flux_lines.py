"""Flux lines over the magnitude of the flux density, in metal and air alike."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.field_values import (
    flux_density,
    is_solved,
    peaks,
    reference_phase,
    resolved,
    small_triangles,
    visible_patches,
)
from crosscurrent.postprocess.answers.noise import figure, inductance_noise
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.probe import Probe

from ..axial import halves
from ..axial import views as axial_views
from ..contours import Levels
from ..kept import Cut
from ..kind import PictureKind
from ..labels import name_parts
from ..outer_field import outer_field
from ..page import WIDER, lay_out
from ..panels import caption, draw_levels, draw_outlines, inches_wide, scale_bar
from ..raster import Raster, show
from ..scale import Scale, colour_bar
from ..scene import Scene
from ..style import DPI, FIELD, amount, own_style, round_below
from ..views import View, group_windows, whole_window

NAMED = 6  # circuits whose inductance is said
LINES = 24  # flux lines across a panel, about
WEAKEST = 1e-4  # of the end of the scale: a weaker field is noise, and no line is drawn there
PLACES = np.array([[1 / 3, 1 / 3], [0.1, 0.1], [0.8, 0.1], [0.1, 0.8]])  # of an element, at which |B| is taken
MILLI = 1e-3  # end of the scale below which it is in microtesla [T]
AIR = 0.22  # margin of air around the conductors, in shares of their size
FINENESS = 250_000  # small triangles for lines, about


def flux_map(scene: Scene) -> Figure:
    """Lines of Re A, when the first circuit's current is at its crest, over |B| rms."""
    views = _views(scene)
    field = _Field(scene, views)
    steps = [field.step(v.window) for v in views]
    unit = "Wb" if scene.axial else "Wb/m"
    round_it = " all round the axis, so that they stand wider apart near it" if scene.axial else ""
    said = [f"{amount(steps[0], unit, 1)} (rms) between lines{round_it}"] if len(views) == 1 else []
    said.append("where they are dense, most of them are hairlines")
    when = " at the crest of the first current" if scene.solution.frequency else ""
    with own_style():
        page = lay_out(
            scene.title, f"Flux lines{when} and flux density |B|, rms · {scene.at}", views,
            lambda panels: [*scene.notes, *said], zoomed=False, width=WIDER,
        )  # fmt: skip
        for (panel, axes), step in zip(page.panels, steps, strict=True):
            field.paint(axes, panel.view.window, panel.width)
            field.lines(axes, panel.view.window, step)
            draw_outlines(axes, scene.seen, scene.named, 0.7)
            name_parts(scene.named, axes, marks=scene.marks, axial=scene.axial)
            scene.dress(axes)
            scale_bar(axes)
            between = f", lines {amount(step, unit, 1)} apart" if len(views) > 1 else ""
            caption(axes, panel.view.caption.rsplit(" at ")[0] + between)
        factor, tesla = (1e6, "µT") if field.scale.high < MILLI else (1e3, "mT")
        colour_bar(page.bar, field.scale.times(factor), FIELD, f"|B|, rms [{tesla}]")
    return page.figure


def _views(scene: Scene) -> list[View]:
    """The whole section in its air, and each group of far apart parts again."""
    if scene.axial:
        return axial_views(scene.named, len(scene.parts), AIR)
    single = group_windows(scene.named, AIR)
    whole = whole_window(scene.parts, AIR)
    return [whole] if len(single) == 1 else [View(whole.window, "all"), *single]


@dataclass(frozen=True, eq=False)
class _Field:
    """A and B, ready to be drawn."""

    scene: Scene
    views: list[View]

    @cached_property
    def _inside(self) -> tuple[FloatArray, IntArray, ComplexArray]:
        """Points of all elements, finer than their nodes and joined, with A; without a field-free core left out."""
        flow = self.scene.flow
        mesh, elements = flow.discretisation.mesh, flow.discretisation.elements
        times = int(np.clip(np.sqrt(FINENESS / len(mesh.triangles)) / elements.order, 1, 4))
        rows = np.flatnonzero(is_solved(flow, np.arange(len(mesh.triangles))))

        def finer() -> tuple[FloatArray, IntArray, IntArray, IntArray, FloatArray]:
            fine = Elements(mesh, times * elements.order)
            places, dofs = lattice(fine.order)[:, 1:] / fine.order, fine.dofs[rows]
            position = np.empty((fine.count, 2))
            position[dofs] = elements.positions(rows, places)
            used, triangles = np.unique(dofs[:, small_triangles(fine.order)], return_inverse=True)
            return position[used], triangles.reshape(-1, 3), used, dofs, places

        key = ("finer", times, len(rows))
        position, triangles, used, dofs, places = self.scene.kept.of(elements, key, finer)
        potential = np.empty(int(used[-1]) + 1, dtype=complex)
        potential[dofs] = elements.value(flow.potential, rows, places)
        return position, triangles, potential[used]

    @cached_property
    def _rim(self) -> tuple[IntArray, FloatArray]:
        """Those of the points inside that lie on the outer circle, around it, and their angles [rad]."""
        mesh = self.scene.flow.discretisation.mesh
        away = self._inside[0] - mesh.centre
        rim = np.flatnonzero(np.hypot(*away.T) > (1 - 1e-9) * mesh.radius)
        angle = np.arctan2(away[rim, 1], away[rim, 0])
        order = np.argsort(angle)
        return rim[order], angle[order]

    @cached_property
    def _outside(self) -> tuple[FloatArray, IntArray, ComplexArray, FloatArray]:
        mesh = self.scene.flow.discretisation.mesh
        corners = np.concatenate([v.window for v in self.views])
        reach = float(np.abs(corners - mesh.centre).max()) * 1.5
        return outer_field(mesh, Probe(self.scene.flow).outside, reach, self._rim[1])

    @cached_property
    def _everywhere(self) -> tuple[FloatArray, IntArray, ComplexArray]:
        """Points, small triangles and A inside and outside, joined at the outer circle."""
        (place, inner, potential), (beyond, outer, further, _), (rim, _) = self._inside, self._outside, self._rim
        number = np.concatenate((rim, len(place) + np.arange(len(beyond) - len(rim))))
        return (
            np.concatenate((place, beyond[len(rim) :])),
            np.concatenate((inner, number[outer])),
            np.concatenate((potential, further[len(rim) :])),
        )

    @property
    def scale(self) -> Scale:
        """Of |B| [T], in the first window."""
        return self._strongest[0]

    @cached_property
    def _strongest(self) -> tuple[Scale, FloatArray]:
        """The scale, and the largest |B| of every region [T]."""
        flow = self.scene.flow
        mesh = flow.discretisation.mesh
        middle = mesh.points[mesh.triangles].mean(axis=1)
        window = self.views[0].window
        rows = np.flatnonzero(((middle > window[0]) & (middle < window[1])).all(axis=1))
        rows = rows[is_solved(flow, rows)]
        gradient = flow.discretisation.elements.induction(flow.potential, rows, PLACES)
        strength = np.sqrt((np.abs(gradient) ** 2).sum(axis=-1))
        # weighed by |H|^2, so that the large |B| of a magnetic coat or wall does not set the end
        share = mesh.areas()[rows] * flow.discretisation.reluctivity[rows] ** 2 / len(PLACES)
        return Scale.of(strength.ravel(), np.repeat(share, len(PLACES))), peaks(flow, rows, strength)

    def paint(self, axes: Axes, window: FloatArray, inches: float) -> None:
        """|B| as colours."""
        flow = self.scene.flow
        colours = ScalarMappable(self.scale.norm, FIELD)
        pixel = float(window[1, 0] - window[0, 0]) / (inches * DPI)
        place, triangles, _, magnitude = self._outside
        rows = np.arange(len(flow.discretisation.mesh.triangles))

        def cut() -> Cut:
            patches = visible_patches(flow, rows, window, pixel)
            shapes = [(sign * place, triangles) for _, sign in sides]
            return patches, Raster.of(window, pixel, [*shapes, *((p.position, p.corners) for p in patches)])

        sides = halves(window, self.scene.axial)
        key = ("flux", window.tobytes(), pixel, len(place))
        patches, raster = self.scene.kept.of(flow.discretisation.elements, key, cut)
        shades = [np.asarray(colours.to_rgba(magnitude)) for _ in sides]
        for patch in patches:
            strength = np.sqrt((np.abs(flux_density(flow, patch)) ** 2).sum(axis=1))
            strength *= resolved(flow, patch, strength, self._strongest[1])
            shades.append(np.asarray(colours.to_rgba(strength)))
        show(axes, raster.image(shades), window)

    def _real(self, potential: ComplexArray) -> FloatArray:
        return np.asarray((potential * np.exp(-1j * reference_phase(self.scene.flow))).real)

    def step(self, window: FloatArray) -> float:
        """Round step between lines, of A [Wb/m], round an axis of the flux within 2 pi r A [Wb]."""
        position, _, potential = self._everywhere
        seen = ((position > window[0]) & (position < window[1])).all(axis=1)
        span = float(np.ptp(self._real(potential)[seen])) if seen.any() else 0.0
        return round_below(1.5 * span / LINES) if span else 1.0

    def lines(self, axes: Axes, window: FloatArray, step: float) -> None:
        """Lines of Re A at odd multiples of half the step: where there is no field, A = 0 and none is drawn."""
        pixel = float(window[1, 0] - window[0, 0]) / (inches_wide(axes) * DPI)
        position, triangles, potential = self._everywhere
        weakest: float | FloatArray = WEAKEST * self.scale.high / step
        if self.scene.axial:
            weakest = weakest * 2 * np.pi * position[:, 0]
        found = []
        for part, sign in halves(window, self.scene.axial):
            # one bit for each side of the window a point lies beyond: a triangle is unseen if all its points share one
            beyond = np.column_stack((position < part[0], position > part[1])) @ np.array([1, 2, 4, 8])
            seen = np.bitwise_and.reduce([beyond[triangles[:, k]] for k in range(3)]) == 0
            levels = Levels(position, triangles[seen], self._real(potential) / step - 0.5, weakest)
            found += [(sign * line, room) for line, room in levels.lines(pixel, part)]
        draw_levels(axes, found)


def _inductances(point: Answers) -> str:
    found = [
        f"{c.name} {figure(c.inductance, inductance_noise(c), 'H/m')}" for c in point.circuits.values() if c.inductance
    ]
    return f"inductance of {', '.join(found[:NAMED])}"


KIND = PictureKind("flux-lines", 3, "Flux lines and field", flux_map, _inductances)
