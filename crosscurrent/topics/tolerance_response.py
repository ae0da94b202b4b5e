"""A figure over the causes of its spread, of second order, and what follows: worst cases, draws, shares of the causes.

Every cause is counted in its own tolerance: u = -1 at its lower end, 1 at its upper one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from crosscurrent.casefile.tables.tolerance import ReadAs
from crosscurrent.geometries.arrays import FloatArray

DRAWS, SEED = 20_000, 20_000
FEW = 6  # causes of which all corners, middles among them, are tried, and products are fitted
SWEEPS = 50
# variances of u and of u^2: even between -1 and 1; normal, with two standard deviations at 1
VARIANCES: dict[ReadAs, tuple[float, float]] = {"bound": (1 / 3, 4 / 45), "two standard deviations": (1 / 4, 1 / 8)}


@dataclass(frozen=True, eq=False)
class Polynomial:
    """value + slope . u + u . curvature . u

    Attributes
    ----------
    value : float
        With every cause at its nominal value.
    slope : (causes,) float
    curvature : (causes, causes) float
        Symmetric.
    """

    value: float
    slope: FloatArray
    curvature: FloatArray

    def at(self, u: FloatArray) -> FloatArray:
        """The figure at places u, (..., causes) -> (...).

        Examples
        --------
        >>> square = Polynomial(1.0, np.array([2.0]), np.array([[1.0]]))
        >>> square.at(np.array([[-1.0], [0.5]])).tolist()
        [0.0, 2.25]
        """
        found: FloatArray = self.value + u @ self.slope + ((u @ self.curvature) * u).sum(axis=-1)
        return found

    def extreme(self, sign: float) -> FloatArray:
        """Where within all tolerances the figure is largest (sign 1) or smallest (-1), (causes,).

        Examples
        --------
        >>> two = Polynomial(0.0, np.array([1.0, -2.0]), np.zeros((2, 2)))
        >>> two.extreme(1).tolist(), two.extreme(-1).tolist()
        ([1.0, -1.0], [-1.0, 1.0])
        """
        place = sign * np.where(self.slope >= 0, 1.0, -1.0)  # smallest opposite to largest
        if len(place) <= FEW and (self.curvature != np.diag(np.diag(self.curvature))).any():
            grid = np.array(list(product((-1.0, 0.0, 1.0), repeat=len(place))))
            place = grid[int((sign * self.at(grid)).argmax())]
        for _ in range(SWEEPS):
            before = place.copy()
            for k in range(len(place)):
                place[k] = self._best(place, k, sign)
            if (place == before).all():
                break
        return place

    def _best(self, place: FloatArray, k: int, sign: float) -> float:
        """Of one cause, the others held."""
        bend = float(self.curvature[k, k])
        tilt = float(self.slope[k] + 2 * (self.curvature[k] @ place - bend * place[k]))
        ends = [-1.0, 1.0] if place[k] < 0 else [1.0, -1.0]
        inside = [float(np.clip(-tilt / (2 * bend), -1, 1))] if bend else []
        return max((*ends, *inside), key=lambda u: sign * (tilt * u + bend * u**2))

    def largest(self) -> float:
        """Within all tolerances."""
        return float(self.at(self.extreme(1)))

    def half(self) -> float:
        """Half of the width between its worst cases.

        Examples
        --------
        >>> Polynomial(5.0, np.array([1.0, -2.0]), np.zeros((2, 2))).half()
        3.0
        """
        return (self.largest() - float(self.at(self.extreme(-1)))) / 2

    def bend(self) -> float:
        """The most by which it leaves its own slopes.

        Examples
        --------
        >>> Polynomial(5.0, np.zeros(2), np.array([[1.0, -1.0], [-1.0, 0.5]])).bend()
        3.5
        """
        return float(np.abs(self.curvature).sum())

    def shares(self, read_as: ReadAs) -> FloatArray:
        """Of each cause in the variance, what two make together halved, (causes,); zeros where nothing varies.

        Examples
        --------
        >>> Polynomial(0.0, np.array([3.0, 1.0]), np.zeros((2, 2))).shares("bound").round(3).tolist()
        [0.9, 0.1]
        """
        of_u, of_square = VARIANCES[read_as]
        own = np.diag(self.curvature)
        both = (self.curvature**2).sum(axis=1) - own**2
        parts: FloatArray = self.slope**2 * of_u + own**2 * of_square + 2 * both * of_u**2
        total = float(parts.sum())
        return np.divide(parts, total) if total else parts


def along_each(value: float, ends: FloatArray) -> Polynomial:
    """From the figure at both ends of each cause, (causes, 2).

    Examples
    --------
    >>> along_each(1.0, np.array([[0.0, 4.0]])).at(np.array([-1.0])).tolist()
    0.0
    """
    low, high = ends.T
    return Polynomial(value, (high - low) / 2, np.diag((high + low) / 2 - value))


def with_products(first: Polynomial, u: FloatArray, found: FloatArray) -> Polynomial:
    """The products of two causes as well, fitted to the figure at further places.

    Parameters
    ----------
    first : Polynomial
    u : (n, causes) float
    found : (n,) float

    Examples
    --------
    >>> places = np.array([[1.0, 1.0], [-1.0, 0.5]])
    >>> more = with_products(Polynomial(0.0, np.zeros(2), np.zeros((2, 2))), places, 4 * places.prod(axis=1))
    >>> more.curvature.round(9).tolist()
    [[0.0, 2.0], [2.0, 0.0]]
    """
    pairs = list(combinations(range(u.shape[1]), 2))
    columns = np.array([u[:, k] * u[:, m] for k, m in pairs]).T
    factors = np.linalg.lstsq(columns, found - first.at(u), rcond=None)[0]
    curvature = first.curvature.copy()
    for (k, m), factor in zip(pairs, factors, strict=True):
        curvature[k, m] = curvature[m, k] = factor / 2
    return Polynomial(first.value, first.slope, curvature)


def fill(causes: int) -> FloatArray:
    """Places that fill the inside of all tolerances evenly, as many as products need and some more, (n, causes)."""
    from scipy.stats import qmc

    pairs = causes * (causes - 1) // 2
    power = int(np.ceil(np.log2(pairs + 2)))
    return 2 * np.asarray(qmc.Sobol(causes, rng=SEED).random_base2(power)) - 1


def draws(causes: int, read_as: ReadAs) -> FloatArray:
    """Random places, the same every time, spread evenly over each cause's own distribution, (DRAWS, causes).

    Examples
    --------
    >>> drawn = draws(2, "two standard deviations")
    >>> drawn.std(axis=0).round(3).tolist()
    [0.5, 0.5]
    """
    from scipy.stats import norm, qmc

    even = np.asarray(qmc.LatinHypercube(causes, rng=SEED).random(DRAWS))
    return 2 * even - 1 if read_as == "bound" else np.asarray(0.5 * norm.ppf(even))


def middle(values: FloatArray, share: float = 0.95) -> tuple[float, float]:
    """The ends between which a share of drawn values lies, as many below as above.

    Examples
    --------
    >>> [round(end, 9) for end in middle(np.linspace(0.0, 20.0, 21), 0.9)]
    [1.0, 19.0]
    """
    low, high = np.quantile(values, [(1 - share) / 2, (1 + share) / 2])
    return float(low), float(high)


def keeping(values: FloatArray, allowed: float, bar: float) -> tuple[int, int]:
    """Per cent of drawn values that surely, and that perhaps, keep a limit, an error bar taken into account.

    Examples
    --------
    >>> keeping(np.arange(100.0), 49.5, 2.0)
    (48, 52)
    """
    surely, perhaps = (100 * float((values + way * bar <= allowed).mean()) for way in (1, -1))
    return round(surely), round(perhaps)

