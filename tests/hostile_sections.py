"""Random sections that are meant to be hard to mesh: every shape, any turn, tiny gaps, huge ratios, plating."""

import math
from random import Random

import numpy as np

from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.meshing.mesh import AIR, Mesh
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.distance import closest_sides
from crosscurrent.geometries.plane.inscribed import inscribed_radius
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape


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
            radius = min(inscribed_radius(turned.outer), _shortest_in_hollows(turned.outer))
            for hole in turned.holes:
                radius = min(radius, closest_sides(turned.outer, hole)[0] / 2)
            coats = tuple(spread(rng, max(5e-8, 1e-5 * radius), 0.1 * radius) for _ in range(rng.randint(1, 3)))
        parts.append(Part(f"part {k}", _dropped(turned, parts, gap + 2.5 * sum(coats), way), coats))
    return Section(tuple(parts))


def _shortest_in_hollows(outline: Outline) -> float:
    """The shortest side at a concave corner: plating thicker than that would bury it."""
    arriving, leaving = np.roll(outline.ends - outline.points, 1, axis=0), outline.ends - outline.points
    concave = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0] < 0
    shorter = np.minimum(outline.chords, np.roll(outline.chords, 1))
    return float(shorter[concave].min(initial=np.inf))


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
        raise GeometryError(GeometryFault("the part missed all others"))
    return shape.placed(_polar(reach, way))


def _polar(radius: float, angle: float) -> tuple[float, float]:
    return radius * math.cos(angle), radius * math.sin(angle)


def smallest_thickness(section: Section) -> float:
    """Diameter of the largest circle in the thinnest part, holes counted [m]."""
    thin = []
    for part in section.parts:
        thin.append(2 * part.inscribed_radius)
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


def mesh_faults(section: Section, mesh: Mesh) -> list[str]:
    """Everything that is wrong with a mesh: folded, hanging, doubled, untagged, or of the wrong area."""
    faults = []
    if mesh.smallest_jacobians().min() <= 0:
        faults.append("a triangle folds")
    sides = np.concatenate((mesh.triangles[:, [0, 1]], mesh.triangles[:, [1, 2]], mesh.triangles[:, [2, 0]]))
    _, times = np.unique(sides, axis=0, return_counts=True)
    _, shared = np.unique(np.sort(sides, axis=1), axis=0, return_counts=True)
    if times.max() > 1 or shared.max() > 2 or (shared == 1).sum() != len(mesh.truncation_edges):
        faults.append("the triangles do not conform")
    if len(np.unique(mesh.points, axis=0)) != len(mesh.points) or len(np.unique(mesh.triangles)) != len(mesh.points):
        faults.append("points coincide or hang loose")
    outermost = mesh.points[mesh.truncation_edges[:, 0]] - mesh.centre
    if not np.isclose(np.hypot(*outermost.T), mesh.radius, rtol=1e-12).all():
        faults.append("the truncation boundary is no circle")
    faults += _wrong_areas(section, mesh) + _wrong_surface(mesh) + _uneven_sides(mesh)
    return faults


def _wrong_areas(section: Section, mesh: Mesh) -> list[str]:
    area = mesh.areas()
    faults = []
    if abs(area.sum() / (math.pi * mesh.radius**2) - 1) > 1e-10:
        faults.append("the triangles do not cover the disc once")
    for k, (number, layer) in enumerate(mesh.regions):
        part, found = section.parts[number], float(area[mesh.region == k].sum())
        if layer == 0:
            wanted, rounding = part.area, 0.0
        else:
            coats = coat_areas(part.shape.outer, part.coats)
            if coats is None:
                continue
            # a thin layer is the difference of two large outlines
            wanted, rounding = coats[layer - 1], 1e-14 * section.size * part.shape.outer.perimeter
        if abs(found - wanted) > 1e-10 * wanted + rounding:
            faults.append(f'area of "{part.name}", layer {layer}: {found:.12g} instead of {wanted:.12g}')
    return faults


def _wrong_surface(mesh: Mesh) -> list[str]:
    """The faces are the edges between metal and air, metal on their left, once each."""
    corners = [mesh.triangles[:, [i, j]] for i, j in ((0, 1), (1, 2), (2, 0))]
    metal = {edge for c in corners for edge in map(tuple, c[mesh.region != AIR].tolist())}
    air = {edge for c in corners for edge in map(tuple, c[mesh.region == AIR].tolist())}
    surface = {(a, b) for a, b in metal if (b, a) in air}
    faces = list(map(tuple, mesh.faces[:, :2].tolist()))
    return (
        [] if set(faces) == surface and len(faces) == len(surface) else ["the faces are not the surface of the metal"]
    )


def _uneven_sides(mesh: Mesh) -> list[str]:
    """Curved sides seen from both of their triangles."""
    order = 6
    nodes, steps = mesh.geometry(order), np.arange(1, order) / order
    for side, (i, j) in enumerate(((0, 1), (1, 2), (2, 0))):
        ends = mesh.triangles[mesh.curved][:, [i, j]]
        seen = nodes[:, 3 + side * (order - 1) : 3 + (side + 1) * (order - 1)]
        if len(ends) and np.abs(seen - mesh.along_edge(ends, steps)).max() > 1e-9 * mesh.radius:
            return ["a curved side is not the same from both triangles"]
    return []
