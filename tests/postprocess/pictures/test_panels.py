"""What is drawn over a panel: bars as long as they say, captions that fit, outlines that close."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar
from crosscurrent.postprocess.answers.field_values import OutlineSurface
from crosscurrent.postprocess.pictures.panels import caption, draw_outlines, inches_wide, scale_bar, skin_bar
from crosscurrent.postprocess.pictures.style import new_figure


def panel() -> Axes:
    """40 x 30 mm on 4 x 3 inches, in a page with a margin of 1 inch."""
    axes = new_figure(6.0, 5.0).add_axes((1 / 6, 1 / 5, 4 / 6, 3 / 5))
    axes.set(xlim=(-0.02, 0.02), ylim=(-0.015, 0.015))
    return axes


def test_a_panel_knows_its_width() -> None:
    assert inches_wide(panel()) == pytest.approx(4.0)


def test_the_scale_bar_is_as_long_as_it_says_and_below_the_frame() -> None:
    axes = panel()
    scale_bar(axes)
    (line,), (text,) = axes.lines, axes.texts
    ends = np.asarray(line.get_xdata())
    assert text.get_text().startswith(f"{1e3 * np.ptp(ends):g} mm (")
    assert ends[0] == -0.02
    assert (np.asarray(line.get_ydata()) < 0).all()
    assert axes.get_xlim() == (-0.02, 0.02)


def test_the_skin_bar_is_a_skin_depth_long_below_the_scale_bar() -> None:
    axes = panel()
    scale_bar(axes)
    skin_bar(axes, 0.002, "copper")
    scale, skin = axes.lines
    assert np.ptp(np.asarray(skin.get_xdata())) == pytest.approx(0.002)
    assert np.max(skin.get_ydata()) < np.min(scale.get_ydata())
    assert axes.texts[1].get_text().startswith("skin depth in copper: 2 mm")


def test_no_bar_for_a_skin_wider_than_the_map() -> None:
    axes = panel()
    skin_bar(axes, 0.05, "copper")
    skin_bar(axes, np.inf, "copper")
    skin_bar(axes, 0.0399, "copper")  # no room for its name beside it
    assert not axes.lines
    assert not axes.texts


def test_captions_are_shortened_to_the_panel_and_kept_literal() -> None:
    axes = panel()
    caption(axes, "")
    assert axes.get_title(loc="left") == ""
    caption(axes, "$x_1$ " + 100 * "long ")
    title = axes.get_title(loc="left")
    assert title.startswith("$x_1$")
    assert len(title) <= 4.0 / 0.055


@pytest.mark.parametrize(("coat", "count"), [(5e-4, 2), (1e-6, 1)])
def test_the_base_under_a_coat_is_drawn_where_the_coat_is_seen(coat: float, count: int) -> None:
    axes = panel()
    square = np.array([[0.0, 0.0], [0.01, 0.0], [0.01, 0.01], [0.0, 0.01]])
    surface = OutlineSurface(0, square, np.zeros((4, 2)), np.zeros(4, complex))
    draw_outlines(axes, [surface], [Part("bar", bar(0.01, 0.01), (coat,))], 0.6)
    drawn = [patch for patch in axes.get_children() if isinstance(patch, PathPatch)]
    assert len(drawn) == count
    places = drawn[0].get_path().vertices
    np.testing.assert_array_equal(places[0], places[-1])
