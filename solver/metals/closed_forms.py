"""Closed forms of two or three round conductors: what a practitioner computes by hand. All per metre of run.

They are the field outside the metal; what is inside follows from `round_layers` and `layers`.
"""

from __future__ import annotations

import math

from .depth import MU0


def coaxial_inductance(radius: float, clearance: float) -> float:
    """Inductance of the gap of a coaxial line [H/m]: mu0 / (2 pi) ln(1 + c / r).

    Parameters
    ----------
    radius : float
        Of the inner conductor [m].
    clearance : float
        From it to the bore of the outer one [m].

    Examples
    --------
    Diameters in the ratio e, 0.2 uH/m (any textbook):

    >>> round(coaxial_inductance(0.010, 0.010 * (math.e - 1)) * 1e6, 9)
    0.2
    """
    return MU0 / (2 * math.pi) * math.log1p(clearance / radius)


def wire_pair_inductance(radius: float, distance: float, *, thin_skin: bool = True) -> float:
    """Inductance of the field outside two like round wires, go and return [H/m].

    Parameters
    ----------
    radius : float
        Of each wire [m].
    distance : float
        Of their axes [m].
    thin_skin : bool
        The current at the surface where it is drawn to: mu0 / pi acosh(D / 2r), exact for no skin depth at all. Else
        even around the wire: mu0 / pi ln(D / r). F. E. Terman, Radio Engineers' Handbook, 1943 (from memory).

    Examples
    --------
    Wires twice their diameter apart: 0.4 acosh(2) uH/m.

    >>> round(wire_pair_inductance(0.005, 0.020) * 1e6, 6)
    0.526783
    """
    if thin_skin:
        return MU0 / math.pi * math.acosh(distance / (2 * radius))
    return MU0 / math.pi * math.log(distance / radius)


def wire_pair_crowding(radius: float, distance: float) -> float:
    """Resistance of two like round wires, go and return, over that of the wires alone: 1 / sqrt(1 - (d/D)^2).

    For skins much thinner than the wires; common practice, formula from memory. It follows from the surface current
    of the field outside.

    Parameters
    ----------
    radius : float
        Of each wire [m].
    distance : float
        Of their axes, above twice that [m].

    Examples
    --------
    >>> round(wire_pair_crowding(0.005, 0.020), 6)  # 2 / sqrt(3)
    1.154701
    """
    return 1 / math.sqrt(1 - (2 * radius / distance) ** 2)


def skin_number(resistance: float, frequency: float) -> float:
    """x of a round wire with a resistance at rest [ohm/m]: x^2 = 8 pi f / R 1e-7 (IEC 60287-1-1, from memory).

    Examples
    --------
    >>> round(skin_number(1 / (58e6 * math.pi * 0.01**2), 50.0), 3)
    1.513
    """
    return math.sqrt(8e-7 * math.pi * frequency / resistance)


def proximity_of_two(number: float, spread: float) -> float:
    """What two like wires, go and return, add to their resistance at rest, relative (IEC 60287-1-1, from memory).

    Parameters
    ----------
    number : float
        `skin_number`, up to 2.8.
    spread : float
        Distance of their axes over their diameter.

    Examples
    --------
    >>> round(proximity_of_two(1.0, 1.25), 6)
    0.009627
    """
    return 2.9 * _relative(number) / spread**2


def proximity_of_three(number: float, spread: float) -> float:
    """The same for three like wires with three phases, in trefoil or in one row, on average (IEC 60287-1-1).

    Parameters
    ----------
    number : float
        `skin_number`, up to 2.8.
    spread : float
        Distance of neighbouring axes over the diameter.

    Examples
    --------
    >>> round(proximity_of_three(1.513, 1.5), 4)
    0.0489
    """
    y = _relative(number)
    return y / spread**2 * (0.312 / spread**2 + 1.18 / (y + 0.27))


def _relative(number: float) -> float:
    return number**4 / (192 + 0.8 * number**4)
