"""A short chain of cells that stands for a long Foster form over a band: the lumped equivalent for a circuit simulator.

Each cell is a resistor in parallel with an inductor, coupled to the circuits with a vector b:

    Z = R_0 + j w L_oo + sum b b' j w / (w_k + j w).

Resistance at rest is kept exactly; everything else is fitted in a form that cannot turn negative: rates by their
logarithms, cells by their vectors, L_oo by its triangular factor.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .foster import FosterForm, Impedance

PER_DECADE = 8  # frequencies that are fitted; the bound is taken on CLOSER times as many
CLOSER = 5
MOST = 12  # cells per circuit
LEVELLING = (2, 4, 8)  # powers of the error in turn, so that its peaks level off
NEARLY = 2.5  # times the wanted bound, where levelling begins
STEPS = 40  # evaluations per fit
NEAR = 1e-8  # change of the sum and of the values, relative, that ends it
BEYOND = 1e4  # times the band, where a cell no longer matters
NOTHING = 1e-9  # of R: what a cell adds that no fit would bring back
AGAIN = 2  # times the most cells: steps of growing, those included that lose a cell


@dataclass(frozen=True, eq=False)
class Ladder:
    """A network of few cells with its error over a band.

    Attributes
    ----------
    foster : FosterForm
        The cells, with a port for each circuit.
    low, high : float
        [Hz]
    resistance_error, inductance_error : float
        Largest relative error of R and of L over the band against what it was made from, for any currents.
    """

    foster: FosterForm
    low: float
    high: float
    resistance_error: float
    inductance_error: float

    @property
    def cells(self) -> int:
        """Their number."""
        return len(self.foster.rates)

    @property
    def error(self) -> float:
        """Largest relative error of R or L over the band; |Z| is nowhere further off."""
        return max(self.resistance_error, self.inductance_error)


def ladder(long: Impedance, low: float, high: float, *, bound: float = 0.01) -> Ladder:
    """The shortest ladder found that meets a bound on R and L over a band.

    Cells are added where the error is largest and fitted anew each time, first by least squares, then level.

    Parameters
    ----------
    long : Impedance
        Of a reduced model, circuit by circuit.
    low, high : float
        Band [Hz], 0 < low < high.
    bound : float
        Wanted relative error of R and of L, for any currents.

    Returns
    -------
    Ladder
        With the bound that was reached; at most 12 cells per circuit.

    Examples
    --------
    >>> rates = np.geomspace(1e2, 1e8, 60)
    >>> long = FosterForm(np.eye(1), np.array([1e3]), 1e-7 * np.eye(1), rates, 1e-3 * (rates[:, None] / 100) ** 0.25)
    >>> short = ladder(long, 50.0, 1e5)
    >>> short.cells, short.error < 0.01
    (4, True)
    """
    fit = _Fit(long, np.geomspace(low, high, math.ceil(PER_DECADE * math.log10(high / low)) + 2))
    proof = _Fit(long, np.geomspace(low, high, CLOSER * len(fit.omega)))
    cells = _Cells(np.zeros(0), np.zeros((0, fit.ports)), np.linalg.cholesky(long.inductance(high)[0]))
    best: Ladder | None = None
    for _ in range(AGAIN * MOST * fit.ports):
        cells = fit.settled(fit.grown(cells), 1)
        if max(proof.errors(cells)) < NEARLY * bound or len(cells.rates) == MOST * fit.ports:
            for power in LEVELLING:
                cells = fit.settled(cells, power)
        found = Ladder(fit.foster(cells), low, high, *proof.errors(cells))
        best = found if best is None or found.error < best.error else best
        if best.error <= bound or len(cells.rates) == MOST * fit.ports:
            break
    assert best is not None
    return best


@dataclass(frozen=True, eq=False)
class _Cells:
    """Rates (n,), vectors (n, ports), triangular factor of L_oo (ports, ports)."""

    rates: FloatArray
    vectors: FloatArray
    factor: FloatArray


@dataclass(frozen=True, eq=False)
class _Fit:
    """What is fitted: R and L of an impedance at frequencies, each in its own measure: 1 is 100 % for some current."""

    long: Impedance
    frequency: FloatArray

    @cached_property
    def ports(self) -> int:
        return len(self.long.resting_resistance)

    @cached_property
    def omega(self) -> FloatArray:
        return 2 * np.pi * self.frequency

    @cached_property
    def _wanted(self) -> tuple[FloatArray, FloatArray]:
        return self.long.resistance(self.frequency), self.long.inductance(self.frequency)

    @cached_property
    def _scales(self) -> tuple[FloatArray, FloatArray]:
        """Inverse Cholesky factors of R and L."""
        first, second = (np.linalg.inv(np.linalg.cholesky(m)) for m in self._wanted)
        return np.asarray(first), np.asarray(second)

    @cached_property
    def _entries(self) -> tuple[IntArray, IntArray, FloatArray]:
        """Rows and columns of a symmetric matrix's own entries, and their weights in its norm."""
        row, column = np.tril_indices(self.ports)
        return row, column, np.where(row == column, 1.0, math.sqrt(2))

    @cached_property
    def _unit(self) -> float:
        """Of the factor of L_oo [sqrt(H/m)]."""
        return float(np.sqrt(np.trace(self._wanted[1][-1]) / self.ports))

    def foster(self, cells: _Cells) -> FosterForm:
        own = self.long.resting_resistance.diagonal()
        order = np.argsort(cells.rates)
        surface = cells.factor @ cells.factor.T
        return FosterForm(np.eye(self.ports), 1 / own, surface, cells.rates[order], cells.vectors[order])

    def _off(self, cells: _Cells) -> list[FloatArray]:
        """Errors of R and L in their own measure, (m, ports, ports)."""
        short = self.foster(cells)
        found = short.resistance(self.frequency), short.inductance(self.frequency)
        return [s @ (f - w) @ s.transpose(0, 2, 1) for s, f, w in zip(self._scales, found, self._wanted, strict=True)]

    def errors(self, cells: _Cells) -> tuple[float, float]:
        """Largest relative errors of R and L."""
        resistance, inductance = (float(np.abs(np.linalg.eigvalsh(off)).max()) for off in self._off(cells))
        return resistance, inductance

    def grown(self, cells: _Cells) -> _Cells:
        """One more cell, where most is missing and in that direction."""
        missing = [np.linalg.eigh(-off) for off in self._off(cells)]
        which = int(np.argmax([values.max() for values, _ in missing]))
        values, vectors = missing[which]
        k = int(values.max(axis=1).argmax())
        direction = np.linalg.solve(self._scales[which][k], vectors[k][:, -1])
        direction *= math.sqrt(max(values[k, -1], 1e-6)) / np.linalg.norm(self._scales[0][k] @ direction)
        return _Cells(np.append(cells.rates, self.omega[k]), np.vstack((cells.vectors, direction)), cells.factor)

    def settled(self, cells: _Cells, power: int) -> _Cells:
        """The cells that make the sum of the errors to twice a power smallest."""
        from scipy.optimize import leastsq

        count = len(cells.rates)
        size = max(self.errors(cells)) or 1.0
        last: dict[bytes, tuple[_Cells, FloatArray]] = {}  # the slope is asked for where the goal was

        def off(x: FloatArray) -> tuple[_Cells, FloatArray]:
            key = x.tobytes()
            if key not in last:
                last.clear()
                last[key] = (now := self._cells(x.copy(), count)), self._residual(now) / size
            return last[key]

        def goal(x: FloatArray) -> FloatArray:
            found = off(x)[1]
            return np.asarray(np.sign(found) * np.abs(found) ** power)

        def slope(x: FloatArray) -> FloatArray:
            now, found = off(x)
            return np.asarray((power * np.abs(found) ** (power - 1) / size)[:, None] * self._jacobian(now))

        row, column, _ = self._entries
        start = np.concatenate((np.log(cells.rates), cells.vectors.ravel(), cells.factor[row, column] / self._unit))
        found, *_ = leastsq(
            goal, start, Dfun=slope, full_output=True, maxfev=STEPS, ftol=NEAR, xtol=NEAR, gtol=NEAR
        )  # fmt: skip
        return self._lasting(self._cells(found, count))

    def _lasting(self, cells: _Cells) -> _Cells:
        """Without cells that came to nothing: no slope leads away from there, and a network has no use for them."""
        share = np.abs(self._scales[0] @ cells.vectors.T).max(axis=(0, 1)) ** 2
        kept = share > NOTHING
        return _Cells(cells.rates[kept], cells.vectors[kept], cells.factor)

    def _cells(self, x: FloatArray, count: int) -> _Cells:
        row, column, _ = self._entries
        factor = np.zeros((self.ports, self.ports))
        factor[row, column] = x[count * (1 + self.ports) :] * self._unit
        ends = np.log(self.omega[[0, -1]]) + np.array([-1, 1]) * math.log(BEYOND)
        rates = np.exp(np.clip(x[:count], *ends))
        return _Cells(rates, x[count : count * (1 + self.ports)].reshape(count, self.ports), factor)

    def _residual(self, cells: _Cells) -> FloatArray:
        row, column, weight = self._entries
        return np.concatenate([(off[:, row, column] * weight).ravel() for off in self._off(cells)])

    def _jacobian(self, cells: _Cells) -> FloatArray:
        """Of the residual, by the logarithms of the rates, the vectors and the factor."""
        ratio = (self.omega[:, None] / cells.rates) ** 2
        shares = ratio / (1 + ratio), 1 / (cells.rates * (1 + ratio))
        moves = -2 * ratio / (1 + ratio) ** 2, shares[1] * (ratio - 1) / (1 + ratio)
        blocks = []
        for scale, share, move in zip(self._scales, shares, moves, strict=True):
            vectors = np.einsum("mij,kj->mki", scale, cells.vectors)
            units = scale.transpose(0, 2, 1)[:, None]
            by_rate = 0.5 * move[:, :, None] * self._pairs(vectors, vectors)
            by_vector = share[:, :, None, None] * self._pairs(vectors[:, :, None], units)
            blocks.append([by_rate, by_vector.reshape(len(share), -1, by_rate.shape[2])])
        row, column, _ = self._entries
        scale = self._scales[1]
        turned = np.einsum("mij,jk->mki", scale, cells.factor) * self._unit
        by_factor = self._pairs(turned[:, column], scale.transpose(0, 2, 1)[:, row])
        rows = [np.zeros_like(by_factor), by_factor]
        every = [np.concatenate((*b, r), axis=1).transpose(0, 2, 1) for b, r in zip(blocks, rows, strict=True)]
        return np.concatenate([e.reshape(-1, e.shape[2]) for e in every])

    def _pairs(self, one: FloatArray, other: FloatArray) -> FloatArray:
        """Own entries of one other' + other one'."""
        row, column, weight = self._entries
        return np.asarray((one[..., row] * other[..., column] + other[..., row] * one[..., column]) * weight)
