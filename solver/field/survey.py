"""The field around a section: at points, along lines, and how far a level reaches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.distance import point_distance
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.solver.metals.depth import MU0

from .probe import Probe
from .probe_errors import FieldErrors
from .problem import Conductor
from .solution import Solution
from .steel import BAND

ANGLES, RADII, OUTER = 120, 160, 12
FURTHEST = 1e4  # times the section's size
HALVINGS = 24  # of the last step along a ray
POLISHED = 30  # steps, most of them half of the one before
RESOLVED = 1e-5  # share of a distance that the search may miss
CLOSE_BY = 0.1  # share of a distance within which other metal is said to be close
NONE = 1e-6  # of the largest current, that sums count as zero below
SURFACE = 16  # points on each side of an outline


@dataclass(frozen=True)
class Reading:
    """The field at a place, with the bound on its error."""

    place: tuple[float, float]  # [m]
    strength: float  # |B| rms [T]
    error: float  # [T]


@dataclass(frozen=True)
class Reach:
    """How far from the nearest live conductor a level is met [m]; 0 if nowhere outside, infinite if without end."""

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

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> found = Survey(solve(alone(round_bar(0.01), 100.0), 50.0))
    >>> round(found.readings(np.array([[0.0, 1.0]]))[0].strength * 1e6, 4)
    20.0
    >>> round(found.reach(100e-6).distance, 6)
    0.195
    """

    solution: Solution

    def readings(self, points: FloatArray) -> tuple[Reading, ...]:
        """The field at points (n, 2) [m]; round an axis as strong on its left as on its right."""
        points = np.asarray(points, dtype=float).reshape(-1, 2)
        there = self.solved_places(points)
        field, error = self._errors.readings(there)
        if self._other is not None:
            apart = field - self._other.flux_density(there)
            error = error + BAND * np.sqrt((np.abs(apart) ** 2).sum(axis=1))
        strength = np.sqrt((np.abs(field) ** 2).sum(axis=1))
        return tuple(
            Reading((float(x), float(y)), float(b), float(e))
            for (x, y), b, e in zip(points, strength, error, strict=True)
        )

    def reach(self, level: float) -> Reach:
        """Largest distance from the nearest conductor of a circuit at which |B| still has a level [T], outside.

        Hollows that one conductor closes, as between core and sheath of a coaxial pair, are no place for people and do
        not count. The bar: the distances at the level more and less by the bar of the field there.
        """
        distance, place = self._furthest(level)
        if not np.isfinite(distance):
            return Reach(distance, 0.0)
        (reading,) = self.readings(place)
        apart = min(reading.error / max(reading.strength, level), 0.5)
        near, far = (self._furthest(level * (1 + sign * apart))[0] for sign in (1, -1))
        error = max(distance - near, far - distance, 0.0) + RESOLVED * distance
        return Reach(distance, error, self._beside(place, CLOSE_BY * distance))

    @cached_property
    def _other(self) -> Probe | None:
        """The field with steel as a sine of B meets it."""
        steel = self.solution.steel
        return None if steel is None or steel.other is None else Probe(steel.other)

    @cached_property
    def missing_current(self) -> float:
        """What does not return in the section [A]; readings take it to return all round, beyond every place."""
        if self.solution.problem.axial:  # it has come round
            return 0.0
        currents = self.solution.fine.currents
        rest = float(abs(currents.sum()))
        return rest if rest > NONE * float(np.abs(currents).max()) else 0.0

    def return_effects(self, points: FloatArray) -> FloatArray:
        """What that current adds or takes at most at points (n, 2) [m] if one conductor returns it, (n,) [T].

        The conductor is twice as far from each point as the section's middle.
        """
        away = np.hypot(*(np.asarray(points, dtype=float) - self.solution.fine.discretisation.mesh.centre).T)
        return np.asarray(MU0 / (2 * np.pi) * self.missing_current / (2 * away))

    def _beside(self, place: FloatArray, reach: float) -> str | None:
        """The conductor in no circuit that lies within a distance of a place (1, 2)."""
        idle = [c for c in self.solution.problem.conductors if c.name not in self.solution.problem.live]
        away = {c.name: float(_distances(place, _outlines([c]))[0]) for c in idle}
        return min((name for name in away if away[name] < reach), key=away.__getitem__, default=None)

    @cached_property
    def _errors(self) -> FieldErrors:
        return FieldErrors(Probe(self.solution.fine), Probe(self.solution.coarse))

    @property
    def _probe(self) -> Probe:
        return self._errors.fine

    def solved_places(self, points: FloatArray) -> FloatArray:
        """Where the same field was solved for: round an axis right of it."""
        return np.column_stack((np.abs(points[:, 0]), points[:, 1])) if self.solution.problem.axial else points

    @cached_property
    def _rays(self) -> FloatArray:
        angle = 2 * np.pi * np.arange(ANGLES) / ANGLES
        if self.solution.problem.axial:
            angle = np.linspace(-0.5, 0.5, ANGLES + 1) * np.pi
            return np.column_stack((np.cos(angle).clip(0.0), np.sin(angle)))
        return np.column_stack((np.cos(angle), np.sin(angle)))

    @cached_property
    def _star(self) -> tuple[FloatArray, FloatArray]:
        """Places on rays out to the outer circle (radii, angles, 2) and |B| there, 0 within conductors."""
        mesh = self.solution.fine.discretisation.mesh
        radii = np.linspace(0, 1, RADII)[:-1] * mesh.radius
        places = mesh.centre + radii[:, None, None] * self._rays
        field = self._outside(places.reshape(-1, 2))
        return places, field.reshape(places.shape[:2])

    def _outside(self, points: FloatArray) -> FloatArray:
        """|B|, 0 within the outer outline of a conductor."""
        field, air = np.zeros(len(points)), ~_within(points, self.solution)
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
            up = (self._outside(middle) >= level)[:, None]
            low, high = np.where(up, middle, low), np.where(up, high, middle)
        return low

    def _polished(self, points: FloatArray, level: float, step: float) -> tuple[float, FloatArray]:
        """From the furthest of some points further still, in ever smaller steps around it."""
        live = _live(self.solution)
        away = _distances(points, live)
        best, distance = points[away.argmax()], float(away.max())
        around = np.stack(np.meshgrid(*2 * (np.linspace(-1, 1, 7),)), axis=-1).reshape(-1, 2)
        for _ in range(POLISHED):
            near = self.solved_places(best + step * around)
            away = np.where(self._outside(near) >= level, _distances(near, live), 0.0)
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
        found += [(at + off * normal).reshape(-1, 2), (at - off * normal).reshape(-1, 2)]
    points = np.concatenate(found)
    points = points[~_within(points, solution)]
    return np.asarray(points[probe.strength(points) >= level])


