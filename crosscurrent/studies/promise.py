"""Where a search best begins: where a smooth model through all known designs and their slopes promises the least.

The model is the mean of a Gaussian process: it costs nothing beside a solve, and sees a second valley between designs
of which none lies at its bottom.

J. Sacks, W. J. Welch, T. J. Mitchell, H. P. Wynn, Design and analysis of computer experiments, Statistical Science 4,
1989; with slopes: M. D. Morris, T. J. Mitchell, D. Ylvisaker, Bayesian design and analysis of computer experiments: use
of derivatives in surface prediction, Technometrics 35, 1993.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .design import Design
from .plan import Range, fill

APART = 0.3  # starts of a search at least, in shares of the ranges
REACH = 0.5  # of a range, over which designs tell of each other
MOST = 200  # designs that the model goes through: the best
PLACES = 2048  # that are looked at
OVER = 1.2  # of the ranges, so that some places lie at their ends
DEAR = 3.0  # what a limit broken by one per cent adds to a figure, in per cent
ROUGH = 1e-6  # of the variance, by which the model may pass a design by
LEAST = 1e-3  # of a limit, below which a figure is taken as this

Model = Callable[[FloatArray], FloatArray]


def promising(designs: Iterable[Design], ranges: Sequence[Range], figure: str, most: int) -> list[tuple[float, ...]]:
    """Places in the ranges, as shares, none close to another: the most promising first.

    Parameters
    ----------
    designs : iterable of Design
        Of one alternative.
    ranges : sequence of Range
    figure : str
        That is to be least, inside the limits.
    most : int
        How many at most.
    """
    known = [d for d in designs if figure in d.figures]
    known.sort(key=lambda d: d.figures[figure] + abs(d.figures[figure]) * DEAR * max((0.0, *d.margins.values())))
    if not known:
        return list(fill(most, len(ranges)))
    known = known[:MOST]
    at = np.array([[r.share(float(d.values[r.key])) for r in ranges] for d in known])
    spread = np.array(fill(PLACES, len(ranges)))
    places = np.array([*at, *np.clip(OVER * (spread - 0.5) + 0.5, 0.0, 1.0)])
    worth = _model(at, *_of_figure(known, ranges, figure))(places)
    for limit in known[0].margins:
        worth += DEAR * np.maximum(0.0, _model(at, *_of_limit(known, ranges, limit))(places))
    found: list[tuple[float, ...]] = []
    for k in np.argsort(worth, kind="stable"):
        place = tuple(float(share) for share in places[k])
        if all(math.dist(place, other) > APART for other in found):
            found.append(place)
        if len(found) == most:
            break
    return found


def _of_figure(designs: Sequence[Design], ranges: Sequence[Range], figure: str) -> tuple[FloatArray, FloatArray]:
    """Its logarithm, where it has one, and the slopes of that over the shares; nan where they are not known."""
    values = np.array([d.figures[figure] for d in designs])
    slopes = np.array([_slope(d, ranges, figure) for d in designs])
    if (values > 0).all():
        return np.log(values), slopes / values[:, None]
    size = float(np.abs(values).max()) or 1.0
    return values / size, slopes / size


def _of_limit(designs: Sequence[Design], ranges: Sequence[Range], limit: str) -> tuple[FloatArray, FloatArray]:
    """The logarithm of a figure over its limit, and its slopes."""
    values = np.maximum(1 + np.array([d.margins.get(limit, 0.0) for d in designs]), LEAST)
    return np.log(values), np.array([_slope(d, ranges, f"margin {limit}") for d in designs]) / values[:, None]


def _slope(design: Design, ranges: Sequence[Range], key: str) -> list[float]:
    slopes = design.slopes.get(key, {})
    shares = (r.share(float(design.values[r.key])) for r in ranges)
    return [slopes.get(r.key, np.nan) * r.per_share(share) for r, share in zip(ranges, shares, strict=True)]


def _model(at: FloatArray, values: FloatArray, slopes: FloatArray) -> Model:
    """What values (n,) and slopes (n, d) at places (n, d) tell of places between them."""
    mean = float(values.mean())
    told = np.concatenate([values - mean, slopes.T.ravel()])
    known = np.isfinite(told)
    among = _alike(at, at, sloped=True)[np.ix_(known, known)]
    weights = np.linalg.solve(among + ROUGH * np.eye(len(among)), told[known])
    return lambda places: np.asarray(mean + _alike(places, at, sloped=False)[:, known] @ weights)


def _alike(one: FloatArray, other: FloatArray, *, sloped: bool) -> FloatArray:
    """Covariance of values, and of their slopes where wanted, at some places with values and slopes at others."""
    apart = (one[:, None, :] - other[None, :, :]) / REACH
    alike = np.exp(-0.5 * np.sum(apart**2, axis=-1))
    count = one.shape[1]
    blocks = [[alike, *(alike * apart[..., j] / REACH for j in range(count))]]
    for i in range(count if sloped else 0):
        row = [-alike * apart[..., i] / REACH]
        row += [alike * ((i == j) - apart[..., i] * apart[..., j]) / REACH**2 for j in range(count)]
        blocks.append(row)
    return np.block(blocks)
