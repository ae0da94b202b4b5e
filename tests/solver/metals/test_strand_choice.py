"""Bundles of the strands of the trade beside one wire."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_choice import TRADE, StrandChoice, choices, operations, worth_buying
from crosscurrent.solver.metals.wire_tables import WireError

COPPER = MATERIALS["copper"]


@pytest.fixture(scope="module")
def found() -> tuple[StrandChoice, ...]:
    return choices(TRADE, COPPER, 20.0, 85e3, outer=5e-3)


def test_bundles_fill_the_diameter_with_one_strand_less_than_too_many(found: tuple[StrandChoice, ...]) -> None:
    for one in found:
        assert one.bundle.diameter <= 5e-3 < 1.28 * math.sqrt(one.count + 1) * one.insulated


def test_where_they_win_both_have_the_same_resistance(found: tuple[StrandChoice, ...]) -> None:
    one = next(choice for choice in found if choice.strand == 0.1e-3)
    for against in ("size", "copper"):
        ends = one.wins(against)
        assert ends is not None
        np.testing.assert_allclose(one.over(np.array(ends)), one.wire(against, np.array(ends)), rtol=2e-3)
    gain, at = one.best("size")
    assert gain == pytest.approx(float(one.wire("size", np.array(at)) / one.over(np.array(at))), rel=1e-9)


def test_the_thicker_strand_is_bought_where_the_finer_gains_little(found: tuple[StrandChoice, ...]) -> None:
    best = worth_buying(found)
    assert best.resistance <= 1.05 * min(one.resistance for one in found)
    assert all(one.resistance > 1.05 * min(c.resistance for c in found) for one in found if one.strand > best.strand)


def test_the_same_copper() -> None:
    (one,) = choices((0.1e-3,), COPPER, 20.0, 85e3, copper=10e-6)
    assert one.bundle.bare == pytest.approx(10e-6, rel=1e-3)
    direct = 1.06 / (58e6 * one.bundle.bare)  # 1273 strands in groups of 20: more than two operations
    assert one.at_rest == pytest.approx(direct, rel=1e-12)


def test_no_bundle_of_a_strand_as_thick_and_no_enamel_of_a_thicker() -> None:
    assert choices((0.9e-3,), COPPER, 20.0, 85e3, outer=1e-3) == ()
    with pytest.raises(WireError):
        choices((2e-3,), COPPER, 20.0, 85e3, outer=20e-3)


def test_from_1_mm_up_one_wire_is_better_at_13_56_mhz() -> None:
    """As the published table beside the formula says of all strands."""
    for outer in (1e-3, 3e-3):
        at = np.array(13.56e6)
        assert all(c.resistance > c.wire("size", at) for c in choices(TRADE, COPPER, 20.0, 13.56e6, outer=outer))


def test_stranding_operations() -> None:
    assert [operations(count, 20) for count in (7, 20, 21, 100, 101, 500)] == [1, 1, 2, 2, 3, 3]


def test_a_size_of_far_too_many_strands_has_none_of_them() -> None:
    assert choices((2e-5,), MATERIALS["copper"], 20.0, 85e3, outer=5.0) == ()
