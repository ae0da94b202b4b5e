"""Light minor ticks look as those of the library do."""

from __future__ import annotations

import io

import matplotlib.image
import numpy as np
import pytest
from matplotlib.axes import Axes

from crosscurrent.postprocess.pictures.light_ticks import light_ticks, marks
from crosscurrent.postprocess.pictures.style import as_png, new_figure, own_style


def drawn(scale: str, *, light: bool) -> tuple[Axes, np.ndarray]:
    with own_style():
        figure = new_figure(2.0, 1.5)
        axes = figure.add_axes((0.2, 0.2, 0.7, 0.7))
        axes.plot([1.0, 2e4], [2.0, 700.0])
        axes.set(xscale=scale, yscale=scale, xlim=(3.0, 2e4))
        axes.xaxis.set_minor_formatter("")
        axes.yaxis.set_minor_formatter("")
        if light:
            light_ticks(axes)
    return axes, matplotlib.image.imread(io.BytesIO(as_png(figure)))


@pytest.mark.parametrize("scale", ["log", "linear"])
def test_the_picture_is_the_same(scale: str) -> None:
    (_, ours), (_, theirs) = drawn(scale, light=True), drawn(scale, light=False)
    assert np.abs(ours - theirs).max() < 0.02


def test_one_row_of_marks_for_each_axis_and_no_ticks_of_their_own() -> None:
    axes, _ = drawn("log", light=True)
    assert not axes.xaxis.get_minor_ticks()
    assert not axes.yaxis.get_minor_ticks()
    across, up = (line.get_xydata() for line in axes.lines[1:])
    assert across[0].tolist() == [3.0, 0.0]  # from 3, 4 .. 9 to 2e4, decades left out
    assert len(across) == 7 + 3 * 8 + 1
    assert (up[:, 0] == 0).all()


def test_a_narrow_range_has_marks_too() -> None:
    """Between 200 and 900 Hz no decade ends: the round values between are marked instead."""
    assert marks(200.0, 900.0).tolist() == [200.0, 500.0]
    assert marks(1.02, 1.35).tolist() == pytest.approx([1.1, 1.2, 1.3])
    assert marks(50.0, 1e7).tolist() == [1e2, 1e3, 1e4, 1e5, 1e6, 1e7]
