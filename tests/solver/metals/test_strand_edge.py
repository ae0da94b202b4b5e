"""Round bundles of strands at the places of a lattice, as a medium with its edge: against multipoles of all strands.

CROSSCURRENT_EXAMPLES=3000 adds strands half as far apart as the widest.
"""

from __future__ import annotations

import math
import os

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_edge import lattice_edge, placed_edge
from crosscurrent.solver.metals.strand_layout import Layout, cell_area, strand_places
from crosscurrent.solver.metals.strands import Strands, medium
from tests.multipoles import impedance

MANY = bool(os.environ.get("CROSSCURRENT_EXAMPLES"))
SIZE, SIGMA = 1e-4, 58e6
LAID: list[tuple[Layout, int]] = [
    ("hexagonal", 7), ("hexagonal", 19), ("hexagonal", 55), ("hexagonal", 91), ("hexagonal", 121), ("hexagonal", 253),
    ("square", 36), ("square", 69), ("square", 144),
]  # fmt: skip


def _pair(layout: Layout, count: int, pitch: float, depths: float) -> tuple[complex, complex]:
    """Impedance of the medium that fills the circle of all cells, return at 1 m, and that of all strands."""
    frequency = (2 * depths / SIZE) ** 2 / (math.pi * MU0 * SIGMA)
    area, omega = count * cell_area(pitch, layout), 2 * math.pi * frequency
    places = pitch * strand_places(count, layout) @ [1, 1j]
    found = medium(Strands(count, SIZE, layout, gathered=True), area, SIGMA, frequency)
    around = 1j * omega * MU0 / (2 * math.pi) * (found.permeability / 4 - math.log(math.sqrt(area / math.pi)))
    return found.impedance + around, complex(impedance(places, [list(range(count))], SIZE, SIGMA, frequency)[0, 0])


@pytest.mark.parametrize(("depths", "near"), [(0.1, 1e-6), (0.44, 1e-5), (0.8, 2e-4), (1.4, 2.5e-3)])
@pytest.mark.parametrize("pitch", [1.05e-4, *([1.2e-4] if MANY else []), 1.6e-4])
@pytest.mark.parametrize(("layout", "count"), LAID)
def test_as_all_strands_one_by_one(layout: Layout, count: int, pitch: float, depths: float, near: float) -> None:
    found, exact = _pair(layout, count, pitch, depths)
    assert found.real == pytest.approx(exact.real, rel=near)
    assert found.imag == pytest.approx(exact.imag, rel=2e-5)


def test_the_inductance_at_rest_is_the_limit() -> None:
    strands = Strands(91, SIZE, gathered=True)
    slow, resting = (medium(strands, 1.2e-6, SIGMA, f) for f in (10.0, 0.0))
    assert slow.impedance.imag / (20 * math.pi) == pytest.approx(resting.inductance, rel=1e-5)
    assert slow.impedance.real == pytest.approx(resting.resistance, rel=1e-6)


def test_two_strands() -> None:
    """By hand: each lies in the field 1 / (2 pi pitch) of the other's half of an ampere."""
    edge, size = lattice_edge(2, "hexagonal"), math.sqrt(math.pi / 2 / (math.sqrt(3) / 2))
    assert edge.away == pytest.approx(-math.log(size) / 2)
    assert edge.weights.sum() == pytest.approx(2 * (0.5 / size) ** 2)
    assert edge.strain == pytest.approx(2 * (0.5 / size**2) ** 2)


@pytest.mark.parametrize("count", [2, 7, 19, 37])
def test_few_placed_at_a_lattice_have_its_edge(count: int) -> None:
    """By sums over all pairs, where the lattice takes Fourier's."""
    placed, edge = placed_edge(strand_places(count, "hexagonal")), lattice_edge(count, "hexagonal")
    assert (placed.away, placed.strain) == pytest.approx((edge.away, edge.strain), rel=1e-9)
    assert placed.weights.sum() == pytest.approx(edge.weights.sum(), rel=1e-9)


def test_many_strands_have_hardly_an_edge() -> None:
    plain, edged = (medium(Strands(10_000, SIZE, gathered=g), 1.2e-4, SIGMA, 85e3) for g in (False, True))
    assert edged.permeability == plain.permeability
    omega = 2 * math.pi * 85e3
    more = abs((edged.impedance - plain.impedance).real)
    assert 0 < more < 3e-4 * omega * MU0 / (8 * math.pi) * abs(plain.permeability.imag)


def test_only_one_group_of_a_lattice_that_shares_evenly() -> None:
    for other in (
        Strands(91, SIZE, "rings", gathered=True), Strands(91, SIZE, lay="straight", gathered=True),
        Strands(420, SIZE, levels=(5, 84), gathered=True), Strands(91, SIZE),
    ):  # fmt: skip
        assert not other.edged
    assert np.isfinite(medium(Strands(1, SIZE, gathered=True), 1.2e-8, SIGMA, 1e5).impedance)
