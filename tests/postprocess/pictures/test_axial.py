"""How a section round an axis is drawn: both halves, the axis, the direction of the current."""

from __future__ import annotations

import numpy as np
import pytest
from axial_scenes import axial_scene, coil_round_a_billet, ring, rings_at_rest, turns
from drawn_scenes import maps_of
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.pictures.axial import (
    boxes_of,
    current_marks,
    draw_axis,
    free_circle,
    halves,
    name_top,
    views,
    with_mirrored,
)
from crosscurrent.postprocess.pictures.kinds.current_density import density_map
from crosscurrent.postprocess.pictures.kinds.flux_lines import flux_map
from crosscurrent.postprocess.pictures.kinds.phase import phase_map
from crosscurrent.postprocess.pictures.kinds.power_in_pieces import piece_maps
from crosscurrent.postprocess.pictures.style import as_png, new_figure, save
from crosscurrent.postprocess.pictures.sweep import maps_figure
from crosscurrent.solver.field.problem import Circuit, Problem


def seen(*conductors):
    parts = Problem(conductors, (Circuit("feed", 1.0, (conductors[0].name,)),), axial=True).section.parts
    return views(with_mirrored(parts, [False] * len(parts)), len(parts), 0.03)


def test_turns_near_the_axis_are_shown_in_one_window_about_it() -> None:
    (view,) = seen(*turns(3, 0.02, 0.012, tube(0.01, 0.001)))
    np.testing.assert_array_equal(view.window[0, 0], -view.window[1, 0])
    assert view.caption == ""


def test_a_thin_ring_is_shown_cut_and_again_by_itself() -> None:
    whole, own = seen(ring("ring", round_bar(0.002), 0.02))
    assert whole.window[0, 0] == -whole.window[1, 0]
    assert (whole.caption, own.caption) == ("cut along the axis", "ring at r = 20, z = 0 mm")
    assert own.window[0, 0] > 0.018


@pytest.mark.parametrize(
    ("heights", "top"),
    [((), 0.05), ([(0.03, 0.05)], 0.03), ([(-0.05, 0.02)], 0.05), ([(0.03, 0.05), (0.0, 0.027)], 0.0),
     ([(-0.05, 0.05)], None), ([(-0.047, 0.048)], None)],
)  # fmt: skip
def test_the_name_of_the_axis_stands_clear_of_discs(heights: list[tuple[float, float]], top: float | None) -> None:
    """On a panel of 100 mm by 100 mm and five inches across it is 4 mm high: at the top, else under a disc, or above
    the panel.
    """
    axes = new_figure(5.0, 5.0).add_axes((0, 0, 1, 1))
    axes.set(xlim=(-0.05, 0.05), ylim=(-0.05, 0.05))
    discs = [Part("disc", bar(0.08, b - a).placed((0.0, 0.5 * (a + b)))) for a, b in heights]
    wide = Part("turn", bar(0.01, 0.1).placed((0.03, 0.0)))
    boxes = boxes_of((*discs, wide))
    found = name_top(boxes, axes)
    assert found is None if top is None else found == pytest.approx(top)
    draw_axis(axes, boxes)
    name = next(text for text in axes.texts if text.get_text() == "axis")
    low, high = (axes.transData.inverted().transform(name.get_window_extent()))[:, 1]
    assert low >= 0.05 if top is None else high <= top


def test_a_ring_far_off_is_shown_by_itself() -> None:
    (own,) = seen(ring("ring", round_bar(0.002), 2.0))
    assert own.window[0, 0] > 0


def test_a_window_right_of_the_axis_shows_nothing_of_the_left() -> None:
    window = np.array([[0.01, 0.0], [0.02, 0.01]])
    assert len(halves(window, axial=True)) == len(halves(window - [0.02, 0.0], axial=False)) == 1


def test_a_mark_stands_in_the_bore_or_in_the_widest_metal() -> None:
    place, room = free_circle(tube(0.01, 0.002).placed((0.03, 0.01)))
    np.testing.assert_allclose(place, (0.03, 0.01), atol=1e-12)
    assert room == pytest.approx(0.003)
    assert free_circle(bar(0.02, 0.006).placed((0.03, 0.0)))[1] == pytest.approx(0.003)


