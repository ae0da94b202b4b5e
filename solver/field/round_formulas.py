"""Hand formulas of round conductors: one alone, a coaxial line, two side by side, three phases."""

from __future__ import annotations

import math

import numpy as np

from crosscurrent.solver.metals.closed_forms import (
    coaxial_inductance,
    proximity_of_three,
    proximity_of_two,
    skin_number,
    wire_pair_crowding,
    wire_pair_inductance,
)
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.round_layers import round_surface

from .hand_formula import HandFormula
from .problem import Conductor, Problem
from .recognition import (
    alike,
    base_layer,
    bore_radius,
    coat_layers,
    conductance_at_rest,
    is_round,
    phases,
    plain_loop,
    radius,
    round_impedance,
)

SKINS = 1.3  # radius of a rod in skins from which on the crowding formula holds
NUMBER = 2.8  # largest skin number of IEC 60287-1-1
KELVIN = "Lord Kelvin 1889; layers after S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934"
IEC = "IEC 60287-1-1, from memory"
CROWDING = "common practice, from memory; faces half a skin deep after H. A. Wheeler, Proc. IRE 30, 412-424, 1942"


def rod_alone(problem: Problem, frequency: float) -> HandFormula | None:
    """One round conductor with its return far away or around it: exact."""
    (circuit, *more), (c, *others) = problem.circuits, problem.conductors
    if more or others or not is_round(c):
        return None
    own = round_impedance(c, frequency)
    return HandFormula((circuit.name,), "round conductor, Bessel functions", "Kelvin 1889", KELVIN, own.real)


def coaxial_line(problem: Problem, frequency: float) -> HandFormula | None:
    """A round conductor in the middle of a tube: exact."""
    if len(problem.circuits) != 1 or len(problem.conductors) != 2 or not all(map(is_round, problem.conductors)):
        return None
    (circuit,) = problem.circuits
    inner, outer = sorted(problem.conductors, key=lambda c: c.part.shape.outer.area)
    if len(circuit.out) != 1 or len(circuit.back) != 1 or not outer.part.shape.holes or outer.part.coats:
        return None
    apart = np.hypot(*(inner.part.shape.outer.centroid - outer.part.shape.holes[0].centroid))
    bore, grown = bore_radius(outer) - sum(outer.part.bore_coats), _grown(inner)
    if apart > 1e-9 * bore or bore <= grown:
        return None
    layers = [*reversed(coat_layers(outer.bore_coats, outer.part.bore_coats)), base_layer(outer)]
    back = round_surface(layers, frequency, bore=bore, returns="inside", temperature=outer.temperature)
    impedance = round_impedance(inner, frequency) + complex(back.impedance)
    inductance = _inductance(impedance, frequency) + coaxial_inductance(grown, bore - grown)
    source = "S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934"
    return HandFormula(
        (circuit.name,), "coaxial line, Bessel functions", "Schelkunoff 1934", source, impedance.real, inductance
    )


def wires_in_thick_skins(problem: Problem, frequency: float) -> HandFormula | None:
    """Two like rods whose currents hardly crowd yet."""
    found = _pair(problem)
    if found is None or bore_radius(found[0][0]):
        return None
    members, grown, apart = found
    at_rest = 1 / conductance_at_rest(members[0])
    number, spread = skin_number(at_rest, frequency), apart / (2 * grown)
    if number > NUMBER:
        return None
    own = sum(round_impedance(c, frequency) for c in members)
    return HandFormula(
        (problem.circuits[0].name,),
        "two round wires",
        "IEC 60287-1-1",
        IEC,
        own.real + 2 * at_rest * proximity_of_two(number, spread),
        wire_pair_inductance(grown, apart, thin_skin=False) + _inductance(own, frequency),
        0.002 + 0.02 * (max(0.0, number - 1.5) / 0.5) ** 2,
        0.005 * number**4 / spread**2,
    )


def tubes_in_thick_skins(problem: Problem, frequency: float) -> HandFormula | None:
    """Two like tubes with walls so thin that they hardly shield: no crowding."""
    found = _pair(problem)
    if found is None or not bore_radius(found[0][0]):
        return None
    members, grown, apart = found
    own = sum(round_impedance(c, frequency) for c in members)
    # first order of the crowding that is left out, of a thin tube in a field across it
    crowding = 0.65 * _shielding(members[0], frequency) ** 2 * (2 * grown / apart) ** 2
    return HandFormula(
        (problem.circuits[0].name,),
        "two tubes without crowding",
        "common practice",
        "common practice, no source",
        own.real,
        wire_pair_inductance(grown, apart, thin_skin=False) + _inductance(own, frequency),
        crowding,
        0.5 * crowding,
    )


