"""The map of the phase: colours of the directions, and against what."""

from __future__ import annotations

import numpy as np
from drawn_scenes import conductor, maps_of, scene_of, two_rods

from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.pictures.kinds.phase import phase_map
from crosscurrent.postprocess.pictures.style import PHASE


def test_phase_map_shows_out_and_back_in_opposite_colours() -> None:
    shape = bar(0.02, 0.01)
    scene = scene_of([conductor("out", shape, (0, 0.01)), conductor("back", shape, (0, -0.01))], 0.0)
    image = np.asarray(maps_of(phase_map(scene))[0].images[0].get_array()) / 255
    rows = image.shape[0]
    np.testing.assert_allclose(image[rows // 4, image.shape[1] // 2, :3], PHASE(0.5)[:3], atol=0.02)
    np.testing.assert_allclose(image[3 * rows // 4, image.shape[1] // 2, :3], PHASE(1.0)[:3], atol=0.02)


def test_the_page_says_against_what_and_in_which_unit() -> None:
    figure = phase_map(two_rods())
    words = [t.get_text() for t in figure.texts]
    assert words[0] == "Rods"
    assert 'Phase of the current density against the current of "feed" · direct current' in words
    assert any(word.startswith("fades to white below |J| = ") for word in words)
    (bar,) = (a for a in figure.axes if a.get_title(loc="left") == "phase of J [°]: lags < 0 < leads")
    assert [t.get_text().replace("\u2212", "-") for t in bar.get_xticklabels()] == ["-180", "-90", "0", "90", "180"]