def test_marks_tell_out_from_back_and_leave_out_what_carries_nothing() -> None:
    found = current_marks(rings_at_rest().flow)
    assert [mark.out for mark in found] == [True, False]
    assert len(current_marks(coil_round_a_billet().flow)) == 3  # none for the billet


def test_a_current_a_quarter_of_a_period_off_has_no_mark() -> None:
    coils = Circuit("one", 1.0, ("turn.1",)), Circuit("other", 1j, ("turn.2",))
    scene = axial_scene(Problem(turns(2, 0.02, 0.02, round_bar(0.004)), coils, axial=True), 50.0)
    assert [mark.place[1] for mark in scene.marks] == [pytest.approx(-0.01)]


@pytest.mark.parametrize("draw", [density_map, flux_map])
def test_the_left_half_is_the_mirror_image_of_the_right(draw) -> None:
    axes = maps_of(draw(coil_round_a_billet()))[0]
    image = np.asarray(axes.images[0].get_array()).astype(int)
    assert axes.get_xlim()[0] == -axes.get_xlim()[1]
    unlike = np.abs(image - image[:, ::-1]).max(axis=-1) > 8
    assert unlike.mean() < 0.01  # but for pixels that an edge runs through


def test_left_of_the_axis_the_current_goes_the_other_way() -> None:
    """The phase of a turn right of the axis is 0, dark left of it."""
    axes = maps_of(phase_map(coil_round_a_billet()))[0]
    image = np.asarray(axes.images[0].get_array()).astype(int)
    middle = image.shape[1] // 2
    left, right = image[:, :middle].reshape(-1, 4), image[:, ::-1][:, :middle].reshape(-1, 4)
    metal = (left[:, 3] > 0) & (left[:, :3].min(axis=1) < 200)
    assert np.abs(left[metal, :3] - right[metal, :3]).max(axis=1).mean() > 60


def test_the_axis_is_a_chain_line_with_its_name() -> None:
    axes = maps_of(density_map(coil_round_a_billet()))[0]
    lines = [line for line in axes.lines if list(line.get_xdata()) == [0, 0]]
    assert len(lines) == 1
    assert lines[0].get_linestyle() == "--"
    assert {"axis", "r →", "z\n↑"} <= {text.get_text() for text in axes.texts}


@pytest.mark.parametrize("draw", [piece_maps, density_map, flux_map])
def test_the_axis_keeps_clear_of_the_words_of_the_scale_bar(draw) -> None:
    figure = draw(coil_round_a_billet())
    renderer = FigureCanvasAgg(figure).get_renderer()
    axes = next(a for a in figure.axes if any(" thou)" in t.get_text() for t in a.texts))
    (axis,) = (line for line in axes.lines if list(line.get_xdata()) == [0, 0])
    end = float(axes.transData.transform((0, min(axis.get_ydata())))[1])
    tops = [t.get_window_extent(renderer).y1 for t in axes.texts if " thou)" in t.get_text()]
    assert end >= max(tops) + 0.01 * figure.dpi


def test_flux_lines_are_those_of_equal_flux_on_both_sides() -> None:
    figure = flux_map(coil_round_a_billet())
    axes = maps_of(figure)[0]
    pieces = [np.asarray(s) for c in axes.collections if isinstance(c, LineCollection) for s in c.get_segments()]
    right = sum(len(p) for p in pieces if p[:, 0].min() >= 0)
    left = sum(len(p) for p in pieces if p[:, 0].max() <= 0)
    assert right == left > 100
    said = " ".join(" ".join(text.get_text() for text in figure.texts).split())
    assert "Wb (rms) between lines all round the axis" in said
    assert "Wb/m" not in said


def test_the_same_scene_gives_the_same_files(tmp_path) -> None:
    first, second = (density_map(coil_round_a_billet()) for _ in range(2))
    assert as_png(first) == as_png(second)
    one, two = (save(figure, tmp_path / name) for figure, name in ((first, "one"), (second, "two")))
    assert [file.read_bytes() for file in one] == [file.read_bytes() for file in two]


def test_small_maps_over_frequency_show_both_halves() -> None:
    figure = maps_figure([coil_round_a_billet().solution], "Coil")
    (axes,) = maps_of(figure)
    assert axes.get_xlim()[0] == -axes.get_xlim()[1]
    assert next(text.get_text() for text in axes.texts) == "axis"
