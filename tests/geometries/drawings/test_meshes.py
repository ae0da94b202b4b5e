"""Outlines of the regions of a finished mesh."""

import math

import meshio
import numpy as np
import pytest

from crosscurrent.geometries.drawings.meshes import read_mesh
from crosscurrent.geometries.errors import DrawingError

GRID = np.array([[x, y] for y in range(3) for x in range(5)], dtype=float)
CELLS = np.array(
    [t for y in range(2) for x in range(4) for k in [5 * y + x] for t in ((k, k + 1, k + 6), (k, k + 6, k + 5))]
)


def written(tmp_path, points, cells, kind="triangle", tags=None):
    path = tmp_path / "grid.vtu"
    flat = np.column_stack((points, np.zeros(len(points))))
    data = {"region": [np.asarray(tags)]} if tags is not None else None
    meshio.Mesh(flat, [(kind, cells)], cell_data=data).write(path)
    return path


def test_corners_on_straight_borders_go(tmp_path):
    (shape,) = read_mesh(written(tmp_path, GRID, CELLS), unit=1e-3).region(None).shapes
    assert len(shape.outer.points) == 4
    assert shape.outer.area == pytest.approx(8e-6)


def test_regions_by_their_tags(tmp_path):
    tags = np.where(GRID[CELLS].mean(axis=1)[:, 0] < 2, 1, 2)
    mesh = read_mesh(written(tmp_path, GRID, CELLS, tags=tags), unit=1.0)
    assert sorted(mesh.regions) == ["1", "2"]
    assert mesh.region("2").shapes[0].outer.area == pytest.approx(4.0)
    with pytest.raises(DrawingError, match="one region"):
        mesh.region(None)
    with pytest.raises(DrawingError, match="a region of the mesh"):
        mesh.region("3")


def test_nodes_in_the_middle_of_sides_make_arcs(tmp_path):
    a = np.pi / 4 * np.arange(8)
    points = np.concatenate((np.column_stack((np.cos(a), np.sin(a))), [[0, 0]], 0.5 * np.eye(2), -0.5 * np.eye(2)))
    cells = [(8, 2 * k, (2 * k + 2) % 8, 9 + k, 2 * k + 1, 9 + (k + 1) % 4) for k in range(4)]
    mesh = read_mesh(written(tmp_path, points, np.array(cells), "triangle6"), unit=1.0)
    (shape,) = mesh.region(None).shapes
    assert shape.outer.area == pytest.approx(math.pi, rel=1e-12)


def test_what_makes_no_section(tmp_path):
    with pytest.raises(DrawingError, match="unit"):
        read_mesh(tmp_path / "grid.vtu", unit=None)
    with pytest.raises(DrawingError, match="side by side"):
        _ = read_mesh(written(tmp_path, GRID, np.concatenate((CELLS, CELLS[:1]))), unit=1.0).region(None).shapes
    flat = GRID.copy()
    flat[6] = flat[0]
    flat[6, 0] += 0.5
    with pytest.raises(DrawingError, match="with an area"):
        read_mesh(written(tmp_path, flat, np.array([[0, 1, 6]])), unit=1.0)
