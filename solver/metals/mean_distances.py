"""Mean distances of sections in which the current is even, by which their inductance is that of threads.

The logarithm of a mean distance is the mean of ln r over all pairs of points (J. C. Maxwell, Treatise, 1873; E. B. Rosa
and F. W. Grover, Bull. Bureau of Standards 8, 1912).
"""

from __future__ import annotations

import math

from crosscurrent.geometries.arrays import FloatArray

FAR = 30.0  # distance over the larger size from which on two rectangles are far


def box_distance(one: FloatArray, other: FloatArray) -> float:
    """Logarithm of the mean distance of two upright rectangles [ln m], which may be the same.

    Parameters
    ----------
    one, other : (2, 2) float array
        Lower left and upper right corner [m].

    Examples
    --------
    A square: 0.44705 of its side (0.2235 of the sum of two sides).

    >>> import numpy as np
    >>> square = np.array([[0.0, 0.0], [1.0, 1.0]])
    >>> round(math.exp(box_distance(square, square)), 5)
    0.44705
    """
    sizes = [box[1] - box[0] for box in (one, other)]
    x, y = map(float, (other - one).mean(axis=0))
    if x * x + y * y > (FAR * max(size.max() for size in sizes)) ** 2:
        # the closed form loses its digits: the middles, and how much wider than high both are
        longer = sum(float(size[0] ** 2 - size[1] ** 2) for size in sizes) / 24
        return math.log(math.hypot(x, y)) + longer * (y * y - x * x) / (x * x + y * y) ** 2
    total, areas = 0.0, float(sizes[0].prod() * sizes[1].prod())
    for a, first in ((1, 1.0), (0, -1.0)):
        for b, second in ((1, 1.0), (0, -1.0)):
            for c, third in ((1, 1.0), (0, -1.0)):
                for d, fourth in ((1, 1.0), (0, -1.0)):
                    x, y = float(one[a, 0] - other[b, 0]), float(one[c, 1] - other[d, 1])
                    total += first * second * third * fourth * _fourfold(x, y)
    return total / areas


def _fourfold(x: float, y: float) -> float:
    """What ln(x^2 + y^2) / 2 is the fourth derivative of, twice in x and twice in y."""
    square = x * x + y * y
    if not square:
        return 0.0
    found = (x * x * y * y / 4 - (x**4 + y**4) / 24) * 0.5 * math.log(square) - 25 / 48 * x * x * y * y
    return found + (x * y / 6 * (x * x * math.atan(y / x) + y * y * math.atan(x / y)) if x and y else 0.0)


def ring_distance(radius: float, bore: float = 0.0) -> float:
    """Logarithm of the mean distance of a round conductor from itself [ln m]; `bore` is the radius of its bore [m].

    Examples
    --------
    A solid one: exp(-1/4) of its radius; a thin tube: its radius.

    >>> round(math.exp(ring_distance(1.0)), 5), round(math.exp(ring_distance(1.0, 0.999)), 2)
    (0.7788, 1.0)
    """
    if not bore:
        return math.log(radius) - 0.25
    a, b = radius**2, bore**2
    return math.log(radius) - b * b / (a - b) ** 2 * math.log(radius / bore) + (3 * b - a) / (4 * (a - b))


def around_distance(radius: float, bore: float) -> float:
    """Logarithm of the mean distance of a tube from anything in its bore [ln m].

    Examples
    --------
    >>> round(math.exp(around_distance(1.001, 0.999)), 4)
    1.0
    """
    a, b = radius**2, bore**2
    return (a * math.log(radius) - b * math.log(bore)) / (a - b) - 0.5
