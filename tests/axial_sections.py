"""Random sections of the half plane, and everything that may be wrong with their meshes."""

import math
from collections.abc import Callable
from random import Random

import numpy as np
from hostile_sections import spread

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.plane.axial import right_area, whole
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, bar, box, channel, outline, round_bar, rounded, tube

ROUND = math.tan(math.pi / 8)


def half_bar(inner: float, outer: float, low: float, high: float) -> Shape:
    return bar(outer - inner, high - low).placed((0.5 * (inner + outer), 0.5 * (low + high)))


def on_the_axis(rng: Random) -> tuple[Shape, float]:
    """A body on the axis, about one metre in size, round the origin; and its thinnest metal [m]."""
    r, h = spread(rng, 0.3, 1.0), spread(rng, 0.1, 3.0)
    wall = min(r, h) * spread(rng, 0.02, 0.3)
    bodies: list[Callable[[], tuple[Shape, float]]] = [
        lambda: (round_bar(2 * r), r),
        lambda: (Shape(round_bar(2 * r).outer.turned(rng.uniform(0, math.pi))), r),
        lambda: (half_bar(0, r, -h / 2, h / 2), min(r, h)),
        lambda: (bar(2 * r, h, 0.3 * min(r, h)), min(r, h)),
        lambda: (outline([(0, -h / 2), (r, -h / 2), (0, h / 2)]), 0.2 * min(r, h)),
        lambda: (outline([(0, -h / 2), (r, -h / 2), (0.4 * r, h / 2), (0, h / 2)]), 0.4 * min(r, h)),
        lambda: (outline([(0, -h / 2), (0, h / 2)], [ROUND, 0]), 0.1 * h),
        lambda: (outline([(0, -r - h), (r, -h), (r, h), (0, r + h)], [ROUND, 0, ROUND, 0]), r),
        lambda: (tube(2 * r, min(wall, 0.4 * r)), min(wall, 0.4 * r)),
        lambda: (box(2 * r, h, wall), wall),
        lambda: (channel(2 * r, h, wall).placed((0, 0), rng.choice([0, math.pi])), wall),
        lambda: (
            Shape(half_bar(0, r, -h / 2, h / 2).outer, (round_bar(wall).placed((0.5 * r, 0)).outer,)),
            0.2 * min(r, h),
        ),
        lambda: (Shape(bar(2 * r, h).outer, (round_bar(min(r, h) / 2).outer,)), 0.2 * min(r, h)),
    ]
    shape, thin = rng.choice(bodies)()
    return whole(shape), thin


def beside(rng: Random) -> tuple[Shape, float]:
    """A turn about one metre in size, round the origin; and its thinnest metal [m]."""
    w, h = spread(rng, 0.05, 1.0), spread(rng, 0.05, 1.0)
    wall = min(w, h) * spread(rng, 0.03, 0.3)
    return rng.choice(
        [
            (round_bar(w), w),
            (tube(w, min(wall, 0.4 * w)), min(wall, 0.4 * w)),
            (bar(w, h), min(w, h)),
            (bar(w, h, 0.4 * min(w, h)), min(w, h)),
            (box(w, h, wall), wall),
            (Shape(rounded([(0, 0), (w, 0), (0, h)], 0.1 * min(w, h))), 0.3 * min(w, h)),
            (bar(spread(rng, 0.002, 0.02), 2 * h).placed((0, 0), rng.choice([0, math.pi / 2])), 0.002),
        ]
    )


def random_axial_section(rng: Random) -> tuple[Section, float] | None:
    """A section of bodies on the axis, one above the other, turns round and over them; its thinnest metal [m]."""
    parts: list[Part] = []
    thin, height, radius = math.inf, 0.0, 0.0
    for k in range(rng.choice([0, 1, 1, 1, 2, 4])):
        shape, wall = on_the_axis(rng)
        coats = tuple(wall * spread(rng, 1e-3, 0.05) for _ in range(rng.choice([0, 0, 0, 1, 2])))
        low, high = shape.outer.bounds
        gap = 2 * sum(coats) + spread(rng, 1e-3, 0.5)
        step = height + gap - low[1]
        radius = max(radius, high[0] + 2 * sum(coats))
        parts.append(Part(f"body {k}", shape.placed((0.0, step)), coats))
        height, thin = height + gap + high[1] - low[1] + 2 * sum(coats), min(thin, wall)
    inner = radius + spread(rng, 1e-3, 0.5)
    upward = rng.random() < 0.6
    count = rng.choice([1, 1, 3, 6]) if parts else rng.choice([1, 2, 3, 6])
    shape, wall = beside(rng)
    coats = tuple(wall * spread(rng, 1e-3, 0.05) for _ in range(rng.choice([0, 0, 1])))
    (left, low), (right, high) = shape.outer.bounds
    pitch = (high - low if upward else right - left) + 2 * sum(coats) + spread(rng, 1e-3, 0.3)
    for k in range(0 if parts and rng.random() < 0.2 else count):
        place = inner - left + 2 * sum(coats), 0.5 * height + (k - count / 2) * pitch
        if not upward:
            place = spread(rng, 1e-3, 0.5) - left + sum(coats) + k * pitch, -high - sum(coats) - 0.1
            if k:
                place = parts[-1].shape.outer.bounds[0, 0] - left + pitch, place[1]
        parts.append(Part(f"turn {k}", shape.placed(place), coats))
        thin = min(thin, wall)
    if rng.random() < 0.2:
        core, mantle = half_bar(0, 0.5, -3, -1.5), half_bar(0.5, 0.5 + spread(rng, 0.01, 0.3), -3, -1.5)
        parts.append(Part("clad", whole(core), pieces=(mantle,)))
        thin = min(thin, 0.01)
    scale = spread(rng, 1e-3, 10.0)
    try:
        return Section(tuple(scaled(p, scale) for p in parts), axial=True), thin * scale
    except GeometryError as fault:
        if "overlap" in str(fault) or "apart" in str(fault) or "inside" in str(fault):
            return None
        raise


