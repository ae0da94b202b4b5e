"""How the surface of a ring lies in the air where its axis lies: all ways round, from a level run to an upright one.

A slender turn is, place by place round it, a straight run at some angle: at the top and the bottom horizontal, at the
sides upright, with radial faces that look up, down or sideways. Its coefficient is the mean of those of the straight
runs (`convection.film`). A thick body is a horizontal cylinder of its outer diameter with upright ends.
"""

from __future__ import annotations

import math

from crosscurrent.geometries.plane.axial import on_axis
from crosscurrent.geometries.plane.part import Part

from .convection import AirStream, Face

WAYS = 8  # places round the axis, in a quarter of it and its mirror image below
Lie = tuple[Face, AirStream]


def lying(face: Face, radial: float, part: Part, stream: AirStream) -> tuple[Lie, ...]:
    """The faces and runs that a piece of the surface of a ring stands for, all as long round the axis.

    Parameters
    ----------
    face : Face
        As it would be if the axis stood upright.
    radial : float
        Outward part of its normal.
    part : Part
    stream : AirStream
        Its tilt counts for nothing here.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> rod, face = round_bar(0.006), Face(0.0, 0.019, 0.019, True)
    >>> slender = lying(face, 1.0, Part("turn", rod.placed((0.05, 0.0))), AirStream())
    >>> thick = lying(face, 1.0, Part("billet", rod), AirStream())
    >>> len(slender), round(math.degrees(slender[0][1].tilt)), round(thick[0][0].girth, 4)
    (8, 79, 0.0188)
    """
    outer, height = float(part.bounds[1, 0]), float(part.bounds[1, 1] - part.bounds[0, 1])
    inner = 0.0 if on_axis(part.shape) else float(part.bounds[0, 0])
    if max(outer - inner, height) >= inner:  # thick
        girth = 2 * math.pi * outer
        if abs(radial) > math.sqrt(0.5) or face.is_round:
            return ((Face(0.0, girth, girth, True), AirStream(0.0, 1.0, stream.speed, stream.altitude)),)
        ends = Face(0.0, 0.5 * math.pi * outer, girth, False)  # mean height of a disc
        return ((ends, AirStream(0.0, 1.0, stream.speed, stream.altitude)),)
    found = []
    for k in range(WAYS // 2):
        tilt = math.pi / 2 * (1 - (k + 0.5) / (WAYS // 2))
        there = AirStream(tilt, inner + outer, stream.speed, stream.altitude)
        for above in (1, -1):
            up = 0.0 if face.is_round else round(above * radial, 6)
            found.append((Face(up, face.extent, face.girth, face.is_round), there))
    return tuple(found)
