"""Strands in rings against multipoles of all of them, and against the rows of references/bundle_values.csv."""

from __future__ import annotations

import csv
import math
from itertools import islice
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_layout import reach, rings, strand_places
from crosscurrent.solver.metals.strand_rings import full_lays, ring_counts
from crosscurrent.solver.metals.strands import Lay, Strands, media, medium
from tests.multipoles import impedance, joined

ROWS = [
    row
    for row in csv.DictReader((Path(__file__).parents[2] / "references" / "bundle_values.csv").open(encoding="utf-8"))
    if row["layout"] == "rings"
]
SIGMA, STRAND, PITCH = 58e6, 0.1e-3, 0.115e-3


def alone(strands: Strands, radius: float, frequency: float) -> complex:
    """A round bundle alone, without the flux beyond 1 m [ohm/m]: nothing but its medium fills the circle."""
    found = medium(strands, math.pi * radius**2, SIGMA, frequency)
    flux = found.permeability / (8 * math.pi) - math.log(radius) / (2 * math.pi)
    return found.impedance + 2j * math.pi * frequency * MU0 * flux


def in_rings(count: int, lay: Lay, depths: float) -> tuple[complex, complex]:
    """Of the medium, and of multipoles, for strands of a radius in skin depths."""
    frequency = (2 * depths / STRAND) ** 2 / (math.pi * MU0 * SIGMA)
    radius = (reach(count, "rings") + 0.5) * PITCH
    places = PITCH * strand_places(count, "rings") @ [1, 1j]
    ring = np.array(rings(count, "rings")) * (lay == "concentric")
    groups = [np.flatnonzero(ring == k).tolist() for k in range(ring.max() + 1)]
    exact = joined(impedance(places, groups, STRAND, SIGMA, frequency))
    return alone(Strands(count, STRAND, "rings", lay), radius, frequency), exact


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_the_published_rows(row: dict[str, str]) -> None:
    count = int(row["strands"])
    lay: Lay = "concentric" if row["sharing"] == "rings" else "transposed"
    frequency, expected = float(row["frequency_hz"]), float(row["resistance_ohm_per_m"])
    radius = (reach(count, "rings") + 0.5) * PITCH
    assert alone(Strands(count, STRAND, "rings", lay), radius, frequency).real == pytest.approx(expected, rel=4e-4)
    places = PITCH * strand_places(count, "rings") @ [1, 1j]
    ring = np.array(rings(count, "rings")) * (lay == "concentric")
    groups = [np.flatnonzero(ring == k).tolist() for k in range(ring.max() + 1)]
    assert joined(impedance(places, groups, STRAND, SIGMA, frequency)).real == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("depths", [0.22, 0.41, 0.6, 0.8, 1.1])
@pytest.mark.parametrize("count", [19, 61, 91, 127])
@pytest.mark.parametrize("lay", ["concentric", "transposed"])
def test_full_rings(lay: Lay, count: int, depths: float) -> None:
    found, exact = in_rings(count, lay, depths)
    assert found.real == pytest.approx(exact.real, rel=5e-4 if depths <= 0.8 else 2.5e-3)
    assert found.imag == pytest.approx(exact.imag, rel=3e-5)


@pytest.mark.parametrize("depths", [0.41, 0.8])
@pytest.mark.parametrize("count", [44, 100, 169, 217])
def test_more_of_them_and_rings_that_are_not_full(count: int, depths: float) -> None:
    found, exact = in_rings(count, "concentric", depths)
    assert found.real == pytest.approx(exact.real, rel=1.5e-3)


def test_how_many_lie_in_each_ring() -> None:
    """Concentric lay of the trade: six more in each ring (IEC 60228 and ASTM B8, from memory)."""
    assert [ring_counts(n) for n in (7, 37, 61)] == [(1, 6), (1, 6, 12, 18), (1, 6, 12, 18, 24)]
    assert [sum(ring_counts(n)) for n in range(1, 300)] == list(range(1, 300))
    assert all(np.diff(ring_counts(n)).min(initial=6) >= 5 for n in islice(full_lays(), 5, 60))


def test_even_shares_at_rest_and_all_in_the_outermost_ring_at_last() -> None:
    strands = Strands(217, STRAND, lay="concentric")
    area = math.pi * (8.5 * PITCH) ** 2
    at_rest, fast = (medium(strands, area, SIGMA, f).rings for f in (0.0, 3e6))
    assert at_rest is not None
    assert fast is not None
    assert at_rest.shares == pytest.approx([1.0] * 9)
    assert at_rest.excess == 0
    assert (at_rest.least, at_rest.most, at_rest.squared) == pytest.approx((1, 1, 1))
    assert abs(fast.shares[-1]) == fast.most > 3
    assert sum(n * s for n, s in zip(ring_counts(217), fast.shares, strict=True)) == pytest.approx(217)


def test_inductance_at_rest_is_the_limit() -> None:
    for levels in ((), (5, 19)):
        strands = Strands(95, STRAND, lay="concentric", levels=levels)
        slow = media(strands, 1.6e-6, SIGMA, np.array([1e-2]))
        assert slow.impedance[0].imag / (2e-2 * math.pi) == pytest.approx(slow.inductance, rel=1e-5)


@pytest.mark.parametrize("row_id", ["bundle-069", "bundle-070", "bundle-071"])
def test_groups_of_seven_in_rings(row_id: str) -> None:
    """Five groups of 1 + 6 on a ring, against the row of their strands."""
    path = Path(__file__).parents[2] / "references" / "bundle_values.csv"
    row = next(r for r in csv.DictReader(path.open(encoding="utf-8")) if r["id"] == row_id)
    middle = 1.5 * PITCH / math.sin(math.pi / 5)
    strands = Strands(35, STRAND, lay="concentric", levels=(5, 7), space=math.pi * (1.5 * PITCH) ** 2 / 7)
    found = alone(strands, middle + 1.5 * PITCH, float(row["frequency_hz"]))
    assert found.real == pytest.approx(float(row["resistance_ohm_per_m"]), rel=1e-2)
