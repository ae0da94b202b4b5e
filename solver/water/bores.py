"""The bores of a conductor: which holes are open, what their walls are made of, and the water's ways through them."""

from __future__ import annotations

import math

from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.problem import Conductor

from .pipe import Passage


def bores(part: Part) -> tuple[Outline, ...]:
    """The open holes of a conductor: those of its outline and its pieces that no other of these lies in.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar, tube
    >>> pipe = tube(0.012, 0.001)
    >>> len(bores(Part("pipe", pipe))), len(bores(Part("filled", pipe, pieces=(round_bar(0.010),))))
    (1, 0)
    """
    shapes = (part.shape, *part.pieces)
    return tuple(
        hole
        for shape in shapes
        for hole in shape.holes
        if not any(_lies_in(other.outer, hole) for other in shapes if other is not shape)
    )


def _lies_in(outline: Outline, hole: Outline) -> bool:
    return abs(outline.area) < 1.001 * abs(hole.area) and bool(hole.contains(outline.centroid)[0])


def wet_metals(conductor: Conductor) -> tuple[str, ...]:
    """Names of the metals that water in its bores touches."""
    part, own = conductor.part, bores(conductor.part)
    found = [(*conductor.bore_coats[-1:], conductor.material)[0] for hole in own if hole in part.shape.holes]
    for piece, metal in zip(part.pieces, conductor.pieces, strict=True):
        found += [metal for hole in own if hole in piece.holes]
    return tuple(dict.fromkeys(metal.name for metal in found))


def passages_of(
    conductor: Conductor,
    heat: float,
    length: float,
    *,
    bends: int,
    roughness: float,
    turn: float = 0.0,
    ends: float = 1.0,
) -> tuple[Passage, ...]:
    """The water's ways through a conductor, its heat shared by perimeter to begin with.

    Parameters
    ----------
    conductor : Conductor
    heat : float
        That the water takes from it [W/m].
    length : float
        Of the run [m].
    bends : int
        Turns of 90 degrees along each.
    roughness : float
        Of the walls [m].
    turn, ends : float
        As of `Passage`.

    Notes
    -----
    A plated bore is narrower all around by its coats c: perimeter P - 2 pi c, area A - c P + pi c^2, exact where it is
    round.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> pipe = Conductor(Part("pipe", tube(0.012, 0.001)), MATERIALS["copper"])
    >>> (one,) = passages_of(pipe, 500.0, 3.0, bends=0, roughness=1.5e-6)
    >>> round(one.diameter, 6), one.loss
    (0.01, 500.0)
    """
    coat, own = sum(conductor.part.bore_coats), bores(conductor.part)
    coats = [coat if hole in conductor.part.shape.holes else 0.0 for hole in own]
    perimeters = [hole.perimeter - 2 * math.pi * c for hole, c in zip(own, coats, strict=True)]
    areas = [abs(hole.area) - c * hole.perimeter + math.pi * c**2 for hole, c in zip(own, coats, strict=True)]
    return tuple(
        Passage(
            conductor.name, area, perimeter, length, heat * perimeter / sum(perimeters), bends, roughness,
            bore=k if len(own) > 1 else 0, turn=turn, ends=ends,
        )
        for k, (area, perimeter) in enumerate(zip(areas, perimeters, strict=True), 1)
    )  # fmt: skip
