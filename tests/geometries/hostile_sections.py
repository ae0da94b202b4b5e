"""Random sections that are meant to be hard to mesh: every shape, any turn, tiny gaps, huge ratios, plating."""

import math
from random import Random

import numpy as np

from crosscurrent.geometries import shapes
from crosscurrent.geometries.distance import closest_sides
from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.outline import Outline
from crosscurrent.geometries.section import Part, Section
from crosscurrent.geometries.shapes import Shape


def spread(rng: Random, low: float, high: float) -> float:
    """A number between two bounds, evenly in its logarithm."""
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def random_bar(rng: Random) -> Shape:
    thickness = spread(rng, 5e-4, 1.0)
    return shapes.bar(1.0, thickness, rng.choice([0.0, 0.05, 0.3, 0.5]) * thickness)


def random_round(rng: Random) -> Shape:
    return shapes.round_bar(1.0)


def random_tube(rng: Random) -> Shape:
    return shapes.tube(1.0, spread(rng, 2e-3, 0.49))


def random_box(rng: Random) -> Shape:
    thickness = spread(rng, 0.1, 1.0)
    wall = thickness * spread(rng, 0.01, 0.4)
    return shapes.box(1.0, thickness, wall, rng.choice([0.0, 0.9]) * wall, rng.choice([0.0, 0.1]) * wall)


def random_angle(rng: Random) -> Shape:
    thickness = spread(rng, 0.005, 0.3)
    return shapes.angle(1.0, rng.uniform(0.4, 1.0), thickness, rng.choice([0.0, 0.2]) * thickness)


def random_channel(rng: Random) -> Shape:
    thickness = spread(rng, 0.005, 0.15)
    return shapes.channel(1.0, rng.uniform(0.4, 1.0), thickness, rng.choice([0.0, 0.2]) * thickness)


def random_star(rng: Random) -> Shape:
    """Corners around a middle at any distance: acute and re-entrant ones."""
    count = rng.randint(3, 9)
    angles = sorted(rng.uniform(0, 2 * math.pi) for _ in range(count))
    return shapes.outline([_polar(rng.uniform(0.15, 0.5), a) for a in angles])


def random_bulging(rng: Random) -> Shape:
    """A polygon whose sides bulge outward or inward, with or without a hole."""
    count = rng.randint(3, 6)
    points = [_polar(rng.uniform(0.4, 0.5), 2 * math.pi * (k + rng.uniform(-0.2, 0.2)) / count) for k in range(count)]
    bulges = [rng.choice([0.0, rng.uniform(-0.3, 0.6), rng.uniform(-0.05, 0.05)]) for _ in range(count)]
    hole = shapes.circle(spread(rng, 0.02, 0.2)).moved((rng.uniform(-0.05, 0.05), 0.0))
    return shapes.outline(points, bulges, [hole] if rng.random() < 0.4 else [])


def random_stepped(rng: Random) -> Shape:
    """A bar with a chamfer, a tiny step and a slot."""
    high, step, slot = rng.uniform(0.1, 0.5), spread(rng, 1e-3, 0.05), spread(rng, 3e-3, 0.1)
    deep = high * rng.uniform(0.2, 0.8)
    cut = spread(rng, 1e-3, 0.08)
    points = [
        (-0.5, 0.0), (0.5 - cut, 0.0), (0.5, cut), (0.5, high), (0.2, high), (0.2, high + step),
        (slot / 2, high + step), (slot / 2, high - deep), (-slot / 2, high - deep), (-slot / 2, high), (-0.5, high),
    ]  # fmt: skip
    return shapes.outline(points)


def random_traced(rng: Random) -> Shape:
    """A wavy outline of many short straight sides, as a drawing gives it."""
    count, lobes, depth = rng.randint(40, 200), rng.randint(2, 5), rng.uniform(0.0, 0.15)
    angles = 2 * np.pi * np.arange(count) / count
    radii = 0.5 * (1 - depth * (1 + np.cos(lobes * angles)) / 2)
    return shapes.outline(np.column_stack((radii * np.cos(angles), radii * np.sin(angles))).tolist())


SHAPES = (
    random_bar, random_round, random_tube, random_box, random_angle, random_channel, random_star, random_bulging,
    random_stepped, random_traced,
)  # fmt: skip


