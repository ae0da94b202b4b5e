"""Outlines of a file: every shape is there, to scale, with its name."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.patches import PathPatch

from crosscurrent.geometries.plane.shapes import bar, tube
from crosscurrent.postprocess.pictures.outlines import draw_outlines


def test_shapes_are_drawn_to_scale_with_their_names() -> None:
    bars = bar(0.1, 0.006), bar(0.02, 0.02).placed((0.0, 0.03))
    figure = draw_outlines("Profile", {"bars": bars, "<t>": (tube(0.02, 0.002),)}, "mm")
    (axes,) = figure.axes
    assert [t.get_text() for t in axes.texts] == ["bars.1", "bars.2", "<t>"]
    sizes = [np.ptp(p.get_path().vertices, axis=0) for p in axes.patches if isinstance(p, PathPatch)]
    for found, expected in zip(sizes, ((100, 6), (20, 20), (20, 20)), strict=True):
        assert found == pytest.approx(expected, rel=1e-3)
    assert axes.get_aspect() == 1.0


def test_an_empty_file_has_a_picture_too() -> None:
    assert len(draw_outlines("Nothing", {}, "mm").axes) == 1
