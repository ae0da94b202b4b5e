"""Sections that closed forms know: rods, tubes and bars, loops and phases of them, as layers and sizes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.solver.metals.layers import Layer
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.round_layers import round_surface

from .problem import Conductor, Problem

FILLED = 0.9  # of the box around it that a bar with rounded edges fills at least
ALIGNED = 1e-6  # relative difference of places that count as the same
ALIKE = 0.05  # relative difference of conductivities up to which conductors are alike


def conductance_at_rest(c: Conductor) -> float:
    """Of the whole conductor [S m]; coats as they grow on a convex outline."""
    shapes, metals = (c.part.shape, *c.part.pieces), (c.material, *c.pieces)
    areas = [shape.area for shape in shapes]
    sides: tuple[tuple[tuple[Outline, ...], tuple[float, ...], tuple[Material, ...], float], ...] = (
        ((c.part.shape.outer,), c.part.coats, c.coats, 1.0),
        (c.part.shape.holes, c.part.bore_coats, c.bore_coats, -1.0),
    )
    for outlines, coats, materials, outward in sides:
        grown = np.cumsum([0.0, *coats])
        for below, above, material in zip(grown, grown[1:], materials, strict=False):
            ring = math.pi * outward * (above**2 - below**2)
            areas.append(sum(o.perimeter * (above - below) + ring for o in outlines))
            metals += (material,)
    return sum(m.conductivity_at(c.temperature) * area for m, area in zip(metals, areas, strict=True))


def is_round(c: Conductor) -> bool:
    """Whether a conductor is a rod or a tube, both circles about one centre."""
    outline, holes = c.part.shape.outer, c.part.shape.holes
    if c.part.pieces or len(holes) > 1 or not all(_is_circle(o) for o in (outline, *holes)):
        return False
    return all(np.hypot(*(h.centroid - outline.centroid)) < 1e-9 * outline.size for h in holes)


def _is_circle(outline: Outline) -> bool:
    return abs(outline.area / (math.pi * radius(outline) ** 2) - 1) < 1e-9 and bool(outline.curved.all())


def radius(outline: Outline) -> float:
    """Of a circle [m]."""
    return outline.perimeter / (2 * math.pi)


def base_layer(c: Conductor) -> Layer:
    """The base metal of a rod (its radius) or a tube (its wall)."""
    bore = [radius(h) for h in c.part.shape.holes]
    return Layer(c.material, radius(c.part.shape.outer) - (bore[0] if bore else 0.0))


def coat_layers(metals: tuple[Material, ...], coats: tuple[float, ...]) -> list[Layer]:
    """Coats, the innermost first."""
    return [Layer(metal, thickness) for metal, thickness in zip(metals, coats, strict=True)]


def round_impedance(c: Conductor, frequency: float) -> complex:
    """Internal impedance of a rod or tube with its return around it [ohm/m]."""
    bore = [radius(h) - sum(c.part.bore_coats) for h in c.part.shape.holes]
    inside = list(reversed(coat_layers(c.bore_coats, c.part.bore_coats)))
    layers = [*inside, base_layer(c), *coat_layers(c.coats, c.part.coats)]
    found = round_surface(layers, frequency, bore=bore[0] if bore else 0.0, temperature=c.temperature)
    return complex(found.impedance)


def bore_radius(c: Conductor) -> float:
    """Of a tube's base metal; 0 for a rod [m]."""
    return radius(c.part.shape.holes[0]) if c.part.shape.holes else 0.0


def box_around(c: Conductor) -> FloatArray | None:
    """The box around a solid bar that stands upright or lies flat; None for any other shape."""
    outline = c.part.shape.outer
    low, high = outline.bounds
    if c.part.shape.holes or c.part.pieces or outline.area < FILLED * float(np.prod(high - low)):
        return None
    return np.array([low, high])


def rounding(c: Conductor) -> float:
    """Radius of the edges of a bar over its larger size, as if its four edges were alike."""
    outline = c.part.shape.outer
    low, high = outline.bounds
    missing = max(0.0, float(np.prod(high - low)) - outline.area)
    return math.sqrt(missing / (4 - math.pi)) / float(np.max(high - low)) if missing > 1e-9 * outline.area else 0.0


def aligned(members: Sequence[Conductor]) -> list[FloatArray] | None:
    """Boxes of bars of one width that lie on one another, turned so that it is along x."""
    boxes = [box_around(c) for c in members]
    known = [box for box in boxes if box is not None]
    if len(known) < len(boxes):
        return None
    for axis in (0, 1):
        turned = [box[:, [axis, 1 - axis]] for box in known]
        width = turned[0][1, 0] - turned[0][0, 0]
        if all(np.abs(box[:, 0] - turned[0][:, 0]).max() < ALIGNED * width for box in turned):
            return turned
    return None


def plain_loop(problem: Problem) -> tuple[Conductor, Conductor] | None:
    """The conductor out and that back, where a section has no others, of metals that are not magnetic."""
    named = {c.name: c for c in problem.conductors}
    if len(named) != 2 or len(problem.circuits) != 1 or any(c.is_magnetic for c in problem.conductors):
        return None
    (circuit,) = problem.circuits
    if len(circuit.out) != 1 or len(circuit.back) != 1:
        return None
    return named[circuit.out[0]], named[circuit.back[0]]


def phases(problem: Problem) -> tuple[Conductor, ...] | None:
    """Three conductors, each a phase of one balanced system, where a section has no others; not magnetic."""
    named, circuits = {c.name: c for c in problem.conductors}, problem.circuits
    if len(named) != 3 or len(circuits) != 3 or any(c.is_magnetic for c in problem.conductors):
        return None
    if any(len(c.out) != 1 or c.back for c in circuits) or len({c.out[0] for c in circuits}) != 3:
        return None
    currents = [c.current for c in circuits]
    least, most = min(map(abs, currents)), max(map(abs, currents))
    if not most or least < (1 - 1e-6) * most or abs(sum(currents)) > 1e-6 * most:
        return None
    return tuple(named[c.out[0]] for c in circuits)


def alike(members: Sequence[Conductor]) -> bool:
    """Whether conductors have the same section, the same coats and nearly the same conductivity."""
    sizes = [_sizes(c) for c in members]
    coats = [[m.name for m in c.metals[1:]] for c in members]
    sigmas = [c.material.conductivity_at(c.temperature) for c in members]
    same = all(len(s) == len(sizes[0]) and np.allclose(s, sizes[0], rtol=1e-6, atol=0) for s in sizes)
    return same and coats.count(coats[0]) == len(coats) and max(sigmas) - min(sigmas) < ALIKE * min(sigmas)


def _sizes(c: Conductor) -> tuple[float, ...]:
    return (c.part.area, c.part.shape.outer.perimeter, *c.part.coats, *c.part.bore_coats)
