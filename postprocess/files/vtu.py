"""Quadratic triangles with their values as a VTU file: XML whose arrays are packed by blocks, then put in base 64."""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import FloatArray, IntArray

BLOCK = 1 << 15  # bytes packed at once: a reader unpacks what it wants of an array
LEVEL = 1  # the digits of a field hardly pack: more effort takes twice as long for a hundredth of the size
QUADRATIC_TRIANGLE = 22  # number of the cell's type in the format
TYPES = {"f8": "Float64", "i4": "Int32", "i8": "Int64", "u1": "UInt8"}
Values: TypeAlias = FloatArray | npt.NDArray[np.int32] | npt.NDArray[np.int64] | npt.NDArray[np.uint8]


def write_vtu(
    path: Path | str, points: FloatArray, triangles: IntArray, at_points: Mapping[str, Values], of: Mapping[str, Values]
) -> None:
    """Write a field file; the same values give the same bytes.

    Parameters
    ----------
    path : path
    points : (n, 3) float
        [m]
    triangles : (m, 6) int
        Corners, then the middles of the sides from the first corner on.
    at_points, of : mapping of str to array (n,), (m,)
        Values of the points; values of the triangles. Their names go into the file as they are.
    """
    count = len(triangles)
    cells: dict[str, Values] = {
        "connectivity": triangles.astype(np.int64, copy=False).ravel(),
        "offsets": np.arange(6, 6 * count + 1, 6, dtype=np.int64),
        "types": np.full(count, QUADRATIC_TRIANGLE, dtype=np.uint8),
    }
    head = 'type="UnstructuredGrid" version="0.1" byte_order="LittleEndian" header_type="UInt32"'
    with Path(path).open("w", encoding="ascii") as file:
        file.write(f'<?xml version="1.0"?>\n<VTKFile {head} compressor="vtkZLibDataCompressor">\n<UnstructuredGrid>\n')
        file.write(f'<Piece NumberOfPoints="{len(points)}" NumberOfCells="{count}">\n')
        sections: dict[str, Mapping[str, Values]] = {
            "Points": {"Points": points},
            "Cells": cells,
            "PointData": at_points,
            "CellData": of,
        }
        for section, arrays in sections.items():
            file.write(f"<{section}>\n")
            file.writelines(_arrays(arrays))
            file.write(f"</{section}>\n")
        file.write("</Piece>\n</UnstructuredGrid>\n</VTKFile>\n")


def _arrays(arrays: Mapping[str, Values]) -> Iterator[str]:
    for name, values in arrays.items():
        plain = np.ascontiguousarray(values, dtype=values.dtype.newbyteorder("<"))
        wide = f' NumberOfComponents="{plain.shape[1]}"' if plain.ndim > 1 else ""
        kind = TYPES[plain.dtype.str[1:]]
        yield f'<DataArray type="{kind}" Name="{name}"{wide} format="binary">{_packed(plain.tobytes())}</DataArray>\n'


def _packed(data: bytes) -> str:
    """Blocks, each packed by itself, after how many there are, their size, that of the last, and their packed sizes."""
    blocks = [zlib.compress(data[first : first + BLOCK], LEVEL) for first in range(0, len(data), BLOCK)]
    last = len(data) - BLOCK * (len(blocks) - 1) if blocks else 0
    sizes = np.array([len(blocks), BLOCK, last, *map(len, blocks)], dtype="<u4")
    return (base64.b64encode(sizes.tobytes()) + base64.b64encode(b"".join(blocks))).decode("ascii")
