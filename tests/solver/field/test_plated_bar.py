"""A silvered brass bar against a general finite-element library on a fine mesh, and against its layered surface."""

import cmath
import csv
import math
from pathlib import Path

import pytest
from common import MU0, alone, conductor, metal, resistance

from crosscurrent.geometries.plane import shapes
from crosscurrent.solver.field.solve import solve

TABLE = Path(__file__).parents[2] / "references" / "general_library.csv"
BRASS, SILVER = metal(15.9e6), metal(62.9e6)


def recorded(quantity):
    with TABLE.open(newline="") as lines:
        (row,) = (r for r in csv.DictReader(lines) if r["quantity"] == quantity)
    return float(row["value"])


def silvered(frequency, accuracy=1e-3):
    bar = conductor("bar", shapes.bar(20e-3, 3e-3), material=BRASS, coats=[(SILVER, 50e-6)])
    return solve(alone(bar), frequency, accuracy=accuracy)


@pytest.mark.parametrize(("accuracy", "within"), [(1e-3, 2e-4), (1e-6, 1e-6)])
def test_against_the_general_library(accuracy, within):
    found = silvered(1e6, accuracy=accuracy)
    value, width = resistance(found)
    exact = recorded("R")
    assert math.isclose(value, exact, rel_tol=within)
    assert abs(value - exact) <= width + 1e-8 * exact
    shares = (found.fine.region_currents / found.fine.currents[0]).real
    losses = found.fine.region_losses / found.fine.region_losses.sum()
    assert math.isclose(shares[1], recorded("silver current share"), rel_tol=5e-4)
    assert math.isclose(losses[1], recorded("silver loss share"), rel_tol=5e-4)


def sheet(frequency):
    """Resistance per square of 50 um silver on brass, Z = z1 (Zb + z1 tanh p t) / (z1 + Zb tanh p t), and of brass."""

    def surface(m):
        return (1 + 1j) * math.sqrt(math.pi * frequency * MU0 / m.conductivity)

    p = (1 + 1j) * math.sqrt(math.pi * frequency * MU0 * SILVER.conductivity)
    t, z, back = cmath.tanh(p * 50e-6), surface(SILVER), surface(BRASS)
    return (z * (back + z * t) / (z + back * t)).real, back.real


def test_trend_to_the_layered_surface():
    """Silvered over bare: the ratio of the sheets, approached as the skin gets thin against the bar."""
    off = []
    for frequency in (1e6, 1e7, 1e8):
        bare = solve(alone(conductor("bar", shapes.bar(20.1e-3, 3.1e-3, 50e-6), material=BRASS)), frequency)
        plated, solid = sheet(frequency)
        ratio = resistance(silvered(frequency))[0] / resistance(bare)[0]
        off.append(abs(ratio / (plated / solid) - 1))
    assert off[0] < 0.05
    assert off[2] < 0.01
    assert off[2] < off[0]
