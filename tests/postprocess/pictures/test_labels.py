"""Names of parts: on their own metal, else in the air, and never on each other."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.transforms import Bbox

from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.geometries.plane.sides import Sides
from crosscurrent.postprocess.pictures.axial import views, with_mirrored
from crosscurrent.postprocess.pictures.labels import LED, name_parts
from crosscurrent.postprocess.pictures.page import WIDER, WIDTH, lay_out
from crosscurrent.postprocess.pictures.room_for_names import with_room
from crosscurrent.postprocess.pictures.style import new_figure
from crosscurrent.postprocess.pictures.views import whole_window

SECTIONS = Path(__file__).parents[2] / "cases" / "sections"


def panel() -> Axes:
    """40 x 30 mm on 4 x 3 inches."""
    axes = new_figure(4.0, 3.0).add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(-0.02, 0.02), ylim=(-0.015, 0.015))
    return axes


def test_a_name_stands_in_the_middle_of_its_metal() -> None:
    axes = panel()
    name_parts([Part("bar", bar(0.02, 0.01))], axes)
    (text,) = axes.texts
    assert text.get_text() == "bar"
    np.testing.assert_allclose(text.get_position(), 0.0, atol=2e-4)
    assert not axes.lines


def test_round_an_axis_a_name_stands_beside_it_where_there_is_room() -> None:
    axes = panel()
    parts = [Part("disc", bar(0.02, 0.01)), Part("p", bar(0.003, 0.004).placed((0.0, -0.01)))]
    name_parts(parts, axes, axial=True)
    clear = {t.get_text(): t.get_window_extent(axes.figure.canvas.get_renderer()).x0 for t in axes.texts}  # type: ignore[union-attr]
    middle = axes.transData.transform((0.0, 0.0))[0]
    assert clear["disc"] > middle > clear["p"]


def test_small_parts_are_named_in_the_air_with_a_line_to_them() -> None:
    axes = panel()
    rods = [Part(f"rod {k}", round_bar(0.001).placed((0.004 * k, 0.0))) for k in range(LED)]
    name_parts(rods, axes)
    assert sorted(t.get_text() for t in axes.texts) == [f"rod {k}" for k in range(LED)]
    boxes = [t.get_window_extent(axes.figure.canvas.get_renderer()) for t in axes.texts]  # type: ignore[union-attr]
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))
    for part in rods:
        ends = [line.get_xydata()[0] for line in axes.lines]
        assert any(np.hypot(*(end - part.shape.outer.bounds.mean(axis=0))) < 0.7e-3 for end in ends)


@pytest.mark.parametrize("section", ["steel-trunking", "foils", "seven-rods", "chassis-return", "bimetal"])
@pytest.mark.parametrize("margin", [0.03, 0.22])
def test_every_part_is_named_off_the_others_and_led_to(section: str, margin: float) -> None:
    """In the windows of the maps of the metal and of the flux lines."""
    parts = read_case(SECTIONS / f"{section}.toml").problem().section.parts
    whole = whole_window(parts, margin)
    view = whole if margin > 0.1 else with_room(whole, parts)
    width = WIDER if margin > 0.1 else WIDTH
    ((_, axes),) = lay_out("", "", [view], lambda _: [], zoomed=margin < 0.1, width=width).panels
    axes.set(xlim=view.window[:, 0], ylim=view.window[:, 1])
    name_parts(parts, axes)
    assert sorted(t.get_text() for t in axes.texts) == sorted(p.name for p in parts)
    boxes = {t.get_text(): t.get_window_extent(axes.figure.canvas.get_renderer()) for t in axes.texts}  # type: ignore[union-attr]
    assert not any(a.overlaps(b) for a, b in combinations(boxes.values(), 2))
    to_section = axes.transData.inverted()
    for name, box in boxes.items():
        inside = np.stack(np.meshgrid(np.linspace(box.x0, box.x1, 30), np.linspace(box.y0, box.y1, 9)), axis=-1)
        places = to_section.transform(inside.reshape(-1, 2))
        assert not [p.name for p in parts if p.name != name and p.contains(places).any()]
        assert ((places > view.window[0]) & (places < view.window[1])).all()
    for line in axes.lines:
        begin, *_, end = line.get_xydata()
        named = min(boxes, key=lambda n: np.hypot(*(to_section.transform(_nearest(boxes[n], axes, end)) - end)))
        crossed = [p for p in parts if p.contains(_along(line.get_xydata())).any()]
        assert {p.name for p in crossed} <= {named}
        (own,) = (p for p in parts if p.name == named)
        assert Sides.of(*own.all_outlines).distance(begin[None])[0] < 1e-3 or own.contains(begin[None])[0]


def test_in_a_pair_of_pancakes_shields_ferrites_and_the_ends_of_windings_are_found() -> None:
    """Sixteen turns would take all the places there are; none of the names stands on the axis."""
    section = read_case(SECTIONS.parents[2] / "cases" / "pad-pancakes.toml").problem().section
    drawn = with_mirrored(section.parts, section.crosses)
    (view,) = views(drawn, len(section.parts), 0.03)
    view = with_room(view, section.parts)
    ((_, axes),) = lay_out("", "", [view], lambda _: [], zoomed=True, width=WIDTH).panels
    axes.set(xlim=view.window[:, 0], ylim=view.window[:, 1])
    named = [*section.parts, *(Part("", part.shape) for part in drawn[len(section.parts) :])]
    name_parts(named, axes, axial=True)
    boxes = {t.get_text(): t.get_window_extent(axes.figure.canvas.get_renderer()) for t in axes.texts}  # type: ignore[union-attr]
    alone = {"pad-shield", "pad-ferrite", "boat-shield", "boat-ferrite"}
    assert alone | {"pad.1", "pad.8", "boat.1", "boat.8"} <= set(boxes)
    assert not any(a.overlaps(b) for a, b in combinations(boxes.values(), 2))
    axis = axes.transData.transform((0.0, 0.0))[0]
    assert not any(box.x0 < axis < box.x1 for box in boxes.values())


def _nearest(box: Bbox, axes: Axes, place: FloatArray) -> FloatArray:
    """Point of a name's box that is nearest to a place [m], on the page."""
    return np.asarray(np.clip(axes.transData.transform(place), box.min, box.max))