def wires_in_thin_skins(problem: Problem, frequency: float) -> HandFormula | None:
    """Two like rods or tubes that crowd: 1 / sqrt(1 - (d/D)^2), with faces that lie half a skin deep."""
    found = _pair(problem)
    if found is None:
        return None
    members, grown, apart = found
    skin = max(c.material.skin_depth(frequency, c.temperature) for c in members)
    spread, hollow = apart / (2 * grown), bore_radius(members[0])
    deep = 0.5 * (min(skin, grown - hollow) if hollow else skin)
    if not hollow and grown < SKINS * skin:
        return None
    own, shielding = sum(round_impedance(c, frequency) for c in members), _shielding(members[0], frequency)
    error = 0.15 / spread**2 * math.sqrt(1.4 * skin / grown)
    return HandFormula(
        (problem.circuits[0].name,),
        "two round conductors that crowd",
        "Wheeler 1942",
        CROWDING,
        own.real * wire_pair_crowding(grown - deep, apart),
        wire_pair_inductance(grown - deep, apart) + _inductance(own, frequency) + _sunk(deep / grown),
        0.6 / (shielding * spread**2) if hollow else error,
        0.3 / (math.sqrt(shielding) * spread**2) if hollow else error,
    )


def three_wires(problem: Problem, frequency: float) -> HandFormula | None:
    """Three like rods with three phases, in trefoil or in one row: mean of the phases."""
    members = phases(problem)
    if members is None or not all(is_round(c) and not bore_radius(c) for c in members) or not alike(members):
        return None
    places = [c.part.shape.outer.centroid for c in members]
    near, between, far = sorted(float(np.hypot(*(places[k] - places[k - 1]))) for k in range(3))
    trefoil, row = math.isclose(near, far, rel_tol=0.01), math.isclose(far, 2 * near, rel_tol=0.01)
    at_rest = 1 / conductance_at_rest(members[0])
    grown = _grown(members[0])
    number, spread = skin_number(at_rest, frequency), near / (2 * grown)
    if number > NUMBER or not (trefoil or row):
        return None
    own = sum(round_impedance(c, frequency) for c in members) / 3
    return HandFormula(
        tuple(c.name for c in problem.circuits),
        f"three round wires in {'trefoil' if trefoil else 'a row'}",
        "IEC 60287-1-1",
        IEC,
        own.real + at_rest * proximity_of_three(number, spread),
        MU0 / (2 * math.pi) * math.log((near * between * far) ** (1 / 3) / grown) + _inductance(own, frequency),
        0.005 + 0.02 * (max(0.0, number - 1.5) / 1.3) ** 2,
        0.0075 * number**4 / spread**2,
    )


def _pair(problem: Problem) -> tuple[tuple[Conductor, Conductor], float, float] | None:
    """Two like round conductors side by side, their radius and the distance of their axes [m]."""
    members = plain_loop(problem)
    if members is None or not all(map(is_round, members)) or not alike(members):
        return None
    one, other = (c.part.shape.outer for c in members)
    grown, apart = _grown(members[0]), float(np.hypot(*(one.centroid - other.centroid)))
    return (members, grown, apart) if apart > 2 * grown else None


def _grown(c: Conductor) -> float:
    """Radius with its coats [m]."""
    return radius(c.part.shape.outer) + sum(c.part.coats)


def _sunk(deep: float) -> float:
    """Of both wires, the field between their faces and those a part of the radius deeper, which counts twice [H/m]."""
    return MU0 / math.pi * math.log1p(-deep)


def _shielding(c: Conductor, frequency: float) -> float:
    """Mean radius times wall over the square of the skin: above one a tube keeps out a field across it."""
    wall = radius(c.part.shape.outer) - bore_radius(c)
    return float((radius(c.part.shape.outer) - wall / 2) * wall / c.material.skin_depth(frequency, c.temperature) ** 2)


def _inductance(impedance: complex, frequency: float) -> float:
    return impedance.imag / (2 * math.pi * frequency)
