"""Map of the electric field between two groups of conductors, with lines of equal potential."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.tri import Triangulation

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.postprocess.answers.units import engineering, error_bar
from crosscurrent.solver.field.electrostatic import Capacitance
from crosscurrent.solver.field.outer_field import outside

from .contours import Levels
from .labels import name_parts
from .outer_field import outer_field
from .page import WIDER, lay_out
from .panels import caption, draw_levels, scale_bar
from .room_for_names import with_room
from .scale import Scale, colour_bar
from .style import DPI, FIELD, INK, own_style, plain
from .views import View

MARGIN = 0.02  # least air shown around the conductors, of the section's size
RAYS = 90  # on which the field beyond the mesh is found, and on those of its points
LINES = 20  # steps of the potential between the groups
METAL = "#d9d5cf"


def electric_field(found: Capacitance, section: Section, voltage: float, title: str, subject: str) -> Figure:
    """|E| in the air for a voltage between the groups.

    Parameters
    ----------
    found : Capacitance
    section : Section
    voltage : float
        [V rms]
    title, subject : str
        Of the case; between what.
    """
    view = with_room(View(_window(section, found.elements.mesh.radius)), section.parts)
    window = view.window
    position, triangles, potential, strength = everywhere(found, window)
    shown = 1e-3 * voltage * strength
    corners = position[triangles]
    edges = corners[:, 1:] - corners[:, :1]
    areas = 0.5 * np.abs(edges[:, 0, 0] * edges[:, 1, 1] - edges[:, 0, 1] * edges[:, 1, 0])
    scale = Scale.of(shown[triangles].mean(axis=1), areas)
    lines = Levels(position, triangles, LINES * potential, 1e-6 * LINES / section.size)
    notes = [
        f"lines: steps of 1/{LINES} of {engineering(voltage, 'V')}",
        f"capacitance {engineering(found.value, 'F/m', 5)} in air, error bar {error_bar(found.error)}",
    ]
    with own_style():
        page = lay_out(title, subject, [view], lambda panels: notes, zoomed=False, width=WIDER)
        for panel, axes in page.panels:
            axes.set(xlim=window[:, 0], ylim=window[:, 1], xticks=[], yticks=[])
            axes.set_aspect("equal")
            mesh = Triangulation(position[:, 0], position[:, 1], triangles)
            axes.tripcolor(mesh, shown, shading="gouraud", cmap=FIELD, norm=scale.norm, rasterized=True)
            pixel = float(panel.view.extent[0]) / (panel.width * DPI)
            draw_levels(axes, lines.lines(pixel))
            _conductors(axes, section.parts)
            scale_bar(axes)
            caption(axes, panel.view.caption)
            name_parts(section.parts, axes, axial=section.axial)
        colour_bar(page.bar, scale, FIELD, f"|E|, rms [V/mm] at {plain(voltage, 4)} V")
    return page.figure


def _window(section: Section, radius: float) -> FloatArray:
    """The box around the section with as much air as the mesh has beyond its corners [m]."""
    x, y = np.ptp(section.bounds, axis=0) / 2
    room = (math.sqrt(max(2 * radius**2 - (x - y) ** 2, 0.0)) - x - y) / 2
    margin = max(room, MARGIN * section.size)
    return np.array([section.bounds[0] - margin, section.bounds[1] + margin])


def everywhere(found: Capacitance, window: FloatArray) -> tuple[FloatArray, IntArray, FloatArray, FloatArray]:
    """Points, small triangles, potential [V] and |E| [V/m] per volt in the air that is shown, also beyond the mesh.

    Returns
    -------
    position, triangles, potential, strength
        (n, 2) float [m], (k, 3) int, (n,) float, (n,) float.
    """
    position, triangles, potential, strength = _sampled(found, window)
    mesh = found.elements.mesh
    away = position - mesh.centre
    rim = np.hypot(*away.T) > (1 - 1e-9) * mesh.radius
    reach = float(np.hypot(*np.abs(window - mesh.centre).max(axis=0)))
    if reach <= (1 + 1e-6) * mesh.radius:
        return position, triangles, potential, strength
    angle = np.arctan2(*away[rim].T[::-1])
    every = np.unique(np.concatenate((np.linspace(-np.pi, np.pi, RAYS, endpoint=False), angle.round(9))))
    beyond = outer_field(mesh, outside(found.elements, found.potential.astype(complex)), reach, every)
    return (
        np.concatenate((position, beyond[0])),
        np.concatenate((triangles, len(position) + beyond[1])),
        np.concatenate((potential, beyond[2].real)),
        np.concatenate((strength, beyond[3])),
    )


def _sampled(found: Capacitance, window: FloatArray) -> tuple[FloatArray, IntArray, FloatArray, FloatArray]:
    """Points, small triangles, potential and |E| per volt in the air that is shown."""
    elements = found.elements
    mesh, steps = elements.mesh, 2 * elements.order
    places = lattice(steps)[:, 1:] / steps
    air = np.flatnonzero(mesh.region == AIR)
    corner = mesh.points[mesh.triangles[air]]
    seen = ((corner.max(axis=1) > window[0]) & (corner.min(axis=1) < window[1])).all(axis=1)
    rows = air[seen]
    position = elements.positions(rows, places).reshape(-1, 2)
    slope = elements.gradient(found.potential, rows, places).reshape(-1, 2)
    small = Triangulation(places[:, 0], places[:, 1]).get_masked_triangles()
    triangles = (small + len(places) * np.arange(len(rows))[:, None, None]).reshape(-1, 3)
    potential = elements.value(found.potential, rows, places).ravel()
    return position, triangles, potential, np.hypot(*slope.T)


def _conductors(axes: Axes, parts: tuple[Part, ...]) -> None:
    for part in parts:
        for shape in (part.shape, *part.pieces):
            holes = [_path(hole.counter_clockwise().reversed()) for hole in shape.holes]
            loops = (_path(shape.outer.counter_clockwise()), *holes)
            axes.add_artist(PathPatch(Path.make_compound_path(*loops), facecolor=METAL, edgecolor=INK, linewidth=0.5))


def _path(outline: Outline) -> Path:
    places = outline.at(np.arange(len(outline.points))[:, None], np.arange(32) / 32)[0].reshape(-1, 2)
    return Path(np.concatenate((places, places[:1])), closed=True)
