"""Polynomials over causes: worst cases, shares and draws against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.topics.tolerance_response import Polynomial, along_each, draws, fill, keeping, middle, with_products

PRODUCT = Polynomial(0.0, np.array([1.0, 1.0]), np.array([[0.0, -2.0], [-2.0, 0.0]]))  # u + v - 4 u v


def test_the_worst_case_of_products_lies_at_a_corner_that_slopes_do_not_name() -> None:
    largest = PRODUCT.extreme(1)
    assert float(PRODUCT.at(largest)) == pytest.approx(4.0)  # at (1, -1); slopes name (1, 1), where it is -2
    assert float(PRODUCT.at(PRODUCT.extreme(-1))) == pytest.approx(-6.0)


def test_the_worst_case_may_lie_inside() -> None:
    found = along_each(0.0, np.array([[-1.5, -0.5]]))  # 0.5 u - u^2, largest 1/16 at u = 1/4
    assert found.extreme(1) == pytest.approx([0.25])
    assert float(found.at(found.extreme(1))) == pytest.approx(1 / 16)


def test_many_causes_without_products() -> None:
    found = along_each(1.0, np.array([[0.9, 1.1]] * 40))
    assert float(found.at(found.extreme(1))) == pytest.approx(1 + 40 * 0.1)


@pytest.mark.parametrize("read_as", ["bound", "two standard deviations"])
def test_shares_are_those_of_drawn_variances(read_as) -> None:
    found = Polynomial(0.0, np.array([1.0, 0.5]), np.array([[0.4, 0.0], [0.0, 0.0]]))
    drawn = draws(2, read_as)
    own = [float((found.at(drawn * one) - found.value).var()) for one in np.eye(2)]
    assert found.shares(read_as) == pytest.approx(np.array(own) / sum(own), abs=0.005)
    assert PRODUCT.shares(read_as) == pytest.approx([0.5, 0.5])


def test_of_two_even_causes_95_per_cent_lie_where_the_triangle_says() -> None:
    low, high = middle(Polynomial(0.0, np.ones(2), np.zeros((2, 2))).at(draws(2, "bound")))
    assert (low, high) == pytest.approx((np.sqrt(0.2) - 2, 2 - np.sqrt(0.2)), abs=0.02)


def test_of_normal_causes_95_per_cent_lie_within_1_96() -> None:
    low, high = middle(Polynomial(0.0, np.array([3.0, 4.0]), np.zeros((2, 2))).at(draws(2, "two standard deviations")))
    assert (low, high) == pytest.approx((-1.95996 * 2.5, 1.95996 * 2.5), rel=0.01)


@pytest.mark.parametrize("causes", [2, 3, 6])
def test_products_are_found_from_places_between(causes: int) -> None:
    wanted = np.ones((causes, causes)) - np.eye(causes)
    places = fill(causes)
    assert len(places) > causes * (causes - 1) // 2
    flat = Polynomial(5.0, np.arange(1.0, causes + 1), np.zeros((causes, causes)))
    found = with_products(flat, places, Polynomial(5.0, flat.slope, wanted).at(places))
    assert found.curvature == pytest.approx(wanted, abs=1e-9)


def test_shares_that_keep_a_limit() -> None:
    even = along_each(0.0, np.array([[-1.0, 1.0]])).at(draws(1, "bound"))
    assert keeping(even, 0.5, 0.0) == (75, 75)
    assert keeping(even, 0.5, 0.1) == (70, 80)
    assert keeping(even, 0.0, 2.0) == (0, 100)
