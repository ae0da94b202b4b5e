"""Boundaries: the outlines as the mesher follows them, with the metal on their left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray, rolled
from crosscurrent.geometries.plane.outline import Outline

SOFT = np.radians(10)  # corners that turn less are taken as smooth


@dataclass(frozen=True, eq=False)
class Boundary:
    """One outline of a part, run with the metal on its left.

    Attributes
    ----------
    outline : Outline
        Counter-clockwise for an outer outline, clockwise for a hole [m].
    part : int
        Number of the part.
    skin : float
        Skin depth of the base metal [m]; infinite for direct current.
    coats, coat_skins : tuple of float
        Thickness and skin depth of every deposited layer, the one next to the base metal first [m].
    first_coat : int
        Number of the first of them among the part's layers.
    layer : int
        Number of the metal on its left among the part's layers: 0, or that of a piece.
    axial : bool
        Whether x = 0 is the axis of its section: only what lies right of it will be meshed.
    """

    outline: Outline
    part: int
    skin: float
    coats: tuple[float, ...] = ()
    coat_skins: tuple[float, ...] = ()
    first_coat: int = 1
    layer: int = 0
    axial: bool = False

    @cached_property
    def turning(self) -> FloatArray:
        """Angle by which it turns left at each corner point, (n,) [rad]."""
        return turning(self.outline)

    def active(self, reach: float) -> tuple[bool, ...]:
        """Whether the base metal and each coat have less than `reach` skin depths of coats over them."""
        over, active = 0.0, []
        for thickness, skin in zip(self.coats[::-1], self.coat_skins[::-1], strict=True):
            active.append(over < reach)
            over += thickness / skin
        return (over < reach, *active[::-1])


def turning(outline: Outline) -> FloatArray:
    """Angle by which the outline turns left at each corner point, (n,) [rad], -pi..pi.

    Examples
    --------
    >>> turning(Outline.of([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])).round(6).tolist()
    [1.570796, 1.570796, 1.570796, 1.570796]
    """
    along_x, along_y = (outline.ends - outline.points).T
    heading, half = np.arctan2(along_y, along_x), 0.5 * outline.sweeps
    leaving, arriving = heading - half, rolled(heading + half, 1)
    x, y, before_x, before_y = np.cos(leaving), np.sin(leaving), np.cos(arriving), np.sin(arriving)
    return np.asarray(np.arctan2(before_x * y - before_y * x, before_x * x + before_y * y))


def neighbours(outlines: Sequence[Outline]) -> tuple[IntArray, IntArray]:
    """The sides before and after every side of some outlines, both (n,)."""
    first = np.cumsum([0, *(len(o.points) for o in outlines)])
    every = [np.arange(a, b) for a, b in pairwise(first)]
    return np.concatenate([rolled(k, 1) for k in every]), np.concatenate([rolled(k, -1) for k in every])
