"""The field around a section: at points, along lines, and how far the reference levels for people reach.

Reference levels (rms): ICNIRP, Guidelines for limiting exposure to time-varying electric and magnetic fields (1 Hz to
100 kHz), Health Phys. 99, 818-836, 2010, tables 3 and 4, whose levels against nerve stimulation go on to 10 MHz; and
ICNIRP, Guidelines for limiting exposure to electromagnetic fields (100 kHz to 300 GHz), Health Phys. 118, 483-524,
2020, table 5, the whole body over 30 minutes (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..geometries.distance import point_distance
from ..geometries.outline import FloatArray, Outline
from ..solver.materials import MU0
from ..solver.probe import Probe
from ..solver.solve import Solution

ANGLES, RADII = 120, 160
FURTHEST = 1e4  # times the section's size
HALVINGS = 40
SURFACE = 16  # points on each side of an outline


@dataclass(frozen=True)
class Level:
    """A reference level for the flux density."""

    who: str
    source: str
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
            Level("general public", "ICNIRP 2010", _public_2010(frequency)),
            Level("occupational", "ICNIRP 2010", _occupational_2010(frequency)),
        ]
    if 100e3 <= frequency <= 400e6:
        megahertz = frequency / 1e6
        public, worker = (2.2 / megahertz, 4.9 / megahertz) if megahertz <= 30 else (0.073, 0.16)
        found += [
            Level("general public", "ICNIRP 2020", MU0 * public),
            Level("occupational", "ICNIRP 2020", MU0 * worker),
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


def readings(solution: Solution, points: FloatArray) -> tuple[Reading, ...]:
    """The field at points (n, 2) [m]; the error is twice what one order of the elements
    changes and a ten-thousandth, for what both orders share.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Circuit, Conductor, Problem
    >>> from crosscurrent.solver.solve import solve
    >>> rod = Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"])
    >>> alone = solve(Problem((rod,), (Circuit("feed", 100.0, ("rod",)),)), 50.0)
    >>> round(readings(alone, np.array([[0.0, 1.0]]))[0].strength * 1e6, 4)
    20.0
    """
    points = np.asarray(points, dtype=float).reshape(-1, 2)
    fine, coarse = (Probe(flow).flux_density(points) for flow in (solution.fine, solution.coarse))
    strength = np.sqrt((np.abs(fine) ** 2).sum(axis=1))
    change = 2 * np.sqrt((np.abs(fine - coarse) ** 2).sum(axis=1)) + 1e-4 * strength
    return tuple(
        Reading((float(x), float(y)), float(b), float(e)) for (x, y), b, e in zip(points, strength, change, strict=True)
    )


def reach(solution: Solution, level: float) -> float:
    """Largest distance from the nearest conductor of a circuit at which |B| still has a level [T], in air [m].

    Returns
    -------
    float
        0 where no point outside the metal has it; infinite where it reaches further than 10,000 sections.
    """
    probe, section = Probe(solution.fine), solution.problem.section
    mesh = solution.fine.discretisation.mesh
    angle = 2 * np.pi * np.arange(ANGLES) / ANGLES
    rays = np.column_stack((np.cos(angle), np.sin(angle)))

    def strength(radius: FloatArray) -> FloatArray:
        return probe.strength(mesh.centre + radius[:, None] * rays)

    end = mesh.radius
    while strength(np.full(ANGLES, end)).max() >= level:
        end *= 1.5
        if end > FURTHEST * section.size:
            return np.inf
    live = _live(solution)
    ladder = np.concatenate((np.linspace(0, 1, RADII)[:-1] * mesh.radius, np.geomspace(mesh.radius, 1.01 * end, 12)))
    places = mesh.centre + ladder[:, None, None] * rays
    field = probe.strength(places.reshape(-1, 2)).reshape(len(ladder), ANGLES)
    metal = in_metal(places.reshape(-1, 2), solution).reshape(len(ladder), ANGLES)
    above = (field >= level) & ~metal
    reached = above.any(axis=0)
    if not reached.any():
        return _close_by(probe, solution, level, mesh.radius / RADII)
    last = len(ladder) - 1 - above[::-1].argmax(axis=0)
    low, high = ladder[last], ladder[np.minimum(last + 1, len(ladder) - 1)]
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        up = strength(middle) >= level
        low, high = np.where(up, middle, low), np.where(up, high, middle)
    edge = (mesh.centre + low[:, None] * rays)[reached]
    # between conductors the furthest place need not be the last of its ray
    return _furthest(np.concatenate((edge, places[above])), live)


def _furthest(points: FloatArray, live: Sequence[Outline]) -> float:
    """Largest distance of points from the nearest of some outlines [m]."""
    return float(np.min([point_distance(points, outline).min(axis=1) for outline in live], axis=0).max())


def _close_by(probe: Probe, solution: Solution, level: float, step: float) -> float:
    """Reach of a level that no ray meets in steps of some length: looked for where |B| is highest, on the metal."""
    live, found = _live(solution), []
    for outline in live:
        at = outline.at(np.arange(len(outline.points))[:, None], np.arange(SURFACE) / SURFACE)[0].reshape(-1, 2)
        ahead = np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)
        normal = np.column_stack((ahead[:, 1], -ahead[:, 0])) / np.hypot(*ahead.T)[:, None]
        off = step * np.geomspace(1e-3, 2.0, 12)[:, None, None]
        found += [at + off * normal, at - off * normal]
    points = np.concatenate(found).reshape(-1, 2)
    points = points[~in_metal(points, solution)]
    points = points[probe.strength(points) >= level]
    return _furthest(points, live) if len(points) else 0.0


def _live(solution: Solution) -> list[Outline]:
    """Outlines of the conductors that are in a circuit, those of their holes too."""
    named = {name for c in solution.problem.circuits for name in (*c.out, *c.back)}
    parts = [c.part for c in solution.problem.conductors if c.name in named]
    return [outline for part in parts for s in (part.shape, *part.pieces) for outline in (s.outer, *s.holes)]


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
