"""The hand formula of a bundle against strands resolved one by one, and against where such bundles stop helping."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.round_bundle import PlacedBundle, RoundBundle, largest_group, wire_resistance
from crosscurrent.solver.metals.strand_layout import Layout
from crosscurrent.solver.metals.strand_packing import least_circle, places_in_circle, radius
from crosscurrent.solver.metals.strands import Strands
from tests.multipoles import impedance

COPPER = MATERIALS["copper"]


@pytest.mark.parametrize(
    # multipole scattering of every strand by every other: count, layout, strand [mm], fill, frequency, R [ohm/m], bar
    ("count", "layout", "strand", "fill", "frequency", "resistance", "bar"),
    [
        (7, "hexagonal", 0.1, 0.6298, 85e3, 0.3139597667, 1e-4),
        (19, "hexagonal", 0.2, 0.7495, 85e3, 0.03070483771, 2e-3),
        (37, "hexagonal", 0.1, 0.6298, 3e6, 0.3564976457, 0.012),
        (91, "hexagonal", 0.071, 0.6479, 500e3, 0.05503964849, 2e-3),
        (397, "hexagonal", 0.1, 0.7230, 1e6, 0.06492895944, 5e-3),
        (49, "square", 0.1, 0.5939, 1e6, 0.09216985933, 0.02),
    ],
)
def test_resistance_against_resolved_strands(
    count: int, layout: Layout, strand: float, fill: float, frequency: float, resistance: float, bar: float
) -> None:
    bundle = RoundBundle(Strands(count, strand * 1e-3, layout), strand * 1e-3 * math.sqrt(count / fill))
    assert bundle.fill == pytest.approx(fill, rel=1e-12)
    assert float(bundle.resistance(COPPER, np.array(frequency), 20.0)) == pytest.approx(resistance, rel=bar)


@pytest.mark.parametrize(("depths", "near"), [(0.2, 1e-6), (0.8, 2e-4), (1.4, 4e-3), (2.5, 0.025)])
@pytest.mark.parametrize("tight", [False, True])
@pytest.mark.parametrize("count", [2, 3, 5, 6, 7, 9, 19, 23, 31, 37])
def test_few_strands_at_their_places_against_multipoles_of_all(
    count: int, tight: bool, depths: float, near: float
) -> None:
    strand, insulated = 4e-4, 4.4e-4
    ratio = least_circle(count, "any") * (1.0 if tight else 1.1)
    places, _ = places_in_circle(count, "any", ratio)
    at = (ratio - 1) * insulated / (2 * radius(places)) * (places @ [1, 1j])
    frequency = (2 * depths / strand) ** 2 / (math.pi * MU0 * COPPER.conductivity)
    exact = impedance(at, [list(range(count))], strand, COPPER.conductivity, frequency)[0, 0].real
    bundle = PlacedBundle(Strands(count, strand), ratio * insulated, insulated)
    assert float(bundle.resistance(COPPER, np.array(frequency), 20.0)) == pytest.approx(exact, rel=near)


def test_slow_fields_follow_the_square_law() -> None:
    """Thin strands in the mean field of their bundle, H = I r / (2 pi R^2): w^2 mu0^2 sigma N a^4 / (64 pi R^2) more.

    The loss of a cylinder in a slow field is pi w^2 B^2 a^4 sigma / 4 (any textbook); the mean of r^2 is R^2 / 2.
    """
    count, radius, over, frequency = 1000, 50e-6, 3e-3, 1e3
    sigma, omega = COPPER.conductivity, 2e3 * math.pi
    bundle = RoundBundle(Strands(count, 2 * radius), over)
    at_rest = 1 / (sigma * count * math.pi * radius**2)
    expected = count * math.pi * omega**2 * radius**4 * sigma / 4 * (MU0 / (2 * math.pi * (over / 2))) ** 2 / 2
    more = float(bundle.resistance(COPPER, np.array(frequency), 20.0)) - at_rest
    assert more == pytest.approx(expected, rel=2e-3)


def test_one_wire_at_both_ends() -> None:
    """At rest by its area; with a thin skin by sheet resistance over circumference, the next order delta / 2a."""
    d, f = 2e-3, 1e9
    slow, fast = wire_resistance(d, COPPER, np.array([1e-3, f]), 20.0)
    assert slow == pytest.approx(4 / (COPPER.conductivity * math.pi * d**2), rel=1e-9)
    depth = COPPER.skin_depth(f)
    assert fast == pytest.approx(1 / (COPPER.conductivity * depth * math.pi * d) * (1 + depth / d), rel=1e-5)


@pytest.mark.parametrize(
    # published beside the formula: 0.1 mm strands, filling 0.6 with a take-up of 1.025, against a wire as thick
    ("count", "low", "high", "gain", "radius_in_depths"),
    [(37, 284, 1072, 1.14, 0.78), (100, 94, 896, 1.41, 0.72), (200, 46, 750, 1.65, 0.66), (420, 22, 606, 1.96, 0.59),
     (1000, 9, 470, 2.41, 0.52)],
)  # fmt: skip
def test_where_fine_strands_stop_helping(
    count: int, low: float, high: float, gain: float, radius_in_depths: float
) -> None:
    ratio, f = _against_wire(count)
    better = f[ratio < 1]
    assert better[0] / 1e3 == pytest.approx(low, rel=0.02, abs=0.5)
    assert better[-1] / 1e3 == pytest.approx(high, rel=0.015)
    assert 1 / ratio.min() == pytest.approx(gain, abs=0.01)
    assert 0.05e-3 / COPPER.skin_depth(better[-1]) == pytest.approx(radius_in_depths, abs=0.01)


@pytest.mark.parametrize("count", [7, 19])
def test_few_strands_never_beat_a_wire_as_thick(count: int) -> None:
    assert _against_wire(count)[0].min() > 1


def _against_wire(count: int) -> tuple[np.ndarray, np.ndarray]:
    strands = Strands(count, 1e-4, take_up=1.025)
    bundle = RoundBundle(strands, math.sqrt(4 / math.pi * strands.copper / 0.6))
    f = np.geomspace(4e3, 2e6, 500)
    return bundle.resistance(COPPER, f, 20.0) / wire_resistance(bundle.diameter, COPPER, f, 20.0), f


def test_groups_as_the_published_rule_has_them() -> None:
    """Sullivan and Zhang, APEC 2014 (from memory): 4 depth^2 / diameter^2."""
    depth = COPPER.skin_depth(85e3)
    assert [largest_group(d * 1e-3, depth) for d in (0.1, 0.071, 0.04, 2.0)] == [20, 40, 128, 1]
