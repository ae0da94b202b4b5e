"""Small triangles with a colour at each corner, painted once into an image that PNG and SVG share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

BLOCK = 40_000  # triangles painted at once
Image = npt.NDArray[np.uint8]
Colours = npt.NDArray[np.float32]
Shape = tuple[FloatArray, IntArray]  # points (n, 2) [m], triangles (k, 3)
Paint = tuple[FloatArray, IntArray, FloatArray]  # the same with colours (n, 4)


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
    every = list(paints)
    raster = Raster.of(window, pixel, [paint[:2] for paint in every], finer=finer)
    return raster.image([colours for *_, colours in every])


@dataclass(frozen=True, eq=False)
class Raster:
    """Which triangles the pixels of a window show: made once, it takes any colours.

    Attributes
    ----------
    rows, columns, finer : int
        Of the image as it is painted; how many of its pixels are one of those shown.
    covers : list of list of Cover
        For each shape in turn.
    """

    rows: int
    columns: int
    finer: int
    covers: list[list[Cover]]

    @classmethod
    def of(cls, window: FloatArray, pixel: float, shapes: Iterable[Shape], *, finer: int = 1) -> Raster:
        """Of shapes that cover one another in turn; the rest as for `painted`."""
        columns, rows = (finer * max(1, round(float(extent) / pixel)) for extent in window[1] - window[0])
        size = np.array([columns, rows], dtype=float)
        covers = []
        for points, triangles in shapes:
            place = (points - window[0]) / (window[1] - window[0]) * size
            across, up = (_hold_a_middle(place[:, k], triangles, count) for k, count in enumerate((columns, rows)))
            shown = triangles[across & up]
            blocks = (shown[first : first + BLOCK] for first in range(0, len(shown), BLOCK))
            covers.append([_cover(place, block, (rows, columns)) for block in blocks])
        return cls(rows, columns, finer, covers)

    def image(self, colours: Iterable[FloatArray]) -> Image:
        """With colours (n, 4) at the points of every shape."""
        empty = (255, 255, 255, 0) if self.finer == 1 else (0, 0, 0, 0)
        fine = np.empty((self.rows * self.columns, 4), dtype=np.uint8)
        fine[:] = empty
        for covers, colour in zip(self.covers, colours, strict=True):
            shade = np.asarray(255 * colour[:, :3], dtype=np.float32)
            for cover in covers:
                fine.view(np.uint32)[cover.pixel, 0] = cover.painted(shade).view(np.uint32)[:, 0]
        fine = fine.reshape(self.rows, self.columns, 4)[::-1]
        return _closed(fine if self.finer == 1 else _averaged(fine, self.finer))


@dataclass(frozen=True, eq=False)
class Cover:
    """The pixels of some triangles, each between two places on their edges at one height.

    A pixel takes the colour at its centre; between the corners colours are mixed, never carried on beyond them, so that
    slivers stay within their colours.

    Attributes
    ----------
    edges : two of (start, end, part)
        Points (r,) that the edges on both sides run between, and how far along them the height is.
    span, mix : (m,)
        For every pixel its height and how far it is from the first of these places to the second.
    pixel : (m,) int
        Its number, row by row from the lowest.
    """

    edges: tuple[tuple[IntArray, IntArray, Colours], tuple[IntArray, IntArray, Colours]]
    span: IntArray
    mix: Colours
    pixel: IntArray

    def painted(self, shade: Colours) -> Image:
        """Its pixels (m, 4) with colours (n, 3) at the points."""
        one, two = (shade[a] + part[:, None] * (shade[b] - shade[a]) for a, b, part in self.edges)
        found = np.full((len(self.span), 4), 255, dtype=np.uint8)
        found[:, :3] = one[self.span] + self.mix[:, None] * (two - one)[self.span]
        return found


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


def _cover(place: FloatArray, triangles: IntArray, size: tuple[int, int]) -> Cover:
    """Of triangles between points (n, 2) [pixels], first row at the bottom; neighbours share edges without a gap."""
    heights = place[triangles, 1]
    order, each = np.argsort(heights, axis=1), np.arange(len(triangles))[:, None]
    triangles, heights = triangles[each, order], heights[each, order]
    first = np.clip(np.ceil(heights[:, 0] - 0.5), 0, size[0]).astype(int)
    last = np.clip(np.ceil(heights[:, 2] - 0.5), 0, size[0]).astype(int)
    triangle, row = _counted(first, last)
    y = np.asarray(row + 0.5, dtype=float)
    upper = (y >= heights[triangle, 1]).astype(int)
    low, high = triangles[triangle, 0], triangles[triangle, 2]
    x_one, part_one = _crossing(place, low, high, y)
    begin_two, end_two = triangles[triangle, upper], triangles[triangle, upper + 1]
    x_two, part_two = _crossing(place, begin_two, end_two, y)
    ends = np.minimum(x_one, x_two), np.maximum(x_one, x_two)
    begin, end = (np.clip(np.ceil(x - 0.5), 0, size[1]).astype(int) for x in ends)
    span, column = _counted(begin, end)
    mix = ((column + 0.5 - x_one[span]) / (x_two - x_one)[span]).astype(np.float32)
    return Cover(((low, high, part_one), (begin_two, end_two, part_two)), span, mix, row[span] * size[1] + column)


def _counted(first: IntArray, last: IntArray) -> tuple[IntArray, IntArray]:
    """Number of the range and the count in it, for all ranges first .. last - 1 in turn."""
    lengths = np.maximum(last - first, 0)
    which = np.repeat(np.arange(len(lengths)), lengths)
    return which, np.arange(len(which)) - (np.cumsum(lengths) - lengths - first)[which]


def _crossing(place: FloatArray, a: IntArray, b: IntArray, y: FloatArray) -> tuple[FloatArray, Colours]:
    """Where edges between points a and b cross heights y [pixels], and how far along them."""
    start, end = place[a], place[b]
    part = (y - start[:, 1]) / (end[:, 1] - start[:, 1])
    return start[:, 0] + part * (end[:, 0] - start[:, 0]), part.astype(np.float32)


def show(axes: Axes, image: npt.NDArray[np.uint8], window: FloatArray) -> None:
    """Put a painted image into an axes in true aspect."""
    (left, low), (right, high) = window
    axes.imshow(image, extent=(left, right, low, high), interpolation="nearest", aspect="equal", zorder=0)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_xticks([])
    axes.set_yticks([])
