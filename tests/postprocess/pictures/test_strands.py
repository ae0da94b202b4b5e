"""The picture of a choice of strands: curves of the candidates, and where one wire is as good."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.strands import draw_strands
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.metals.strand_choice import choices


def test_curves_begin_at_rest_and_cross_where_the_wire_is_as_good() -> None:
    found = choices((0.1e-3, 0.2e-3), MATERIALS["copper"], 20.0, 85e3, outer=5e-3)
    figure = draw_strands(found, "size")
    above, below = figure.axes
    assert above.get_ylabel() == "R / Rdc of each"
    assert above.lines[0].get_ydata()[0] == pytest.approx(1, abs=1e-3)
    f, ratio = (np.asarray(data) for data in below.lines[0].get_data())
    low, high = found[0].wins("size") or (0.0, 0.0)
    crossings = f[:-1][np.diff(np.sign(np.log(ratio))) != 0]
    assert crossings == pytest.approx([low, high], rel=0.04)
