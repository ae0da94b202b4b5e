"""Field files read back by a general library for meshes."""

import meshio
import numpy as np
import pytest

from crosscurrent.postprocess.files.vtu import BLOCK, write_vtu


@pytest.mark.parametrize("count", [1, BLOCK // 8, BLOCK // 8 + 1, 3 * BLOCK // 8])
def test_every_value_comes_back(tmp_path, count):
    """Arrays of less than a block, of whole blocks and of one value more."""
    draw = np.random.default_rng(count)
    points, triangles = draw.normal(size=(count, 3)), draw.integers(count, size=(count, 6))
    at_points = {"J_re": draw.normal(size=count), "A_abs": np.zeros(count)}
    of = {"region": np.arange(count, dtype=np.int32) - 1, "conductivity": draw.normal(size=count)}
    for path in (tmp_path / "one.vtu", tmp_path / "two.vtu"):
        write_vtu(path, points, triangles, at_points, of)
    found = meshio.read(tmp_path / "one.vtu")
    assert (found.points == points).all()
    assert found.cells[0].type == "triangle6"
    assert (found.cells[0].data == triangles).all()
    assert {name: values.tolist() for name, values in found.point_data.items()} == {
        name: values.tolist() for name, values in at_points.items()
    }
    assert {name: values[0].tolist() for name, values in found.cell_data.items()} == {
        name: values.tolist() for name, values in of.items()
    }
    assert (tmp_path / "one.vtu").read_bytes() == (tmp_path / "two.vtu").read_bytes()