def _along(chain: FloatArray) -> FloatArray:
    """Many points of a broken line."""
    t = np.linspace(0, 1, 50)[:, None]
    return np.concatenate([a + t * (b - a) for a, b in pairwise(chain)])


def test_a_name_stands_upright_in_a_narrow_part() -> None:
    axes = panel()
    name_parts([Part("riser", bar(0.0022, 0.02))], axes)
    assert axes.texts[0].get_rotation() == 90
    assert not axes.lines


def test_a_hundred_foils_are_named_here_and_there() -> None:
    axes = panel()
    name_parts([Part(f"foil.{k}", bar(0.02, 0.0001).placed((0.0, 2e-4 * (k - 50)))) for k in range(100)], axes)
    boxes = [t.get_window_extent(axes.figure.canvas.get_renderer()) for t in axes.texts]  # type: ignore[union-attr]
    assert 20 < len(boxes) < 100
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))
    assert {"foil.0", "foil.99"} <= {t.get_text() for t in axes.texts}


def test_a_name_keeps_off_the_ring() -> None:
    axes = panel()
    name_parts([Part("bar", bar(0.03, 0.012))], axes, np.zeros(2))
    box = axes.texts[0].get_window_extent(axes.figure.canvas.get_renderer())  # type: ignore[union-attr]
    assert not box.contains(*axes.transData.transform((0.0, 0.0)))


@pytest.mark.parametrize("name", ["a name that is far longer than the twenty-four letters there are"])
def test_long_names_are_shortened(name: str) -> None:
    axes = panel()
    name_parts([Part(name, bar(0.035, 0.02))], axes)
    assert len(axes.texts[0].get_text()) <= 24
