"""A finished triangle mesh -> the outlines of its tagged regions.

Only the outline is taken: the section is meshed afresh, since layers that follow the skin need triangles of their own.
"""

from __future__ import annotations

import contextlib
import io
import re
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.errors import DrawingError, GeometryError
from crosscurrent.geometries.plane.shapes import Shape

from .bounded_memory import bounded_memory
from .nesting import nest
from .reading import read_bytes
from .sketch import FARTHEST, PATIENCE, UNITS
from .tidying import tidied

MOST_TRIANGLES = 500_000
MOST_MEMORY = 2_000_000_000  # that reading may take [bytes]
SAME = 1e-9  # nodes nearer than this fraction of the mesh's size are one node
FLAT = 1e-10  # area over the square of the longest edge of a triangle that is none
_TAG_WORDS = ("region", "physical", "material", "ref", "tag", "domain", "attribute", "marker")
MEND = "mend the mesh in the program that made it"


@dataclass(frozen=True, eq=False)
class MeshRegion:
    """The triangles of one tag.

    Attributes
    ----------
    name : str
        As `region` names it.
    points : (n, 2) float
        Nodes of the whole mesh [m].
    triangles : (t, 6) int
        Corners counter-clockwise, then the nodes in the middle of the sides between them; -1 where there is none.
    """

    name: str
    points: FloatArray
    triangles: IntArray
    file: str

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """Its outlines with their holes; several where its triangles do not hang together."""
        outlines = []
        for loop in self._loops():
            try:
                outlines.append(tidied(loop).counter_clockwise())
            except GeometryError:
                self._hangs(loop[0][0])
        return nest(outlines)

    def _loops(self) -> list[tuple[FloatArray, FloatArray]]:
        """Corners and bulges along every border."""
        start = self.triangles[:, :3].ravel()
        end = np.roll(self.triangles[:, :3], -1, axis=1).ravel()
        middle = self.triangles[:, 3:].ravel()
        count = len(self.points)
        key, back = start * count + end, end * count + start
        unique, times = np.unique(key, return_counts=True)
        if (times > 1).any():
            place = self.points[unique[times > 1][0] // count]
            self._refuse("triangles that lie side by side", f"folded or overlapping ones at {_place(place)}")
        border = ~np.isin(back, key)
        start, end, middle = start[border], end[border], middle[border]
        if len(np.unique(start)) < len(start):
            twice, times = np.unique(start, return_counts=True)
            self._hangs(self.points[twice[times > 1][0]])
        bulge = self._bulges(start, end, middle)
        after = dict(zip(start.tolist(), range(len(start)), strict=True))
        left = dict.fromkeys(range(len(start)))
        loops = []
        while left:
            edge = next(iter(left))
            loop = []
            while edge in left:
                del left[edge]
                loop.append(edge)
                edge = after[int(end[edge])]
            loops.append((self.points[start[loop]], bulge[loop]))
        return loops

    def _bulges(self, start: IntArray, end: IntArray, middle: IntArray) -> FloatArray:
        """The circle through the three nodes of a curved side; the turn at the middle one is half its angle."""
        a, b = self.points[start], self.points[end]
        m = np.where((middle >= 0)[:, None], self.points[middle], (a + b) / 2)
        into, out = m - a, b - m
        turn = np.arctan2(into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0], (into * out).sum(axis=1))
        return np.where(np.abs(turn) > 1e-7, np.tan(turn / 2), 0.0)

    def _hangs(self, place: FloatArray) -> None:
        found = f"a node that hangs on an edge, or a region that touches itself, at {_place(place)}"
        self._refuse(f'triangles of region "{self.name}" that meet corner to corner', found)

    def _refuse(self, expected: str, found: str) -> None:
        raise DrawingError(expected, found, MEND, self.file)


