"""Equality of data that holds arrays."""

from dataclasses import dataclass

import numpy as np
import pytest
from scipy import sparse

from crosscurrent.geometries.arrays import same


@dataclass(frozen=True, eq=False)
class Held:
    values: np.ndarray
    name: str = "held"


ALIKE = [
    (Held(np.array([1.0, np.nan])), Held(np.array([1.0, np.nan]))),
    ({"a": (np.arange(3),)}, {"a": (np.arange(3),)}),
    (sparse.csc_array(np.eye(3)), sparse.csc_array(np.eye(3))),
    (float("nan"), float("nan")),
    ({1, 2}, {2, 1}),
]
UNLIKE = [
    (Held(np.array([1.0])), Held(np.array([1.0]), "other")),
    (np.array([1, 2]), np.array([1.0, 2.0])),
    ({"a": 1, "b": 2}, {"b": 2, "a": 1}),
    (1, 1.0),
    ([1, 2], [1, 2, 3]),
]


@pytest.mark.parametrize(("one", "other"), ALIKE)
def test_alike(one, other):
    assert same(one, other)


@pytest.mark.parametrize(("one", "other"), UNLIKE)
def test_unlike(one, other):
    assert not same(one, other)
