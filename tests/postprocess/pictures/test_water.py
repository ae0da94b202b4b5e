"""The picture of water: bores side by side are named apart, curves stop where it boils."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg

from crosscurrent.postprocess.pictures.water import water_picture
from crosscurrent.solver.water.circuit import WaterCircuit
from crosscurrent.solver.water.pipe import Passage


def test_picture_names_bores_side_by_side() -> None:
    bores = [Passage("bar", math.pi * d**2 / 4, math.pi * d, 3.0, 300.0, bore=k) for k, d in ((1, 0.010), (2, 0.006))]
    stream = WaterCircuit(tuple(bores), 20.0).at(1e-4)
    along = water_picture(stream, [stream], "bored bar", "water").axes[0]
    assert {text.get_text() for text in along.texts} == {"bar, bore 1", "bar, bore 2"}
    assert along.get_xlim() == (0, 3)


@pytest.mark.parametrize("count", [3, 10, 40])
def test_names_of_bores_in_series_do_not_touch(count: int) -> None:
    turns = (Passage(f"turn.{k + 1}", math.pi * 12e-6, math.pi * 7e-3, 0.25, 300.0) for k in range(count))
    stream = WaterCircuit(tuple(turns), 20.0).at(1e-4)
    figure = water_picture(stream, [stream], "coil", "water")
    renderer = FigureCanvasAgg(figure).get_renderer()
    texts = sorted(figure.axes[0].texts, key=lambda text: text.get_position()[0])
    boxes = [text.get_window_extent(renderer) for text in texts]
    assert [texts[0].get_text(), texts[-1].get_text()] == ["turn.1", f"turn.{count}"]
    assert all(before.x1 < after.x0 for before, after in pairwise(boxes))
    assert count > 3 or len(texts) == count


def test_what_curves_are_stands_off_them() -> None:
    circuit = WaterCircuit((Passage("tube", math.pi * 9e-6, math.pi * 6e-3, 3.0, 3000.0),), 20.0)
    streams = [circuit.at(f) for f in np.geomspace(5e-5, 4e-4, 12)]
    figure = water_picture(streams[4], streams, "tube", "water")
    renderer = FigureCanvasAgg(figure).get_renderer()
    along, over, _ = figure.axes
    for axes in (along, over):
        told = axes.get_legend().get_window_extent(renderer)
        assert told.y1 < axes.xaxis.get_tightbbox(renderer).y0
        assert told.y0 > 0
    names = [text.get_text() for text in over.get_legend().get_texts()]
    assert names == ["outlet", "hottest wall", "pressure drop"]


def curve(axes: Axes, name: str) -> tuple[np.ndarray, np.ndarray]:
    """Points of a curve by its name."""
    (line,) = (line for line in axes.get_lines() if line.get_label() == name)
    return np.asarray(line.get_xdata()), np.asarray(line.get_ydata())


@pytest.mark.parametrize("loss", [3000.0, 20000.0])
def test_curves_stop_where_the_wall_begins_to_boil(loss: float) -> None:
    """6 mm bore, 3 m: with 3 kW/m water boils at the lowest flows only, with 20 kW/m at most."""
    circuit = WaterCircuit((Passage("tube", math.pi * 9e-6, math.pi * 6e-3, 3.0, loss),), 20.0)
    streams = [s for s in (circuit.at(f) for f in np.geomspace(5e-6, 4e-4, 25)) if s.in_range]
    assert streams[0].branches[0].margin < 0 < streams[-1].branches[0].margin
    _, over, _ = water_picture(streams[-1], streams, "tube", "water").axes
    flow, wall = curve(over, "hottest wall")
    boils = max(s.flow for s in streams if s.branches[0].margin < 0)
    sound = min(s.flow for s in streams if s.branches[0].margin >= 0)
    assert 60_000 * boils <= flow[0] <= 60_000 * sound
    assert circuit.at(float(flow[0]) / 60_000).branches[0].margin == pytest.approx(0, abs=2.0)
    assert (np.diff(wall) < 0).all()


def test_along_the_bore_they_stop_at_the_place() -> None:
    circuit = WaterCircuit((Passage("tube", math.pi * 9e-6, math.pi * 6e-3, 3.0, 20000.0),), 20.0)
    stream = next(s for s in map(circuit.at, np.geomspace(5e-5, 4e-4, 40)) if -40 < s.branches[0].margin < -10)
    axes = water_picture(stream, [stream], "tube", "water").axes[0]
    way, wall = curve(axes, "hottest bore wall")
    assert way[-1] < 3.0
    assert wall[-1] == pytest.approx(stream.branches[0].boiling)
