"""The map of temperatures, of a made state: 60 degC in a thin rod, 50 degC in a thick one."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from drawn_scenes import maps_of, two_rods
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.cooling import HELD, WARMTH, temperature_map
from crosscurrent.solver.heat.ampacity import State
from crosscurrent.solver.heat.cooling import Cooling


def drawn(cooling: Cooling, low: tuple[float, ...] = (55.0, 46.0), high: tuple[float, ...] = (66.0, 55.0)) -> Figure:
    scene = two_rods()
    elements = scene.flow.discretisation.elements
    unknowns = [np.unique(elements.dofs[elements.mesh.part == k]) for k in range(2)]
    field = np.full(elements.count, np.nan)
    field[unknowns[0]], field[unknowns[1]] = 60.0, 50.0
    balance: Any = SimpleNamespace(
        field=field, hottest=(np.array([60.0, 50.0]), np.array([[0.0, 0.0], [0.1, 0.0]])),
        conduction=SimpleNamespace(elements=elements, unknowns_of=lambda k: unknowns[k]),
        exchange=SimpleNamespace(cooling=cooling), mean=np.array([60.0, 50.0]),
        sources=SimpleNamespace(fixed=np.array([name in cooling.held for name in ("thin", "thick")])),
    )  # fmt: skip
    state = State(balance, np.array(low), np.array(high))
    return temperature_map(scene.solution, scene.answers, state, "Rods")


@pytest.fixture(scope="module")
def figure() -> Figure:
    return drawn(Cooling(20.0))


def test_the_hottest_conductor_comes_first_with_its_band(figure) -> None:
    words = [t.get_text() for t in figure.texts]
    assert words[:2] == ["Rods", "Temperature in air · direct current"]
    said = [k for k, word in enumerate(words) if word.startswith(("thin:", "thick:"))]
    assert words[said[0]] == "thin: 60 °C (55 to 66), even to 0.1 K"
    assert words[said[1]] == "thick: 50 °C (46 to 55), even to 0.1 K"
    assert "air 20 °C; ring: the hottest point" in words


def test_a_band_within_a_degree_is_left_out() -> None:
    words = {t.get_text() for t in drawn(Cooling(20.0), (59.8, 49.4), (60.2, 50.6)).texts}
    assert "thin: 60 °C, even to 0.1 K" in words
    assert "thick: 50 °C (49 to 51), even to 0.1 K" in words


def test_colours_run_from_the_coolest_to_the_hottest_metal(figure) -> None:
    assert any(a.get_title(loc="left") == "temperature [°C]" for a in figure.axes)
    for axes, end in zip(maps_of(figure), (1.0, 0.0), strict=True):
        image = np.asarray(axes.images[0].get_array())
        middle = image[image.shape[0] // 2, image.shape[1] // 3, :3]
        np.testing.assert_allclose(middle / 255, WARMTH(end)[:3], atol=0.01)


def test_the_ring_stands_at_the_hottest_point_alone(figure) -> None:
    thin, thick = maps_of(figure)
    rings = [line for line in thin.lines if line.get_marker() == "o"]
    assert [tuple(np.ravel(line.get_data())) for line in rings] == [(0.0, 0.0)] * 2
    assert not any(line.get_marker() == "o" for line in thick.lines)


def test_what_is_held_is_grey_and_leaves_the_colours_to_the_others() -> None:
    found = drawn(Cooling(20.0, held=frozenset({"thin"})))
    words = [t.get_text() for t in found.texts]
    assert "thin: held at 60 °C (grey)" in words
    thin, thick = maps_of(found)
    image = np.asarray(thin.images[0].get_array())
    np.testing.assert_allclose(image[image.shape[0] // 2, image.shape[1] // 3, :3] / 255, HELD[:3], atol=0.01)
    assert any(line.get_marker() == "o" for line in thick.lines)
