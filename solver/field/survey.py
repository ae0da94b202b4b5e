"""The field around a section: at points, along lines, and how far the reference levels for people reach.

Reference levels (rms): ICNIRP, Guidelines for limiting exposure to time-varying electric and magnetic fields (1 Hz to
100 kHz), Health Phys. 99, 818-836, 2010, tables 3 and 4, whose levels against nerve stimulation go on to 10 MHz; and
ICNIRP, Guidelines for limiting exposure to electromagnetic fields (100 kHz to 300 GHz), Health Phys. 118, 483-524,
2020, table 5, the mean over the whole body and 30 minutes (all from
memory). Between 100 kHz and 10 MHz both hold. The levels of 2020 for a part of the body over 6 minutes (table 6) are
2.2 times as high and are not used.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.distance import point_distance
from ..geometries.outline import FloatArray, Outline
from ..geometries.sides import IntArray
from ..solver.field_errors import FieldErrors
from ..solver.materials import MU0
from ..solver.probe import Probe
from ..solver.problem import Conductor
from ..solver.solve import Solution

INSTANT, BODY = "at any instant", "whole body, mean over 30 minutes"
ANGLES, RADII, OUTER = 120, 160, 12
FURTHEST = 1e4  # times the section's size
HALVINGS = 24  # of the last step along a ray
POLISHED = 30  # steps, most of them half of the one before
RESOLVED = 1e-5  # share of a distance that the search may miss
CLOSE_BY = 0.1  # share of a distance within which other metal is said to be close
SURFACE = 16  # points on each side of an outline


@dataclass(frozen=True)
class Level:
    """A reference level for the flux density; `mean` says what it is a mean of."""

    who: str
    source: str
    mean: str
    flux_density: float  # rms [T]


@dataclass(frozen=True)
class Reading:
    """The field at a place, with the bound on its error."""

    place: tuple[float, float]  # [m]
    strength: float  # |B| rms [T]
    error: float  # [T]


def reference_levels(frequency: float) -> tuple[Level, ...]:
    """The levels of both guidelines that exist at a frequency [Hz].

    Examples
    --------
    >>> [(level.who, level.source, round(level.flux_density * 1e6, 3)) for level in reference_levels(85e3)]
    [('general public', 'ICNIRP 2010', 27.0), ('occupational', 'ICNIRP 2010', 100.0)]
    >>> [round(level.flux_density * 1e6, 4) for level in reference_levels(13.56e6)]
    [0.2039, 0.4541]
    """
    found = []
    if 1 <= frequency <= 10e6:
        found += [
            Level("general public", "ICNIRP 2010", INSTANT, _public_2010(frequency)),
            Level("occupational", "ICNIRP 2010", INSTANT, _occupational_2010(frequency)),
        ]
    if 100e3 <= frequency <= 400e6:
        megahertz = frequency / 1e6
        public, worker = (2.2 / megahertz, 4.9 / megahertz) if megahertz <= 30 else (0.073, 0.16)
        found += [
            Level("general public", "ICNIRP 2020", BODY, MU0 * public),
            Level("occupational", "ICNIRP 2020", BODY, MU0 * worker),
        ]
    return tuple(found)


def _public_2010(f: float) -> float:
    for end, level in ((8, 4e-2 / f**2), (25, 5e-3 / f), (400, 2e-4), (3e3, 8e-2 / f)):
        if f < end:
            return level
    return 2.7e-5


def _occupational_2010(f: float) -> float:
    for end, level in ((8, 0.2 / f**2), (25, 2.5e-2 / f), (300, 1e-3), (3e3, 0.3 / f)):
        if f < end:
            return level
    return 1e-4


@dataclass(frozen=True)
class Reach:
    """How far from the nearest live conductor a level is met [m]; 0 if nowhere in air, infinite if without end."""

    distance: float
    error: float
    beside: str | None = None  # the conductor in no circuit whose surface it is met close to


@dataclass(frozen=True, eq=False)
class Survey:
    """The field of a solution at places and the distances at which it falls below levels, all with their bars.

    Attributes
    ----------
    solution : Solution

    Examples
    --------
    One wire with 100 A: mu0 I / (2 pi r) is 20 uT at 1 m, and 100 uT at 0.2 m, 0.195 m from its surface.

    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.solve import solve
    >>> rod = Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"])
    >>> alone = Survey(solve(Problem((rod,), (Circuit("feed", 100.0, ("rod",)),)), 50.0))
    >>> round(alone.readings(np.array([[0.0, 1.0]]))[0].strength * 1e6, 4)
    20.0
    >>> round(alone.reach(100e-6).distance, 6)
    0.195
    """

    solution: Solution

    def readings(self, points: FloatArray) -> tuple[Reading, ...]:
        """The field at points (n, 2) [m]."""
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        field, error = self._errors.readings(points)
        strength = np.sqrt((np.abs(field) ** 2).sum(axis=1))
        return tuple(
            Reading((float(x), float(y)), float(b), float(e))
            for (x, y), b, e in zip(points, strength, error, strict=True)
        )

    def reach(self, level: float) -> Reach:
        """Largest distance from the nearest conductor of a circuit at which |B| still has a level [T], in air.

        The bar: the distances at the level more and less by the bar of the field there.
        """
        distance, place = self._furthest(level)
        if not np.isfinite(distance):
            return Reach(distance, 0.0)
        (reading,) = self.readings(place)
        apart = min(reading.error / max(reading.strength, level), 0.5)
        near, far = (self._furthest(level * (1 + sign * apart))[0] for sign in (1, -1))
        error = max(distance - near, far - distance, 0.0) + RESOLVED * distance
        return Reach(distance, error, self._beside(place, CLOSE_BY * distance))

    def _beside(self, place: FloatArray, reach: float) -> str | None:
        """The conductor in no circuit that lies within a distance of a place (1, 2)."""
        idle = [c for c in self.solution.problem.conductors if c.name not in _in_circuits(self.solution)]
        away = {c.name: float(_distances(place, _outlines([c]))[0]) for c in idle}
        return min((name for name in away if away[name] < reach), key=away.__getitem__, default=None)

    @cached_property
    def _errors(self) -> FieldErrors:
        return FieldErrors(Probe(self.solution.fine), Probe(self.solution.coarse))

    @property
    def _probe(self) -> Probe:
        return self._errors.fine

    @cached_property
    def _rays(self) -> FloatArray:
        angle = 2 * np.pi * np.arange(ANGLES) / ANGLES
        return np.column_stack((np.cos(angle), np.sin(angle)))

    @cached_property
    def _star(self) -> tuple[FloatArray, FloatArray]:
        """Places on rays out to the outer circle (radii, angles, 2) and |B| there, nothing in metal."""
        mesh = self.solution.fine.discretisation.mesh
        radii = np.linspace(0, 1, RADII)[:-1] * mesh.radius
        places = mesh.centre + radii[:, None, None] * self._rays
        field = self._in_air(places.reshape(-1, 2))
        return places, field.reshape(places.shape[:2])

    def _in_air(self, points: FloatArray) -> FloatArray:
        """|B|, 0 in metal."""
        field, air = np.zeros(len(points)), ~in_metal(points, self.solution)
        field[air] = self._probe.strength(points[air])
        return field

    def _furthest(self, level: float) -> tuple[float, FloatArray]:
        """Distance and place (1, 2) at which a level is met furthest from the conductors, or the strongest place."""
        mesh, size = self.solution.fine.discretisation.mesh, self.solution.problem.section.size
        end = mesh.radius
        while self._probe.strength(mesh.centre + end * self._rays).max() >= level:
            end *= 1.5
            if end > FURTHEST * size:
                return np.inf, np.zeros((1, 2))
        places, field = self._star
        if end > mesh.radius:
            outer = mesh.centre + np.geomspace(mesh.radius, 1.01 * end, OUTER)[:, None, None] * self._rays
            strength = self._probe.strength(outer.reshape(-1, 2)).reshape(outer.shape[:2])
            places, field = np.concatenate((places, outer)), np.concatenate((field, strength))
        above = field >= level
        step = mesh.radius / RADII
        if not above.any():
            close = _close_by(self._probe, self.solution, level, step)
            if not len(close):
                return 0.0, places[np.unravel_index(field.argmax(), field.shape)][None]
            return self._polished(close, level, 0.1 * step)
        last = len(field) - 1 - above[::-1].argmax(axis=0)
        edge = self._edge(places, last, level)[above.any(axis=0)]
        # between conductors the furthest place need not be the last of its ray
        return self._polished(np.concatenate((edge, places[above])), level, step)

    def _edge(self, places: FloatArray, last: IntArray, level: float) -> FloatArray:
        """Where the field falls below a level on every ray, after its place number `last`."""
        ray = np.arange(places.shape[1])
        low, high = places[last, ray], places[np.minimum(last + 1, len(places) - 1), ray]
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            up = (self._probe.strength(middle) >= level)[:, None]
            low, high = np.where(up, middle, low), np.where(up, high, middle)
        return low

    def _polished(self, points: FloatArray, level: float, step: float) -> tuple[float, FloatArray]:
        """From the furthest of some points further still, in ever smaller steps around it."""
        live = _live(self.solution)
        away = _distances(points, live)
        best, distance = points[away.argmax()], float(away.max())
        around = np.stack(np.meshgrid(*2 * (np.linspace(-1, 1, 7),)), axis=-1).reshape(-1, 2)
        for _ in range(POLISHED):
            near = best + step * around
            away = np.where(self._in_air(near) >= level, _distances(near, live), 0.0)
            gained = float(away.max()) - distance
            if gained > 0:
                best, distance = near[away.argmax()], float(away.max())
            step *= 1.0 if gained > 0.1 * step else 0.5
        return distance, best[None]


def _distances(points: FloatArray, live: Sequence[Outline]) -> FloatArray:
    """From the nearest of some outlines [m]."""
    return np.asarray(np.min([point_distance(points, outline).min(axis=1) for outline in live], axis=0))


def _close_by(probe: Probe, solution: Solution, level: float, step: float) -> FloatArray:
    """Places close to the metal, where |B| is highest, at which a level is met that rays in steps of a length miss."""
    found = []
    for outline in _live(solution):
        at = outline.at(np.arange(len(outline.points))[:, None], np.arange(SURFACE) / SURFACE)[0].reshape(-1, 2)
        ahead = np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)
        normal = np.column_stack((ahead[:, 1], -ahead[:, 0])) / np.hypot(*ahead.T)[:, None]
        off = step * np.geomspace(1e-3, 2.0, 12)[:, None, None]
        found += [at + off * normal, at - off * normal]
    points = np.concatenate(found).reshape(-1, 2)
    points = points[~in_metal(points, solution)]
    return np.asarray(points[probe.strength(points) >= level])


def _live(solution: Solution) -> list[Outline]:
    """Outlines of the conductors that are in a circuit, those of their holes too."""
    named = _in_circuits(solution)
    return _outlines([c for c in solution.problem.conductors if c.name in named])


def _in_circuits(solution: Solution) -> set[str]:
    return {name for c in solution.problem.circuits for name in (*c.out, *c.back)}


def _outlines(conductors: Sequence[Conductor]) -> list[Outline]:
    shapes = [shape for c in conductors for shape in (c.part.shape, *c.part.pieces)]
    return [outline for shape in shapes for outline in (shape.outer, *shape.holes)]


def in_metal(points: FloatArray, solution: Solution) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether points lie in metal."""
    inside = np.zeros(len(points), dtype=bool)
    for c in solution.problem.conductors:
        for shape in (c.part.shape, *c.part.pieces):
            inside |= contains(shape.outer, points) & ~np.any([contains(h, points) for h in shape.holes], axis=0)
    return inside


def contains(outline: Outline, points: FloatArray) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether an outline goes around points (n, 2), by the angle its chain of points turns through."""
    chain = outline.at(np.arange(len(outline.points))[:, None], np.arange(16) / 16)[0].reshape(-1, 2)
    ahead = np.roll(chain, -1, axis=0)
    x, y = points[:, 0, None], points[:, 1, None]
    crosses = (chain[:, 1] > y) != (ahead[:, 1] > y)
    rise = np.where(ahead[:, 1] == chain[:, 1], 1.0, ahead[:, 1] - chain[:, 1])
    at = chain[:, 0] + (y - chain[:, 1]) / rise * (ahead[:, 0] - chain[:, 0])
    return np.asarray((crosses & (x < at)).sum(axis=1) % 2 == 1)


def along(start: Sequence[float], end: Sequence[float], count: int) -> FloatArray:
    """Evenly spaced points of a line, ends included, (count, 2) [m]."""
    return np.linspace(np.asarray(start, dtype=float), np.asarray(end, dtype=float), count)
