"""The picture of walls in the colour of what more metal does there."""

import numpy as np
from common import bar, pair
from matplotlib.collections import LineCollection

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.pictures.slopes import wall_picture
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.wall_gains import WallGains, wall_gains


def test_every_wall_has_its_colour():
    solution = solve(pair(bar("go", 0.02, 0.005), bar("back", 0.02, 0.005, y=-0.01), 100.0), 50.0)
    found = wall_gains(solution)
    parts = solution.problem.section.parts
    figure = wall_picture(found, parts, "Two bars", "50 Hz")
    drawn = [c for axes in figure.axes for c in axes.collections if isinstance(c, LineCollection)]
    drawn = [lines for lines in drawn if np.size(lines.get_array()) == found.gain.size]
    assert drawn
    for lines in drawn:
        low, high = lines.get_clim()
        assert low == -high
        assert (np.asarray(lines.get_array()) < 0).all()  # at 50 Hz metal helps anywhere
    assert any("blue" in text.get_text() for axes in (figure, *figure.axes) for text in axes.texts)


def test_round_an_axis_the_left_half_is_the_mirror_image_of_the_right() -> None:
    section = Section((Part("billet", round_bar(0.02)), Part("turn", round_bar(0.004).placed((0.02, 0.0)))), axial=True)
    places = np.array([[[0.018, 0.0], [0.02, 0.002], [0.022, 0.0]]])
    found = WallGains(places, np.array([[1.0, -2.0]]))
    figure = wall_picture(found, section.parts, "Coil", "10 kHz", section.crosses)
    every = [c for c in figure.axes[0].collections if isinstance(c, LineCollection)]
    (lines,) = (c for c in every if np.size(c.get_array()) == 4)
    drawn = np.array([path.vertices for path in lines.get_paths()])
    np.testing.assert_array_equal(drawn[2:], drawn[:2] * (-1.0, 1.0))
    np.testing.assert_array_equal(lines.get_array()[2:], lines.get_array()[:2])
    assert "axis" in {text.get_text() for text in figure.axes[0].texts}
