"""Names of the faces of a conductor, by the direction they look to."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.part import Part

EIGHT = ("right", "upper right", "upper", "upper left", "left", "lower left", "lower", "lower right")
MANY = 12  # outlines with more sides are named by direction only


def face_names(part: Part) -> tuple[list[str], IntArray, FloatArray]:
    """Names of a part's faces, the face of every side (outlines in order), and the faces' lengths [m].

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> face_names(Part("feed", bar(0.1, 0.006)))[0]
    ['lower face', 'right face', 'upper face', 'left face']
    """
    wanted: list[str] = []
    where: list[FloatArray] = []
    bores = {id(h) for shape in (part.shape, *part.pieces) for h in shape.holes}
    for number, outline in enumerate(part.all_outlines):
        middle, tangent = outline.at(np.arange(len(outline.points)), 0.5)
        where += list(middle)
        if id(outline) in bores:
            wanted += ["bore" if len(bores) == 1 else f"bore {number}"] * len(middle)
            continue
        heading = np.arctan2(-tangent[:, 0], tangent[:, 1])
        direction = [EIGHT[round(a / (np.pi / 4)) % 8] for a in heading]
        small = outline.curved & (outline.lengths < 0.25 * outline.lengths.max())
        kind = ["edge" if s else ("side" if c else "face") for s, c in zip(small, outline.curved, strict=True)]
        wanted += [f"{a} {b}" for a, b in zip(direction, kind, strict=True)]
    many = len(part.outlines[0].points) > MANY
    unique: list[str] = []
    for name, (x, y) in zip(wanted, where, strict=True):
        alike = [p for n, p in zip(wanted, where, strict=True) if n == name]
        if many or name.startswith("bore") or len(alike) == 1:
            unique.append(name)
        else:
            axis, value = ("x", x) if np.ptp([p[0] for p in alike]) > np.ptp([p[1] for p in alike]) else ("y", y)
            unique.append(f"{name} at {axis} = {value * 1e3:.4g} mm")
    names = list(dict.fromkeys(unique))
    label = np.array([names.index(n) for n in unique])
    lengths = np.concatenate([o.lengths for o in part.all_outlines])
    return names, label, np.asarray(np.bincount(label, lengths, minlength=len(names)), dtype=float)
