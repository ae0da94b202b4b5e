"""Power density in the pieces that a coil heats, beside it the power along their length and below their surface."""

from __future__ import annotations

from typing import Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.axial import mirror_image
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.field_values import OutlineSurface, visible_patches
from crosscurrent.postprocess.answers.units import in_mm_and_thou
from crosscurrent.solver.field.loss_density import loss_density
from crosscurrent.solver.field.pieces import SHARES, PiecePower, piece_power, pieces
from crosscurrent.solver.field.solution import Solution

from ..axial import boxes_of, draw_axis
from ..kind import PictureKind
from ..metal_map import BAND, THIN, band
from ..page import HEAD, LINE, BlankPage, wrapped
from ..panel_layout import EDGE, WIDTH
from ..panels import draw_outlines, inches_wide, scale_bar
from ..raster import Paint, painted, show
from ..scale import Scale, colour_bar
from ..scene import Scene
from ..style import DENSITY, DPI, INK, QUIET, SMALL, amount, own_style, plain, round_below, shortened, write
from ..views import FAR, whole_window

MOST = 3  # pieces in one picture
TALL, WIDE = 2.5, 1.9  # of a map beside its graph, at most [in]
LONG, FLAT = 4.0, 1.3  # of a map over its graph, at most [in]
LOW = 0.95  # graph under a map [in]
ACROSS = 1.55  # graph beside a map [in]
DEEP = 1.75  # width of the graph over depth [in]
NAME, UNDER, LEFT = 0.42, 0.62, 0.75  # room above and under a piece, and left of it [in]
WEAK = 0.1  # end of the scale below which it is in milliwatts [W/cm3]
REACH = 0.995  # share of the power that the graph over depth goes to
BESIDE = 0.06  # margin of a map, of its longer side


def piece_maps(scene: Scene) -> Figure:
    """A row for each piece of largest power."""
    every = {k: piece_power(scene.flow, k) for k in pieces(scene.flow.problem)}
    chosen = sorted(every, key=lambda k: -every[k].power)[:MOST]
    scale = _scale(scene, chosen)
    rows = [_Row(scene, k, every[k]) for k in chosen]
    said = [*(_said(scene, k, every[k]) for k in chosen), *_left_out(len(every) - len(chosen))]
    if any(row.is_banded for row in rows):
        said.append("power too near to the surface for the map: a band along the outline has the colour of the surface")
    lines = wrapped(said, WIDTH - EDGE - LEFT - 3.0)
    foot = max(0.75, 0.25 + LINE * len(lines))
    with own_style():
        sheet = BlankPage.of(
            scene.title, f"Power density in what the coil heats · {scene.at}", WIDTH,
            HEAD + sum(r.height for r in rows) + foot,
        )  # fmt: skip
        top = sheet.height - HEAD
        for row in rows:
            row.draw(sheet, top, scale)
            top -= row.height
        factor, unit = (1e3, "mW/cm³") if scale.high < WEAK else (1.0, "W/cm³")
        colour_bar(sheet.axes(LEFT, foot - 0.32, 2.4, 0.13), scale.times(factor), DENSITY, f"power density [{unit}]")
        sheet.lines(lines, LEFT + 3.0, foot - 0.2)
    return sheet.figure


def _scale(scene: Scene, chosen: list[int]) -> Scale:
    d = scene.flow.discretisation
    places, weights = quadrature(2 * d.order)
    rows = np.flatnonzero(np.isin(d.mesh.part, chosen))
    volume = (d.elements.measure(rows, places) * weights).ravel()
    return Scale.of(1e-6 * loss_density(scene.flow, rows, places).ravel(), volume)


