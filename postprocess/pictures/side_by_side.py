"""Current density of several designs side by side: one scale of colours, one scale of lengths."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.solver.field.solution import Solution

from .axial import boxes_of, draw_axis, draw_marks
from .metal_map import fill
from .panels import scale_bar
from .scale import Scale, colour_bar
from .scene import Scene
from .style import DENSITY, INK, LARGE, NORMAL, QUIET, new_figure, own_style, save, shortened, write

WIDE = 8.0  # of the page [in]
GAP, HEAD, LABEL, FOOT = 0.35, 0.75, 0.3, 0.95  # [in]
TALL = 2.6  # largest height of a map [in]


def draw_side_by_side(designs: Sequence[tuple[str, Solution]], *, folder: Path) -> tuple[Path, Path]:
    """Draw |J| of several designs at one frequency as PNG and SVG.

    Parameters
    ----------
    designs : sequence of (str, Solution)
        Names and solutions.
    folder : Path
        An existing folder.
    """
    scenes = [Scene(solution, answers(solution), name) for name, solution in designs]
    end = scenes[0].at.replace(" ", "-" if scenes[0].at == "direct current" else "")
    return save(_figure(scenes), folder / f"side-by-side-{end}")


def _figure(scenes: Sequence[Scene]) -> Figure:
    boxes = [_box(scene) for scene in scenes]
    sizes = np.array([1.06 * (box[1] - box[0]) for box in boxes])
    columns = min(2 if len(scenes) != 3 else 3, len(scenes))
    rows = -(-len(scenes) // columns)
    scale = min((WIDE - (columns + 1) * GAP) / columns / sizes[:, 0].max(), TALL / sizes[:, 1].max())
    cell = scale * sizes.max(axis=0)
    height = HEAD + rows * (cell[1] + LABEL + GAP) + FOOT
    common = max((scene.scale for scene in scenes), key=lambda s: s.high)
    common = Scale(common.high, common.power, any(s.clipped or s.high > common.high for s in (x.scale for x in scenes)))
    with own_style():
        page = new_figure(WIDE, height)
        write(page, GAP, height - 0.35, "Designs side by side", fontsize=LARGE, weight="bold")
        write(page, GAP, height - 0.58, f"Current density |J|, rms · {scenes[0].at}", fontsize=NORMAL, color=QUIET)
        colours = ScalarMappable(common.norm, DENSITY)
        for number, (scene, box, size) in enumerate(zip(scenes, boxes, sizes, strict=True)):
            row, column = divmod(number, columns)
            left = GAP + column * (WIDE - GAP) / columns
            top = height - HEAD - row * (cell[1] + LABEL + GAP)
            inches = scale * size
            axes = page.add_axes((left / WIDE, (top - LABEL - inches[1]) / height, inches[0] / WIDE,
                                  inches[1] / height))  # fmt: skip
            middle = box.mean(axis=0)
            window = np.array([middle - size / 2, middle + size / 2])
            fill(scene, axes, window, float(inches[0]), lambda j: np.asarray(colours.to_rgba(1e-6 * np.abs(j))))
            axes.set_axis_off()
            loss, unit = scene.answers.total_loss, "W" if scene.axial else "W/m"
            write(page, left, top - LABEL + 0.08, f"{shortened(scene.title, 40)}: {loss:.4g} {unit}", color=INK)
            if scene.axial:
                draw_axis(axes, boxes_of(scene.parts))
                draw_marks(axes, scene.marks)
            if number == len(scenes) - 1:
                scale_bar(axes)
        bar = page.add_axes((GAP / WIDE, 0.45 / height, 0.42, 0.12 / height))
        colour_bar(bar, common, DENSITY, "|J|, rms [A/mm²]")
    return page


def _box(scene: Scene) -> FloatArray:
    """Corners of what is drawn, (2, 2) [m]; of an axial section both halves."""
    if not scene.axial:
        return scene.flow.problem.section.bounds
    boxes = np.array([part.bounds for part in scene.named])
    return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])
