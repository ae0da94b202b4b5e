"""Flux lines of a settled section, for a page."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.postprocess.answers.field_values import is_solved, reference_phase, small_triangles
from crosscurrent.postprocess.pictures.contours import Levels
from crosscurrent.solver.field.flow import SteadyFlow

COUNT = 24  # lines across the section, about
PIXELS = 900  # of its width on a page, about
WEAKEST = 1e-3  # of the mean slope, below which a line is noise


def flux_lines(flow: SteadyFlow) -> list[list[float]]:
    """Lines of Re A when the first current is at its crest, each x, y, x, y ... [m]."""
    d = flow.discretisation
    rows = np.flatnonzero(is_solved(flow, np.arange(len(d.mesh.triangles))))
    places = lattice(d.elements.order)[:, 1:] / d.elements.order
    position = np.empty((d.elements.count, 2))
    dofs = d.elements.dofs[rows]
    position[dofs] = d.elements.positions(rows, places)
    used, triangles = np.unique(dofs[:, small_triangles(d.elements.order)], return_inverse=True)
    value = (flow.potential[used] * np.exp(-1j * reference_phase(flow))).real
    extent = float(np.ptp(value))
    if not extent:
        return []
    low, high = flow.problem.section.bounds
    size = float(np.hypot(*(high - low)))
    levels = Levels(position[used], triangles.reshape(-1, 3), value / (extent / COUNT), WEAKEST * COUNT / size)
    return [line.round(8).ravel().tolist() for line, wide in levels.lines(size / PIXELS) if wide]