class _Row:
    """One piece: its map, the power along it, the power above a depth."""

    def __init__(self, scene: Scene, number: int, power: PiecePower) -> None:
        self._scene, self._number, self._power = scene, number, power
        part = scene.parts[number]
        both = 2 * part.bounds[0, 0] <= FAR * np.hypot(*(part.bounds[1] - part.bounds[0]))
        self._upright = power.axial
        shown = [part, mirror_image(part)] if both and self._upright else [part]
        self._window = whole_window(shown, BESIDE).window
        if both and not self._upright:
            self._window[0, 0] = -0.02 * self._window[1, 0]
        wide, tall = self._window[1] - self._window[0]
        room = (WIDE, TALL) if self._upright else (LONG, FLAT)
        inches = min(room[0] / wide, room[1] / tall)
        self._width, self._tall = inches * float(wide), inches * float(tall)
        graph = self._tall if self._upright else self._tall + 0.3 + LOW
        self.height = NAME + max(graph, 1.2) + UNDER

    @property
    def is_banded(self) -> bool:
        """Whether a band along the outline stands for what the map cannot show."""
        return _is_thin(self._scene, self._number, self._power, self._pixel)

    @property
    def _pixel(self) -> float:
        return float(np.ptp(self._window[:, 0])) / float(self._width * DPI)

    def draw(self, sheet: BlankPage, top: float, scale: Scale) -> None:
        """From a height down [in]."""
        name = self._scene.conductors[self._number].name
        write(sheet.figure, LEFT, top - 0.22, shortened(name, 60), fontsize=SMALL + 0.5, fontweight="bold")
        top -= NAME
        drawn = sheet.axes(LEFT, top - self._tall, self._width, self._tall)
        self._map(drawn, scale)
        if self._upright:
            along = sheet.axes(LEFT + self._width + 0.75, top - self._tall, ACROSS, self._tall)
            right = LEFT + self._width + 0.75 + ACROSS + 0.75
        else:
            along = sheet.axes(LEFT, top - self._tall - 0.3 - LOW, self._width, LOW)
            right = LEFT + self._width + 0.85
        self._along(along)
        deep = min(DEEP, WIDTH - EDGE - right)
        self._deep(sheet.axes(right, top - max(1.2, min(self._tall, 1.9)), deep, max(1.2, min(self._tall, 1.9))))

    def _map(self, axes: Axes, scale: Scale) -> None:
        flow, window = self._scene.flow, self._window
        colours = ScalarMappable(scale.norm, DENSITY)
        pixel = self._pixel
        rows = np.flatnonzero(flow.discretisation.mesh.part == self._number)
        paints: list[Paint] = [
            (p.position, p.corners, np.asarray(colours.to_rgba(1e-6 * loss_density(flow, p.rows, p.places).ravel())))
            for p in visible_patches(flow, rows, window, pixel)
        ]
        own = [o for o in self._scene.seen if o.part == self._number]
        if self.is_banded:
            for outline in own:
                loss = self._at_surface(outline)
                shades = np.tile(np.asarray(colours.to_rgba(1e-6 * loss)), (2, 1))
                paints.append((*band(outline, BAND * pixel), shades))
        show(axes, painted(window, pixel, paints, finer=2 if self.is_banded else 1), window)
        draw_outlines(axes, own, [self._scene.parts[self._number]], 0.6)
        draw_axis(axes, boxes_of([self._scene.parts[self._number]]))
        if inches_wide(axes) > 1:  # beside a narrower one it would run into the graph, whose z is on the same scale
            scale_bar(axes)

    def _at_surface(self, outline: OutlineSurface) -> FloatArray:
        """Power density along an outline [W/m3]."""
        conductor = self._scene.conductors[outline.part]
        sigma = [m.conductivity_at(conductor.temperature) for m in (conductor.material, *conductor.coats)][-1]
        return np.asarray(np.abs(outline.density) ** 2 / sigma) if sigma else np.zeros(len(outline.density))

    def _along(self, axes: Axes) -> None:
        """Power of a millimetre of length, on the scale of the map's own length."""
        place, power = self._power.along, 1e-3 * self._power.profile
        factor, unit = (1e3, "mW/mm") if power.max(initial=0.0) < 0.1 else (1.0, "W/mm")
        power, ends = factor * power, 1e3 * self._window
        step = float(place[1] - place[0])
        edges = 1e3 * np.append(place - 0.5 * step, place[-1] + 0.5 * step)
        way: Literal["horizontal", "vertical"] = "horizontal" if self._upright else "vertical"
        axes.stairs(power, edges, orientation=way, fill=True, facecolor=(*DENSITY(0.4)[:3], 0.35), edgecolor=INK,
                    linewidth=0.7)  # fmt: skip
        if self._upright:
            axes.set(ylim=ends[:, 1], xlim=(0, None))
            axes.set_xlabel(f"power along z [{unit}]", fontsize=SMALL, labelpad=2)
            axes.set_ylabel("z [mm]", fontsize=SMALL, labelpad=1)
            axes.locator_params(axis="x", nbins=4)
        else:
            axes.set(xlim=ends[:, 0], ylim=(0, None))
            axes.set_ylabel(f"along r\n[{unit}]", fontsize=SMALL)
            axes.set_xlabel("r [mm]", fontsize=SMALL, labelpad=2)
            axes.locator_params(axis="y", nbins=4)
        axes.spines[["top", "right"]].set_visible(False)

    def _deep(self, axes: Axes) -> None:
        """Share of the power above a depth."""
        p = self._power
        end = max(p.depth_of(REACH), 1e-9)
        near = p.below <= end
        axes.plot(1e3 * p.below[near], 100 * p.within[near], color=INK, linewidth=0.9)
        for share, reached in zip(SHARES, p.depths, strict=True):
            depth = 1e3 * reached
            across = [0, depth, depth], [100 * share, 100 * share, 0]
            axes.plot(*across, color=QUIET, linewidth=0.6, linestyle=(0, (3, 2)))
            axes.annotate(
                f"{plain(depth)} mm", (depth, 0), xytext=(2, 4), va="bottom", rotation=90,
                textcoords="offset points", fontsize=SMALL, color=QUIET,
            )  # fmt: skip
        axes.set(xlim=(0, 1e3 * end), ylim=(0, 104))
        axes.set_xticks(_ticks(1e3 * end))
        axes.set_xlabel("depth [mm]", fontsize=SMALL, labelpad=2)
        axes.set_ylabel("power above it [%]", fontsize=SMALL, labelpad=1)
        axes.set_yticks([0, 25, 50, *(100 * share for share in SHARES), 100])
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:.0f}"))
        axes.spines[["top", "right"]].set_visible(False)


