"""Names of the faces of a conductor, by the direction they look to."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part

EIGHT = ("right", "upper right", "upper", "upper left", "left", "lower left", "lower", "lower right")
ROUND = ("outer", "upper outer", "upper", "upper inner", "inner", "lower inner", "lower", "lower outer")  # an axis
SAME = 1e-9  # of a part's size: sides whose middles are nearer to each other, mirrored about the axis, are one
MANY = 12  # outlines with more sides are named by direction only


def face_names(part: Part, *, axial: bool = False) -> tuple[list[str], IntArray, FloatArray]:
    """Names of a part's faces, the face of every side (outlines in order), and the faces' lengths [m].

    Of a part that lies on the axis of an axial section sides left of it have the names of those on its right, and
    no length; the bore of a turn round it has sides of its own.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> face_names(Part("feed", bar(0.1, 0.006)))[0]
    ['lower face', 'right face', 'upper face', 'left face']
    >>> face_names(Part("turn", bar(0.1, 0.006).placed((0.2, 0.0))), axial=True)[0]
    ['lower face', 'outer face', 'upper face', 'inner face']
    """
    wanted: list[str] = []
    where: list[FloatArray] = []
    names_of, letters = (ROUND, "rz") if axial else (EIGHT, "xy")
    bores = {id(h) for shape in (part.shape, *part.pieces) for h in shape.holes}
    for number, outline in enumerate(part.all_outlines):
        middle, tangent = outline.at(np.arange(len(outline.points)), 0.5)
        if axial:
            left = middle[:, 0] < 0
            middle[left, 0] *= -1
            tangent[left, 1] *= -1
        where += list(middle)
        heading = np.arctan2(-tangent[:, 0], tangent[:, 1])
        direction = [names_of[round(a / (np.pi / 4)) % 8] for a in heading]
        if id(outline) in bores:
            bore = "bore" if len(bores) == 1 else f"bore {number}"
            sides = axial and part.bounds[0, 0] > 0  # of a turn it matters which side looks to the axis
            wanted += [f"{side} side of the {bore}" if sides else bore for side in direction]
            continue
        small = outline.curved & (outline.lengths < 0.25 * outline.lengths.max())
        kind = ["edge" if s else ("side" if c else "face") for s, c in zip(small, outline.curved, strict=True)]
        wanted += [f"{a} {b}" for a, b in zip(direction, kind, strict=True)]
    many = len(part.outlines[0].points) > MANY
    unique: list[str] = []
    for name, (x, y) in zip(wanted, where, strict=True):
        alike = [p for n, p in zip(wanted, where, strict=True) if n == name]
        if many or "bore" in name or len(alike) == 1 or (axial and _all_one(part, alike)):
            unique.append(name)
        else:
            across = np.ptp([p[0] for p in alike]) > np.ptp([p[1] for p in alike])
            axis, value = (letters[0], x) if across else (letters[1], y)
            unique.append(f"{name} at {axis} = {value * 1e3:.4g} mm")
    names = list(dict.fromkeys(unique))
    label = np.array([names.index(n) for n in unique])
    lengths = np.concatenate([_right_of_axis(o) if axial else o.lengths for o in part.all_outlines])
    return names, label, np.asarray(np.bincount(label, lengths, minlength=len(names)), dtype=float)


def _all_one(part: Part, middles: list[FloatArray]) -> bool:
    """Whether middles of sides are those of one side and its mirror image."""
    return bool(np.ptp(middles, axis=0).max() < SAME * part.shape.outer.size)


def _right_of_axis(outline: Outline) -> FloatArray:
    """Lengths of its sides, of those left of the axis 0 [m]."""
    middle, _ = outline.at(np.arange(len(outline.points)), 0.5)
    return np.where(middle[:, 0] < 0, 0.0, outline.lengths)