def random_section(rng: Random) -> Section:
    """One to five parts, each up to a thousand times smaller than the first, some of them plated.

    Raises
    ------
    GeometryError
        What came out cannot be a section (an outline crosses itself, plating does not fit).
    """
    parts: list[Part] = []
    same = rng.random() < 0.3
    shape = rng.choice(SHAPES)(rng)
    for k in range(rng.choice([1, 2, 2, 2, 3, 5])):
        if k and not same:
            shape = rng.choice(SHAPES)(rng)
        scale = 0.1 if same or k == 0 else 0.1 * rng.choice([1.0, spread(rng, 1e-3, 1.0)])
        turn = 0.0 if same else rng.choice([0.0, 0.0, math.pi / 2, math.radians(1), rng.uniform(0, 2 * math.pi)])
        turned = scaled(shape, scale).placed((0.0, 0.0), turn)
        gap = rng.choice([2e-5, spread(rng, 2e-5, 1.0), 0.05 * scale])
        way = rng.choice([math.pi / 2, rng.uniform(0, 2 * math.pi)])
        coats: tuple[float, ...] = ()
        if rng.random() < 0.3:
            radius = turned.outer.inscribed_radius
            for hole in turned.holes:
                radius = min(radius, closest_sides(turned.outer, hole)[0] / 2)
            coats = tuple(spread(rng, max(5e-8, 1e-5 * radius), 0.1 * radius) for _ in range(rng.randint(1, 3)))
        parts.append(Part(f"part {k}", _dropped(turned, parts, gap + 2.5 * sum(coats), way), coats))
    return Section(tuple(parts))


def scaled(shape: Shape, factor: float) -> Shape:
    """The same shape, `factor` times as large."""
    return Shape(
        Outline(shape.outer.points * factor, shape.outer.bulges),
        tuple(Outline(h.points * factor, h.bulges) for h in shape.holes),
    )


def _dropped(shape: Shape, parts: list[Part], gap: float, way: float) -> Shape:
    """The shape moved in from far away until it comes within a gap of what is there, or misses it."""
    if not parts:
        return shape
    reach = 2 * max(float(np.abs(p.shape.outer.bounds).max()) for p in parts) + 2 * shape.outer.size + gap
    for _ in range(60):
        here = shape.outer.moved(_polar(reach, way))
        left = min(closest_sides(here, p.shape.outer)[0] - gap - 2.5 * sum(p.coats) for p in parts)
        if left < 1e-3 * gap or reach < -1:
            break
        reach -= left
    if reach < -0.5:
        raise GeometryError("the part missed all others")
    return shape.placed(_polar(reach, way))


def _polar(radius: float, angle: float) -> tuple[float, float]:
    return radius * math.cos(angle), radius * math.sin(angle)


def smallest_thickness(section: Section) -> float:
    """Diameter of the largest circle in the thinnest part, holes counted [m]."""
    thin = []
    for part in section.parts:
        thin.append(2 * part.shape.outer.inscribed_radius)
        thin += [closest_sides(part.shape.outer, hole)[0] for hole in part.shape.holes]
    return min(thin)


def coat_areas(outline: Outline, coats: tuple[float, ...]) -> list[float] | None:
    """Area of every coat: rounded over convex corners, mitred in concave ones; None where an arc meets a corner.

    A coat of thickness t on an outline of perimeter P adds P t + (sum of turns) t^2 / 2, a mitre t^2 tan(turn / 2).
    """
    sides = np.arange(len(outline.points))
    arriving = np.roll(outline.at(sides, 1.0)[1], 1, axis=0)
    leaving = outline.at(sides, 0.0)[1]
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    turn = np.arctan2(cross, (arriving * leaving).sum(axis=1))
    at_arc = outline.curved | np.roll(outline.curved, 1)
    if (at_arc & (turn < math.radians(5)) & (np.abs(turn) > 1e-9)).any():
        return None
    corner = np.where(turn > math.radians(5), turn / 2, np.tan(turn / 2)).sum()
    square = corner + outline.sweeps.sum() / 2
    outer = np.cumsum(coats)
    total = outline.perimeter * outer + square * outer**2
    return np.diff(total, prepend=0.0).tolist()
