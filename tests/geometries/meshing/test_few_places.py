"""Quadratures with few places: integral of x^i y^j over the reference triangle is i! j! / (i + j + 2)!."""

from math import factorial

import numpy as np
import pytest

from crosscurrent.geometries.meshing.few_places import few_places


@pytest.mark.parametrize("degree", [2, 6, 8, 10, 12, 14])
def test_polynomials_are_integrated_to_the_last_digits(degree: int) -> None:
    places, weights = few_places(degree)
    assert (places > 0).all()
    assert (places.sum(axis=1) < 1).all()
    for i in range(degree + 1):
        for j in range(degree + 1 - i):
            found = weights @ (places[:, 0] ** i * places[:, 1] ** j)
            assert found == pytest.approx(factorial(i) * factorial(j) / factorial(i + j + 2), rel=1e-13)


def test_they_are_no_more_than_products_have() -> None:
    assert [len(few_places(degree)[0]) for degree in (6, 8, 10, 12)] == [12, 16, 25, 33]
    assert np.isclose(few_places(20)[1].sum(), 0.5)
