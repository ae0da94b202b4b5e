"""Hand formulas of flat conductors: strips face to face in thin skins, over a plane, and stacks of any number."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.layers import Layer, flat_surface
from crosscurrent.solver.metals.stacks import stack_impedance
from crosscurrent.solver.metals.strip_forms import plane_slope, strips_inductance, strips_slope

from .circuits import circuit_voltage, currents_and_voltages
from .hand_formula import HandFormula
from .problem import Conductor, Problem
from .recognition import aligned, box_around, coat_layers, plain_loop, rounding

THIN = 2.8  # thickness in skins from which on a skin is thin
PLANE = 2.0  # the same of a plane
ROUNDED = 1.2  # relative error over the radius of the edges in widths
THIN_SKINS = "H. B. Palmer, Trans. AIEE 56, 363-366, 1937, from memory; H. A. Wheeler, Proc. IRE 30, 412-424, 1942"
DIFFUSION = "P. L. Dowell, Proc. IEE 113, 1387-1394, 1966, from memory; edges after H. B. Palmer, Trans. AIEE 56, 1937"


def facing_bars(problem: Problem, frequency: float) -> HandFormula | None:
    """Two like bars face to face with skins thinner than they are, edges and backs included."""
    members = plain_loop(problem)
    boxes = None if members is None else aligned(members)
    if members is None or boxes is None:
        return None
    first, second = sorted(boxes, key=lambda box: float(box[0, 1]))
    coat = max(sum(c.part.coats) for c in members)
    width, gap = float(first[1, 0] - first[0, 0]) + 2 * coat, float(second[0, 1] - first[1, 1]) - 2 * coat
    thin, thick = sorted(float(box[1, 1] - box[0, 1]) for box in boxes)
    skin = max(c.material.skin_depth(frequency, c.temperature) for c in members)
    if gap <= 0 or thick > min(width, (1 + 1e-6) * thin) or thin < THIN * skin:
        return None
    surface = 0.5 * sum(_surface(c, frequency) for c in members)
    within = surface / MU0 * strips_slope(width, thick + 2 * coat, gap)
    corners = ROUNDED * max(rounding(c) for c in members)
    return HandFormula(
        (problem.circuits[0].name,),
        "two bars face to face",
        "Palmer 1937, Wheeler 1942",
        THIN_SKINS,
        within.real,
        strips_inductance(width, thick + 2 * coat, gap) + within.imag / (2 * math.pi * frequency),
        3 * skin / width + 0.4 * gap / width + corners,
        0.6 * skin / width + 0.2 * gap / width + corners,
    )


def strip_over_plane(problem: Problem, frequency: float) -> HandFormula | None:
    """A strip over a wider plane that carries its current back, with thin skins: half of two strips."""
    members = plain_loop(problem)
    boxes = [box_around(c) for c in members or ()]
    if members is None or boxes[0] is None or boxes[1] is None:
        return None
    turned = next((found for axis in (0, 1) if (found := _over(boxes[0], boxes[1], axis))), None)
    if turned is None:
        return None
    height, width, thick, depth, margin, above = turned
    strip, plane = members[above], members[1 - above]
    skins = [c.material.skin_depth(frequency, c.temperature) for c in (strip, plane)]
    coats = [sum(c.part.coats) for c in (strip, plane)]
    height -= sum(coats)
    if min(height, margin) <= 0 or thick > width or thick < THIN * skins[0] or depth < PLANE * skins[1]:
        return None
    width, thick, skin = width + 2 * coats[0], thick + 2 * coats[0], max(skins)
    in_strip, in_plane = 0.5 * strips_slope(width, thick, 2 * height), plane_slope(width, thick, height)
    within = (_surface(strip, frequency) * in_strip + _surface(plane, frequency) * in_plane) / MU0
    corners, side = ROUNDED * rounding(strip), 0.3 * height / margin
    return HandFormula(
        (problem.circuits[0].name,),
        "strip over a plane",
        "Palmer 1937, Wheeler 1942",
        THIN_SKINS,
        within.real,
        0.5 * strips_inductance(width, thick, 2 * height) + within.imag / (2 * math.pi * frequency),
        4 * skin / width + 0.8 * height / width + side + corners,
        1.2 * skin / width + 0.4 * height / width + side + corners,
    )


def stack_of_strips(problem: Problem, frequency: float) -> HandFormula | None:
    """Two strips or more on one another, out and back in any order: one-dimensional diffusion."""
    if len(problem.circuits) != 1 or any(c.is_magnetic or c.part.coats for c in problem.conductors):
        return None
    (circuit,) = problem.circuits
    if not circuit.back or len(problem.conductors) != len(circuit.members):
        return None
    found = aligned(problem.conductors)
    if found is None:
        return None
    members, boxes = zip(
        *sorted(zip(problem.conductors, found, strict=True), key=lambda pair: float(pair[1][0, 1])), strict=True
    )
    width = float(boxes[0][1, 0] - boxes[0][0, 0])
    thick = [float(box[1, 1] - box[0, 1]) for box in boxes]
    gaps = [float(above[0, 1] - below[1, 1]) for below, above in pairwise(boxes)]
    if min(gaps) <= 0 or max(thick) > width:
        return None
    matrix = stack_impedance(
        [Layer(c.material, t) for c, t in zip(members, thick, strict=True)],
        gaps,
        width,
        frequency,
        temperatures=[c.temperature for c in members],
    )
    names = [c.name for c in members]
    unit = replace(circuit, current=1.0)
    _, voltages = currents_and_voltages(matrix, names, [unit])
    impedance = circuit_voltage(unit, names, voltages)
    inductance = impedance.imag / (2 * math.pi * frequency)
    high = (sum(thick) + sum(gaps)) / width
    skin = min(c.material.skin_depth(frequency, c.temperature) for c in members)
    crowding = sum(thick) * width / skin**2
    corners = ROUNDED * max(rounding(c) for c in members)
    return HandFormula(
        (circuit.name,),
        f"stack of {len(members)} wide strips",
        "Dowell 1966",
        DIFFUSION,
        impedance.real,
        strips_inductance(width, 0.0, inductance * width / MU0),
        2.5 * high * crowding / (crowding + 100) + corners,
        0.9 * high + corners,
    )


def _over(one: FloatArray, other: FloatArray, axis: int) -> tuple[float, float, float, float, float, int] | None:
    """Height, width and thickness of the narrower box, thickness and margin of the wider, which one is the narrower."""
    boxes = [box[:, [axis, 1 - axis]] for box in (one, other)]
    sizes = [box[1] - box[0] for box in boxes]
    above = int(sizes[1][0] < sizes[0][0])
    strip, plane = boxes[above], boxes[1 - above]
    margin = float(min(strip[0, 0] - plane[0, 0], plane[1, 0] - strip[1, 0]))
    height = float(max(strip[0, 1] - plane[1, 1], plane[0, 1] - strip[1, 1]))
    if margin <= 0 or height <= 0:
        return None
    return height, float(sizes[above][0]), float(sizes[above][1]), float(sizes[1 - above][1]), margin, above


def _surface(c: Conductor, frequency: float) -> complex:
    """Impedance per square of a conductor's face, its metal deeper than the skin [ohm]."""
    layers = [Layer(c.material), *coat_layers(c.coats, c.part.coats)]
    return complex(flat_surface(layers, frequency, temperature=c.temperature).impedance)
