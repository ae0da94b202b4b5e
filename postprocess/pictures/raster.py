"""Small triangles with a colour at each corner, painted once into an image that PNG and SVG share."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.transforms import IdentityTransform

from ...geometries.outline import FloatArray
from ...geometries.sides import IntArray

FINER = 2  # painted this many times finer than shown, then averaged
Paint = tuple[FloatArray, IntArray, FloatArray]  # points (n, 2) [m], triangles (k, 3), colours (n, 4)


def painted(window: FloatArray, pixel: float, paints: Iterable[Paint]) -> npt.NDArray[np.uint8]:
    """The image of a window (2, 2) [m] with square pixels [m], first row at the top.

    Parameters
    ----------
    window : (2, 2) float
        Lower left and upper right corner [m].
    pixel : float
        [m]
    paints : iterable of (points, triangles, colours)
        Later ones cover earlier ones.

    Returns
    -------
    (rows, columns, 4) uint8
    """
    columns, rows = (FINER * max(1, round(float(extent) / pixel)) for extent in window[1] - window[0])
    canvas = RendererAgg(columns, rows, 72)  # type: ignore[no-untyped-call]
    context = canvas.new_gc()
    size = np.array([columns, rows], dtype=float)
    for points, triangles, colours in paints:
        place = (points - window[0]) / (window[1] - window[0]) * size
        corner = place[triangles]
        seen = ((corner.max(axis=1) >= 0) & (corner.min(axis=1) <= size)).all(axis=1)
        if seen.any():
            canvas.draw_gouraud_triangles(context, corner[seen], colours[triangles[seen]], IdentityTransform())
    fine = np.asarray(canvas.buffer_rgba(), dtype=np.uint16)  # type: ignore[no-untyped-call]
    total = np.add.reduce([fine[i::FINER, j::FINER] for i in range(FINER) for j in range(FINER)])
    # an empty pixel is clear white; only painted ones count for the colour at the edge of the metal
    weight = total[..., 3:] // 255
    colour = (total[..., :3] - 255 * (FINER**2 - weight)) // np.maximum(weight, 1)
    return np.concatenate((colour, 255 * weight // FINER**2), axis=-1).astype(np.uint8)


def show(axes: Axes, image: npt.NDArray[np.uint8], window: FloatArray) -> None:
    """Put a painted image into an axes in true aspect."""
    (left, low), (right, high) = window
    axes.imshow(image, extent=(left, right, low, high), interpolation="nearest", aspect="equal", zorder=0)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_xticks([])
    axes.set_yticks([])
