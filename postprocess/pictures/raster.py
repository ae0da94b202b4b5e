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
    empty = (255, 255, 255, 0) if finer == 1 else (0, 0, 0, 0)
    fine = np.empty((rows * columns, 4), dtype=np.uint8)
    fine[:] = empty
    size = np.array([columns, rows], dtype=float)
    for points, triangles, colours in paints:
        place = (points - window[0]) / (window[1] - window[0]) * size
        shade = np.asarray(255 * colours[:, :3], dtype=np.float32)
        across, up = (_hold_a_middle(place[:, k], triangles, count) for k, count in enumerate((columns, rows)))
        shown = triangles[across & up]
        for first in range(0, len(shown), BLOCK):
            block = shown[first : first + BLOCK]
            _fill(fine, (rows, columns), place[block], shade[block])
    fine = fine.reshape(rows, columns, 4)[::-1]
    return _closed(fine if finer == 1 else _averaged(fine, finer))


def _hold_a_middle(place: FloatArray, triangles: IntArray, count: int) -> BoolArray:
    """Triangles that reach, along one axis, over the middle of one of so many pixels: the others paint nothing."""
    one, two, three = (np.ceil(place - 0.5).clip(0, count).astype(int)[triangles[:, k]] for k in range(3))
    return np.asarray((one != two) | (two != three))


def _averaged(fine: Image, finer: int) -> Image:
    """Every finer x finer pixels as one; only painted ones count for its colour, an empty one is clear white."""
    rows, columns = (n // finer for n in fine.shape[:2])
    # two channels to a sum, in the lower and the upper half of a word: at most 255 finer^2 each
    words, low = np.ascontiguousarray(fine).view("<u4")[..., 0], np.uint32(0x00FF00FF)
    sums = np.zeros((2, rows, columns), dtype=np.uint32)
    for i in range(finer):
        for j in range(finer):
            some = words[i::finer, j::finer]
            sums[0] += some & low
            sums[1] += (some >> np.uint32(8)) & low
    total = np.empty((rows, columns, 4), dtype=np.uint16)
    total[..., 0::2], total[..., 1::2] = (s.view("<u2").reshape(rows, columns, 2) for s in sums)
    image = np.full((rows, columns, 4), (255, 255, 255, 0), dtype=np.uint8)
    weight = total[..., 3] // 255
    for count in range(1, finer**2 + 1):
        on = weight == count
        image[on] = total[on] // np.array([count, count, count, finer**2])
    return image


def _closed(image: Image) -> Image:
    """Without specks: a pixel between two whole ones is whole (elements cut unlike may leave a hair open)."""
    whole = image[..., 3] == 255
    specks = ~whole[:, 1:-1] & whole[:, :-2] & whole[:, 2:]
    image[:, 1:-1][specks] = image[:, :-2][specks]
    specks = ~whole[1:-1] & whole[:-2] & whole[2:]
    image[1:-1][specks] = image[:-2][specks]
    return image


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
    ends = np.minimum(one[0], two[0]), np.maximum(one[0], two[0])
    begin, end = (np.clip(np.ceil(x - 0.5), 0, size[1]).astype(int) for x in ends)
    span, column = _counted(begin, end)
    mix = ((column + 0.5 - one[0][span]) / (two[0] - one[0])[span]).astype(np.float32)[:, None]
    painted = np.full((len(span), 4), 255, dtype=np.uint8)
    painted[:, :3] = one[1][span] + mix * (two[1] - one[1])[span]
    image.view(np.uint32)[row[span] * size[1] + column, 0] = painted.view(np.uint32)[:, 0]


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
