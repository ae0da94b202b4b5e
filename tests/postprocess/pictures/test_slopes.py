"""The picture of walls in the colour of what more metal does there."""

import numpy as np
from common import bar, pair
from matplotlib.collections import LineCollection

from crosscurrent.postprocess.pictures.slopes import wall_picture
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.wall_gains import wall_gains


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
