"""Small triangles with a colour at each corner, painted once into an image that PNG and SVG share."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

BLOCK = 40_000  # triangles painted at once
Image = npt.NDArray[np.uint8]
Colours = npt.NDArray[np.float32]
Paint = tuple[FloatArray, IntArray, FloatArray]  # points (n, 2) [m], triangles (k, 3), colours (n, 4)


def painted(window: FloatArray, pixel: float, paints: Iterable[Paint], *, finer: int = 1) -> Image:
    """The image of a window (2, 2) [m] with square pixels [m], first row at the top.

    Parameters
    ----------
    window : (2, 2) float
        Lower left and upper right corner [m].
    pixel : float
        [m]
    paints : iterable of (points, triangles, colours)
        Later ones cover earlier ones.
    finer : int
        Painted this many times finer than shown, then averaged: for edges over which no outline is drawn.

    Returns
    -------
    (rows, columns, 4) uint8

    Examples
    --------
    >>> corner = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    >>> image = painted(np.array([[0.0, 0.0], [1.0, 1.0]]), 0.25, [(corner, np.array([[0, 1, 2]]), np.zeros((3, 4)))])
    >>> (image[..., 3] // 255).tolist()
    [[0, 0, 0, 0], [1, 0, 0, 0], [1, 1, 0, 0], [1, 1, 1, 0]]
    """
    columns, rows = (finer * max(1, round(float(extent) / pixel)) for extent in window[1] - window[0])
    fine = np.zeros((rows * columns, 4), dtype=np.uint8)
    size = np.array([columns, rows], dtype=float)
    for points, triangles, colours in paints:
        place = (points - window[0]) / (window[1] - window[0]) * size
        x, y = (place[:, k][triangles] for k in range(2))
        seen = _some(x >= 0) & _some(x <= columns) & _some(y >= 0) & _some(y <= rows)
        shade = np.asarray(255 * colours[:, :3], dtype=np.float32)
        shown = triangles[seen]
        for first in range(0, len(shown), BLOCK):
            block = shown[first : first + BLOCK]
            _fill(fine, (rows, columns), place[block], shade[block])
    fine = fine.reshape(rows, columns, 4)[::-1]
    if finer == 1:
        fine[fine[..., 3] == 0] = (255, 255, 255, 0)
        return _closed(fine)
    total = np.zeros((rows // finer, columns // finer, 4), dtype=np.uint16)
    for i in range(finer):
        for j in range(finer):
            total += fine[i::finer, j::finer]
    # an empty pixel is clear white; only painted ones count for the colour at the edge of the metal
    weight = total[..., 3:] // 255
    colour = np.where(weight > 0, total[..., :3] // np.maximum(weight, 1), 255)
    return _closed(np.concatenate((colour, 255 * weight // finer**2), axis=-1).astype(np.uint8))


def _closed(image: Image) -> Image:
    """Without specks: a pixel between two whole ones is whole (elements cut unlike may leave a hair open)."""
    whole = image[..., 3] == 255
    specks = ~whole[:, 1:-1] & whole[:, :-2] & whole[:, 2:]
    image[:, 1:-1][specks] = image[:, :-2][specks]
    specks = ~whole[1:-1] & whole[:-2] & whole[2:]
    image[1:-1][specks] = image[:-2][specks]
    return image


def _some(of_corners: BoolArray) -> BoolArray:
    return np.asarray(of_corners[:, 0] | of_corners[:, 1] | of_corners[:, 2])


def _fill(image: Image, size: tuple[int, int], corner: FloatArray, colour: Colours) -> None:
    """Paint triangles (k, 3, 2) [pixels] with colours at their corners (k, 3, 3), first row at the bottom.

    A pixel takes the colour at its centre; between the corners colours are mixed, never carried on beyond them, so that
    slivers stay within their colours. Neighbours share their edges without a gap.
    """
    order = np.argsort(corner[..., 1], axis=1)
    corner, colour = np.take_along_axis(corner, order[..., None], 1), np.take_along_axis(colour, order[..., None], 1)
    heights = corner[..., 1]
    first = np.clip(np.ceil(heights[:, 0] - 0.5), 0, size[0]).astype(int)
    last = np.clip(np.ceil(heights[:, 2] - 0.5), 0, size[0]).astype(int)
    triangle, row = _counted(first, last)
    y = np.asarray(row + 0.5, dtype=float)
    upper = (y >= heights[triangle, 1]).astype(int)
    one = _crossing(corner, colour, triangle, np.zeros_like(upper), np.full_like(upper, 2), y)
    two = _crossing(corner, colour, triangle, upper, upper + 1, y)
    swap = one[0] > two[0]
    left, right = (np.where(swap, a[0], b[0]) for a, b in ((two, one), (one, two)))
    begin, end = (np.clip(np.ceil(x - 0.5), 0, size[1]).astype(int) for x in (left, right))
    span, column = _counted(begin, end)
    mix = ((column + 0.5 - one[0][span]) / (two[0] - one[0])[span]).astype(np.float32)[:, None]
    image[row[span] * size[1] + column, :3] = one[1][span] + mix * (two[1] - one[1])[span]
    image[row[span] * size[1] + column, 3] = 255


def _counted(first: IntArray, last: IntArray) -> tuple[IntArray, IntArray]:
    """Number of the range and the count in it, for all ranges first .. last - 1 in turn."""
    lengths = np.maximum(last - first, 0)
    which = np.repeat(np.arange(len(lengths)), lengths)
    return which, np.arange(len(which)) - (np.cumsum(lengths) - lengths - first)[which]


def _crossing(
    corner: FloatArray, colour: Colours, triangle: IntArray, a: IntArray, b: IntArray, y: FloatArray
) -> tuple[FloatArray, Colours]:
    """Where edges a-b of triangles cross heights y [pixels], and the colours there."""
    start, end = corner[triangle, a], corner[triangle, b]
    part = (y - start[:, 1]) / (end[:, 1] - start[:, 1])
    mix = part.astype(np.float32)[:, None]
    first = colour[triangle, a]
    return start[:, 0] + part * (end[:, 0] - start[:, 0]), first + mix * (colour[triangle, b] - first)


def show(axes: Axes, image: npt.NDArray[np.uint8], window: FloatArray) -> None:
    """Put a painted image into an axes in true aspect."""
    (left, low), (right, high) = window
    axes.imshow(image, extent=(left, right, low, high), interpolation="nearest", aspect="equal", zorder=0)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_xticks([])
    axes.set_yticks([])
