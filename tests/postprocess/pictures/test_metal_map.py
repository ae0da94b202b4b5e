"""The map of the metal: its paint, its panels, what it says."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_scenes import maps_of, two_rods

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.postprocess.pictures.metal_map import fill, metal_map
from crosscurrent.postprocess.pictures.style import new_figure


def red(j: ComplexArray) -> FloatArray:
    """Every metal alike."""
    return np.tile([1.0, 0.0, 0.0, 1.0], (len(j), 1))


def test_the_paint_covers_the_metal_and_nothing_else() -> None:
    """A circle of 10 mm in a window of 20 mm: pi / 16 of its area."""
    axes = new_figure(2.0, 2.0).add_axes((0.0, 0.0, 1.0, 1.0))
    fill(two_rods(), axes, np.array([[-0.01, -0.01], [0.01, 0.01]]), 2.0, red)
    image = np.asarray(axes.images[0].get_array())
    painted = image[..., 3] > 127
    assert painted.mean() == pytest.approx(np.pi / 16, rel=0.02)
    assert (image[painted][:, :3] == [255, 0, 0]).all()


def test_panels_notes_and_an_empty_colour_bar() -> None:
    page = metal_map(two_rods(), "Red", red, ["a note of mine"])
    words = [t.get_text() for t in page.figure.texts]
    assert words[:2] == ["Rods", "Red · direct current"]
    assert "a note of mine" in words
    assert any("parts far apart have panels of their own" in " ".join(words[k : k + 2]) for k in range(len(words)))
    assert page.zoom is None
    assert not page.bar.collections
    assert not page.bar.images
    assert len(maps_of(page.figure)) == 2
    for axes, name in zip(maps_of(page.figure), ("thin", "thick"), strict=True):
        said = [t.get_text() for t in axes.texts]
        assert name in said
        assert any(" mm (" in text for text in said)
