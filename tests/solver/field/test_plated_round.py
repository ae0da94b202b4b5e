"""Plated round wires and tubes against the field equations solved layer by layer with Bessel functions.

E = c I0(p r) + d K0(p r) and H = (p / (j w mu)) (c I1(p r) - d K1(p r)) in every metal (S. A. Schelkunoff, Bell Syst.
Tech. J. 13, 532-579, 1934); both are continuous from metal to metal, so E / H is carried outward from the axis, or from
the bore where H = 0, to the surface. Worked with mpmath: its numbers hold the exponentials of thousands of depths.
"""

import math

import mpmath as mp
import pytest
from common import MU0, alone, conductor, metal
from reference_rows import rows

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.elements.exterior import RETURN
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.solved_flow import SolvedFlow
from crosscurrent.solver.metals.materials import Material

BRASS, SILVER, COPPER, TIN = metal(15.9e6), metal(62.9e6), metal(58e6), metal(9.17e6)
NICKEL, HARD, GOLD, STEEL = metal(14.3e6, 100.0), metal(14.3e6, 600.0), metal(41e6), metal(6.99e6, 200.0)
RADIUS = 2e-3
DIGITS = 40  # the thinnest coat is 1e-4 of a depth
Coats = tuple[tuple[Material, float], ...]


def layered_impedance(bore: float, radius: float, base: Material, coats: Coats, frequency: float) -> complex:
    """Internal impedance of a plated wire (bore 0) or tube, the return outside [ohm/m]."""
    mp.mp.dps = DIGITS
    w = 2 * mp.pi * mp.mpf(frequency)
    inner, outer, ratio = mp.mpf(bore), mp.mpf(radius), None  # ratio: E / H at the inner radius; None where H = 0
    for number, (material, thickness) in enumerate(((base, 0.0), *coats)):
        if number:
            inner, outer = outer, outer + mp.mpf(thickness)
        mu = mp.mpf(MU0) * material.permeability
        p = mp.sqrt(1j * w * mu * material.conductivity)
        across = p / (1j * w * mu)
        x, y = p * inner, p * outer
        if inner == 0:
            c, d = mp.mpf(1), mp.mpf(0)
        else:
            i0, i1, k0, k1 = mp.besseli(0, x), mp.besseli(1, x), mp.besselk(0, x), mp.besselk(1, x)
            # E - ratio H = 0 at the inner radius, or H = 0
            c, d = (k1, i1) if ratio is None else (k0 + ratio * across * k1, ratio * across * i1 - i0)
        along, around = c * mp.besseli(0, y), c * mp.besseli(1, y)
        if d != 0:
            along, around = along + d * mp.besselk(0, y), around - d * mp.besselk(1, y)
        ratio = along / (across * around)
    return complex(ratio / (2 * mp.pi * outer))


def frequency_at(depths: float, material: Material) -> float:
    """Frequency at which the radius is so many skin depths of a metal."""
    return depths**2 / (math.pi * MU0 * material.permeability * material.conductivity * RADIUS**2)


def solved(bore: float, base: Material, coats: Coats, frequency: float) -> Solution:
    shape = shapes.tube(2 * RADIUS, RADIUS - bore) if bore else shapes.round_bar(2 * RADIUS)
    return solve(alone(conductor("round", shape, material=base, coats=coats)), frequency, accuracy=1e-5)


def internal_reactance(flow: SolvedFlow, outer: float, frequency: float) -> float:
    """Reactance less that of the field between the surface and the return, [ohm/m]."""
    far = RETURN * flow.discretisation.mesh.radius
    return flow.fields.impedance[0, 0].imag - 2 * math.pi * frequency * MU0 / (2 * math.pi) * math.log(far / outer)


SILVERED: Coats = ((SILVER, 10e-6),)
NICKEL_GOLD: Coats = ((NICKEL, 3e-6), (GOLD, 1e-6))
HARD_GOLD: Coats = ((HARD, 5e-6), (GOLD, 0.5e-6))
TINNED: Coats = ((TIN, 8e-6),)
CLAD: Coats = ((COPPER, 0.2e-3),)
WIRES = [
    (BRASS, SILVERED), (BRASS, NICKEL_GOLD), (COPPER, HARD_GOLD), (COPPER, TINNED), (STEEL, CLAD),
    (COPPER, ((HARD, 10e-6),)), (COPPER, ((SILVER, 0.05e-6),)),
]  # fmt: skip
WIRE_IDS = ["silver", "nickel and gold", "hard nickel and gold", "tin", "clad steel", "nickel 600", "0.05 um"]
TUBE_CASES = [
    (0.9, BRASS, SILVERED, 0.01), (0.9, BRASS, SILVERED, 3.0), (0.9, COPPER, NICKEL_GOLD, 30.0),
    (0.8, STEEL, CLAD, 10.0), (0.9, COPPER, HARD_GOLD, 100.0), (0.8, COPPER, TINNED, 1000.0),
]  # fmt: skip


def check(bore: float, base: Material, coats: Coats, depths: float) -> None:
    frequency = frequency_at(depths, base)
    found = solved(bore, base, coats, frequency)
    exact = layered_impedance(bore, RADIUS, base, coats, frequency)
    value = found.fine.circuit(found.problem.circuits[0])
    bar = found.circuit_errors(found.problem.circuits[0])[0]
    assert math.isclose(value.real, exact.real, rel_tol=1e-5)
    assert abs(value.real / exact.real - 1) <= bar
    outer = RADIUS + sum(t for _, t in coats)
    reactance = internal_reactance(found.fine, outer, frequency)
    # what is left of the whole reactance carries its rounding
    assert math.isclose(reactance, exact.imag, rel_tol=1e-5, abs_tol=1e-7 * value.imag)


@pytest.mark.parametrize("depths", [0.01, 1.0, 30.0, 1000.0])
@pytest.mark.parametrize(("base", "coats"), WIRES, ids=WIRE_IDS)
def test_plated_wire(base, coats, depths):
    check(0.0, base, coats, depths)


@pytest.mark.parametrize(("bore", "base", "coats", "depths"), TUBE_CASES)
def test_plated_tube(bore, base, coats, depths):
    check(bore * RADIUS, base, coats, depths)


def test_reference_without_coats_is_the_closed_form():
    """Kelvin 1889, the row x = sqrt(2) a / delta = 5 of the published table."""
    (row,) = (r for r in rows("round", 1, 40) if r.quantity == "R/R0" and "x=5 " in r.conditions)
    depths = 5 / math.sqrt(2)
    value = layered_impedance(0.0, RADIUS, COPPER, (), frequency_at(depths, COPPER))
    assert math.isclose(value.real * COPPER.conductivity * math.pi * RADIUS**2, row.value, rel_tol=1e-10)