def _live(solution: Solution) -> list[Outline]:
    """Outlines of the conductors that are in a circuit, those of their holes too."""
    named = solution.problem.live
    return _outlines([c for c in solution.problem.conductors if c.name in named])


def _outlines(conductors: Sequence[Conductor]) -> list[Outline]:
    shapes = [shape for c in conductors for shape in (c.part.shape, *c.part.pieces)]
    return [outline for shape in shapes for outline in (shape.outer, *shape.holes)]


def in_metal(points: FloatArray, solution: Solution) -> BoolArray:
    """Whether points (n, 2) [m] lie in metal, (n,); coats left out."""
    return np.asarray(np.any([c.part.contains(points) for c in solution.problem.conductors], axis=0))


def _within(points: FloatArray, solution: Solution) -> BoolArray:
    """Whether points (n, 2) [m] lie within the outer outline of a conductor, hollows included, (n,)."""
    shapes = [shape for c in solution.problem.conductors for shape in (c.part.shape, *c.part.pieces)]
    return np.asarray(np.any([shape.outer.contains(points) for shape in shapes], axis=0))


def along(start: Sequence[float], end: Sequence[float], count: int) -> FloatArray:
    """Evenly spaced points of a line, ends included, (count, 2) [m]."""
    return np.linspace(np.asarray(start, dtype=float), np.asarray(end, dtype=float), count)
