"""Closed forms of two strips face to face and of a strip over a plane. All per metre of run.

They are the field outside the metal for no skin depth; how it changes while the faces sink in tells what thin skins do.
"""

from __future__ import annotations

import math

from .depth import MU0


def plates_inductance(gap: float, width: float) -> float:
    """Inductance of the gap between two wide plates, go and return, without edges [H/m]: mu0 g / w.

    Parameters
    ----------
    gap, width : float
        [m]

    Examples
    --------
    >>> round(plates_inductance(0.001, 0.1) * 1e9, 4)
    12.5664
    """
    return MU0 * gap / width


def strips_inductance(width: float, thickness: float, gap: float) -> float:
    """Inductance of the field outside two like strips face to face, go and return, for no skin depth [H/m].

    mu0 g / w over its share of the whole field: the rest passes beyond the edges and behind the backs. H. B. Palmer,
    Trans. AIEE 56, 363-366, 1937 (from memory; the capacitance of two thick strips). Within 1 % from eight gaps
    of width on.

    Parameters
    ----------
    width, thickness, gap : float
        [m]

    Examples
    --------
    >>> round(strips_inductance(0.1, 0.0, 0.002) * 1e9, 2)
    24.1
    """
    deep = 1 + 2 * thickness / gap + 2 * math.sqrt(thickness / gap * (1 + thickness / gap))
    beyond = gap / (math.pi * width) * (1 + math.log(2 * math.pi * width / gap) + math.log(deep))
    return plates_inductance(gap, width) / (1 + beyond)


def strips_slope(width: float, thickness: float, gap: float) -> float:
    """How fast that inductance rises while all faces of both strips sink into their metal [H/m per m].

    Over mu0 and times the surface resistance it is the resistance of thin skins: H. A. Wheeler, Proc. IRE 30,
    412-424, 1942.

    Parameters
    ----------
    width, thickness, gap : float
        [m]

    Examples
    --------
    Wide strips: 2 / w on their facing sides, the field outside them apart.

    >>> round(strips_slope(1.0, 0.001, 0.001) / MU0, 2)
    1.99
    """
    step = 1e-6 * min(thickness, gap)
    high, low = (strips_inductance(width - 2 * n, thickness - 2 * n, gap + 2 * n) for n in (step, -step))
    return (high - low) / (2 * step)


def plane_slope(width: float, thickness: float, height: float) -> float:
    """How fast the inductance of a strip over a plane rises while the plane sinks into its metal [H/m per m].

    Parameters
    ----------
    width, thickness, height : float
        Of the strip; of its lower face over the plane [m].

    Examples
    --------
    >>> round(plane_slope(1.0, 0.001, 0.001) / MU0, 2)
    0.99
    """
    step = 1e-6 * height
    high, low = (0.5 * strips_inductance(width, thickness, 2 * (height + n)) for n in (step, -step))
    return (high - low) / (2 * step)