def _is_thin(scene: Scene, number: int, power: PiecePower, pixel: float) -> bool:
    """Whether a map shows next to nothing of where the power arises, in a piece that carries current."""
    density = max(float(np.abs(o.density).max()) for o in scene.outlines if o.part == number)
    return density > 0 and power.depths[1] < THIN * pixel


def _ticks(end: float) -> FloatArray:
    step = round_below(end / 2.5)
    return np.arange(0, end * 1.0001, step)


def _said(scene: Scene, number: int, p: PiecePower) -> str:
    name = shortened(scene.conductors[number].name, 30)
    mean, largest = (amount(1e-6 * density, "W/cm³", 3) for density in (p.mean, p.largest))
    densities = f"{mean} on average, {largest} at most"
    inner, outer = (in_mm_and_thou(depth) for depth in p.depths)
    shares = f"63 % of it within {inner}, 86 % within {outer} of the nearest face"
    return f"{name}: {amount(p.power, 'W', 3)} all round, {densities}; {shares}"


def _left_out(count: int) -> list[str]:
    return [f"not drawn, of smaller power: {count} more"] if count else []


def _taken(point: Answers) -> str:
    every = [c for c in point.conductors.values() if c.loss_ratio is None]
    worst = sorted(every, key=lambda c: -c.loss)[:MOST]
    return ", ".join(f"{c.name} takes {amount(c.loss, 'W', 3).replace('µ', 'u')} all round" for c in worst)


def _has_pieces(solution: Solution) -> bool:
    flow = solution.fine
    return bool(solution.frequency) and any(flow.powers[k].real > 0 for k in pieces(solution.problem))


KIND = PictureKind("power-in-pieces", 5, "Power density in what the coil heats", piece_maps, _taken, _has_pieces)
