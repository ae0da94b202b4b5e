"""Skin depth and what follows from it for a wide wall that has the field on one side.

The current in a half space falls as exp(-x/delta), delta = sqrt(2 / (w mu sigma)). A wall of finite thickness t with
the field on one side has the resistance per square

    R = 1/(sigma delta) * (sinh 2x + sin 2x) / (cosh 2x - cos 2x),   x = t / delta,

the real part of (1+j)/(sigma delta) coth((1+j) x): one layer of P. L. Dowell, Proc. IEE 113, 1387-1394, 1966 (from
memory). A wall with the same field on both sides is two such walls back to back.
"""

from __future__ import annotations

import math

MU0 = 4e-7 * math.pi  # permeability of vacuum [H/m]
BEST_DEPTHS = math.pi / 2  # thickness of the wall of least resistance, in skin depths


def skin_depth(frequency: float, conductivity: float, permeability: float = 1.0) -> float:
    """Depth at which the field has fallen to 1/e.

    Parameters
    ----------
    frequency : float
        [Hz]
    conductivity : float
        At the temperature of the metal [S/m].
    permeability : float
        Relative.

    Returns
    -------
    float
        sqrt(2 / (w mu sigma)) [m]; infinite at 0 Hz, and where nothing conducts.

    Examples
    --------
    Copper at 100 kHz:

    >>> round(skin_depth(100e3, 58e6) * 1e3, 5)
    0.20898
    """
    if frequency == 0 or conductivity == 0:
        return math.inf
    return math.sqrt(2 / (2 * math.pi * frequency * MU0 * permeability * conductivity))


def sheet_resistance(conductivity: float, depth: float) -> float:
    """Resistance per square of a wall many skin depths thick: 1/(sigma delta).

    Parameters
    ----------
    conductivity : float
        [S/m]
    depth : float
        Skin depth [m].

    Returns
    -------
    float
        [ohm] per square.

    Examples
    --------
    >>> round(sheet_resistance(58e6, skin_depth(100e3, 58e6)) * 1e6, 2)
    82.5
    """
    return 1 / (conductivity * depth)


def wall_factor(depths: float) -> float:
    """Resistance of a wall with the field on one side over that of a very thick one.

    Parameters
    ----------
    depths : float
        Thickness in skin depths, above zero.

    Returns
    -------
    float
        (sinh 2x + sin 2x) / (cosh 2x - cos 2x): 1/x for a thin wall, least at pi/2, 1 for a thick one.

    Examples
    --------
    >>> round(wall_factor(1.0), 8)
    1.0856357
    >>> round(wall_factor(BEST_DEPTHS), 9)
    0.917152336
    """
    if depths > 20:  # exp(-40) is below the last digit
        return 1.0
    # cosh 2x - cos 2x, written so that a thin wall loses no digits
    below = 2 * (math.sinh(depths) ** 2 + math.sin(depths) ** 2)
    return (math.sinh(2 * depths) + math.sin(2 * depths)) / below


def wall_resistance(thickness: float, conductivity: float, depth: float) -> float:
    """Resistance per square of a wide wall with the field on one side.

    Parameters
    ----------
    thickness : float
        [m], above zero.
    conductivity : float
        [S/m]
    depth : float
        Skin depth [m]; infinite at 0 Hz.

    Returns
    -------
    float
        [ohm] per square. Valid where the wall is much wider than thick and than the gap in front of it.

    Examples
    --------
    0.3 mm of copper at 100 kHz beat any thicker wall:

    >>> delta = skin_depth(100e3, 58e6)
    >>> round(wall_resistance(0.3e-3, 58e6, delta) / sheet_resistance(58e6, delta), 3)
    0.923
    """
    if math.isinf(depth):
        return 1 / (conductivity * thickness)
    return sheet_resistance(conductivity, depth) * wall_factor(thickness / depth)


def worthwhile_thickness(depth: float, gain: float = 0.01) -> float:
    """Thickness worth paying for: the smallest from which no thicker wall is better by `gain` or more.

    With the field on one side the best wall is pi/2 skin depths thick; the wall returned is the thinner one whose
    resistance is worse than that by no more than `gain`. Any thicker wall lies between the two or above the best,
    and the ripple beyond pi/2 gains at most 0.4 %.

    Parameters
    ----------
    depth : float
        Skin depth [m].
    gain : float
        The least fall in resistance that is worth more metal, between 0.004 and 0.99.

    Returns
    -------
    float
        [m]; about 1.41 skin depths for 1 %. With the field on both sides take twice that.

    Examples
    --------
    >>> round(worthwhile_thickness(1.0), 2)
    1.41
    """
    enough = wall_factor(BEST_DEPTHS) / (1 - gain)
    thin, thick = 1e-3, BEST_DEPTHS  # the factor falls all the way between them
    for _ in range(60):
        middle = (thin + thick) / 2
        thin, thick = (middle, thick) if wall_factor(middle) > enough else (thin, middle)
    return thick * depth
