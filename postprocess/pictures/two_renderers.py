"""Draws a figure once for both its files: every stroke laid out for the SVG goes, enlarged, into the pixels as well."""

from __future__ import annotations

from typing import Any, TypeAlias

from matplotlib.backend_bases import GraphicsContextBase, RendererBase
from matplotlib.transforms import Affine2D, Bbox, Transform, TransformedPath

Shape: TypeAlias = Any  # what matplotlib hands from its artists to its renderers, which are not typed
Looks: TypeAlias = Shape
Renderer: TypeAlias = Shape


class TwoRenderers(RendererBase):
    """Hands every stroke of a figure to two renderers.

    Parameters
    ----------
    vector : MixedModeRenderer
        The figure is laid out for this one: in points, or in pixels where the vector file takes an image.
    pixels : RendererAgg
    scale : float
        Pixels to a point.
    """

    def __init__(self, vector: Renderer, pixels: Renderer, scale: float) -> None:
        super().__init__()
        self._vector, self._pixels, self._of_points = vector, pixels, scale
        self._enlarge(scale)

    def _enlarge(self, scale: float) -> None:
        self._scale, self._enlarged = scale, Affine2D().scale(scale)

    def start_rasterizing(self) -> None:
        """What follows the vector file takes as an image."""
        self._vector.start_rasterizing()
        self._enlarge(1.0)

    def stop_rasterizing(self) -> None:
        """The image is whole."""
        self._vector.stop_rasterizing()
        self._enlarge(self._of_points)

    def _larger(self, gc: GraphicsContextBase) -> GraphicsContextBase:
        """The looks of a stroke in pixels: lengths are in points there too, but its clips are not."""
        found = GraphicsContextBase()
        found.copy_properties(gc)
        box = gc.get_clip_rectangle()
        if box is not None:
            found.set_clip_rectangle(Bbox(box.get_points() * self._scale))
        path, place = gc.get_clip_path()
        if path is not None and place is not None:
            found.set_clip_path(_as_clip(path, place + self._enlarged))
        return found

    def draw_path(self, gc: GraphicsContextBase, path: Shape, transform: Transform, rgbFace: Looks = None) -> None:
        """A line or an area."""
        self._vector.draw_path(gc, path, transform, rgbFace)
        self._pixels.draw_path(self._larger(gc), path, transform + self._enlarged, rgbFace)

    def draw_markers(
        self, gc: GraphicsContextBase, marker_path: Shape, marker_trans: Transform, path: Shape, trans: Transform,
        rgbFace: Looks = None,
    ) -> None:  # fmt: skip
        """The same small shape at every corner of a path."""
        self._vector.draw_markers(gc, marker_path, marker_trans, path, trans, rgbFace)
        places = (marker_trans + self._enlarged, path, trans + self._enlarged)
        self._pixels.draw_markers(self._larger(gc), marker_path, *places, rgbFace)

    def draw_path_collection(
        self, gc: GraphicsContextBase, master_transform: Transform, paths: Shape, all_transforms: Shape,
        offsets: Shape, offset_trans: Transform, *looks: Looks, **more: Looks,
    ) -> None:  # fmt: skip
        """Many lines or areas."""
        shapes = (paths, all_transforms, offsets)
        self._vector.draw_path_collection(gc, master_transform, *shapes, offset_trans, *looks, **more)
        places = (master_transform + self._enlarged, *shapes, offset_trans + self._enlarged)
        self._pixels.draw_path_collection(self._larger(gc), *places, *looks, **more)

    def draw_quad_mesh(
        self, gc: GraphicsContextBase, master_transform: Transform, width: int, height: int, coordinates: Shape,
        offsets: Shape, offset_trans: Transform, *looks: Looks,
    ) -> None:  # fmt: skip
        """A grid of quadrilaterals, such as a colour bar."""
        shapes = (width, height, coordinates, offsets)
        self._vector.draw_quad_mesh(gc, master_transform, *shapes, offset_trans, *looks)
        places = (master_transform + self._enlarged, *shapes, offset_trans + self._enlarged)
        self._pixels.draw_quad_mesh(self._larger(gc), *places, *looks)

    def draw_gouraud_triangles(
        self, gc: GraphicsContextBase, triangles: Shape, colors: Looks, transform: Transform
    ) -> None:
        """Triangles whose colours run from corner to corner."""
        self._vector.draw_gouraud_triangles(gc, triangles, colors, transform)
        self._pixels.draw_gouraud_triangles(self._larger(gc), triangles, colors, transform + self._enlarged)

    def draw_image(self, gc: GraphicsContextBase, x: float, y: float, im: Shape, transform: Shape = None) -> None:
        """An image, already in the pixels of both."""
        self._vector.draw_image(gc, x, y, im)
        self._pixels.draw_image(self._larger(gc), x * self._scale, y * self._scale, im)

    def draw_text(
        self, gc: GraphicsContextBase, x: float, y: float, s: str, prop: Looks, angle: float, ismath: Looks = False,
        mtext: Looks = None,
    ) -> None:  # fmt: skip
        """A line of text."""
        self._vector.draw_text(gc, x, y, s, prop, angle, ismath, mtext)
        self._pixels.draw_text(self._larger(gc), x * self._scale, y * self._scale, s, prop, angle, ismath, mtext)

    def open_group(self, s: str, gid: str | None = None) -> None:
        """Of the vector file only."""
        self._vector.open_group(s, gid)

    def close_group(self, s: str) -> None:
        """Of the vector file only."""
        self._vector.close_group(s)

    def get_image_magnification(self) -> float:
        """Pixels of an image to a unit of the places."""
        return float(self._vector.get_image_magnification())

    def points_to_pixels(self, points: Shape) -> float:
        """Points in units of the places."""
        return float(self._vector.points_to_pixels(points))

    def option_image_nocomposite(self) -> bool:
        """As the vector file has it."""
        return bool(self._vector.option_image_nocomposite())

    def get_text_width_height_descent(self, s: str, prop: Looks, ismath: Looks) -> tuple[float, float, float]:
        """Of a line of text, in units of the places."""
        width, height, descent = self._vector.get_text_width_height_descent(s, prop, ismath)
        return width, height, descent

    def get_canvas_width_height(self) -> tuple[float, float]:
        """In units of the places."""
        width, height = self._vector.get_canvas_width_height()
        return width, height

    def flipy(self) -> bool:
        """y runs downwards."""
        return True


def _as_clip(path: Shape, place: Transform) -> TransformedPath:
    """What a graphics context takes; `get_clip_path` returns paths, whatever it is annotated with."""
    return TransformedPath(path, place)
