"""Elements cut into small triangles that cover them whole."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.postprocess.answers.field_values import small_triangles


@pytest.mark.parametrize("fineness", [1, 2, 3, 7])
def test_small_triangles_cover_the_element_once(fineness: int) -> None:
    corner = (lattice(fineness)[:, 1:] / fineness)[small_triangles(fineness)]
    u, v = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    assert len(corner) == fineness**2
    np.testing.assert_allclose(twice, 1 / fineness**2, rtol=1e-12)  # alike, and none turned over
