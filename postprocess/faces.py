"""Where the current flows, face by face: every bit of metal counts to the face of the outline it lies nearest to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np

from ..geometries.outline import FloatArray, Outline
from ..geometries.section import Part
from ..geometries.shape_functions import quadrature
from ..geometries.sides import IntArray, Sides, nearest
from ..solver.field import Discretisation
from ..solver.flow import Flow

WITHIN = 0.95  # share of a face's |J| that its depth holds
EIGHT = ("right", "upper right", "upper", "upper left", "left", "lower left", "lower", "lower right")
MANY = 12  # outlines with more sides are named by direction only
# nearest side and depth of all quadrature places of a conductor: the same at every frequency of a sweep
_NEAREST: WeakKeyDictionary[Discretisation, dict[int, tuple[IntArray, FloatArray]]] = WeakKeyDictionary()


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
    part = flow.problem.conductors[number].part
    elements = d.elements
    rows = np.flatnonzero([p == number for p, _ in d.mesh.regions])
    mine = np.isin(d.mesh.region[elements.metal], rows) & (flow.lit > 0)
    inside, sigma, smoothing = elements.metal[mine], d.sigma[mine], d.smoothing[mine]
    places, weights = quadrature(2 * elements.order)
    area = (elements.maps(inside, places)[0] * weights).ravel()
    density = (elements.value(flow.electric, inside, places) * (sigma * smoothing)[:, None]).ravel()
    resistivity = np.repeat(1 / sigma, len(places))
    names, label, lengths = face_names(part)
    known = _NEAREST.setdefault(d, {})
    if number not in known:
        known[number] = nearest_sides(part.all_outlines, elements.positions(inside, places).reshape(-1, 2))
    side, depth = known[number]
    face = label[side]
    flows = []
    for k, name in enumerate(names):
        on = face == k
        strength = np.abs(density[on]) * area[on]
        flows.append(
            FaceFlow(
                name,
                complex((density[on] * area[on]).sum()),
                float(strength.sum()),
                float((np.abs(density[on]) ** 2 * resistivity[on] * area[on]).sum()),
                _quantile(depth[on], strength),
                float(lengths[k]),
            )
        )
    return flows


def _quantile(depth: FloatArray, strength: FloatArray) -> float:
    if not strength.sum():
        return 0.0
    order = np.argsort(depth)
    total = np.cumsum(strength[order])
    return float(np.interp(WITHIN * total[-1], total, depth[order]))


def nearest_sides(outlines: Sequence[Outline], places: FloatArray) -> tuple[IntArray, FloatArray]:
    """Number of the nearest side (counted through all outlines) and its distance, for places (m, 2)."""
    sides = Sides.of(*outlines)
    block = max(1, 1_000_000 // len(sides))
    side, depth = [], []
    for first in range(0, len(places), block):
        gap = nearest(sides, places[first : first + block, None])[0]
        side.append(gap.argmin(axis=1))
        depth.append(gap.min(axis=1))
    return np.concatenate(side), np.concatenate(depth)


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
