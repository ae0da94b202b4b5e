"""Water round an axis: how far it goes in a turn."""

from __future__ import annotations

import math

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.problem import Conductor, Problem

from .bores import bores


def turn_length(conductor: Conductor) -> float:
    """Length of the middle of a turn's bores, 2 pi R [m]; of its outline where it has none.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> turn = Conductor(Part("turn", tube(0.012, 0.001).placed((0.05, 0.0))), MATERIALS["copper"])
    >>> round(turn_length(turn), 6)
    0.314159
    """
    outlines = bores(conductor.part) or (conductor.part.shape.outer,)
    area = np.array([abs(outline.area) for outline in outlines])
    radius = np.array([abs(outline.centroid[0]) for outline in outlines])
    return float(2 * math.pi * (area @ radius) / area.sum())


def lengths(problem: Problem) -> FloatArray:
    """That a loss belongs to, (conductors,) [m]: 1 of a straight run and of what lies on an axis, else one turn."""
    if not problem.axial:
        return np.ones(len(problem.conductors))
    rows = zip(problem.conductors, problem.section.crosses, strict=True)
    return np.array([1.0 if on_axis else turn_length(c) for c, on_axis in rows])
