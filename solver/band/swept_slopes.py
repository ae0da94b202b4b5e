"""Slopes at every frequency of a sweep from those at a few: between them, a spline over the logarithm of frequency.

What is interpolated is a slope over the size of its figure, dR / R and so on, which is smooth where R spans decades.
Every interval is halved until the spline foretells what its middle comes to, or enough are solved.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.slopes import Frame, slopes
from crosscurrent.solver.field.solution import Solution

from .sweep import Sweep

FIRST = 5  # frequencies to begin with
MOST = 33  # at which no interval is halved any more: the bars say what that leaves open
FORETOLD = 3e-3  # of a figure's largest slope over the band: what a spline may be off at the middle of an interval
BAR = 2.0  # of that, and of its neighbours': the bar between


@dataclass(frozen=True, eq=False)
class SweptSlopes:
    """How circuits and loss change at every frequency of a sweep.

    Attributes
    ----------
    keys : tuple of str
        Of the changes.
    resistance, inductance : (m, changes, circuits) float
        [ohm/m], [H/m] per unit; nan where no current flows.
    loss : (m, changes) float
        [W/m] per unit.
    resistance_error, inductance_error, loss_error : float
        Bounds on their errors, what the spline leaves open included.
    solved : (m,) bool
        Where they were found from the fields.
    """

    keys: tuple[str, ...]
    resistance: FloatArray
    inductance: FloatArray
    loss: FloatArray
    resistance_error: FloatArray
    inductance_error: FloatArray
    loss_error: FloatArray
    solved: BoolArray


def swept_slopes(found: Sweep, changes: Callable[[Solution], Sequence[Change]]) -> SweptSlopes:
    """At every positive frequency of a sweep, nan at others.

    Parameters
    ----------
    found : Sweep
        Its frequencies rising, each once.
    changes : callable
        The changes of a solution, the same at all.

    Examples
    --------
    Far above its corner, the resistance of a rod goes with the root of the resistivity:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.band.sweep import sweep
    >>> from crosscurrent.solver.field.alone import alone
    >>> rod = alone(round_bar(0.010), 1.0)
    >>> band = sweep(rod, np.geomspace(1e3, 1e6, 61))
    >>> rate = swept_slopes(band, lambda s: [Change("f", s.problem, 1e-6 * s.frequency, 1e-6 * s.frequency)])
    >>> last = float(rate.resistance[-1, 0, 0] * 1e6 / band.fine.resistance(rod.circuits[0])[-1])
    >>> round(last, 2), int(rate.solved.sum()) < 40
    (0.5, True)
    """
    grid = _Grid(found, changes)
    grid.refine()
    return grid.everywhere()


def _sizes(found: Sweep) -> FloatArray:
    """What slopes of R, L and loss are told over, (m, 2 circuits + 1).

    At the terminals of coupled circuits R and L may be nothing: so the loss per current squared, and the largest L.
    """
    loss, circuits = found.fine.losses.sum(axis=1), found.problem.circuits
    real = [loss / abs(c.current) ** 2 if c.current else np.nan * loss for c in circuits]
    other = [0 * loss + np.abs(found.fine.inductance(c)).max() if c.current else np.nan * loss for c in circuits]
    return np.column_stack((*real, *other, loss))


class _Grid:
    """The frequencies at which slopes are found, and what a spline through them is off."""

    def __init__(self, found: Sweep, changes: Callable[[Solution], Sequence[Change]]) -> None:
        self.found, self.changes = found, changes
        self.place = np.log(np.where(found.frequency > 0, found.frequency, 1.0))
        self.figures = _sizes(found)
        self.keys: tuple[str, ...] = ()
        self.frame: Frame | None = None
        self.values: dict[int, FloatArray] = {}  # (changes, figures), over the figures
        self.errors: dict[int, FloatArray] = {}
        self.off: dict[tuple[int, int], FloatArray] = {}  # what the spline was off when an interval was halved

    def solve(self, number: int) -> None:
        """Slopes at one frequency."""
        solution = self.found.solution(number)
        if self.frame is None or not self.frame.holds(solution):
            self.frame = Frame.of(solution)
        rows = slopes(solution, self.changes(solution), frame=self.frame)
        self.keys = tuple(one.key for one in rows)
        own = self.figures[number]
        self.values[number] = np.array([[*s.resistance, *s.inductance, s.loss] for s in rows]) / own
        wrong = [[*s.resistance_error, *s.inductance_error, s.loss_error] for s in rows]
        self.errors[number] = np.abs(np.array(wrong) / own)

    @property
    def nodes(self) -> list[int]:
        """The positive frequencies that are solved, rising."""
        return sorted(self.values)

    def refine(self) -> None:
        """Halve every interval until the spline foretells its middle."""
        positive = np.flatnonzero(self.found.frequency > 0)
        for k in np.unique(np.linspace(0, len(positive) - 1, FIRST).round().astype(int)):
            self.solve(int(positive[k]))
        open_ = list(itertools.pairwise(self.nodes))
        while open_:
            spline, middles = self.spline(), [self.middle(a, b) for a, b in open_]
            following = []
            for (a, b), n in zip(open_, middles, strict=True):
                if n is None:
                    self.off.setdefault((a, b), np.zeros(spline.shape[1:]))
                    continue
                self.solve(n)
                off = np.abs(spline[n] - self.values[n])
                self.off[a, n] = self.off[n, b] = off
                if (off > np.fmax(FORETOLD * self.largest, self.errors[n])).any():
                    following += [(a, n), (n, b)]
            open_ = following if len(self.values) < MOST else []

    @property
    def largest(self) -> FloatArray:
        """Of every slope over its figure, (changes, figures)."""
        return np.asarray(np.abs(np.array(list(self.values.values()))).max(axis=0))

    def middle(self, first: int, last: int) -> int | None:
        """The frequency nearest to the middle of an interval; None where there is none between its ends."""
        if last - first < 2:
            return None
        inner = np.arange(first + 1, last)
        return int(inner[np.abs(self.place[inner] - 0.5 * (self.place[first] + self.place[last])).argmin()])

    def spline(self) -> FloatArray:
        """Slopes over figures at every frequency, (m, changes, figures)."""
        from scipy.interpolate import CubicSpline

        nodes = self.nodes
        values = np.array([self.values[n] for n in nodes])
        if len(nodes) == 1:
            return np.repeat(values, len(self.place), axis=0)
        return np.asarray(CubicSpline(self.place[nodes], np.nan_to_num(values))(self.place))

    def everywhere(self) -> SweptSlopes:
        """Slopes and bars at all positive frequencies, nan at others."""
        values, nodes = self.spline(), self.nodes
        errors = np.zeros_like(values)
        off = np.array([self.off[pair] for pair in itertools.pairwise(nodes)])
        around = np.fmax(off, np.fmax(np.roll(off, 1, axis=0), np.roll(off, -1, axis=0)))  # one alone may cross zero
        for (a, b), wrong in zip(itertools.pairwise(nodes), around, strict=True):
            errors[a + 1 : b] = np.fmax(self.errors[a], self.errors[b]) + BAR * wrong
        for n in nodes:
            values[n], errors[n] = self.values[n], self.errors[n]
        values[self.found.frequency == 0] = np.nan
        values, errors = values * self.figures[:, None], errors * np.abs(self.figures[:, None])
        solved = np.isin(np.arange(len(values)), nodes)
        count = len(self.found.problem.circuits)
        apart = [row for all_ in (values, errors) for row in np.split(all_, [count, 2 * count], axis=2)]
        resistance, inductance, loss, *bars = apart
        return SweptSlopes(self.keys, resistance, inductance, loss[..., 0], bars[0], bars[1], bars[2][..., 0], solved)
