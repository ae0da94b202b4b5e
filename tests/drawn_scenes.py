"""Scenes for the tests of pictures."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import ArrayLike

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, round_bar
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.pictures.scene import Scene
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS

TITLE = 'Coil <A> & "pad" $x_1$ \u26a1\U0001f6a2'


def conductor(name: str, shape: Shape, centre: tuple[float, float] = (0.0, 0.0), turn: float = 0.0) -> Conductor:
    """Of copper."""
    return Conductor(Part(name, shape.placed(centre, turn)), MATERIALS["copper"])


def scene_of(conductors: Sequence[Conductor], frequency: float, current: float = 100.0) -> Scene:
    """Out through the first conductor, back through the second."""
    names = [c.name for c in conductors]
    feed = Circuit("feed", current, (names[0],), tuple(names[1:2]))
    solution = solve(Problem(tuple(conductors), (feed,)), frequency)
    return Scene(solution, answers(solution), TITLE)


@cache
def two_rods() -> Scene:
    """Direct current: 100 A out through a rod of 10 mm, back through one of 20 mm, 100 mm apart."""
    rods = conductor("thin", round_bar(0.01)), conductor("thick", round_bar(0.02), (0.1, 0.0))
    solution = solve(Problem(rods, (Circuit("feed", 100.0, ("thin",), ("thick",)),)), 0.0, accuracy=0.05)
    return Scene(solution, answers(solution), "Rods")


def maps_of(figure: Figure) -> list[Axes]:
    """Axes that hold an image in true aspect."""
    return [a for a in figure.axes if a.images and a.get_aspect() == 1]


def lightness(colours: ArrayLike) -> FloatArray:
    """CIE 1976 L* of sRGB colours (..., 3) in 0..1 (IEC 61966-2-1; CIE 15)."""
    c = np.asarray(colours, dtype=float)[..., :3]
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    y = linear @ np.array([0.2126, 0.7152, 0.0722])
    return np.asarray(np.where(y > (6 / 29) ** 3, 116 * np.cbrt(y) - 16, y * (29 / 3) ** 3))