@dataclass(frozen=True, eq=False)
class FinishedMesh:
    """A mesh file, checked.

    Attributes
    ----------
    file : str
    regions : mapping of str to MeshRegion
        In the order of their names.
    notes : tuple of str
    """

    file: str
    regions: Mapping[str, MeshRegion]
    notes: tuple[str, ...]

    def region(self, name: str | None) -> MeshRegion:
        """A region by its name or number; without one the only region there is.

        Raises
        ------
        DrawingError
            No such region, or several to choose from.
        """
        known = ", ".join(f'"{key}"' for key in list(self.regions)[:12])
        if name is None and len(self.regions) == 1:
            return next(iter(self.regions.values()))
        if name is None:
            found, hint = f"{len(self.regions)}", f"write region = {known.split(', ')[0]} or another one of {known}"
            raise DrawingError("one region, or a choice", found, hint, self.file)
        if name not in self.regions:
            raise DrawingError("a region of the mesh", f'"{name}"', f"its regions are {known}", self.file)
        return self.regions[name]


def read_mesh(path: str | Path, *, unit: float | None, scale: float = 1.0) -> FinishedMesh:
    """Read a flat mesh of triangles, straight or with nodes in the middle of their sides.

    Parameters
    ----------
    path : str or Path
        Of any format that meshio knows by the ending of its name.
    unit : float or None
        Metres in one unit of its coordinates; no mesh file says.
    scale : float
        Factor on all lengths.

    Raises
    ------
    DrawingError
        The file cannot be read or its triangles make no section; or the unit is missing.

    Notes
    -----
    Sides of straight triangles stay chords: a circle of 72 of them has 0.13 % less area. Sides with a node in the
    middle become the arc through their three nodes.
    """
    path = Path(path)
    if unit is None:
        hint = f'state it: unit = "mm" (or {", ".join(list(UNITS)[1:])})'
        raise DrawingError("the unit of the mesh", "none, since mesh files do not say", hint, path.name)
    mesh = _loaded(path)
    notes: list[str] = []
    blocks = [(k, block) for k, block in enumerate(mesh.cells) if block.type in ("triangle", "triangle6")]
    others = {b.type for b in mesh.cells} - {"triangle", "triangle6", "line", "line3", "vertex"}
    if others or not blocks:
        found = ", ".join(sorted(others)) or "none"
        raise DrawingError("a flat mesh of triangles", found, "cut the section into triangles", path.name)
    total = sum(len(block.data) for _, block in blocks)
    if total > MOST_TRIANGLES:
        hint = "a coarse one will do, since only outlines are taken"
        raise DrawingError(f"a mesh of at most {MOST_TRIANGLES} triangles", f"{total}", hint, path.name)
    points = _flat(np.asarray(mesh.points, dtype=float), path.name) * (unit * scale)
    triangles = np.concatenate([_six(np.asarray(block.data, dtype=np.int64)) for _, block in blocks])
    if triangles.max() >= len(points) or triangles.min() < -1:
        raise DrawingError("corners among the nodes", "a triangle with a node that is not there", MEND, path.name)
    triangles = _sound(points, _merged(points, triangles, notes), path.name)
    tags = _tags(mesh, [k for k, _ in blocks], total, notes)
    regions = {name: MeshRegion(name, points, triangles[tags == name], path.name) for name in sorted(set(tags))}
    return FinishedMesh(path.name, regions, tuple(notes))


def _loaded(path: Path) -> Any:
    import meshio

    data = read_bytes(path)
    if re.search(rb"<!ENTITY", data.replace(b"\0", b""), re.IGNORECASE):
        raise DrawingError("a mesh file without declared entities", "<!ENTITY ...>", MEND, path.name)
    hint = "save it in a format whose ending is known, such as .vtu, .vtk, .msh, .inp or .stl"
    outcome: list[Any] = []

    def read() -> None:
        try:
            outcome.append(meshio.read(path))
        except BaseException as error:  # the library ends the program where it knows no way on
            outcome.append(error)

    # a thread of its own: the library may never come back from a damaged file, and prints what it thinks of it
    reader = threading.Thread(target=read, daemon=True)
    quiet = contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO())
    with quiet[0], quiet[1], bounded_memory(MOST_MEMORY):
        reader.start()
        reader.join(PATIENCE)
    if not outcome:
        raise DrawingError(f"a mesh file that is read in {PATIENCE:g} s", "one that takes longer", hint, path.name)
    if isinstance(outcome[0], MemoryError):
        expected = f"a mesh file that is read in {MOST_MEMORY / 1e9:g} GB of memory"
        raise DrawingError(expected, "one that takes more", "save a coarser mesh: only outlines are taken", path.name)
    if isinstance(outcome[0], BaseException):  # its words may hold lines of a file that is no mesh
        raise DrawingError("a sound mesh file", "a damaged one, or one of another kind", hint, path.name)
    return outcome[0]


