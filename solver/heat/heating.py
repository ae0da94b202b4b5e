"""A work piece heated by the loss in it: its temperature field in time, what it took and what it gave away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import FloatArray

from .convection import ZERO
from .implicit_steps import Rates, TimeSteps, followed
from .open_surface import OpenSurface
from .work_piece import WorkPiece

TIGHT = 1e-6  # error of a step, of the span of temperatures
LEAST_SPAN, MOST_SPAN = 1.0, 1000.0  # [K]
FIRST = 1e-4  # step to begin with, of the duration
SAME = 1e-9  # difference of temperatures that rounding makes [K]


@dataclass(frozen=True, eq=False)
class Source:
    """The loss in a work piece, at some of its temperatures; between them in proportion, beyond them as at the last.

    Attributes
    ----------
    temperature : (k,) float
        Rising [degC].
    load : (k, unknowns) float
        [W]
    """

    temperature: FloatArray
    load: FloatArray

    def at(self, temperature: float) -> FloatArray:
        """At a temperature [degC], (unknowns,) [W]."""
        if len(self.temperature) == 1:
            return np.asarray(self.load[0])
        place = float(np.interp(temperature, self.temperature, np.arange(len(self.temperature))))
        k = min(int(place), len(self.temperature) - 2)
        return np.asarray((1 - (place - k)) * self.load[k] + (place - k) * self.load[k + 1])

    def slope(self, temperature: float) -> FloatArray:
        """By temperature, (unknowns,) [W/K]."""
        t = self.temperature
        if len(t) == 1 or not t[0] <= temperature < t[-1]:
            return np.zeros(self.load.shape[1])
        k = int(np.searchsorted(t, temperature, side="right")) - 1
        return np.asarray((self.load[k + 1] - self.load[k]) / (t[k + 1] - t[k]))

    @cached_property
    def weights(self) -> FloatArray:
        """Weights of the mean temperature that the loss is taken at: where it sits at first, (unknowns,)."""
        positive = np.maximum(self.load[0], 0.0)
        return np.asarray(positive / positive.sum()) if positive.any() else np.zeros(self.load.shape[1])


@dataclass(frozen=True, eq=False)
class Heating:
    """What became of a work piece.

    Attributes
    ----------
    piece : WorkPiece
    source : Source
    course : TimeSteps
        Of the temperatures [K], or what stands for them (`WarmMetal`); counted up: heat made, given to moving air, and
        radiated [J].
    """

    piece: WorkPiece
    source: Source
    course: TimeSteps

    @property
    def duration(self) -> float:
        """[s]"""
        return float(self.course.time[-1])

    @cached_property
    def _mean_weights(self) -> FloatArray:
        return np.asarray(self.piece.volume / self.piece.volume.sum())

    @cached_property
    def _surface_weights(self) -> FloatArray:
        surface = self.piece.surface
        return np.asarray((surface.area @ surface.values) / surface.area.sum())

    @cached_property
    def core(self) -> int:
        """The unknown furthest from the surface, the one nearest to the axis of those alike."""
        place = self.piece.positions
        away = np.asarray(cKDTree(self.piece.surface.place.reshape(-1, 2)).query(place)[0])
        best = np.flatnonzero(away >= away.max() * (1 - 1e-6))
        return int(best[np.argmin(place[best, 0])])

    def temperatures(self, time: FloatArray) -> FloatArray:
        """At the unknowns at times (m,) [s], (m, unknowns) [degC]."""
        return self.piece.warmth(self.course.at(np.asarray(time, dtype=float))) - ZERO

    def mean(self, time: FloatArray) -> FloatArray:
        """Over the volume, (m,) [degC]."""
        return np.asarray(self.temperatures(time) @ self._mean_weights)

    def surface(self, time: FloatArray) -> FloatArray:
        """Over the surface, (m,) [degC]."""
        return np.asarray(self.temperatures(time) @ self._surface_weights)

    def at_core(self, time: FloatArray) -> FloatArray:
        """At the point furthest from the surface, (m,) [degC]."""
        return np.asarray(self.temperatures(time)[:, self.core])

    def hottest(self, time: FloatArray) -> FloatArray:
        """Anywhere, (m,) [degC]."""
        return np.asarray(self.temperatures(time).max(axis=1))

    def coldest(self, time: FloatArray) -> FloatArray:
        """Anywhere, (m,) [degC]."""
        return np.asarray(self.temperatures(time).min(axis=1))

    def reaches(self, of: Callable[[FloatArray], FloatArray], temperature: float) -> float | None:
        """When one of these temperatures first is one [degC], [s]; None if it is not within the time."""
        from scipy.optimize import brentq

        fine = np.unique(np.concatenate((self.course.time, np.linspace(0, self.duration, 400))))
        found = of(fine) - temperature
        if abs(found[0]) <= SAME:
            return 0.0
        crossed = np.flatnonzero(np.sign(found[1:]) != np.sign(found[0]))
        if not len(crossed):
            return None
        k = int(crossed[0])
        return float(brentq(lambda t: float(of(np.array([t]))[0]) - temperature, fine[k], fine[k + 1], xtol=1e-12))

    @property
    def made(self) -> float:
        """Heat that the loss made [J]."""
        return float(self.course.counted[-1, 0])

    @property
    def convected(self) -> float:
        """Heat given to moving air [J]."""
        return float(self.course.counted[-1, 1])

    @property
    def radiated(self) -> float:
        """Heat radiated [J]."""
        return float(self.course.counted[-1, 2])

    @cached_property
    def kept(self) -> float:
        """Heat in the piece more than at the start [J]."""
        change = self.course.value[-1] - self.course.value[0]
        return float((self.piece.heat_capacity @ change).sum())

    @property
    def imbalance(self) -> float:
        """What made, given away and kept do not agree in, over the largest of them; 0 if exact."""
        lost = self.convected + self.radiated
        return abs(self.made - lost - self.kept) / max(abs(self.made), abs(lost), abs(self.kept), 1e-300)

    def power(self, time: float) -> float:
        """Loss in the piece at a time [s], [W]."""
        there = self.temperatures(np.array([time]))[0]
        return float(self.source.at(float(there @ self.source.weights)).sum())


def heated(
    surface: OpenSurface, source: Source, start: float, duration: float, *, tight: float = TIGHT
) -> Heating:
    """A piece that begins at one temperature and is heated for a time.

    Parameters
    ----------
    surface : OpenSurface
    source : Source
    start : float [degC]
    duration : float [s]
    tight : float
        Error of each step, of the span of temperatures.

    Raises
    ------
    StepsError
        It cannot be followed.
    """
    piece = surface.piece
    walls = piece.surface

    def of(value: FloatArray) -> tuple[FloatArray, FloatArray]:
        convected, radiated, _ = (a * walls.area for a in surface.given(piece.warmth(walls.values @ value)))
        made = source.at(float(piece.warmth(value) @ source.weights) - ZERO)
        change = made - piece.conducted(value) - walls.values.T @ (convected + radiated)
        return change, np.array([made.sum(), convected.sum(), radiated.sum()])

    def slope(value: FloatArray) -> sparse.csc_array:
        warm = piece.warmth(walls.values @ value)
        there = surface.given(warm)[2] * walls.area * piece.per_heat(warm)
        return sparse.csc_array(piece.conducting(value) + walls.values.T @ sparse.diags_array(there) @ walls.values)

    def beside(value: FloatArray) -> tuple[FloatArray, FloatArray]:
        warm = piece.warmth(value)
        return -source.slope(float(warm @ source.weights) - ZERO), source.weights * piece.per_heat(warm)

    capacity = float(piece.heat_capacity.sum())
    begin = np.array([start + ZERO])
    level = np.full(piece.count, begin[0] if piece.metal is None else piece.metal.held(begin)[0])
    rise = min(MOST_SPAN, duration * float(source.load[0].sum()) / capacity)
    span = max(LEAST_SPAN, abs(start - surface.surroundings.ambient), rise)
    rates = Rates(piece.heat_capacity, of, slope, beside if len(source.temperature) > 1 else None)
    course = followed(rates, level, duration, tight * span, FIRST * duration)
    return Heating(piece, source, course)
