"""What the bend of a coil adds to the friction of the water in its turns: H. Ito, J. Basic Engineering 81, 123, 1959.

With n = Re (d / D)^2 of a bore d in a turn of diameter D, and De = Re (d / D)^(1/2), over that of a straight tube:

    turbulent   n^(1/20)                                    n > 6
                (0.029 + 0.304 n^(-1/4)) (d / D)^(1/2) / f  0.034 < n < 300, f that of a smooth straight tube
    laminar     21.5 De / (1.56 + log10 De)^5.73            13.5 < De < 2000

all from memory. A stream in a coil stays laminar up to Re = 2e4 (d / D)^0.32 (15 < D / d < 860): in between, the larger
of both is taken, which differ by some per cent there.
"""

from __future__ import annotations

import math

STRONG = 6.0  # n from which the first relation holds
LAMINAR_DEAN = 13.5, 2000.0


def turbulent_bend(reynolds: float, ratio: float) -> float:
    """Friction of a turbulent stream in a coil over that in a straight tube, for a bore over its turn's diameter.

    Examples
    --------
    >>> round(turbulent_bend(1e4, 0.1), 3), turbulent_bend(1e4, 0.001), turbulent_bend(1e4, 0.0)
    (1.259, 1.0, 1.0)
    """
    number = reynolds * ratio**2
    if number <= 0:
        return 1.0
    strong = float(number**0.05)
    if number >= STRONG:
        return strong
    smooth = 0.3164 * reynolds**-0.25  # H. Blasius 1913
    gentle = float((0.029 + 0.304 * number**-0.25) * math.sqrt(ratio) / smooth)
    return max(1.0, min(float(STRONG**0.05), gentle))


def laminar_bend(reynolds: float, ratio: float) -> float:
    """The same of a laminar one; beyond its range as at its end.

    Examples
    --------
    >>> round(laminar_bend(1000.0, 0.04), 3), laminar_bend(10.0, 0.04)
    (1.869, 1.0)
    """
    dean = min(reynolds * math.sqrt(ratio), LAMINAR_DEAN[1])
    if dean <= LAMINAR_DEAN[0]:
        return 1.0
    return max(1.0, float(21.5 * dean / (1.56 + math.log10(dean)) ** 5.73))
