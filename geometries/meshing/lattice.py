"""The nodes of a triangle of any order: corners, sides, inside."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from crosscurrent.geometries.arrays import IntArray


@lru_cache(maxsize=32)
def lattice(order: int) -> IntArray:
    """Barycentric lattice of a triangle, (n, 3) int, coordinates times order.

    Corners first, then the nodes of edge 0-1, edge 1-2, edge 2-0 in that direction, then the inner ones.

    Examples
    --------
    >>> lattice(2).tolist()
    [[2, 0, 0], [0, 2, 0], [0, 0, 2], [1, 1, 0], [0, 1, 1], [1, 0, 1]]
    """
    corners = [(order, 0, 0), (0, order, 0), (0, 0, order)]
    steps = range(1, order)
    edges = [(order - k, k, 0) for k in steps] + [(0, order - k, k) for k in steps] + [(k, 0, order - k) for k in steps]
    inner = [(order - i - j, i, j) for j in range(1, order - 1) for i in range(1, order - j)]
    found = np.array(corners + edges + inner)
    found.flags.writeable = False
    return found
