"""Quadratures on a triangle with few places, for integrals that are wanted many times and to few digits.

Fully symmetric rules after D. A. Dunavant, Int. J. Numer. Meth. Eng. 21, 1129-1148, 1985 (from memory, then solved for
to the last digit: the test integrates all polynomials); above their degrees products of Gauss's rules.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .shape_functions import quadrature

# by degree: weights over the area, then one coordinate of three places, or two of six; without any, the centre
RULES: dict[int, tuple[tuple[float, ...], ...]] = {
    6: (
        (0.1167862757263835, 0.2492867451709076), (0.05084490637020753, 0.06308901449150267),
        (0.08285107561837116, 0.053145049844815356, 0.3103524510337865),
    ),
    8: (
        (0.14431560767777726,), (0.0950916342672908, 0.45929258829271696), (0.10321737053471843, 0.1705693077517538),
        (0.03245849762319889, 0.05054722831703125), (0.027230314174433074, 0.008394777409949658, 0.2631128296346573),
    ),
    10: (
        (0.09081799038271231,), (0.036725957756428174, 0.4855776333836825), (0.04532105943553092, 0.10948157548505813),
        (0.0727579168454351, 0.14170721941487038, 0.3079398387641733),
        (0.028327242531063106, 0.025003534762700876, 0.24667256063990392),
        (0.009421666963736874, 0.009540815400302731, 0.06680325101221396),
    ),
    12: (
        (0.02573106643988257, 0.4882173897743503), (0.04369254453641898, 0.4397243922953498),
        (0.0628582242188037, 0.2712103850116868), (0.03479611293345155, 0.1275761455459438),
        (0.0061662610511322305, 0.0213173504522744), (0.040371557765057374, 0.1153434945341256, 0.27571326969234106),
        (0.022356773202771376, 0.02283833222276901, 0.28132558098735294),
        (0.017316231108993378, 0.025734050548931783, 0.11625191590539698),
    ),
}  # fmt: skip


@lru_cache(maxsize=32)
def few_places(degree: int) -> tuple[FloatArray, FloatArray]:
    """Places (p, 2) and weights (p,) exact for polynomials of a degree on the reference triangle (area 1/2).

    Examples
    --------
    >>> [len(few_places(degree)[1]) for degree in (6, 8, 9, 12, 14)]
    [12, 16, 25, 33, 64]
    """
    kept = [one for one in RULES if one >= degree]
    if not kept:
        return quadrature(degree)
    places: list[tuple[float, float]] = []
    weights: list[float] = []
    for weight, *at in RULES[min(kept)]:
        x, y = at if len(at) > 1 else (at * 2 if at else (1 / 3, 1 / 3))
        z = 1 - x - y
        every = {(x, y), (y, x), (x, z), (z, x), (y, z), (z, y)} if at else {(x, y)}
        places += sorted(every)
        weights += [0.5 * weight] * len(every)
    return np.array(places), np.array(weights)