def _flat(points: FloatArray, file: str) -> FloatArray:
    if points.ndim != 2 or points.shape[1] < 2:
        raise DrawingError("nodes with x and y", "others", MEND, file)
    if not (np.abs(points) < FARTHEST).all():
        found = "a node that is not a number, or beyond all measure"
        raise DrawingError("coordinates of a section", found, MEND, file)
    if points.shape[1] > 2 and np.ptp(points[:, 2]) > SAME * np.ptp(points, axis=0).max():
        height = f"nodes at different heights z (by {np.ptp(points[:, 2]):.4g})"
        raise DrawingError("a flat mesh in the plane x, y", height, "save the section alone, lying flat", file)
    return points[:, :2]


def _six(data: IntArray) -> IntArray:
    """Corners and middle nodes; -1 for the middle nodes of straight triangles."""
    return data if data.shape[1] == 6 else np.column_stack((data, np.full((len(data), 3), -1)))


def _merged(points: FloatArray, triangles: IntArray, notes: list[str]) -> IntArray:
    """Nodes on the same place become one."""
    corners = np.unique(triangles[:, :3])
    size = float(np.hypot(*np.ptp(points[corners], axis=0)))
    pairs = cKDTree(points[corners]).query_pairs(SAME * size, output_type="ndarray")
    if not len(pairs):
        return triangles
    graph = coo_array((np.ones(len(pairs)), pairs.T), shape=(len(corners),) * 2)
    count, label = connected_components(graph, directed=False)
    first = np.full(count, len(points))
    np.minimum.at(first, label, corners)
    to = np.arange(len(points))
    to[corners] = first[label]
    notes.append(f"{len(corners) - count} nodes that stood on the place of another one were merged with it")
    return np.column_stack((to[triangles[:, :3]], triangles[:, 3:]))


def _sound(points: FloatArray, triangles: IntArray, file: str) -> IntArray:
    """Triangles counter-clockwise; those without area are refused."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    area = ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2
    longest = np.max([((p - q) ** 2).sum(axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    none = np.abs(area) <= FLAT * longest
    if none.any():
        found = f"{int(none.sum())} without, the first at {_place(a[none][0])}"
        raise DrawingError("triangles with an area", found, MEND, file)
    return np.where((area < 0)[:, None], triangles[:, [0, 2, 1, 5, 4, 3]], triangles)


def _tags(mesh: Any, blocks: list[int], total: int, notes: list[str]) -> np.ndarray[tuple[int], np.dtype[Any]]:
    """Name of every triangle's region: of named sets of cells, or else of whole numbers given to the cells."""
    names = np.full(total, "", dtype=object)
    lengths = [len(mesh.cells[k].data) for k in blocks]
    first = np.concatenate(([0], np.cumsum(lengths)))
    for name, members in mesh.cell_sets.items():
        for n, k in enumerate(blocks):
            if k < len(members) and members[k] is not None and len(members[k]):
                names[first[n] + np.asarray(members[k], dtype=int)] = name
    if (names != "").any():
        names[names == ""] = "rest"
        return names
    whole = [key for key, rows in mesh.cell_data.items() if all(_whole(rows[k]) for k in blocks)]
    ranked = sorted(whole, key=lambda key: min([n for n, w in enumerate(_TAG_WORDS) if w in key.lower()], default=99))
    if not ranked:
        return np.full(total, "all", dtype=object)
    if len(ranked) > 1:
        notes.append(f'regions are told by "{ranked[0]}"; {", ".join(ranked[1:])} were not looked at')
    called = {int(tag): name for name, (tag, dimension) in mesh.field_data.items() if int(dimension) == 2}
    values = np.concatenate([np.asarray(mesh.cell_data[ranked[0]][k]).ravel() for k in blocks])
    return np.array([called.get(int(v), str(int(v))) for v in values], dtype=object)


def _whole(values: Any) -> bool:
    numbers = np.asarray(values)
    return bool(numbers.ndim == 1 and numbers.dtype.kind in "iuf" and (numbers == np.round(numbers)).all())


def _place(point: FloatArray) -> str:
    return f"({point[0] * 1e3:.6g}, {point[1] * 1e3:.6g}) mm"
