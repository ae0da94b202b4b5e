"""Names in columns: in order, apart, and on the side where the part can be reached."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube
from crosscurrent.postprocess.pictures.label_columns import name_in_columns, spread
from crosscurrent.postprocess.pictures.label_grid import LabelGrid
from crosscurrent.postprocess.pictures.style import new_figure


def grid(*parts: Part) -> LabelGrid:
    """40 x 30 mm on 4 x 3 inches."""
    axes = new_figure(4.0, 3.0).add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set(xlim=(-0.02, 0.02), ylim=(-0.015, 0.015))
    found = LabelGrid.of(parts, axes, None)
    assert found is not None
    return found


@pytest.mark.parametrize("wanted", [[20.0] * 5, [3.0, 3.5, 30.0, 31.0], [39.0, 39.5], [1.0], []])
def test_names_are_spread_in_order_and_in_the_room(wanted: list[float]) -> None:
    placed = spread(np.array(wanted), 4.0, 40.0)
    assert (np.diff(placed) >= 4.0 - 1e-9).all()
    assert ((placed >= 2.0) & (placed <= 38.0)).all()


def test_a_block_of_names_lies_about_the_middle_of_its_parts() -> None:
    """Least squares: the mean of what is moved stays."""
    wanted = np.array([19.0, 20.0, 21.0])
    assert spread(wanted, 4.0, 40.0).mean() == pytest.approx(wanted.mean())


def test_strips_one_above_the_other_are_named_at_their_ends_in_turn() -> None:
    strips = [Part(f"s.{k}", bar(0.02, 0.0004).placed((0.0, 0.001 * k))) for k in range(6)]
    found = grid(*strips)
    assert name_in_columns(found, {k: p.name for k, p in enumerate(strips)}) == set(range(6))
    left, right = ([t for t in found.axes.texts if np.sign(t.get_position()[0]) == side] for side in (-1, 1))
    assert len(left) == len(right) == 3
    for texts in (left, right):
        heights = [t.get_position()[1] for t in sorted(texts, key=lambda t: t.get_text())]
        assert (np.diff(heights) > 0).all()


def test_strips_side_by_side_are_named_upright_above_or_under_them() -> None:
    strips = [Part(f"s.{k}", bar(0.0004, 0.01).placed((0.001 * k, 0.0))) for k in range(6)]
    found = grid(*strips)
    assert name_in_columns(found, {k: p.name for k, p in enumerate(strips)}) == set(range(6))
    assert all(t.get_rotation() == 90 for t in found.axes.texts)


def test_what_a_tube_encloses_cannot_be_reached() -> None:
    found = grid(Part("rod", round_bar(0.002)), Part("shell", tube(0.02, 0.001)))
    assert name_in_columns(found, {0: "rod", 1: "shell"}) == {1}


@pytest.mark.parametrize("wide", [0.026, 0.02615, 0.0262, 0.0263])  # as many cells on both sides, or one more on one
def test_a_line_ends_at_its_own_part_where_another_hides_the_middle_of_it(wide: float) -> None:
    """A shield on both sides of a narrower plate above it, and coils over both: seen from above its middle is plate."""
    coils = [Part(f"c.{k}", round_bar(0.0008).placed((0.002 * k - 0.004, 0.002))) for k in range(5)]
    parts = [*coils, Part("plate", bar(0.02, 0.0008)), Part("shield", bar(wide, 0.0008).placed((0.0, -0.002)))]
    found = grid(*parts)
    assert name_in_columns(found, {k: p.name for k, p in enumerate(parts)}) == set(range(7))
    for line in found.axes.lines:
        (foot, *_, end) = line.get_xydata()
        name = min(found.axes.texts, key=lambda text: abs(text.get_position()[0] - end[0])).get_text()
        (own,) = [part for part in parts if part.name == name]
        assert own.contains([foot - (0.0, 1e-4)])[0], name  # lines come from above, down to a cell at its border
