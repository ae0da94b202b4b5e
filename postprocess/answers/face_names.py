"""Where the current flows, face by face: every bit of metal counts to the face of the outline it lies nearest to."""

from __future__ import annotations

from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from ..geometries.outline import FloatArray
from ..geometries.section import Part
from ..geometries.sides import IntArray
from ..solver.field import Discretisation
from ..solver.flow import Flow
from .bisectors import Split, split_by_face

WITHIN = 0.95  # share of a face's |J| that its depth holds
EIGHT = ("right", "upper right", "upper", "upper left", "left", "lower left", "lower", "lower right")
MANY = 12  # outlines with more sides are named by direction only
# what counts to which face, with and without the dark core: the same at every frequency of a sweep
_SPLITS: WeakKeyDictionary[Discretisation, dict[tuple[int, bool], Split]] = WeakKeyDictionary()


@dataclass(frozen=True)
class FaceFlow:
    """What flows nearer to one face than to any other.

    Attributes
    ----------
    name : str
    current : complex
        Its part of the conductor's net current [A].
    density : float
        Integral of |J| over its metal [A].
    loss : float [W/m]
    depth : float
        Depth below the face that holds 95 % of that integral [m].
    length : float
        Of the face along the outline [m].
    """

    name: str
    current: complex
    density: float
    loss: float
    depth: float
    length: float


def face_flows(flow: Flow, number: int) -> list[FaceFlow]:
    """Split the current and loss of a conductor among the faces of its outline, holes included."""
    d = flow.discretisation
    names, label, lengths = face_names(flow.problem.conductors[number].part)
    split = _split(flow, number, label)
    density = np.concatenate([
        (d.elements.value(flow.electric, d.elements.metal[rows], places) * (d.sigma * d.smoothing)[rows, None]).ravel()
        for rows, places in split.groups
    ])[split.place]  # fmt: skip
    current = density * split.area
    strength, loss = np.abs(current), np.abs(density) ** 2 / d.sigma[split.row] * split.area
    flows = []
    for k, name in enumerate(names):
        on = split.face == k
        depth = _quantile(split.depth[on], strength[on])
        sums = complex(current[on].sum()), float(strength[on].sum()), float(loss[on].sum())
        flows.append(FaceFlow(name, *sums, depth, float(lengths[k])))
    return flows


def _split(flow: Flow, number: int, label: IntArray) -> Split:
    known = _SPLITS.setdefault(flow.discretisation, {})
    key = (number, flow.fields.lifted)
    if key not in known:
        part = flow.problem.conductors[number].part
        known[key] = split_by_face(flow.discretisation, number, part, label, flow.lit > 0)
    return known[key]


def _quantile(depth: FloatArray, strength: FloatArray) -> float:
    if not strength.sum():
        return 0.0
    order = np.argsort(depth)
    total = np.cumsum(strength[order])
    return float(np.interp(WITHIN * total[-1], total, depth[order]))


def face_names(part: Part) -> tuple[list[str], IntArray, FloatArray]:
    """Names of a part's faces, the face of every side (outlines in order), and the faces' lengths [m].

    Examples
    --------
    >>> from crosscurrent.geometries.shapes import bar
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
