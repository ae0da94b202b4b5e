"""The map of the field around two rods at direct current: |B| = mu0 I d / (2 pi r1 r2) of line currents."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_scenes import two_rods

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.pictures.stray_field import stray_field_map

LEVEL = 2e-4
MARKS = {"seat": np.array([[0.05, 0.06]]), "far away": np.array([[9.0, 0.0]])}


def exact(place: FloatArray) -> FloatArray:
    r1, r2 = (np.hypot(place[..., 0] - x, place[..., 1]) for x in (0.0, 0.1))
    return np.asarray(2e-7 * 100 * 0.1 / (r1 * r2))


@pytest.fixture(scope="module")
def figure():
    return stray_field_map(two_rods().solution, "Rods", [LEVEL, 50.0], MARKS)


def test_the_image_holds_the_field_of_two_line_currents(figure) -> None:
    (image,) = figure.axes[0].images
    assert image.origin == "lower"
    left, right, bottom, top = image.get_extent()
    shown = np.asarray(image.get_array())
    rows, columns = shown.shape
    place = np.stack(np.meshgrid(np.linspace(left, right, columns), np.linspace(bottom, top, rows)), axis=-1)
    air = np.hypot(place[..., 0], place[..., 1]) > 0.006
    air &= np.hypot(place[..., 0] - 0.1, place[..., 1]) > 0.011
    np.testing.assert_allclose(shown[air], exact(place)[air], rtol=0.01)


def test_the_contour_lies_at_its_level_and_is_named(figure) -> None:
    axes = figure.axes[0]
    assert "200 µT" in [t.get_text() for t in axes.texts]
    (lines,) = (c for c in axes.collections if hasattr(c, "levels"))
    assert list(lines.levels) == [LEVEL]  # 50 T occurs nowhere
    places = np.concatenate([path.vertices for path in lines.get_paths()])
    np.testing.assert_allclose(exact(places), LEVEL, rtol=0.03)


def test_words_units_and_marks_inside_the_window(figure) -> None:
    words = [t.get_text() for t in figure.texts]
    about = "Flux density |B| around the section, rms · direct current"
    assert words == ["Rods", about, "beyond the map: far away"]
    assert figure.axes[1].get_title(loc="left") == "|B|, rms [µT]"
    said = [t.get_text() for t in figure.axes[0].texts]
    assert "seat" in said
    assert "far away" not in said
    assert len(figure.axes[0].patches) == 2  # both rods


def test_the_window_reaches_the_marks_that_are_not_far(figure) -> None:
    far = stray_field_map(two_rods().solution, "Rods", [LEVEL], {**MARKS, "desk": np.array([[0.3, 0.1]])})
    assert "desk" in [t.get_text() for t in far.axes[0].texts]
    assert far.axes[0].get_xlim()[1] > 0.3 > figure.axes[0].get_xlim()[1]
