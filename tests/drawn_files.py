"""A small drawing and a small mesh to read."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import meshio
import numpy as np

GRID = [[float(x), float(y), 0.0] for y in range(4) for x in range(5)]


def save(folder: Path, name: str = "bars.dxf", units: int = 4) -> ezdxf.document.Drawing:
    doc = ezdxf.new()
    doc.header["$INSUNITS"] = units
    m = doc.modelspace()
    for y in (0, 8):
        m.add_lwpolyline([(0, y), (20, y), (20, y + 3), (0, y + 3)], close=True, dxfattribs={"layer": "pair"})
    m.add_lwpolyline(
        [(0, 0, 0), (20, 0, 0.2), (20, 3, 0), (0, 3, -0.3)], format="xyb", close=True, dxfattribs={"layer": "odd"}
    )
    m.add_text("x", dxfattribs={"layer": "pair"})
    doc.saveas(folder / name)
    return doc


def write_mesh(path: Path, points: list[list[float]], triangles: list[list[int]], tags: list[int] | None = None) -> str:
    kind = "triangle" if len(triangles[0]) == 3 else "triangle6"
    data = {"region": [np.array(tags or [1] * len(triangles))]}
    meshio.Mesh(np.array(points, dtype=float), [(kind, np.array(triangles))], cell_data=data).write(path)
    return str(path)


def grid_triangles(cells: list[tuple[int, int]]) -> list[list[int]]:
    corners = [(5 * y + x, 5 * y + x + 1, 5 * y + x + 6, 5 * y + x + 5) for x, y in cells]
    return [t for a, b, c, d in corners for t in ([a, b, c], [d, a, c])]
