"""Light axes draw what those of the library draw, byte for byte, with fewer ticks made."""

from __future__ import annotations

from pathlib import Path

import pytest
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter

from crosscurrent.postprocess.pictures.light_axes import LightAxes
from crosscurrent.postprocess.pictures.style import new_figure, own_style, save


def drawn(kind: type[Axes], scale: str, folder: Path) -> tuple[Axes, bytes, bytes]:
    folder.mkdir()
    with own_style():
        figure = new_figure(3.0, 1.8)
        axes = figure.add_axes((0.2, 0.25, 0.65, 0.55), axes_class=kind)
        axes.plot([1.0, 40.0, 2e4], [2.0, 9.0, 700.0])
        axes.set(xscale=scale, yscale=scale, xlabel="length", ylabel="field", title="t")
        axes.grid(alpha=0.1)
        axes.tick_params(axis="x", labelsize=5, rotation=20)
        axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axes.spines[["top", "right"]].set_visible(False)
        bare = figure.add_axes((0.88, 0.25, 0.1, 0.55), axes_class=kind)
        bare.set_xticks([])
        bare.set_yticks([])
    png, svg = save(figure, folder / "figure")
    return axes, png.read_bytes(), svg.read_bytes()


@pytest.mark.parametrize("scale", ["linear", "log"])
def test_the_same_bytes(scale: str, tmp_path: Path) -> None:
    axes, *ours = drawn(LightAxes, scale, tmp_path / "ours")
    theirs_axes, *theirs = drawn(Axes, scale, tmp_path / "theirs")
    assert ours == theirs
    assert [t.get_text() for t in axes.get_yticklabels()] == [t.get_text() for t in theirs_axes.get_yticklabels()]


def test_no_ticks_before_they_are_drawn() -> None:
    with own_style():
        axes = new_figure(2.0, 1.0).add_axes((0.2, 0.2, 0.7, 0.7), axes_class=LightAxes)
        axes.tick_params(axis="y", labelleft=False)
    assert not axes.xaxis.majorTicks
    assert not axes.yaxis.minorTicks
    assert len(axes.xaxis.get_major_ticks(5)) == 5
    assert not axes.yaxis.get_major_ticks(1)[0].label1.get_visible()
    labels = [tick.label1 for tick in axes.xaxis.get_major_ticks(2)]
    labels[1].set_fontsize(20)
    assert labels[0].get_fontsize() < 20  # each has looks of its own
