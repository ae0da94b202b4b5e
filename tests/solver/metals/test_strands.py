"""The medium of many strands against limits that can be written down."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_layout import Layout
from crosscurrent.solver.metals.strands import Strands, inductance_at_rest, strand_cell

COPPER, LAYOUTS = 58e6, ("hexagonal", "square")


def _frequency(radius_in_depths: float, diameter: float) -> float:
    depth = diameter / 2 / radius_in_depths
    return 1 / (math.pi * MU0 * COPPER * depth**2)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_thin_strands_lose_as_the_square_of_the_field(layout: Layout) -> None:
    """A thin cylinder across a changing field B loses pi w^2 B^2 a^4 sigma / 4 per length (any textbook)."""
    fill, diameter = 0.5, 1e-4
    frequency = _frequency(0.02, diameter)
    permeability = strand_cell(fill, diameter, COPPER, frequency, layout).permeability
    omega = 2 * math.pi * frequency
    expected = fill * MU0 * omega * COPPER * (diameter / 2) ** 2 / 4  # w |B|^2 nu'' / mu0 of the medium
    assert (1 / permeability).imag == pytest.approx(expected, rel=1e-4)


def test_few_strands_are_the_dilute_mixture() -> None:
    """Maxwell Garnett's mixture of cylinders that shut the field out: (1 - fill) / (1 + fill)."""
    fill, diameter = 0.05, 1e-3
    permeability = strand_cell(fill, diameter, COPPER, _frequency(3000, diameter), "hexagonal").permeability
    assert permeability == pytest.approx((1 - fill) / (1 + fill), rel=1e-3)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_impedance_begins_with_the_resistance_and_the_inductance_at_rest(layout: Layout) -> None:
    fill, diameter = 0.6, 1e-4
    frequency = _frequency(0.01, diameter)
    impedance = strand_cell(fill, diameter, COPPER, frequency, layout).impedance
    assert impedance.real == pytest.approx(1 / (COPPER * math.pi * (diameter / 2) ** 2), rel=1e-8)
    assert impedance.imag / (2 * math.pi * frequency) == pytest.approx(inductance_at_rest(fill), rel=1e-6)


def test_all_strands_in_parallel() -> None:
    strands = Strands(420, 1e-4, take_up=1.04)
    assert strands.resistance(COPPER) == pytest.approx(1.04 / (COPPER * 420 * math.pi / 4 * 1e-8), rel=1e-12)
    assert strands.copper == pytest.approx(1.04 * 420 * math.pi / 4 * 1e-8, rel=1e-12)


CELLS = list(csv.DictReader((Path(__file__).parents[2] / "references" / "strand_cells.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", CELLS, ids=lambda row: f"{row['layout']} {row['fill']} {row['radius_over_depth']}")
def test_the_medium_is_that_of_a_cell_solved_by_a_general_library(row: dict[str, str]) -> None:
    """Finite elements of order 8 and 9, written by tests/benchmarks/strand_cells.py."""
    diameter, layout = 1e-4, "hexagonal" if row["layout"] == "hexagonal" else "square"
    frequency = _frequency(float(row["radius_over_depth"]), diameter)
    found = strand_cell(float(row["fill"]), diameter, COPPER, frequency, layout).permeability
    expected = complex(float(row["reluctivity_real"]), float(row["reluctivity_imag"]))
    assert abs(1 / found - expected) < 1e-9 * abs(expected)
