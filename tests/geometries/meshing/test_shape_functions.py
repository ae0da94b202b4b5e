"""Shape functions and quadrature on the reference triangle: exact for polynomials."""

from math import factorial

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

PLACES = np.array([[0.2, 0.3], [0.7, 0.1], [0.05, 0.9], [0.0, 0.0]])


@pytest.mark.parametrize("order", range(1, 8))
def test_one_at_their_node_and_zero_at_the_others(order):
    assert np.allclose(values(order, lattice(order)[:, 1:] / order), np.eye(len(lattice(order))), atol=1e-11)


@pytest.mark.parametrize("order", range(1, 8))
def test_polynomials_of_their_order_are_met_with_their_slopes(order):
    x, y = (lattice(order)[:, 1:] / order).T
    at = x**order - 2 * x * y ** (order - 1) + 3
    px, py = PLACES.T
    wanted = px**order - 2 * px * py ** (order - 1) + 3
    assert values(order, PLACES) @ at == pytest.approx(wanted, abs=1e-12)
    slope = np.einsum("pnd,n->pd", gradients(order, PLACES), at)
    by_x = order * px ** (order - 1) - 2 * py ** (order - 1)
    by_y = -2 * px * (order - 1) * py ** max(order - 2, 0)
    assert slope == pytest.approx(np.column_stack((by_x, by_y)), abs=1e-10)


@pytest.mark.parametrize("degree", [0, 1, 2, 5, 8, 13])
def test_quadrature_of_monomials(degree):
    places, weights = quadrature(degree)
    for i in range(degree + 1):
        j = degree - i  # integral of x^i y^j over the triangle: i! j! / (i + j + 2)!
        exact = factorial(i) * factorial(j) / factorial(i + j + 2)
        assert (weights * places[:, 0] ** i * places[:, 1] ** j).sum() == pytest.approx(exact, rel=1e-12)
