"""The direct solution of complex symmetric systems."""

import numpy as np
import pytest
from scipy import sparse

from crosscurrent.solver.elements.factor import COLUMNS, eliminated, factorised


@pytest.fixture(scope="module")
def system() -> sparse.csc_array:
    """A grid of springs with losses, scaled unevenly: complex symmetric, both parts definite."""
    line = sparse.diags_array([-np.ones(19), 2.1 * np.ones(20), -np.ones(19)], offsets=[-1, 0, 1])
    grid = sparse.kron(line, sparse.eye_array(20)) + sparse.kron(sparse.eye_array(20), line)
    scale = sparse.diags_array(np.geomspace(1, 1e4, 400))
    return sparse.csc_array(scale @ (grid + 1e3j * sparse.eye_array(400)) @ scale)


@pytest.mark.parametrize("columns", [1, COLUMNS + 5])
def test_residual_is_rounding(system: sparse.csc_array, columns: int) -> None:
    right = np.random.default_rng(3).normal(size=(400, columns)) + 0j
    found = factorised(system)(right)
    scale = np.abs(system) @ np.abs(found) + np.abs(right)
    assert (np.abs(system @ found - right) / scale).max() < 1e-14


def test_a_single_right_hand_side_keeps_its_shape(system: sparse.csc_array) -> None:
    assert factorised(system)(np.ones(400)).shape == (400,)


def test_factors_keep_the_ordering_that_was_asked_for(system: sparse.csc_array) -> None:
    assert eliminated(system, "NATURAL").perm_c.tolist() == list(range(400))
