"""Sizes of fine wire by the tables of the trade: gauge numbers, enamel, how bundles are packed."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from crosscurrent.geometries.errors import CrosscurrentError

Enamel = Literal["grade 1", "grade 2"]
GAUGES = (10, 56)  # of the American Wire Gauge that are strands
# Take-up of one, two, three stranding operations (trade practice, EN 60317-11 as quoted, from memory)
TAKE_UPS = (1.02, 1.04, 1.06)
# IEC 60317-0-1, from memory: bare diameter; overall diameter of grade 1, least and largest; of grade 2, largest [um].
# The least of grade 2 is 1 um above the largest of grade 1.
_ENAMELLED = (
    (20, 22, 24, 27), (25, 28, 31, 34), (32, 35, 39, 43), (40, 44, 49, 54), (50, 55, 60, 66), (63, 69, 76, 83),
    (71, 78, 84, 91), (80, 87, 94, 101), (90, 98, 105, 113), (100, 108, 117, 125), (112, 121, 130, 139),
    (125, 135, 144, 154), (140, 151, 160, 171), (160, 172, 182, 194), (180, 193, 204, 217), (200, 214, 226, 239),
    (224, 239, 252, 266), (250, 267, 281, 297), (280, 298, 312, 329), (315, 334, 349, 367), (355, 375, 392, 411),
    (400, 421, 439, 459), (450, 472, 491, 513), (500, 524, 544, 566), (630, 657, 679, 704), (710, 738, 762, 789),
    (800, 829, 855, 884), (900, 931, 959, 989), (1000, 1033, 1062, 1094),
)  # fmt: skip
ENAMELLED = (_ENAMELLED[0][0] * 1e-6, _ENAMELLED[-1][0] * 1e-6)  # thinnest and thickest strand of the table [m]
# thermal classes [degC] of enamels, the least one usual for strands that are soldered through it: from memory
CLASSES = (
    (155, "polyurethane, IEC 60317-20"), (180, "polyesterimide, IEC 60317-8"),
    (200, "polyester under polyamide-imide, IEC 60317-13"), (240, "polyimide, IEC 60317-46"),
)  # fmt: skip


class WireError(CrosscurrentError, ValueError):
    """A size of wire that the tables do not have."""


def gauge_diameter(gauge: int) -> float:
    """Diameter of a bare wire by its gauge number [m].

    Parameters
    ----------
    gauge : int
        American Wire Gauge, 10 to 56.

    Raises
    ------
    WireError
        Another number.

    Notes
    -----
    0.127 mm * 92^((36 - n) / 39): ASTM B258, from memory; its tables round to a hundredth of a thou or so.

    Examples
    --------
    >>> round(gauge_diameter(38) * 1e3, 4), round(gauge_diameter(36) * 1e3, 3)
    (0.1007, 0.127)
    """
    if not GAUGES[0] <= gauge <= GAUGES[1]:
        raise WireError(f"expected a gauge from AWG {GAUGES[0]} to AWG {GAUGES[1]}, found AWG {gauge}")
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))


def enamelled_diameter(diameter: float, enamel: Enamel) -> float:
    """Diameter over the enamel of a round wire, the middle between the least and the largest allowed [m].

    Parameters
    ----------
    diameter : float
        Of the bare wire [m], 0.02 to 1 mm.
    enamel : "grade 1" or "grade 2"

    Raises
    ------
    WireError
        A diameter outside the table.

    Notes
    -----
    IEC 60317-0-1, from memory; between the rows of its table linear in the diameter.

    Examples
    --------
    0.108 to 0.117 mm are allowed:

    >>> round(enamelled_diameter(1e-4, "grade 1") * 1e3, 4)
    0.1125
    """
    low, high = ENAMELLED
    if not low * (1 - 1e-9) <= diameter <= high * (1 + 1e-9):
        span = f"{low * 1e3:g} to {high * 1e3:g} mm"
        raise WireError(f"expected a strand of {span} for the enamel of IEC 60317-0-1, found {diameter * 1e3:.4g} mm")
    over = [_middle(row, enamel) for row in _ENAMELLED]
    return 1e-6 * float(np.interp(diameter * 1e6, [row[0] for row in _ENAMELLED], over))


def _middle(row: tuple[int, int, int, int], enamel: Enamel) -> float:
    _, least, largest, thick = row
    return (least + largest) / 2 if enamel == "grade 1" else (largest + 1 + thick) / 2


def packing_factor(count: int) -> float:
    """Diameter over the strands of a bundle over sqrt(count) times that of an insulated strand.

    The trade's bundles, bunched and stranded without a form: 1.25 to 12 strands, 1.26 to 16, 1.27 to 20, 1.28 above
    (makers' catalogues, from memory); 61 % of the area is strands with their insulation.

    Examples
    --------
    >>> packing_factor(420)
    1.28
    """
    return next((factor for most, factor in ((1, 1.0), (12, 1.25), (16, 1.26), (20, 1.27)) if count <= most), 1.28)


def usual_take_up(operations: int) -> float:
    """Length of a strand over that of the bundle after so many stranding operations, by trade practice.

    Examples
    --------
    >>> usual_take_up(2)
    1.04
    """
    return TAKE_UPS[min(operations, len(TAKE_UPS)) - 1]


def take_up_of_lay(diameter: float, lay_length: float) -> float:
    """The same from the length of one turn [m] and the diameter over the strands [m]: 1 + (pi D / 2p)^2.

    The mean over the section of the lengths of helices, to the first order; good to 0.1 % from p = 8 D.

    Examples
    --------
    >>> round(take_up_of_lay(1.0, 10.0), 4)
    1.0247
    """
    return 1 + (math.pi * diameter / (2 * lay_length)) ** 2
