"""Circles in a circle: published packings, a proven bound, and places that do not overlap."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.solver.metals.strand_packing import (
    Packing,
    least_circle,
    most_in_circle,
    packings,
    places_in_circle,
    radius,
)

# R. L. Graham, B. D. Lubachevsky, K. J. Nurmela and P. R. J. Ostergard, Discrete Math. 181, 139-154, 1998, and
# B. D. Lubachevsky and R. L. Graham, Discrete Comput. Geom. 18, 179-194, 1997 (61, 91); from memory
PUBLISHED = {
    2: 2.0, 3: 2.1547, 4: 2.4142, 5: 2.7013, 6: 3.0, 7: 3.0, 8: 3.3048, 9: 3.6131, 10: 3.8130, 11: 3.9238, 12: 4.0296,
    13: 4.2361, 14: 4.3284, 15: 4.5214, 16: 4.6154, 17: 4.7920, 18: 4.8637, 19: 4.8637, 20: 5.1223, 30: 6.1977,
    37: 6.7588, 61: 8.6613, 91: 10.5668,
}  # fmt: skip
ORDERED: tuple[Packing, ...] = ("any", "hexagonal", "square", "rings")


@pytest.mark.parametrize(("count", "size"), PUBLISHED.items())
def test_published_packings(count: int, size: float) -> None:
    assert least_circle(count, "any") == pytest.approx(size, abs=6e-5)
    assert most_in_circle(size + 6e-5, "any") >= count
    assert most_in_circle(size - 6e-5, "any") < count


def test_places_do_not_overlap() -> None:
    for count, (size, places) in enumerate(packings(), 1):
        assert places.shape == (count, 2)
        apart = np.hypot(*(places[:, None] - places).transpose(2, 0, 1))[np.triu_indices(count, 1)]
        assert apart.min(initial=1.0) >= 1 - 1e-9
        assert 1 + 2 * radius(places) == size


@pytest.mark.parametrize("packing", ORDERED)
def test_no_more_than_groemers_bound_and_never_fewer_in_a_larger_circle(packing: Packing) -> None:
    """N <= 2 / sqrt 3 A / d^2 + P / (2 d) + 1 with the region of the middles (H. Groemer, Math. Z. 73, 1960)."""
    before = 0
    for ratio in np.geomspace(1.0, 40.0, 50).tolist():
        reached, held = (ratio - 1) / 2, most_in_circle(ratio, packing)
        assert before <= held <= 2 / math.sqrt(3) * math.pi * reached**2 + math.pi * reached + 1
        before = held
        assert least_circle(held, packing) <= ratio * (1 + 1e-9)
        assert least_circle(held + 1, packing) > ratio * (1 + 1e-9)


@pytest.mark.parametrize(("layout", "cell"), [("hexagonal", math.sqrt(3) / 2), ("square", 1.0)])
def test_a_lattice_holds_its_mean_at_least(layout: Packing, cell: float) -> None:
    """Over all places of a lattice the mean number of its points in a region is its area over that of a cell."""
    for ratio in (3.3, 6.0, 11.7, 30.1):
        assert most_in_circle(ratio, layout) >= math.pi / 4 * (ratio - 1) ** 2 / cell


def test_any_is_at_least_as_dense_as_lattices_and_rings() -> None:
    for ratio in np.linspace(1.0, 25.0, 120).tolist():
        assert most_in_circle(ratio, "any") >= max(most_in_circle(ratio, packing) for packing in ORDERED)


@pytest.mark.parametrize("packing", ORDERED)
def test_few_have_places_wherever_they_fit(packing: Packing) -> None:
    for ratio in (2.0, 2.72, 3.1, 4.5, 5.3, 6.76, 6.977):
        for count in range(1, min(most_in_circle(ratio, packing), 37) + 1):
            places, _ = places_in_circle(count, packing, ratio)
            apart = np.hypot(*(places[:, None] - places).transpose(2, 0, 1))[np.triu_indices(count, 1)]
            assert apart.min(initial=1.0) >= 1 - 1e-9
            assert 1 + 2 * radius(places) <= ratio * (1 + 1e-9)
