"""The formula a practitioner would have used, beside the computed answer, and why the two differ."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ..geometries.outline import FloatArray, Outline
from ..solver.circuits import circuit_voltage, currents_and_voltages
from ..solver.layers import Layer, flat_surface
from ..solver.materials import MU0, Material
from ..solver.problem import Circuit, Conductor, Problem
from ..solver.round_layers import round_surface

TOLD = 0.5  # flux within the plates over that between them, from which on it is given as a reason


@dataclass(frozen=True)
class HandFormula:
    """A closed form for a circuit at one frequency; loop, per metre of run."""

    name: str
    source: str
    resistance: float  # [ohm/m]
    inductance: float | None  # [H/m]; None where the formula knows none
    reason: str  # why the section differs from what the formula assumes
    exact: bool = False  # whether the formula holds for this very section


def hand_formula(problem: Problem, circuit: Circuit, frequency: float) -> HandFormula:
    """The closed form nearest to a circuit of a problem.

    Parameters
    ----------
    problem : Problem
    circuit : Circuit
    frequency : float
        [Hz]

    Returns
    -------
    HandFormula
        Direct current: resistances in parallel. Round and tubular conductors: Bessel functions, with the crowding of
        two wires. Two bars face to face: wide plates. Everything else: the current spread evenly over the outline.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> rod = Conductor(Part("rod", round_bar(0.025)), MATERIALS["copper"])
    >>> feed = Circuit("feed", 1.0, ("rod",))
    >>> round(hand_formula(Problem((rod,), (feed,)), feed, 100e3).resistance * 1e3, 4)
    1.0593
    """
    named = {c.name: c for c in problem.conductors}
    members = [named[name] for name in (*circuit.out, *circuit.back)]
    if frequency == 0:
        return _at_rest(members, circuit)
    if len(circuit.out) == len(circuit.back) == 1:
        one, other = members
        pair = _coax(one, other, frequency) or _wires(one, other, frequency) or _plates(one, other, frequency)
        if pair:
            return _among(problem, members, pair)
    if len(problem.conductors) == 1 and _is_round(members[0]):
        return _smooth(members, _rod(members[0], frequency))
    return _among(problem, members, _spread(members, circuit, frequency))


def _among(problem: Problem, members: list[Conductor], found: HandFormula) -> HandFormula:
    """Say that there are other conductors or rough surfaces, which no such formula knows of."""
    if len(members) == len(problem.conductors):
        return _smooth(members, found)
    reason = f"{found.reason}; it knows nothing of the other conductors" if found.reason else "it knows only these"
    return HandFormula(found.name, found.source, found.resistance, found.inductance, reason)


def _smooth(members: list[Conductor], found: HandFormula) -> HandFormula:
    """A formula for smooth surfaces is not exact for rough ones."""
    if not found.exact or not any(c.roughness for c in members):
        return found
    return replace(found, reason="the formula takes the surfaces as smooth", exact=False)


def _at_rest(members: list[Conductor], circuit: Circuit) -> HandFormula:
    conductance = np.array([_conductance(c) for c in members])
    unit = Circuit(circuit.name, 1.0, circuit.out, circuit.back, circuit.sharing)
    names = [c.name for c in members]
    _, voltages = currents_and_voltages(np.diag(1 / conductance).astype(complex), names, [unit])
    resistance = float(circuit_voltage(unit, names, voltages).real)
    bare = not any(c.part.layers for c in members)
    reason = "" if bare else "the formula takes layers as they grow on a convex outline"
    name, source = "length over conductivity and area", "common practice, no source"
    return HandFormula(name, source, resistance, None, reason, bare)


def _coax(one: Conductor, other: Conductor, frequency: float) -> HandFormula | None:
    """A round conductor in the middle of a tube."""
    inner, outer = sorted((one, other), key=lambda c: c.part.shape.outer.area)
    bore = outer.part.shape.holes[0] if len(outer.part.shape.holes) == 1 else None
    if not (_is_round(inner) and _is_round(outer) and bore is not None):
        return None
    apart = np.hypot(*(inner.part.shape.outer.centroid - bore.centroid))
    clear = _radius(bore) - sum(outer.part.bore_coats) - _radius(inner.part.shape.outer) - sum(inner.part.coats)
    if apart > 1e-9 * _radius(bore) or clear <= 0 or outer.part.coats:
        return None
    layers = [*reversed(_layers(outer.bore_coats, outer.part.bore_coats)), _wall(outer)]
    back = round_surface(
        layers,
        frequency,
        bore=_radius(bore) - sum(outer.part.bore_coats),
        returns="inside",
        temperature=outer.temperature,
    )
    own = _round(inner, frequency)
    gap = MU0 / (2 * math.pi) * math.log1p(clear / (_radius(inner.part.shape.outer) + sum(inner.part.coats)))
    impedance = own + complex(back.impedance)
    inductance = impedance.imag / (2 * math.pi * frequency) + gap
    source = "S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934"
    return HandFormula("coaxial line, Bessel functions", source, impedance.real, inductance, "", True)


def _rod(c: Conductor, frequency: float) -> HandFormula:
    """One round conductor with its return far away or around it."""
    source = "Lord Kelvin's round wire; layers after S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934"
    return HandFormula("round conductor, Bessel functions", source, _round(c, frequency).real, None, "", True)


def _wires(one: Conductor, other: Conductor, frequency: float) -> HandFormula | None:
    """Two like round wires or tubes side by side."""
    outlines = [c.part.shape.outer for c in (one, other)]
    radii = [_radius(o) for o in outlines]
    distance = float(np.hypot(*(outlines[0].centroid - outlines[1].centroid)))
    if not (_is_round(one) and _is_round(other)) or distance < sum(radii):
        return None
    grown = [r + sum(c.part.coats) for r, c in zip(radii, (one, other), strict=True)]
    if abs(grown[0] - grown[1]) > 1e-6 * grown[0]:
        return None
    own = _round(one, frequency) + _round(other, frequency)
    source = "the crowding of two wires with thin skins; common practice, formula from memory"
    # the eddy currents of a thin wall close over the whole tube: what counts is its wall times its radius
    depths = [math.sqrt(r * _wall(c).thickness) for r, c in zip(radii, (one, other), strict=True)]
    skins = [c.material.skin_depth(frequency, c.temperature) for c in (one, other)]
    if all(skin >= depth for skin, depth in zip(skins, depths, strict=True)):
        inductance = MU0 / math.pi * math.log(distance / grown[0]) + own.imag / (2 * math.pi * frequency)
        reason = "the formula leaves out crowding, as is usual where the skin is thicker than the metal"
        name, source = "two round conductors: Bessel functions", "Lord Kelvin's round wire; common practice"
        return HandFormula(name, source, own.real, inductance, reason)
    crowding = 1 / math.sqrt(1 - (2 * grown[0] / distance) ** 2)
    impedance = crowding * own
    inductance = MU0 / math.pi * math.acosh(distance / (2 * grown[0])) + impedance.imag / (2 * math.pi * frequency)
    return HandFormula(
        "two round conductors: Bessel functions times 1/sqrt(1 - (d/D)^2)",
        source,
        impedance.real,
        inductance,
        "the crowding of the formula is that of skins much thinner than the wires; with thicker skins they crowd less",
    )


def _plates(one: Conductor, other: Conductor, frequency: float) -> HandFormula | None:
    """Two bars face to face: as wide plates without edges."""
    first, second = _box(one), _box(other)
    if first is None or second is None:
        return None
    sizes = [box[1] - box[0] for box in (first, second)]
    across = np.maximum(first[0], second[0]) - np.minimum(first[1], second[1])
    through = 0 if across[0] > 0 else 1  # the direction from one bar to the other
    gap, width = float(across[through]), -float(across[1 - through])
    if not 0 < gap < width or max(sizes[0][through], sizes[1][through]) > width:
        return None
    impedance, thin = 0j, True
    for c, size in zip((one, other), sizes, strict=True):
        thin = thin and c.material.skin_depth(frequency, c.temperature) < size[through]
        layers = [Layer(c.material, float(size[through])), *_layers(c.coats, c.part.coats)]
        impedance += complex(flat_surface(layers, frequency, temperature=c.temperature).impedance) / width
    clear = gap - sum(one.part.coats) - sum(other.part.coats)
    between, within = MU0 * clear / width, impedance.imag / (2 * math.pi * frequency)
    reason = (
        "the plates of the formula have no edges: the field of real bars spreads beyond them and some current flows "
        "on the edges and the backs, which lowers the inductance, and crowding at the edges changes the resistance"
    )
    if thin and within > TOLD * between:
        reason += (
            f"; and the field within the {'magnetic ' if _is_magnetic(one, other) else ''}metal weighs "
            f"{within / between:.2g} times that of the gap, so that the current, which follows the lower impedance, "
            "covers the backs as well: down to half the resistance of the formula, which keeps it on the facing sides"
        )
    source = "P. L. Dowell, Proc. IEE 113, 1387-1394, 1966, one layer; from memory"
    return HandFormula("two wide plates face to face", source, impedance.real, between + within, reason)


def _is_magnetic(*conductors: Conductor) -> bool:
    return any(metal.permeability > 1.5 for c in conductors for metal in c.metals)


def _spread(members: list[Conductor], circuit: Circuit, frequency: float) -> HandFormula:
    """Each conductor alone, its current even over the outline, parallel ones sharing evenly."""
    total = 0.0
    for group in (circuit.out, circuit.back):
        for c in (c for c in members if c.name in group):
            total += _alone(c, frequency) / len(group) ** 2
    return HandFormula(
        "each conductor alone, the current even all around its outline",
        "common practice, no source",
        total,
        None,
        "the formula knows neither corners nor neighbours: the current crowds where the field is strong",
    )


def _alone(c: Conductor, frequency: float) -> float:
    """Resistance with the current even around the outline, in a skin no thicker than the metal is deep [ohm/m]."""
    if _is_round(c):
        return _round(c, frequency).real
    outline = c.part.shape.outer
    layers = [Layer(c.material, c.part.area / outline.perimeter), *_layers(c.coats, c.part.coats)]
    sheet = flat_surface(layers, frequency, temperature=c.temperature)
    return float(sheet.resistance) / outline.perimeter


def _conductance(c: Conductor) -> float:
    """Of the whole conductor [S m]; coats as they grow on a convex outline."""
    shapes, metals = (c.part.shape, *c.part.pieces), (c.material, *c.pieces)
    areas = [shape.outer.area - sum(hole.area for hole in shape.holes) for shape in shapes]
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


def _is_round(c: Conductor) -> bool:
    outline, holes = c.part.shape.outer, c.part.shape.holes
    if c.part.pieces or len(holes) > 1 or not all(_circle(o) for o in (outline, *holes)):
        return False
    return all(np.hypot(*(h.centroid - outline.centroid)) < 1e-9 * outline.size for h in holes)


def _circle(outline: Outline) -> bool:
    return abs(outline.area / (math.pi * _radius(outline) ** 2) - 1) < 1e-9 and bool(outline.curved.all())


def _radius(outline: Outline) -> float:
    return outline.perimeter / (2 * math.pi)


def _wall(c: Conductor) -> Layer:
    bore = [_radius(h) for h in c.part.shape.holes]
    return Layer(c.material, _radius(c.part.shape.outer) - (bore[0] if bore else 0.0))


def _layers(metals: tuple[Material, ...], coats: tuple[float, ...]) -> list[Layer]:
    return [Layer(metal, thickness) for metal, thickness in zip(metals, coats, strict=True)]


def _round(c: Conductor, frequency: float) -> complex:
    bore = [_radius(h) - sum(c.part.bore_coats) for h in c.part.shape.holes]
    inside = list(reversed(_layers(c.bore_coats, c.part.bore_coats)))
    layers = [*inside, _wall(c), *_layers(c.coats, c.part.coats)]
    found = round_surface(layers, frequency, bore=bore[0] if bore else 0.0, temperature=c.temperature)
    return complex(found.impedance)


def _box(c: Conductor) -> FloatArray | None:
    """The box around a solid bar that stands upright or lies flat; None for any other shape."""
    outline = c.part.shape.outer
    low, high = outline.bounds
    fills = outline.area / float(np.prod(high - low))
    if c.part.shape.holes or c.part.pieces or fills < 0.9:
        return None
    return np.array([low, high])