def scaled(part: Part, scale: float) -> Part:
    def of(shape: Shape) -> Shape:
        return Shape(*(larger(shape.outer),), tuple(map(larger, shape.holes)))

    def larger(one: Outline) -> Outline:
        return Outline(one.points * scale, one.bulges)

    return Part(part.name, of(part.shape), tuple(c * scale for c in part.coats), pieces=tuple(map(of, part.pieces)))


def true_areas(mesh: Mesh) -> np.ndarray:
    """Areas of all triangles (t,) [m2] with chords and circular segments, exact between walls that are arcs."""
    corner = mesh.points[mesh.triangles]
    edge = np.roll(corner, -1, axis=1) - corner
    area = 0.5 * (edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
    pairs = np.concatenate([mesh.triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    on = {tuple(sorted(e)): c for e, c in zip(mesh.curved_edges.tolist(), mesh.curved_edge_centres, strict=True)}
    for row, (a, b) in enumerate(pairs.tolist()):
        centre = on.get((min(a, b), max(a, b)))
        if centre is not None:
            u, v = mesh.points[a] - centre, mesh.points[b] - centre
            turn = math.atan2(u[0] * v[1] - u[1] * v[0], float(u @ v))
            rest = turn**3 / 6 * (1 - turn**2 / 20) if abs(turn) < 1e-3 else turn - math.sin(turn)
            area[row % len(area)] += 0.5 * math.hypot(*u) * math.hypot(*v) * rest
    return area


def axial_mesh_faults(section: Section, mesh: Mesh) -> list[str]:
    """Everything that is wrong with the mesh of an axial section."""
    faults = []
    if mesh.smallest_jacobians().min() <= 0:
        faults.append("a triangle folds")
    sides = np.concatenate([mesh.triangles[:, [k, (k + 1) % 3]] for k in range(3)])
    _, times = np.unique(sides, axis=0, return_counts=True)
    undirected, shared = np.unique(np.sort(sides, axis=1), axis=0, return_counts=True)
    once = undirected[shared == 1]
    axis = (mesh.points[once, 0] == 0).all(axis=1)
    rim = {tuple(sorted(e)) for e in mesh.truncation_edges.tolist()}
    if times.max() > 1 or shared.max() > 2 or {tuple(e) for e in once[~axis].tolist()} != rim:
        faults.append("the triangles do not conform")
    height = np.sort(mesh.points[mesh.points[:, 0] == 0, 1])
    length = np.ptp(mesh.points[once[axis], 1], axis=1).sum()
    if len(height) != axis.sum() + 1 or abs(length / (2 * mesh.radius) - 1) > 1e-12:
        faults.append("the edges on the axis do not cover it once")
    near = (mesh.points[:, 0] != 0) & (mesh.points[:, 0] < 1e-9 * mesh.radius)
    if near.any() or not np.isfinite(mesh.points).all():
        faults.append(f"a point lies at r = {mesh.points[near, 0]}")
    faults += _rim_faults(mesh) + _area_faults(section, mesh) + _face_faults(section, mesh)
    return faults


def _rim_faults(mesh: Mesh) -> list[str]:
    chain = mesh.points[[*mesh.truncation_edges[:, 0], mesh.truncation_edges[-1, 1]]] - mesh.centre
    angle = np.arctan2(chain[:, 1], chain[:, 0])
    whole_turn = angle[0] == -math.pi / 2 and angle[-1] == math.pi / 2 and (np.diff(angle) > 0).all()
    linked = (mesh.truncation_edges[1:, 0] == mesh.truncation_edges[:-1, 1]).all()
    if not (whole_turn and linked and np.isclose(np.hypot(*chain.T), mesh.radius, rtol=1e-12).all()):
        return ["the truncation boundary is no half circle from below"]
    return [] if mesh.axial and mesh.centre[0] == 0 else ["the mesh does not say that it is axial"]


def _area_faults(section: Section, mesh: Mesh) -> list[str]:
    area = true_areas(mesh)
    faults = []
    for found in (area, mesh.areas()):
        if abs(found.sum() / (0.5 * math.pi * mesh.radius**2) - 1) > 1e-12:
            faults.append(f"the triangles do not cover the half disc once: {found.sum()}")
    layer = np.append(mesh.layer_of_region, 0)[mesh.region]
    for k, part in enumerate(section.parts):
        bare = (mesh.part == k) & ((layer == 0) | (layer > len(part.layers)))
        wanted = sum(map(right_area, (part.shape, *part.pieces)))
        rounding = 1e-15 * mesh.radius**2
        if abs(area[bare].sum() - wanted) > 1e-12 * wanted + rounding:
            faults.append(f'area of "{part.name}": {area[bare].sum():.15g} instead of {wanted:.15g}')
    return faults


def _face_faults(section: Section, mesh: Mesh) -> list[str]:
    """Faces of bare parts lie on the sides whose numbers they carry."""
    outlines = [
        o for p in section.parts
        for o in (p.shape.outer, *(h.reversed() for h in p.shape.holes),
                  *(o for q in p.pieces for o in (q.outer, *(h.reversed() for h in q.holes))))
    ]  # fmt: skip
    coated = [bool(p.coats) and k == 0 for p in section.parts for k in range(len(p.all_outlines))]
    for a, b, boundary, side in mesh.faces.tolist():
        if coated[boundary]:
            continue
        one, other = outlines[boundary].points[side], outlines[boundary].ends[side]
        middle = 0.5 * (mesh.points[a] + mesh.points[b])
        reach = np.hypot(*(other - one)) * (1 + 1e-9)
        if min(one[0], other[0]) < 0 or max(np.hypot(*(middle - one)), np.hypot(*(middle - other))) > reach:
            return [f"a face of boundary {boundary} does not lie on its side {side}"]
    return []


def _cases() -> dict[str, tuple[tuple[Part, ...], float]]:
    """One section of every kind, and a skin depth [m]."""
    billet = whole(half_bar(0, 0.03, -0.08, 0.08))
    turns = tuple(Part(f"turn {k}", tube(0.012, 0.0015).placed((0.046, (k - 2) * 0.015))) for k in range(5))
    foils = tuple(Part(f"foil {k}", bar(0.001, 0.006).placed((0.005 + 0.0015 * k, 0.0))) for k in range(8))
    can = outline([(0, -4), (3, -4), (3, 4), (0, 4), (0, 3), (2.5, 3), (2.5, -3.5), (0, -3.5)])
    tip = outline([(0, 0.1), (0.02, 0.1), (0, 0.13)])
    discs = tuple(Part(f"disc {k}", whole(half_bar(0, 0.03, 0.005 * k, 0.005 * k + 0.004))) for k in range(4))
    bubbles = (round_bar(0.01).placed((0.015, 0.02)).outer, round_bar(0.012).placed((0.0, -0.02)).outer)
    rod = half_bar(0, 8e-3, 0, 0.03)
    sheath = whole(half_bar(0, 0.01, -0.025, 0.025)), half_bar(0.01, 0.013, -0.025, 0.025)
    return {
        "ball": ((Part("ball", whole(round_bar(0.04))),), 2e-3),
        "billet in a coil": ((Part("billet", billet), *turns), 2e-3),
        "billet at rest": ((Part("billet", billet), *turns[:1]), math.inf),
        "hollow ball": ((Part("shell", whole(tube(0.05, 0.005))),), 1e-3),
        "can": ((Part("can", whole(can)),), 0.05),
        "cup": ((Part("cup", whole(channel(0.06, 0.04, 0.004))),), 1e-3),
        "cone": ((Part("cone", whole(tip)),), 1e-3),
        "plated": ((Part("billet", billet, (1e-4, 5e-4)), Part("cone", whole(tip), (2e-4,))), 1e-3),
        "plated bore": ((Part("shell", whole(tube(0.05, 0.005)), (1e-4,), (2e-4,)),), 1e-3),
        "series": ((*discs, Part("ball", whole(round_bar(0.02).placed((0, 0.035))))), 1e-3),
        "pancake over a plate": ((*foils, Part("plate", whole(half_bar(0, 0.04, -0.01, -0.007)))), 5e-4),
        "clad": ((Part("clad", sheath[0], pieces=sheath[1:]),), 1e-3),
        "tube": ((Part("tube", half_bar(0.01, 0.012, -0.05, 0.05)), Part("core", whole(rod))), 1e-3),
        "bubbles": ((Part("billet", whole(Shape(half_bar(0, 0.03, -0.05, 0.05).outer, bubbles))),), 3e-4),
    }


CASES = _cases()
