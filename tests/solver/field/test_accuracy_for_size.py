"""Accuracy for the number of unknowns: round sections by Bessel functions, facing bars by converged values.

Formulas: S. A. Schelkunoff, Bell Syst. Tech. J. 13, 532-579, 1934 (wire, and tube with its return outside or inside),
written here with scaled Bessel functions. The bars' values are those of an independent finite-element solution refined
until it stood still.
"""

import cmath
import math

import pytest
from common import SIGMA, alone, conductor, frequency_for, pair, rod
from scipy.special import ive, kve

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.solve import solve

RADIUS = 1e-3
DEPTHS = (1.0, 2.0, 5.0, 10.0, 30.0, 100.0, 300.0, 1000.0)


def wire(a, depth):
    """Internal impedance of a wire [ohm/m]."""
    z = (1 + 1j) * a / depth
    return z / 2 * ive(0, z) / ive(1, z) / (SIGMA * math.pi * a**2)


def tube(near, far, depth):
    """Impedance of a tube for a field on its surface of radius `near` only [ohm/m]."""
    p = (1 + 1j) / depth
    x, y = p * near, p * far
    through = p * abs(near - far)
    decay = cmath.exp(-through - through.real)  # of the lesser products, by the scaling of ive and kve
    grows, falls = (1.0, decay) if near > far else (decay, 1.0)
    above = grows * ive(0, x) * kve(1, y) + falls * ive(1, y) * kve(0, x)
    below = grows * ive(1, x) * kve(1, y) - falls * ive(1, y) * kve(1, x)
    return math.copysign(1, near - far) * p / (2 * math.pi * near * SIGMA) * above / below


def found(problem, depth):
    """Resistance and unknowns at the default accuracy."""
    flow = solve(problem, frequency_for(depth)).fine
    return flow.circuit(problem.circuits[0]).real, flow.discretisation.elements.count


@pytest.mark.parametrize("depths", DEPTHS)
def test_wire(depths):
    depth = RADIUS / depths
    value, unknowns = found(alone(rod("wire", 2 * RADIUS)), depth)
    assert math.isclose(value, wire(RADIUS, depth).real, rel_tol=1e-6)
    assert unknowns <= 3000


@pytest.mark.parametrize("depths", DEPTHS)
def test_tube(depths):
    depth = RADIUS / depths
    value, unknowns = found(alone(conductor("tube", shapes.tube(2 * RADIUS, 0.2 * RADIUS))), depth)
    assert math.isclose(value, tube(RADIUS, 0.8 * RADIUS, depth).real, rel_tol=1e-6)
    assert unknowns <= 3000


@pytest.mark.parametrize("depths", DEPTHS)
def test_coax(depths):
    depth = RADIUS / depths
    shield = conductor("shield", shapes.tube(8 * RADIUS, 0.5 * RADIUS))
    value, unknowns = found(pair(rod("wire", 2 * RADIUS), shield), depth)
    exact = wire(RADIUS, depth) + tube(3.5 * RADIUS, 4 * RADIUS, depth)
    assert math.isclose(value, exact.real, rel_tol=1e-6)
    assert unknowns <= 5000


@pytest.mark.parametrize(
    ("frequency", "resistance", "inductance", "within", "most"),
    [(100e3, 1557.911e-6, 14.69144e-9, 1e-4, 30_000), (8e6, 14010.2e-6, 12.4763e-9, 2e-4, 60_000)],
    ids=["100 kHz", "8 MHz"],
)
def test_facing_bars(frequency, resistance, inductance, within, most):
    shape = shapes.bar(0.1, 6e-3, 0.5e-3)
    bars = pair(conductor("go", shape, (0.0, 3.5e-3)), conductor("back", shape, (0.0, -3.5e-3)))
    flow = solve(bars, frequency).fine
    assert math.isclose(flow.circuit(bars.circuits[0]).real, resistance, rel_tol=within)
    assert math.isclose(flow.inductance(bars.circuits[0]), inductance, rel_tol=1e-4)
    assert flow.discretisation.elements.count <= most
