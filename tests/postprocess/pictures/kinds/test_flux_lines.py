"""Flux lines of two rods at direct current, against line currents."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_scenes import conductor, maps_of, scene_of, two_rods
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.pictures.kinds.flux_lines import flux_map


@pytest.fixture(scope="module")
def figure():
    return flux_map(two_rods())


def segments(axes: Axes) -> list[FloatArray]:
    """Pieces of the lines of a map [m]."""
    return [np.asarray(s) for c in axes.collections if isinstance(c, LineCollection) for s in c.get_segments()]


def test_lines_close_or_leave_at_the_frame(figure) -> None:
    """What ends inside the frame goes on in another piece."""
    checked = 0
    for axes in maps_of(figure):
        low, high = np.array([axes.get_xlim(), axes.get_ylim()]).T
        ends = np.array([s[k] for s in segments(axes) for k in (0, -1)])
        inside = ((ends > low) & (ends < high)).all(axis=1)
        for end in ends[inside]:
            assert (np.hypot(*(ends - end).T) < 1e-9).sum() % 2 == 0
        checked += int(inside.sum())
    assert checked > 20


def test_a_field_below_a_millitesla_is_in_microtesla() -> None:
    """Wide plates face to face: B = mu0 I / w = 4e-7 pi 4 A / 20 mm = 251 uT."""
    plates = [conductor(n, bar(0.02, 0.001), (0.0, y)) for n, y in (("go", 0.00075), ("come", -0.00075))]
    axes = next(a for a in flux_map(scene_of(plates, 0.0, 4.0)).axes if a.get_title(loc="left").startswith("|B|"))
    assert axes.get_title(loc="left") == "|B|, rms [µT]"
    assert 200 <= max(float(t.get_text()) for t in axes.get_xticklabels()) <= 400


def test_lines_are_circles_at_even_steps_of_the_potential(figure) -> None:
    """A = mu0 I / 2 pi ln(r2 / r1) in air, and the lines lie at odd multiples of half a step."""
    levels = []
    for line in segments(maps_of(figure)[0]):
        r1, r2 = (np.hypot(line[:, 0] - x, line[:, 1]) for x in (0.0, 0.1))
        air = (r1 > 0.0055) & (r2 > 0.0105)
        potential = 2e-7 * 100 * np.log(r2 / r1)[air]
        if len(potential):
            assert np.ptp(potential) < 1e-6
            levels.append(float(potential.mean()))
    between = np.unique(np.round(np.diff(sorted(levels)), 7))
    step = between[between > 0].min()
    assert len(levels) >= 8
    np.testing.assert_allclose(np.array(levels) / step % 1, 0.5, atol=0.1)


def test_the_whole_section_comes_before_each_far_part(figure) -> None:
    whole, *single = maps_of(figure)
    assert len(single) == 2
    assert np.ptp(whole.get_xlim()) > 0.115
    assert all(np.ptp(axes.get_xlim()) < 0.05 for axes in single)
    assert all("Wb/m apart" in axes.get_title(loc="left") for axes in (whole, *single))


def test_words_and_units(figure) -> None:
    words = [t.get_text() for t in figure.texts]
    assert words[:2] == ["Rods", "Flux lines and flux density |B|, rms · direct current"]
    assert any(a.get_title(loc="left").startswith("|B|, rms [mT]") for a in figure.axes)
