"""Straight strands as a network of their places: against multipoles of all strands, each with its own current."""

from __future__ import annotations

import math
import os

import numpy as np
import pytest

from crosscurrent.solver.metals.band_medium import band_medium
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_layout import Layout, cell_area, reach, strand_places
from crosscurrent.solver.metals.strand_network import in_a_circle, network
from crosscurrent.solver.metals.strands import Strands, medium
from tests.multipoles import impedance, joined

SIZE, SIGMA = 1e-4, 58e6
MANY = [19, 38, 40, 41, 50, 55, 61, 70, 73, 80, 85, 91, 100, 110, 121, 127]
FEW: list[tuple[Layout, int]] = [
    ("hexagonal", 41), ("hexagonal", 70), ("hexagonal", 73), ("square", 61), ("square", 80), ("rings", 40)
]  # fmt: skip
EVERY: list[tuple[Layout, int]] = [(layout, n) for layout in ("hexagonal", "square", "rings") for n in MANY]
TAKEN = EVERY if os.environ.get("CROSSCURRENT_EXAMPLES") else FEW


def area_of(layout: Layout, count: int, pitch: float) -> float:
    """Of the circle of all cells, or round all rings."""
    if layout == "rings":
        return math.pi * (pitch * (0.5 + reach(count, layout))) ** 2
    return count * cell_area(pitch, layout)


def alone(strands: Strands, area: float, frequency: float) -> complex:
    """In the circle, return at 1 m."""
    found = medium(strands, area, SIGMA, frequency)
    rod = in_a_circle(*(np.array([z]) for z in (found.permeability, found.impedance, frequency)))[0]
    around = 1j * frequency * MU0 * math.log(math.sqrt(area / math.pi))
    return complex(rod + found.edge - around)


@pytest.mark.parametrize("pitch", [1.05e-4, 1.2e-4, 1.6e-4])
@pytest.mark.parametrize(("layout", "count"), TAKEN)
def test_as_all_strands_one_by_one(layout: Layout, count: int, pitch: float) -> None:
    places = pitch * strand_places(count, layout) @ [1, 1j]
    strands = Strands(count, SIZE, layout, "straight", gathered=True)
    for depths, near in ((0.2, 1e-6), (0.8, 4e-4), (1.4, 4e-3)):
        frequency = (2 * depths / SIZE) ** 2 / (math.pi * MU0 * SIGMA)
        found = alone(strands, area_of(layout, count, pitch), frequency)
        exact = joined(impedance(places, [[k] for k in range(count)], SIZE, SIGMA, frequency))
        assert found.real == pytest.approx(exact.real, rel=near)
        assert found.imag == pytest.approx(exact.imag, rel=5e-5)


def test_two_strands() -> None:
    """By hand: half an ampere in each, the pitch apart; the current of a network can only be even."""
    found, size = network(2, "hexagonal"), math.sqrt(math.pi / 2 / (math.sqrt(3) / 2))
    assert len(found.even) == 1
    assert found.resting(0.6) == pytest.approx(-(math.log(size) + 0.5 * math.log(0.3)) / (4 * math.pi))
    assert float(found.even @ found.even) == pytest.approx(2.0)


def test_the_inductance_at_rest_is_the_limit() -> None:
    strands = Strands(73, SIZE, lay="straight", gathered=True)
    slow, resting = (medium(strands, 1e-6, SIGMA, f) for f in (10.0, 0.0))
    assert resting.edge == 0
    more = (slow.impedance + slow.edge).imag / (20 * math.pi)
    assert more == pytest.approx(resting.inductance, rel=1e-5)
    assert slow.edge.real == pytest.approx(0.0, abs=1e-7 * resting.resistance)


def test_thousands_of_strands_follow_the_same_law() -> None:
    """What stands out is alike at every edge: at one radius in skins the medium lacks about one share of R."""
    frequency, lacking = (2 * 0.8 / SIZE) ** 2 / (math.pi * MU0 * SIGMA), []
    for count in (1000, 3000):
        area = count * cell_area(1.2e-4, "hexagonal")
        whole = alone(Strands(count, SIZE, lay="straight", gathered=True), area, frequency)
        lacking.append(alone(Strands(count, SIZE, lay="straight"), area, frequency).real / whole.real - 1)
    assert lacking == pytest.approx([-0.06, -0.06], abs=0.01)


def test_a_band_holds_what_each_frequency_does() -> None:
    strands = Strands(73, SIZE, lay="straight", gathered=True)
    band = band_medium(strands, 1e-6, SIGMA, 1e6)
    at = np.array([0.0, 1e4, 1e6])
    assert band.edge(at) == pytest.approx(np.array([medium(strands, 1e-6, SIGMA, f).edge for f in at]), rel=1e-9)
    assert (band.alone(at).real > 0).all()


def test_only_one_group_of_straight_strands_in_a_circle() -> None:
    for other in (
        Strands(91, SIZE, gathered=True), Strands(91, SIZE, lay="straight"),
        Strands(420, SIZE, lay="straight", levels=(5, 84), gathered=True),
        Strands(20_000, SIZE, lay="straight", gathered=True),
    ):  # fmt: skip
        assert not other.networked
        assert medium(other, 1e-3, SIGMA, 1e5).edge == 0
